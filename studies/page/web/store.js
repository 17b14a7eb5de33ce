// What is shown now, and the listeners to its changes.

/**
 * A record that passes the changed keys to its listeners.
 *
 * @template {object} State
 * @param {State} first
 * @returns {Store<State>}
 */
export function createStore(first) {
  const state = { ...first };
  /** @type {Set<(changed: string[]) => void>} */
  const listeners = new Set();
  return {
    state,
    set(patch) {
      const keys = /** @type {(keyof State & string)[]} */ (Object.keys(patch));
      const changed = keys.filter((key) => state[key] !== patch[key]);
      if (!changed.length) return;
      Object.assign(state, patch);
      for (const listener of [...listeners]) listener(changed);
    },
    on(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}

/**
 * What a page begins with.
 * @param {Scene} scene
 * @returns {ViewState}
 */
export function firstState(scene) {
  return {
    caseId: scene.cases[0].id,
    field: scene.cases[0].fields[0].id,
    surface: "outer",
    stretch: 1,
    playing: false,
    swing: 1,
    cut: null,
    sameColours: false,
    undeformed: true,
    hover: null,
    pin: null,
    preset: null,
    step: scene.cases[0].path?.reported ?? 0,
    walls: [],
    load: 1,
  };
}
