// The picture of a view, drawn anew whenever something changes.

import { frameOf, matrixOf } from "./camera.js";
import { words } from "./labels.js";
import { arrowsOf } from "./arrows.js";
import { keptRange, solidSize, STRIP } from "./layout.js";
import { begin, draw, fill, within } from "./painter.js";
import { arrowArrays } from "./shapes.js";

const BACKGROUND = [0.984, 0.98, 0.969];
const GHOST = [0.55, 0.55, 0.53, 0.2];
const SEEN_THROUGH = [0.55, 0.55, 0.53, 0.08];
const LOAD = [0.706, 0.278, 0.11, 1];
const SLEEVE = [0.45, 0.47, 0.5, 0.5];
const DEPTH_MM = 5000;

/** @param {View} view */
export function paint(view) {
  const { painter, camera, store } = view;
  begin(painter, BACKGROUND);
  view.arrows = view.now ? arrowsOf(view) : [];
  words(view);
  if (!view.now) return;
  const [width, height] = solidSize(view);
  const { towards } = frameOf(camera);
  const how = {
    view: matrixOf(camera, width, height, DEPTH_MM),
    towards,
    range: view.range,
    kept: keptRange(view),
    ramp: view.field.signed ? "signed" : "plain",
  };
  within(painter, 0, STRIP.high + STRIP.bottom, width, height);
  fill(painter, view.shapes.arrows, arrowArrays(view.arrows));
  const inner = store.state.surface === "inner";
  draw(painter, view.shapes["face-inner"], how);
  draw(painter, view.shapes.rims, how);
  if (store.state.cut !== null) draw(painter, view.shapes.cut, { ...how, kept: undefined });
  if (!inner) draw(painter, view.shapes["face-outer"], how);
  draw(painter, view.shapes.arrows, { ...how, kept: undefined, colour: LOAD });
  if (inner) draw(painter, view.shapes["face-outer"], { ...how, colour: SEEN_THROUGH });
  if (store.state.undeformed && view.times && store.state.cut === null)
    draw(painter, view.shapes.ghost, { ...how, kept: undefined, colour: GHOST, behind: true });
  draw(painter, view.shapes.sleeve, { ...how, colour: SLEEVE });
  paintStrip(view, how);
}

/**
 * @param {View} view
 * @param {How} how
 */
function paintStrip(view, how) {
  const { canvas, painter, scene } = view;
  const wide = canvas.clientWidth - STRIP.left - STRIP.right;
  within(painter, STRIP.left, STRIP.bottom, wide, STRIP.high);
  const [low, high] = scene.ends_mm;
  const [x, y] = [2 / (high - low), 1 / Math.PI];
  const flat = new Float32Array([x, 0, 0, 0, 0, y, 0, 0, 0, 0, 0.1, 0, -(low + high) / (high - low), 0, 0, 1]);
  draw(painter, view.shapes.strip, { ...how, view: flat, towards: [0, 0, 1], kept: undefined });
}
