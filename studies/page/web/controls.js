// The page's controls and what they show: they change the store and follow it.

import { written } from "./fields.js";
import { drawnMotion, fullScale } from "./layout.js";
import { placeAt, reading } from "./probing.js";
import { sectionWords } from "./section.js";
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
  const part = (name) => root.querySelector(`[data-part="${name}"]`);
  const parts = Object.fromEntries(
    [...root.querySelectorAll("[data-part]")].map((element) => [element.dataset.part, element]),
  );
  fillChoices(parts, store, views);
  bindChoices(parts, store);
  bindPresets(root, store);
  bindCut(parts, store, views);
  bindPlace(parts, store);
  store.on((changed) => {
    if (changed.includes("caseId")) fillFields(parts, store, views);
    if (changed.includes("playing")) play(store, views[0]);
    // a path is walked and not swung
    if (changed.includes("field") && chosenField(views, store)?.steps) store.set({ playing: false });
  });
  part("play").addEventListener("click", () => store.set({ playing: !store.state.playing }));
  part("whole").addEventListener("click", () => store.set({ preset: { fit: true } }));
  part("true-scale").addEventListener("click", () => {
    store.set({ stretch: 1 / fullScale(views[0]) });
  });
  return parts;
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
 * The fields of the case at hand; what was chosen stays where the case has it.
 * @param {ControlParts} parts
 * @param {ViewStore} store
 * @param {View[]} views
 */
function fillFields(parts, store, views) {
  const packed = chosenCase(views, store);
  const { fields } = packed;
  parts.field.replaceChildren(...fields.map(({ id, name }) => new Option(name, id)));
  const kept = fields.some(({ id }) => id === store.state.field);
  if (!kept) store.set({ field: fields[0].id });
  parts.field.value = store.state.field;
  if (!packed.path) return;
  parts.step.max = packed.path.steps.length - 1;
  store.set({ step: packed.path.told });
}

/**
 * @param {ControlParts} parts
 * @param {ViewStore} store
 */
function bindChoices(parts, store) {
  const bind = (name, key, read, event = "change") => {
    parts[name].addEventListener(event, () => store.set({ [key]: read(parts[name]) }));
  };
  bind("case", "caseId", (element) => element.value);
  bind("field", "field", (element) => element.value);
  bind("surface", "surface", (element) => element.value);
  bind("stretch", "stretch", (element) => Number(element.value) / 100, "input");
  bind("step", "step", (element) => Number(element.value), "input");
  bind("undeformed", "undeformed", (element) => element.checked);
  if (parts["same-colours"]) bind("same-colours", "sameColours", (element) => element.checked);
  store.on(() => {
    const { state } = store;
    parts.case.value = state.caseId;
    parts.field.value = state.field;
    parts.surface.value = state.surface;
    parts.stretch.value = Math.round(100 * state.stretch);
    parts.step.value = state.step;
    parts.play.textContent = state.playing ? "stop" : "move";
    parts.play.setAttribute("aria-pressed", state.playing);
  });
}

/**
 * @param {HTMLElement} root
 * @param {ViewStore} store
 */
function bindPresets(root, store) {
  for (const button of root.querySelectorAll("[data-preset]"))
    button.addEventListener("click", () => store.set({ preset: { name: button.dataset.preset } }));
}

/**
 * @param {ControlParts} parts
 * @param {ViewStore} store
 * @param {View[]} views
 */
