// How a view divides its canvas, and what of the bar it shows and how large.

import { motionRatio } from "./preview_field.js";

/** The unrolled wall, in dots: its height, below the bar or beside it, and the room round it. */
const STRIP = { high: 48, highBeside: 120, left: 54, right: 44, bottom: 66 };
/** Of a low canvas, as on paper: up to this height, strip and room below are this share of theirs. */
const LOW = { height: 220, share: 0.65, bottom: 56 };
/** Below the strip, in dots: the middle of the numbers, the ruler's line, its figures, its words. */
const BELOW = { numbers: 16, line: 34, figures: 46, words: 58 };
const BELOW_LOW = { numbers: 13, line: 27, figures: 38, words: 49 };
/** Where a bar is deep the strip stands beside it: least width of the canvas, the bar's share of it. */
const BESIDE = { least: 600, share: 0.4 };
/** A bar is deep where it reaches this share of its width to the front or up. */
const DEEP = 0.3;

const MODE_SHARE = 0.08;

/**
 * Whether a bar needs height more than width.
 * @param {Columns} points
 * @returns {boolean}
 */
export function isDeep(points) {
  const [wide, ...others] = points.map((column) => {
    const [low, high] = column.reduce(([a, b], x) => [Math.min(a, x), Math.max(b, x)], [Infinity, -Infinity]);
    return high - low;
  });
  return Math.max(...others) > DEEP * wide;
}

/**
 * @param {View} view
 * @returns {boolean}
 */
function standsBeside({ deep, scenes, canvas }) {
  return deep && scenes.length === 1 && canvas.clientWidth >= BESIDE.least;
}

/**
 * Width and height of the part with the solid bar, in dots.
 * @param {View} view
 * @returns {number[]}
 */
export function solidSize(view) {
  const { clientWidth: wide, clientHeight: high } = view.canvas;
  if (standsBeside(view)) return [Math.round(BESIDE.share * wide), high];
  return [wide, high - stripSize(view).high - stripSize(view).bottom];
}

/**
 * Height of the strip below the bar, and of what stands below the strip, in dots.
 * @param {View} view
 * @returns {{ high: number, bottom: number }}
 */
function stripSize({ canvas }) {
  if (canvas.clientHeight > LOW.height) return STRIP;
  return { high: LOW.share * STRIP.high, bottom: LOW.bottom };
}

/**
 * Heights below the strip's lower edge, in dots.
 * @param {View} view
 * @returns {typeof BELOW}
 */
export function belowStrip({ canvas }) {
  return canvas.clientHeight > LOW.height ? BELOW : BELOW_LOW;
}

/**
 * The unrolled wall in dots from the canvas's upper left corner.
 * @param {View} view
 * @returns {{ left: number, top: number, width: number, height: number, bottom: number }}
 */
export function stripBox(view) {
  const { clientWidth: wide, clientHeight: high } = view.canvas;
  const beside = standsBeside(view);
  const left = STRIP.left + (beside ? solidSize(view)[0] : 0);
  const size = stripSize(view);
  const height = beside ? Math.min(STRIP.highBeside, high - size.bottom - 20) : size.high;
  const bottom = beside ? (high - size.bottom + height) / 2 : high - size.bottom;
  return { left, top: bottom - height, width: wide - left - STRIP.right, height, bottom };
}

/**
 * The range of s that the cut leaves: from the cut towards the clamp and beyond.
 * @param {View} view
 * @returns {Interval}
 */
export function keptRange(view) {
  const { cut } = view.store.state;
  if (cut === null) return [-1e9, 1e9];
  return cut >= 0 ? [-1e9, cut] : [cut, 1e9];
}

/**
 * How many times a deformation is drawn when the slider stands at 1; alike in all designs.
 * @param {View} view
 * @returns {number}
 */
export function fullScale(view) {
  const { caseId } = view.store.state;
  const shared = view.scenes.flatMap(({ cases }) => cases).filter((one) => one.id === caseId);
  return Math.min(...shared.map((one) => one.drawn_scale));
}

/**
 * Whether a view shows a case.
 *
 * @param {View} view
 * @returns {view is ShownView}
 */
export function isShown(view) {
  return view.now !== null;
}

/**
 * How many times the motion is drawn, and the motion.
 * @param {ShownView} view
 * @returns {{ motion: Motion, times: number }}
 */
export function drawnMotion(view) {
  const { stretch, swing } = view.store.state;
  const { now, field } = view;
  if (view.step) return { motion: view.step.motion, times: 1 };
  if (field.shape) {
    const { motion, largest } = now.shapes[field.id];
    const long = view.scene.ends_mm[1] - view.scene.ends_mm[0];
    const times = (stretch * swing * MODE_SHARE * long) / largest;
    return { motion, times };
  }
  const times = stretch * swing * fullScale(view) * motionRatio(view.preview, view.store.state);
  return { motion: now.motion, times };
}
