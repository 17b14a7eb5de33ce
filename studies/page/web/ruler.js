// The ruler below the unrolled wall: mm along the tube, with clamp, bends and load bands on it.

import { belowStrip, stripBox } from "./layout.js";

const TICK_MM = 50;
/** Least distance of two figures, and of two lines of the hatching, in dots. */
const FIGURE_DOTS = 30;
const HATCH_DOTS = 4;
const BAND_DOTS = 6;

/**
 * Dots to the right of the canvas's left edge of a place along the bar.
 * @param {View} view
 * @param {number} s
 * @returns {number}
 */
export function alongRuler(view, s) {
  const [low, high] = view.scene.ends_mm;
  const { left, width } = stripBox(view);
  return left + ((s - low) / (high - low)) * width;
}

/**
 * A picture as large as the canvas with the ruler and the lines of the limits' numbers.
 * @param {ShownView} view
 * @param {string} leaders
 * @returns {HTMLElement}
 */
export function rulerOf(view, leaders) {
  const holder = document.createElement("div");
  holder.innerHTML = `<svg class="along-tube">${leaders}${[...bands(view), ...ticks(view)].join("")}</svg>`;
  return holder;
}

/**
 * @param {ShownView} view
 * @returns {string[]}
 */
function bands(view) {
  const { scene, now } = view;
  const line = lineOf(view);
  /** @type {(span: Interval, kind: string) => string} */
  const band = ([from, to], kind) => {
    const [left, right] = [alongRuler(view, from), alongRuler(view, to)];
    return `<rect class="${kind}" x="${left.toFixed(1)}" y="${line - BAND_DOTS}" width="${Math.max(2, right - left).toFixed(1)}" height="${BAND_DOTS}"/>`;
  };
  const loads = now.packed.loads.map((load) =>
    band([load.from_mm, load.to_mm], load.name === "reaction" ? "reaction" : "load"),
  );
  const [from, to] = scene.clamp_mm;
  const clamp = from < to ? [band([from, to], "clamp")] : [];
  return [...(scene.bends_mm ?? []).map((bend) => hatched(view, bend)), ...loads, ...clamp];
}

/**
 * @param {ShownView} view
 * @param {Interval} bend
 * @returns {string}
 */
function hatched(view, [from, to]) {
  const [left, right] = [alongRuler(view, from), alongRuler(view, to)];
  let path = "";
  for (let x = left; x < right; x += HATCH_DOTS) path += `M${x.toFixed(1)} ${lineOf(view)}l3 -${BAND_DOTS}`;
  return `<path class="bend" d="${path}"/>`;
}

/**
 * Ticks each 50 mm, with figures each 100 mm or as often as there is room.
 * @param {ShownView} view
 * @returns {string[]}
 */
function ticks(view) {
  const [low, high] = view.scene.ends_mm;
  const every = figuresEvery(view);
  const line = lineOf(view);
  const figures = stripBox(view).bottom + belowStrip(view).figures + 4;
  const found = [`<path d="M${alongRuler(view, low).toFixed(1)} ${line}H${alongRuler(view, high).toFixed(1)}"/>`];
  for (let s = Math.ceil(low / TICK_MM) * TICK_MM; s <= high; s += TICK_MM) {
    const x = alongRuler(view, s).toFixed(1);
    const named = s % every === 0;
    found.push(`<path d="M${x} ${line}v${named ? 6 : 4}"/>`);
    if (named) found.push(`<text x="${x}" y="${figures}">${Math.abs(s)}</text>`);
  }
  return found;
}

/**
 * @param {ShownView} view
 * @returns {number}
 */
function figuresEvery(view) {
  const dots = alongRuler(view, 100) - alongRuler(view, 0);
  return [100, 200, 500].find((every) => (dots * every) / 100 > FIGURE_DOTS) ?? 1000;
}

/**
 * @param {View} view
 * @returns {number}
 */
function lineOf(view) {
  return stripBox(view).bottom + belowStrip(view).line;
}