function bindCut(parts, store, views) {
  const [low, high] = views[0].scene.ends_mm;
  parts["cut-at"].min = Math.ceil(low) + 1;
  parts["cut-at"].max = Math.floor(high) - 1;
  parts.cut.addEventListener("change", () => {
    store.set({ cut: parts.cut.checked ? Number(parts["cut-at"].value) : null });
  });
  parts["cut-at"].addEventListener("input", () => store.set({ cut: Number(parts["cut-at"].value) }));
  store.on(() => {
    const { cut } = store.state;
    parts.cut.checked = cut !== null;
    if (cut !== null) parts["cut-at"].value = cut;
    parts["cut-words"].textContent = cut === null ? "whole bar" : `cut at s = ${written(cut)} mm`;
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
    store.set({ pin: { s, theta, surface: parts.surface.value } });
  };
  parts["place-s"].addEventListener("change", read);
  parts["place-theta"].addEventListener("change", read);
}

/**
 * Write legend, scale, reading and section of the views.
 * @param {ControlParts} parts
 * @param {ViewStore} store
 * @param {View[]} views
 */
export function refresh(parts, store, views) {
  const view = views.find((one) => one.now);
  if (!view) return;
  const { field, range } = view;
  const unit = field.unit ? `, ${field.unit}` : "";
  const face = field.surfaces.length > 1 && !field.shape ? `, ${store.state.surface === "inner" ? "inner" : "outer"} surface` : "";
  parts["legend-title"].textContent = `${field.name}${unit}${face}`;
  parts["legend-bar"].dataset.ramp = field.signed ? "signed" : "plain";
  const ticks = [0, 0.25, 0.5, 0.75, 1].map((share) => range[0] + share * (range[1] - range[0]));
  const said = ticks.map((value) => written(value, 3));
  if (view.step && view.now.packed.path.beyond) said[4] += " or more";
  parts["legend-ticks"].replaceChildren(...said.map((words) => textIn("span", words)));
  const { times } = drawnMotion(view);
  for (const name of ["stretch-label", "true-scale"]) parts[name].hidden = Boolean(view.step);
  parts["step-label"].hidden = !view.step;
  parts["scale-words"].textContent = view.step
    ? `${view.step.words}; true shape`
    : field.shape ? "shape only, its size means nothing" : `drawn ${written(times)} times`;
  const place = store.state.hover || store.state.pin;
  parts.reading.textContent = told(views, (one) => placeWords(one, place));
  parts["section-words"].textContent = told(views, sectionWords);
}

/**
 * What is to be said of one view, or of each under its name.
 * @param {View[]} views
 * @param {(view: ShownView) => string} words
 * @returns {string}
 */
function told(views, words) {
  const shown = views.filter((one) => one.now);
  if (shown.length === 1) return words(shown[0]);
  const lines = shown.map((one) => [one.scene.name, words(one)]);
  return lines.map(([name, text]) => (text ? `${name}: ${text}` : "")).join("\n");
}

/**
 * @param {ShownView} view
 * @param {Place | null} place
 * @returns {string}
 */
function placeWords(view, place) {
  if (!place) return "Point at the bar, or type a place, to read a value.";
  const found = placeAt(view, place.s, place.theta, place.surface);
  if (!found) return outside(view);
  const { value, words } = reading(view, found);
  const angle = ((place.theta * 180) / Math.PI).toFixed(0);
  const unit = view.field.unit ? ` ${view.field.unit}` : "";
  return `${written(value)}${unit} at s = ${place.s.toFixed(1)} mm, ${angle}\u00b0: ${words}`;
}

/**
 * @param {View} view
 * @returns {string}
 */
function outside(view) {
  const [low, high] = view.scene.ends_mm.map((end) => written(end, 3));
  return `No such place: the bar reaches from s = ${low} to ${high} mm.`;
}

/**
 * @param {string} tag
 * @param {string} text
 * @returns {HTMLElement}
 */
function textIn(tag, text) {
  const element = document.createElement(tag);
  element.textContent = text;
  return element;
}

/**
 * Swing the drawn motion to and fro as long as it is wanted.
 * @param {ViewStore} store
 * @param {View} view
 */
function play(store, view) {
  if (!store.state.playing) return store.set({ swing: 1 });
  if (view.step) return walk(store, view);
  const start = performance.now();
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
 * @param {View} view
 */
function walk(store, view) {
  const count = view.now.packed.path.steps.length;
  const timer = setInterval(() => store.set({ step: (store.state.step + 1) % count }), STEP_MS);
  const forget = store.on((changed) => {
    if (!["playing", "field", "caseId"].some((key) => changed.includes(key))) return;
    clearInterval(timer);
    forget();
    store.set({ playing: false });
  });
}
