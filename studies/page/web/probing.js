// From a dot of the picture to a place on the bar and its value, and back.

import { seen } from "./camera.js";
import { isShown, keptRange, solidSize, stripBox } from "./layout.js";
import { pick } from "./picking.js";
import { placeInWords } from "./places.js";
import { alongRuler } from "./ruler.js";
import { aboutTop, findPlace, TURN, valueAt, wrapped } from "./sheet.js";
import { unit } from "./vectors.js";

/**
 * What is under a dot of the canvas, counted from its upper left corner; null beside the bar.
 * @param {View} view
 * @param {number} x
 * @param {number} y
 * @returns {FoundPlace | null}
 */
export function placeUnder(view, x, y) {
  if (!view.now) return null;
  const [width, height] = solidSize(view);
  return y > height || x > width ? stripPlace(view, x, y) : solidPlace(view, x - width / 2, height / 2 - y);
}

/**
 * @param {View} view
 * @param {number} right
 * @param {number} up
 * @returns {FoundPlace | null}
 */
function solidPlace(view, right, up) {
  /** @type {SurfacePlaces[]} */
  const both = [
    { name: "outer", place: view.faces[0].place },
    { name: "inner", place: view.faces[1].place },
  ];
  const faces = view.store.state.surface === "inner" ? both.slice(1) : both;
  return pick(view.sheet, view.camera, faces, keptRange(view), right, up);
}

/**
 * @param {View} view
 * @param {number} x
 * @param {number} y
 * @returns {FoundPlace | null}
 */
function stripPlace(view, x, y) {
  const { left, width, bottom, height } = stripBox(view);
  const turn = (bottom - y) / height - 0.5;
  if (Math.abs(turn) > 0.5) return null;
  const [low, high] = view.scene.ends_mm;
  return placeAt(view, low + ((x - left) / width) * (high - low), turn * TURN, view.store.state.surface);
}

/**
 * The place at s and theta on a surface; null off the bar.
 * @param {View} view
 * @param {number} s
 * @param {number} theta
 * @param {Surface} surface
 * @returns {FoundPlace | null}
 */
export function placeAt(view, s, theta, surface) {
  const found = findPlace(view.sheet, s, theta);
  return found && { ...found, s, theta: wrapped(theta), surface };
}

/**
 * The value of the field at a place, and the place in words.
 * @param {ShownView} view
 * @param {FoundPlace} place
 * @returns {{ value: number, words: string }}
 */
export function reading(view, place) {
  const face = place.surface === "outer" ? 0 : 1;
  const value = valueAt(view.values[face], place);
  return { value, words: placeInWords(place.s, normalAt(view, place), place.surface) };
}

/**
 * The outward normal of the bar at rest.
 * @param {View} view
 * @param {Corners} place
 * @returns {Vector}
 */
export function normalAt({ sheet }, place) {
  return unit([0, 1, 2].map((k) => valueAt(sheet.base[k], place) - valueAt(sheet.inner[k], place)));
}

/**
 * Where a place of the bar is drawn, in dots from the canvas's upper left corner.
 * @param {View} view
 * @param {FoundPlace} place
 * @returns {{ point: Vector } & Dot}
 */
export function dotOf(view, place) {
  const drawn = view.faces[place.surface === "outer" ? 0 : 1].place;
  const point = [0, 1, 2].map((k) =>
    place.corners.reduce((sum, i, c) => sum + place.weights[c] * drawn[3 * i + k], 0),
  );
  return { point, ...onCanvas(view, point) };
}

/**
 * Where a place is drawn, in space and on the canvas, and what the field is there.
 * @param {ShownView} view
 * @param {number} s
 * @param {number} theta
 * @param {Surface} surface
 * @returns {({ point: Vector, value: number, words: string } & Dot) | null}
 */
function probe(view, s, theta, surface) {
  const place = placeAt(view, s, theta, surface);
  return place && { ...dotOf(view, place), ...reading(view, place) };
}

/**
 * Let whoever inspects the page read places of a view: its element holds it as `barView`.
 *
 * @param {HTMLElement} root
 * @param {View} view
 */
export function offerProbe(root, view) {
  /** @type {(s: number, theta: number, surface: Surface) => unknown} */
  const read = (s, theta, surface) => isShown(view) && probe(view, s, theta, surface);
  Object.assign(root, { barView: Object.assign(view, { probe: read }) });
}

/**
 * A point of space in dots from the canvas's upper left corner.
 * @param {View} view
 * @param {Vector} point
 * @returns {Dot}
 */
export function onCanvas(view, point) {
  const [width, height] = solidSize(view);
  const [right, up] = seen(view.camera, point);
  return { x: width / 2 + right, y: height / 2 - up };
}

/**
 * A place in dots on the unrolled wall.
 * @param {View} view
 * @param {{ s: number, theta: number }} place
 * @returns {Dot}
 */
export function stripDot(view, { s, theta }) {
  const { bottom, height } = stripBox(view);
  return { x: alongRuler(view, s), y: bottom - height / 2 - (aboutTop(theta) / TURN) * height };
}
