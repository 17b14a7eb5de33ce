// How a view divides its canvas, and what of the bar it shows and how large.

import { motionRatio } from "./preview_field.js";

/** The strip with the unrolled wall along the lower edge, in dots. */
export const STRIP = { high: 56, left: 54, right: 14, bottom: 20 };

const MODE_SHARE = 0.08;

/**
 * Width and height of the part with the solid bar, in dots.
 * @param {View} view
 * @returns {number[]}
 */
export function solidSize(view) {
  return [view.canvas.clientWidth, view.canvas.clientHeight - STRIP.high - STRIP.bottom];
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
