// What the two pages share: the data they carry, and the camera's presets.

import { findAll } from "./basics.js";
import { PRESETS } from "./camera.js";
import { bytesOf } from "./decode.js";
import { fitViews } from "./view.js";

/**
 * Rows of 256 colours as the painter takes them.
 * @param {Record<string, string>} packed
 * @returns {Record<string, Uint8Array>}
 */
export function rampsOf(packed) {
  return Object.fromEntries(
    Object.entries(packed).map(([name, text]) => [name, bytesOf(text)]),
  );
}

/**
 * Turn the views, which share a camera, to a preset direction; without one only fit them anew.
 * @param {View[]} views
 * @param {Preset | null} preset
 */
export function applyPreset(views, preset) {
  const { camera } = views[0];
  const { turn, height } = PRESETS[preset?.name ?? ""] || camera;
  Object.assign(camera, { turn, height });
  fitViews(views);
}

/**
 * Show the chosen case's part of the page, and mark its row.
 * @param {ViewStore} store
 */
export function followCase(store) {
  const buttons = findAll(document, "[data-choose]", HTMLElement);
  const follow = () => {
    for (const part of findAll(document, "[data-case]", HTMLElement))
      part.classList.toggle("shown", part.dataset.case === store.state.caseId);
    for (const button of buttons)
      button.setAttribute("aria-pressed", String(button.dataset.choose === store.state.caseId));
    for (const choice of findAll(document, "[data-case-choice]", HTMLSelectElement))
      choice.value = store.state.caseId;
  };
  for (const button of buttons)
    button.addEventListener("click", () => store.set({ caseId: button.dataset.choose ?? "" }));
  store.on((changed) => changed.includes("caseId") && follow());
  follow();
}

/** Pictures and tables stand in for what cannot be drawn, with a note. */
export function withoutView() {
  document.documentElement.classList.add("no-view");
  document.documentElement.dataset.ready = "pictures";
}
