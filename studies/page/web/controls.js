// The page's controls and what they show: they change the store and follow it.

import { findAll } from "./basics.js";
import { fullScale } from "./layout.js";
import { onRuler } from "./places.js";
import { wrapped } from "./sheet.js";

const PERIOD_MS = 2400;
const STEP_MS = 300;

/**
 * Bind the controls in `root` to the store; `views` are all views that they steer.
 * @param {HTMLElement} root
 * @param {ViewStore} store
 * @param {View[]} views
 * @returns {ControlParts}
 */
export function bindControls(root, store, views) {
  const parts = partsIn(root);
  fillChoices(parts, store, views);
  bindChoices(parts, store);
  bindPresets(root, store);
  bindCut(parts, store, views);
  bindPlace(parts, store);
  store.on((changed) => {
    if (changed.includes("caseId")) fillFields(parts, store, views);
    if (changed.includes("playing")) play(store, views[0]);
    // a path is shown step by step and not swung
    if (changed.includes("field") && chosenField(views, store)?.steps) store.set({ playing: false });
  });
  parts.play.addEventListener("click", () => store.set({ playing: !store.state.playing }));
  parts.whole.addEventListener("click", () => store.set({ preset: { fit: true } }));
  parts["true-scale"].addEventListener("click", () => {
    store.set({ stretch: 1 / fullScale(views[0]) });
  });
  return parts;
}

/**
 * The controls by their `data-part`.
 *
 * @param {HTMLElement} root
 * @returns {ControlParts}
 */
function partsIn(root) {
  const named = findAll(root, "[data-part]", HTMLElement).map((one) => [one.dataset.part, one]);
  return Object.fromEntries(named);
}

/**
 * @param {ControlParts} parts
 * @param {ViewStore} store
 * @param {View[]} views
 */
function fillChoices(parts, store, views) {
  const cases = new Map();
  for (const one of allCases(views)) cases.set(one.id, one.title);
  parts.case.replaceChildren(...[...cases].map(([id, title]) => new Option(title, id)));
  parts.case.value = store.state.caseId;
  fillFields(parts, store, views);
}

/**
 * The cases of all designs, also of those that no view shows at the moment.
 * @param {View[]} views
 * @returns {PackedCase[]}
 */
function allCases(views) {
  return views[0].scenes.flatMap(({ cases }) => cases);
}

/**
 * @param {View[]} views
 * @param {ViewStore} store
 * @returns {PackedCase | undefined}
 */
function chosenCase(views, store) {
  return allCases(views).find((one) => one.id === store.state.caseId);
}

/**
 * @param {View[]} views
 * @param {ViewStore} store
 * @returns {Field | undefined}
 */
function chosenField(views, store) {
  return chosenCase(views, store)?.fields.find(({ id }) => id === store.state.field);
}

/**
 * The fields of the case at hand; the chosen one is kept where the case has it.
 * @param {ControlParts} parts
 * @param {ViewStore} store
 * @param {View[]} views
 */
function fillFields(parts, store, views) {
  const packed = chosenCase(views, store);
  if (!packed) return;
  const { fields } = packed;
  parts.field.replaceChildren(...fields.map(({ id, name }) => new Option(name, id)));
  const kept = fields.some(({ id }) => id === store.state.field);
  if (!kept) store.set({ field: fields[0].id });
  parts.field.value = store.state.field;
  if (!packed.path) return;
  parts.step.max = String(packed.path.steps.length - 1);
  store.set({ step: packed.path.reported });
}

/**
 * @param {ControlParts} parts
 * @param {ViewStore} store
 */
function bindChoices(parts, store) {
  const { field, stretch, step, undeformed } = parts;
  /** @type {(element: HTMLElement, event: string, patch: () => Partial<ViewState>) => void} */
  const bind = (element, event, patch) => element.addEventListener(event, () => store.set(patch()));
  bind(parts.case, "change", () => ({ caseId: parts.case.value }));
  bind(field, "change", () => ({ field: field.value }));
  bind(parts.surface, "change", () => ({ surface: surfaceOf(parts) }));
  bind(stretch, "input", () => ({ stretch: Number(stretch.value) / 100 }));
  bind(step, "input", () => ({ step: Number(step.value) }));
  bind(undeformed, "change", () => ({ undeformed: undeformed.checked }));
  const same = parts["same-colours"];
  if (same) bind(same, "change", () => ({ sameColours: same.checked }));
  store.on(() => showChoices(parts, store.state));
}

