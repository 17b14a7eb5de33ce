// The picture of a view, drawn anew whenever something changes.

import { frameOf, matrixOf } from "./camera.js";
import { writeEye } from "./eye_words.js";
import { words } from "./labels.js";
import { arrowsOf, isReaction } from "./arrows.js";
import { isShown, keptRange, solidSize, stripBox } from "./layout.js";
import { begin, draw, fill, within } from "./painter.js";
import { arrowArrays } from "./shapes.js";

const BACKGROUND = [0.984, 0.98, 0.969];
const GHOST = [0.55, 0.55, 0.53, 0.2];
const SEEN_THROUGH = [0.55, 0.55, 0.53, 0.08];
const LOAD = [0.706, 0.278, 0.11, 1];
const REACTION = [0.141, 0.345, 0.651, 1];
const SLEEVE = [0.45, 0.47, 0.5, 0.5];
const DEPTH_MM = 5000;

/** @param {View} view */
export function paint(view) {
  const { painter, camera } = view;
  begin(painter, BACKGROUND);
  view.arrows = isShown(view) ? arrowsOf(view) : [];
  words(view);
  writeEye(view);
  if (!view.now) return;
  const [width, height] = solidSize(view);
  const { towards } = frameOf(camera);
  /** @type {How} */
  const how = {
    view: matrixOf(camera, width, height, DEPTH_MM),
    towards,
    range: view.range,
    kept: keptRange(view),
    ramp: view.field.signed ? "signed" : "plain",
  };
  within(painter, 0, view.canvas.clientHeight - height, width, height);
  paintSolid(view, how);
  paintStrip(view, how);
}

/**
 * What is seen through comes last.
 *
 * @param {View} view
 * @param {How} how
 */
function paintSolid({ painter, shapes, store, arrows, times }, how) {
  const { surface, cut, undeformed } = store.state;
  const whole = { ...how, kept: undefined };
  const inner = surface === "inner";
  fill(painter, shapes.arrows, arrowArrays(arrows.filter((arrow) => !isReaction(arrow))));
  fill(painter, shapes.reactions, arrowArrays(arrows.filter(isReaction)));
  draw(painter, shapes["face-inner"], how);
  draw(painter, shapes.rims, how);
  if (cut !== null) draw(painter, shapes.cut, whole);
  if (!inner) draw(painter, shapes["face-outer"], how);
  draw(painter, shapes.rings, how);
  draw(painter, shapes.arrows, { ...whole, colour: LOAD });
  draw(painter, shapes.reactions, { ...whole, colour: REACTION });
  if (inner) draw(painter, shapes["face-outer"], { ...how, colour: SEEN_THROUGH });
  if (undeformed && times && cut === null)
    draw(painter, shapes.ghost, { ...whole, colour: GHOST, behind: true });
  draw(painter, shapes.sleeve, { ...how, colour: SLEEVE });
}

/**
 * @param {View} view
 * @param {How} how
 */
function paintStrip(view, how) {
  const { canvas, painter, scene } = view;
  const box = stripBox(view);
  within(painter, box.left, canvas.clientHeight - box.bottom, box.width, box.height);
  const [low, high] = scene.ends_mm;
  const [x, y] = [2 / (high - low), 1 / Math.PI];
  const flat = new Float32Array([x, 0, 0, 0, 0, y, 0, 0, 0, 0, 0.1, 0, -(low + high) / (high - low), 0, 0, 1]);
  /** @type {How} */
  const whole = { ...how, view: flat, towards: [0, 0, 1], kept: undefined };
  draw(painter, view.shapes.strip, whole);
  draw(painter, view.shapes["flat-rings"], whole);
}
