// What the controls show of the views: legend, scale, the value at a place, the cut section.

import { written } from "./fields.js";
import { drawnMotion, isShown } from "./layout.js";
import { onRuler } from "./places.js";
import { isNeutral } from "./preview.js";
import { placeAt, reading } from "./probing.js";
import { sectionWords } from "./section.js";

/**
 * Write legend, scale, reading and section of the views.
 * @param {ControlParts} parts
 * @param {ViewStore} store
 * @param {View[]} views
 */
export function refresh(parts, store, views) {
  const view = views.find(isShown);
  if (!view) return;
  writeLegend(parts, view);
  writeScale(parts, view);
  const place = store.state.hover || store.state.pin;
  parts.reading.textContent = ofEach(views, (one) => placeWords(one, place));
  parts["section-words"].textContent = ofEach(views, sectionWords);
}

/**
 * @param {ControlParts} parts
 * @param {ShownView} view
 */
function writeLegend(parts, { field, range, store, step, now, values }) {
  parts["legend-title"].textContent = legendTitle(field, store.state);
  parts["legend-bar"].dataset.ramp = field.signed ? "signed" : "plain";
  const ticks = [0, 0.25, 0.5, 0.75, 1].map((share) => range[0] + share * (range[1] - range[0]));
  const labels = ticks.map((value) => written(value, 3));
  const over = values.some((face) => face.some((value) => value > range[1] * 1.001));
  if (step ? now.packed.path?.beyond : field.beyond || over) labels[4] += " or more";
  parts["legend-ticks"].replaceChildren(...labels.map((words) => textIn("span", words)));
}

/**
 * @param {Field} field
 * @param {ViewState} state
 * @returns {string}
 */
function legendTitle({ name, unit, surfaces, shape, steps, note }, state) {
  const face = surfaces.length > 1 && !shape ? `, ${state.surface} surface` : "";
  const still = shape || steps ? "as in the run" : "at the walls and load of the sliders";
  const more = isNeutral(state) ? note : still;
  return `${name}${unit && `, ${unit}`}${face}${more && `; ${more}`}`;
}

/**
 * @param {ControlParts} parts
 * @param {ShownView} view
 */
function writeScale(parts, view) {
  const { times } = drawnMotion(view);
  for (const one of [parts["stretch-label"], parts["true-scale"]]) one.hidden = view.step !== null;
  parts["step-label"].hidden = !view.step;
  const drawn = view.field.shape ? "shape only, arbitrary size" : `deformation x ${written(times)}`;
  parts["scale-words"].textContent = view.step ? `${view.step.words}; true shape` : drawn;
}

/**
 * The words of one view, or of each after its name.
 * @param {View[]} views
 * @param {(view: ShownView) => string} words
 * @returns {string}
 */
function ofEach(views, words) {
  const shown = views.filter(isShown);
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
  if (Number.isNaN(value)) return `Not judged at ${words}, angle ${angle}\u00b0`;
  const unit = view.field.unit ? ` ${view.field.unit}` : "";
  return `${written(value)}${unit} at ${words}, angle ${angle}\u00b0`;
}

/**
 * @param {View} view
 * @returns {string}
 */
function outside(view) {
  const [low, high] = view.scene.ends_mm.map((end) => onRuler(end));
  return `No such place: the bar spans ${low} to ${high}.`;
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
