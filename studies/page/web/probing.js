// From a dot of the picture to a place on the bar and its value, and back.

import { seen } from "./camera.js";
import { keptRange, solidSize, STRIP } from "./layout.js";
import { pick } from "./picking.js";
import { placeInWords } from "./places.js";
import { aboutTop, findPlace, TURN, valueAt, wrapped } from "./sheet.js";
import { unit } from "./vectors.js";

/** What is under a dot of the canvas, counted from its upper left corner; null beside the bar. */
export function placeUnder(view, x, y) {
  if (!view.now) return null;
  const [width, height] = solidSize(view);
  return y > height ? stripPlace(view, x, y) : solidPlace(view, x - width / 2, height / 2 - y);
}

function solidPlace(view, right, up) {
  const inner = { name: "inner", place: view.faces[1].place };
  const outer = { name: "outer", place: view.faces[0].place };
  const faces = view.store.state.surface === "inner" ? [inner] : [outer, inner];
  return pick(view.sheet, view.camera, faces, keptRange(view), right, up);
}

function stripPlace(view, x, y) {
  const { canvas, scene, store } = view;
  const share = (x - STRIP.left) / (canvas.clientWidth - STRIP.left - STRIP.right);
  const turn = (canvas.clientHeight - STRIP.bottom - y) / STRIP.high - 0.5;
  const [low, high] = scene.ends_mm;
  return placeAt(view, low + share * (high - low), turn * TURN, store.state.surface);
}

/** The place at s and theta on a surface; null off the bar. */
export function placeAt(view, s, theta, surface) {
  const found = findPlace(view.sheet, s, theta);
  return found && { ...found, s, theta: wrapped(theta), surface };
}

/** The value of the field at a place, and the place in words. */
export function reading(view, place) {
  const face = place.surface === "outer" ? 0 : 1;
  const value = valueAt(view.now.values[view.field.id][face], place);
  const normal = unit([0, 1, 2].map((k) => -valueAt(view.sheet.inner[k], place) + valueAt(view.sheet.base[k], place)));
  return { value, words: placeInWords(place.s, normal, place.surface) };
}

/** Where a place of the bar is drawn, in dots from the canvas's upper left corner. */
export function dotOf(view, place) {
  const drawn = view.faces[place.surface === "outer" ? 0 : 1].place;
  const point = [0, 1, 2].map((k) =>
    place.corners.reduce((sum, i, c) => sum + place.weights[c] * drawn[3 * i + k], 0),
  );
  return { point, ...onCanvas(view, point) };
}

/** Where a place is drawn, in space and on the canvas, and what the field is there. */
export function probe(view, s, theta, surface) {
  const place = placeAt(view, s, theta, surface);
  return place && { ...dotOf(view, place), ...reading(view, place) };
}

/** A point of space in dots from the canvas's upper left corner. */
export function onCanvas(view, point) {
  const [width, height] = solidSize(view);
  const [right, up] = seen(view.camera, point);
  return { x: width / 2 + right, y: height / 2 - up };
}

/** A place in dots on the unrolled wall. */
export function stripDot(view, { s, theta }) {
  const [low, high] = view.scene.ends_mm;
  const wide = view.canvas.clientWidth - STRIP.left - STRIP.right;
  return {
    x: STRIP.left + ((s - low) / (high - low)) * wide,
    y: view.canvas.clientHeight - STRIP.bottom - STRIP.high / 2 - (aboutTop(theta) / TURN) * STRIP.high,
  };
}
