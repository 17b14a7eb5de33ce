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
  /** @type {(button: HTMLElement) => boolean} */
  const isOn = ({ dataset }) =>
    dataset.choose === store.state.caseId && [undefined, store.state.field].includes(dataset.limit);
  const follow = () => {
    for (const part of findAll(document, "[data-case]", HTMLElement))
      part.classList.toggle("shown", part.dataset.case === store.state.caseId);
    for (const button of buttons)
      button.setAttribute("aria-pressed", String(isOn(button)));
    for (const choice of findAll(document, "[data-case-choice]", HTMLSelectElement))
      choice.value = store.state.caseId;
  };
  for (const button of buttons) button.addEventListener("click", () => store.set(chosenBy(button, store)));
  store.on((changed) => (changed.includes("caseId") || changed.includes("field")) && follow());
  follow();
}

/**
 * What a button that chooses a case shows: the field of its limit, where it names one; else, where a
 * limit's field is shown, that of the new case's nearest limit; any other field stays.
 * @param {HTMLElement} button
 * @param {ViewStore} store
 * @returns {Partial<ViewState>}
 */
function chosenBy(button, store) {
  const caseId = button.dataset.choose ?? "";
  const surface = surfaceNamed(button);
  if (button.dataset.limit) return { caseId, field: button.dataset.limit, surface };
  const { field } = button.dataset;
  return field && store.state.field.startsWith("utilisation") ? { caseId, field, surface } : { caseId };
}

/** Scroll the strip of cases, not the page, to the governing one. */
export function showGoverning() {
  const button = document.querySelector("[data-governs]");
  const strip = button?.parentElement;
  if (!(button instanceof HTMLElement) || !strip) return;
  strip.scrollLeft = button.offsetLeft - strip.offsetLeft;
}

/**
 * What a run's page begins with: its governing case, and the field of the limit that governs.
 * @returns {Partial<ViewState>}
 */
export function governingState() {
  const button = document.querySelector("[data-governs]");
  if (!(button instanceof HTMLElement)) return {};
  const { choose = "", field = "" } = button.dataset;
  return { caseId: choose, field, surface: surfaceNamed(button) };
}

/**
 * The surface of the limit that a button shows.
 * @param {HTMLElement} button
 * @returns {Surface}
 */
function surfaceNamed({ dataset }) {
  return dataset.surface === "inner" ? "inner" : "outer";
}

/**
 * What is drawn is lost where a device takes the picture's memory back, and can be drawn anew.
 * @param {HTMLCanvasElement} canvas
 */
export function outliveLoss(canvas) {
  canvas.addEventListener("webglcontextlost", (event) => {
    event.preventDefault();
    withoutView();
  });
  canvas.addEventListener("webglcontextrestored", () => location.reload());
}

/** Pictures and tables stand in for what cannot be drawn, with a note. */
export function withoutView() {
  document.documentElement.classList.add("no-view");
  document.documentElement.dataset.ready = "pictures";
}
