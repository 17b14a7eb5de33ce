// Where the eye is: a parallel projection that turns about a point, so that lengths compare.

import { cross, dot, minus, plus, scaled, unit } from "./vectors.js";

/**
 * Directions from the bar to the eye: azimuth from behind towards the right, height over level.
 *
 * @type {Record<string, { name: string, turn: number, height: number }>}
 */
export const PRESETS = {
  rider: { name: "rider's view", turn: -20, height: 32 },
  front: { name: "front", turn: 180, height: 0 },
  top: { name: "top", turn: 0, height: 89.9 },
  side: { name: "right side", turn: 90, height: 0 },
};

const NEARLY_UPRIGHT = 89.9;

/** @returns {Camera} */
export function newCamera() {
  return { turn: -20, height: 32, centre: [0, 0, 0], mmPerDot: 1 };
}

/**
 * Unit vectors to the right, up the picture and towards the eye.
 * @param {Camera} camera
 * @returns {Frame}
 */
export function frameOf(camera) {
  const [turn, height] = [camera.turn, camera.height].map((angle) => (angle * Math.PI) / 180);
  const towards = [
    Math.cos(height) * Math.sin(turn),
    -Math.cos(height) * Math.cos(turn),
    Math.sin(height),
  ];
  const right = unit([Math.cos(turn), Math.sin(turn), 0]);
  return { right, up: cross(towards, right), towards };
}

/**
 * @param {Camera} camera
 * @param {number} turn
 * @param {number} height
 */
export function turnBy(camera, turn, height) {
  camera.turn = ((camera.turn + turn + 540) % 360) - 180;
  camera.height = Math.max(-NEARLY_UPRIGHT, Math.min(NEARLY_UPRIGHT, camera.height + height));
}

/**
 * Move what is seen by dots on the picture.
 * @param {Camera} camera
 * @param {number} dotsRight
 * @param {number} dotsUp
 */
export function shiftBy(camera, dotsRight, dotsUp) {
  const { right, up } = frameOf(camera);
  const shift = plus(scaled(right, dotsRight), scaled(up, dotsUp));
  camera.centre = minus(camera.centre, scaled(shift, camera.mmPerDot));
}

/**
 * Come nearer by a factor, the place under the pointer staying where it is.
 * @param {Camera} camera
 * @param {number} factor
 */
export function zoomBy(camera, factor, dotsRight = 0, dotsUp = 0) {
  const mmPerDot = Math.min(20, Math.max(0.005, camera.mmPerDot / factor));
  const real = camera.mmPerDot / mmPerDot;
  shiftBy(camera, dotsRight * (1 / real - 1), dotsUp * (1 / real - 1));
  camera.mmPerDot = mmPerDot;
}

/**
 * Let all points, a flat array for each axis, just fit into a picture of that many dots.
 * @param {Camera} camera
 * @param {Columns} columns
 * @param {number} width
 * @param {number} height
 * @param {{ aside: number, above: number }} room
 */
export function fit(camera, columns, width, height, room) {
  const frame = frameOf(camera);
  const spans = [frame.right, frame.up, frame.towards].map((direction) => {
    let [low, high] = [Infinity, -Infinity];
    for (let i = 0; i < columns[0].length; i++) {
      const at = dot(direction, [columns[0][i], columns[1][i], columns[2][i]]);
      low = Math.min(low, at);
      high = Math.max(high, at);
    }
    return [(low + high) / 2, high - low];
  });
  camera.centre = plus(
    plus(scaled(frame.right, spans[0][0]), scaled(frame.up, spans[1][0])),
    scaled(frame.towards, spans[2][0]),
  );
  camera.mmPerDot = Math.max(
    spans[0][1] / Math.max(50, width - 2 * room.aside),
    spans[1][1] / Math.max(50, height - 2 * room.above),
  );
}

/**
 * Dots to the right of and above the middle of the picture, and nearness to the eye in mm.
 * @param {Camera} camera
 * @param {Vector} point
 * @returns {Vector}
 */
export function seen(camera, point, frame = frameOf(camera)) {
  const away = minus(point, camera.centre);
  return [
    dot(away, frame.right) / camera.mmPerDot,
    dot(away, frame.up) / camera.mmPerDot,
    dot(away, frame.towards),
  ];
}

/**
 * The matrix for the painter, for a picture of that many dots.
 * @param {Camera} camera
 * @param {number} width
 * @param {number} height
 * @param {number} depth
 * @returns {Float32Array}
 */
export function matrixOf(camera, width, height, depth) {
  const { right, up, towards } = frameOf(camera);
  const [wide, high] = [2 / (width * camera.mmPerDot), 2 / (height * camera.mmPerDot)];
  const rows = [scaled(right, wide), scaled(up, high), scaled(towards, -1 / depth)];
  const shift = rows.map((row) => -dot(row, camera.centre));
  return new Float32Array([
    ...[0, 1, 2].flatMap((k) => [rows[0][k], rows[1][k], rows[2][k], 0]),
    ...shift,
    1,
  ]);
}
