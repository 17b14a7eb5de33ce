// The little algebra that the view needs: vectors as arrays of three, matrices column by column.

/** @type {(a: Vector, b: Vector) => number} */
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
/** @type {(a: Vector, factor: number) => Vector} */
export const scaled = (a, factor) => a.map((value) => value * factor);
/** @type {(a: Vector, b: Vector) => Vector} */
export const plus = (a, b) => a.map((value, i) => value + b[i]);
/** @type {(a: Vector, b: Vector) => Vector} */
export const minus = (a, b) => a.map((value, i) => value - b[i]);
/** @type {(a: Vector) => number} */
export const length = (a) => Math.hypot(a[0], a[1], a[2]);
/** @type {(a: Vector) => Vector} */
export const unit = (a) => scaled(a, 1 / (length(a) || 1));
/** @type {(a: Vector, b: Vector) => Vector} */
export const cross = (a, b) => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

/**
 * Two unit vectors square to a direction and to each other.
 * @param {Vector} direction
 * @returns {Vector[]}
 */
export function squareTo(direction) {
  const helper = Math.abs(direction[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0];
  const first = unit(cross(direction, helper));
  return [first, cross(direction, first)];
}
