// What the two pages share: the data they carry, and the camera's presets.

import { findAll } from "./basics.js";
import { newCamera, PRESETS } from "./camera.js";
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
  for (const button of buttons) button.addEventListener("click", () => store.set(chosenBy(button, store)));
  store.on((changed) => changed.includes("caseId") && follow());
  follow();
}

/**
 * What a button that chooses a case shows: where a limit's field is shown, that of the new case's
 * nearest limit in its place; any other field stays.
 * @param {HTMLElement} button
 * @param {ViewStore} store
 * @returns {Partial<ViewState>}
 */
function chosenBy(button, store) {
  const caseId = button.dataset.choose ?? "";
  const fields = findAll(document, "[data-field]", HTMLElement).map((one) => one.dataset.field);
  const { field } = button.dataset;
  return field && fields.includes(store.state.field) ? { caseId, field } : { caseId };
}

/** Scroll the strip of cases, not the page, to the governing one. */
export function showGoverning() {
  const button = document.querySelector("[data-governs]");
  const strip = button?.parentElement;
  if (!(button instanceof HTMLElement) || !strip) return;
  strip.scrollLeft = button.offsetLeft - strip.offsetLeft;
}

/**
 * Where the eye of a run's page begins: behind, above or below as the governing place faces.
 * @returns {Camera}
 */
export function governingCamera() {
  const button = document.querySelector("[data-governs]");
  const below = button instanceof HTMLElement && button.dataset.faces === "down";
  return { ...newCamera(), turn: 0, height: below ? -35 : 35 };
}

/**
 * What a run's page begins with: its governing case, and the field of the limit that governs.
 * @returns {Partial<ViewState>}
 */
export function governingState() {
  const button = document.querySelector("[data-governs]");
  if (!(button instanceof HTMLElement)) return {};
  return { caseId: button.dataset.choose ?? "", field: button.dataset.field ?? "" };
}

/** Pictures and tables stand in for what cannot be drawn, with a note. */
export function withoutView() {
  document.documentElement.classList.add("no-view");
  document.documentElement.dataset.ready = "pictures";
}