/**
 * @param {ControlParts} parts
 * @param {ViewState} state
 */
function showChoices(parts, state) {
  parts.case.value = state.caseId;
  parts.field.value = state.field;
  parts.surface.value = state.surface;
  parts.stretch.value = String(Math.round(100 * state.stretch));
  parts.step.value = String(state.step);
  parts.play.textContent = state.playing ? "stop" : "play";
  parts.play.setAttribute("aria-pressed", String(state.playing));
}

/**
 * @param {ControlParts} parts
 * @returns {Surface}
 */
function surfaceOf({ surface }) {
  return surface.value === "inner" ? "inner" : "outer";
}

/**
 * @param {HTMLElement} root
 * @param {ViewStore} store
 */
function bindPresets(root, store) {
  for (const button of findAll(root, "[data-preset]", HTMLElement))
    button.addEventListener("click", () => store.set({ preset: { name: button.dataset.preset } }));
}

/**
 * @param {ControlParts} parts
 * @param {ViewStore} store
 * @param {View[]} views
 */
function bindCut(parts, store, views) {
  const [low, high] = views[0].scene.ends_mm;
  parts["cut-at"].min = String(Math.ceil(low) + 1);
  parts["cut-at"].max = String(Math.floor(high) - 1);
  parts.cut.addEventListener("change", () => {
    store.set({ cut: parts.cut.checked ? Number(parts["cut-at"].value) : null });
  });
  parts["cut-at"].addEventListener("input", () => store.set({ cut: Number(parts["cut-at"].value) }));
  store.on(() => {
    const { cut } = store.state;
    parts.cut.checked = cut !== null;
    if (cut !== null) parts["cut-at"].value = String(cut);
    parts["cut-words"].textContent = cut === null ? "whole bar" : `cut at ${onRuler(cut)}`;
  });
}

/**
 * A place typed in: s, theta and surface, for keyboards and exact questions.
 * @param {ControlParts} parts
 * @param {ViewStore} store
 */
function bindPlace(parts, store) {
  const read = () => {
    const [s, angle] = [Number(parts["place-s"].value), Number(parts["place-theta"].value)];
    if (!Number.isFinite(s) || !Number.isFinite(angle)) return;
    const theta = wrapped((angle * Math.PI) / 180);
    store.set({ pin: { s, theta, surface: surfaceOf(parts) } });
  };
  parts["place-s"].addEventListener("change", read);
  parts["place-theta"].addEventListener("change", read);
}

/**
 * Swing the drawn motion to and fro until it is stopped.
 * @param {ViewStore} store
 * @param {View} view
 */
function play(store, view) {
  if (!store.state.playing) return store.set({ swing: 1 });
  const path = view.step && view.now?.packed.path;
  if (path) return playSteps(store, path.steps.length);
  const start = performance.now();
  /** @type {(now: number) => void} */
  const step = (now) => {
    if (!store.state.playing) return;
    store.set({ swing: (1 - Math.cos((2 * Math.PI * (now - start)) / PERIOD_MS)) / 2 });
    requestAnimationFrame(step);
  };
  requestAnimationFrame(step);
}

/**
 * Go along the path step by step, over and over, until it is stopped or left.
 * @param {ViewStore} store
 * @param {number} count
 */
function playSteps(store, count) {
  const timer = setInterval(() => store.set({ step: (store.state.step + 1) % count }), STEP_MS);
  const forget = store.on((changed) => {
    if (!["playing", "field", "caseId"].some((key) => changed.includes(key))) return;
    clearInterval(timer);
    forget();
    store.set({ playing: false });
  });
}
