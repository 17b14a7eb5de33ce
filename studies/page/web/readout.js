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
function writeLegend(parts, view) {
  const { field, range, store } = view;
  parts["legend-title"].textContent = legendTitle(field, store.state);
  parts["legend-note"].textContent = isNeutral(store.state) && field.note ? `${capital(field.note)}.` : "";
  parts["legend-bar"].dataset.ramp = field.signed ? "signed" : "plain";
  markLimit(parts["legend-bar"], field, range);
  const shares = isOfLimit(field) ? limitTicks(range[1]) : [0, 0.25, 0.5, 0.75, 1];
  const labels = shares.map((share) => written(range[0] + share * (range[1] - range[0]), 3));
  if (goesOn(view)) labels[labels.length - 1] += " or more";
  const ticks = labels.map((words) => textIn("span", words));
  ticks.forEach((tick, k) => tick.style.setProperty("--at", `${(100 * shares[k]).toFixed(1)}%`));
  parts["legend-ticks"].replaceChildren(...ticks);
}

/**
 * Whether values lie beyond the end of the colours.
 * @param {ShownView} view
 * @returns {boolean}
 */
function goesOn({ field, range, step, now, values }) {
  if (step) return now.packed.path?.beyond ?? false;
  const most = range[1] * 1.001;
  return (field.most ?? 0) > most || values.some((face) => face.some((value) => value > most));
}

/**
 * @param {Field} field
 * @returns {boolean}
 */
function isOfLimit({ id }) {
  return id.startsWith("utilisation");
}

/**
 * Round values from 0, 1 among them, and the end, as shares of it.
 * @param {number} end
 * @returns {number[]}
 */
function limitTicks(end) {
  const every = end < 1.6 ? 0.5 : end < 4 ? 1 : Math.ceil(end / 4);
  const round = Array.from({ length: Math.ceil(end / every) }, (_, k) => k * every);
  const few = round.includes(1) ? round : [0, 1, ...round.slice(1)];
  return [...few.map((value) => value / end).filter((share) => share < 0.85), 1];
}

/** @type {(words: string) => string} */
const capital = (words) => words[0].toUpperCase() + words.slice(1);

/**
 * @param {Field} field
 * @param {ViewState} state
 * @returns {string}
 */
function legendTitle({ name, unit, surfaces, shape, steps }, state) {
  const face = surfaces.length > 1 && !shape ? `, ${state.surface} surface` : "";
  const still = shape || steps ? "as in the run" : "at the walls and load of the sliders";
  const more = isNeutral(state) ? "" : `; ${still}`;
  return `${capital(name)}${unit && `, ${unit}`}${face}${more}`;
}

/**
 * A line across the legend's bar where a utilisation is 1, which is the limit itself.
 * @param {HTMLElement} bar
 * @param {Field} field
 * @param {Interval} range
 */
function markLimit(bar, field, range) {
  const one = isOfLimit(field) ? 1 / range[1] : 0;
  bar.style.setProperty("--limit", `${(100 * one).toFixed(2)}%`);
  bar.classList.toggle("has-limit", one > 0);
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
