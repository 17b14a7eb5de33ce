// The arrows of a case's loads: where each is, which way it points, how long it is drawn.

import { drawnMotion, solidSize } from "./layout.js";
import { findPlace, valueAt } from "./sheet.js";
import { minus, plus, scaled, unit } from "./vectors.js";

/**
 * An arrow for each force and moment of the case, at its place as drawn.
 * @param {ShownView} view
 * @returns {Arrow[]}
 */
export function arrowsOf(view) {
  const { camera, now } = view;
  if (view.field.shape) return [];
  // a load that is taken away has no arrow
  if (view.step && Math.abs(view.step.factor) < 1e-3) return [];
  const size = Math.min(95, 0.22 * solidSize(view)[1] + 30) * camera.mmPerDot;
  return now.packed.loads.flatMap((load) => {
    const centre = plus(load.at_mm, scaled(motionAt(view, load.s_mm), view.times));
    /** @type {(vector: Vector, heads: number) => Arrow} */
    const one = (vector, heads) => {
      const direction = unit(vector);
      const tip = minus(centre, scaled(direction, heads === 1 ? load.radius_mm : -size / 2));
      return { tip, direction, size, heads, load };
    };
    const found = [];
    if (load.force_n.some(Boolean)) found.push(one(load.force_n, 1));
    if (load.moment_nmm.some(Boolean)) found.push(one(load.moment_nmm, 2));
    return found;
  });
}

/**
 * Whether an arrow is what a support answers, and not a load.
 * @param {Arrow} arrow
 * @returns {boolean}
 */
export function isReaction({ load }) {
  return load.name === "reaction";
}

/**
 * Mean motion of a cross-section's outer surface.
 * @param {ShownView} view
 * @param {number} s
 * @returns {Vector}
 */
function motionAt(view, s) {
  const { sheet } = view;
  const { motion } = drawnMotion(view);
  const found = [0, 90, 180, 270].map((angle) => findPlace(sheet, s, (angle * Math.PI) / 180));
  const held = found.filter((place) => place !== null);
  return [0, 1, 2].map(
    (k) => held.reduce((sum, place) => sum + valueAt(motion[0][k], place), 0) / (held.length || 1),
  );
}
