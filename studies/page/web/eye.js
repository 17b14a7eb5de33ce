// Where the eye of a run's page begins: it faces the place that governs.

import { frameOf, seen } from "./camera.js";
import { isHidden } from "./limit_marks.js";
import { isShown, keptRange } from "./layout.js";
import { pick } from "./picking.js";
import { dotOf, normalAt, placeAt } from "./probing.js";
import { dot } from "./vectors.js";
import { fitViews } from "./view.js";

/** Directions to begin with, the preferred first: from behind, then a little aside, then in front. */
const TURNS = [0, -30, 30, -55, 55, 180, 150, -150];
const HEIGHT = 35;
/** What it costs to hide the place, to see the tube foreshortened, to leave the first direction. */
const [HIDDEN, SHORTENED, LATER] = [3, 1.5, 0.06];
/** What it is worth that the place faces the eye. */
const FACING = 0.5;
/** Nothing better is sought than this: a place that is seen well on a bar that is seen long. */
const GOOD = -0.25;
const SAMPLES = 48;
const NEAR_MM = 6;

/**
 * Turn the eye as `lookAtMark` does, again for each other case or field, until somebody turns it.
 * @param {View} view
 */
export function followMark(view) {
  if (isShown(view)) lookAtMark(view);
  let [mine, shown] = [eyeOf(view), shownIn(view)];
  view.shown.push(() => {
    if (shown === shownIn(view) || mine !== eyeOf(view) || !isShown(view)) return;
    lookAtMark(view);
    [mine, shown] = [eyeOf(view), shownIn(view)];
  });
}

/** @type {(view: View) => string} */
const eyeOf = ({ camera }) => `${camera.turn} ${camera.height}`;

/** @type {(view: View) => string} */
const shownIn = ({ now, field }) => `${now?.packed.id} ${field.id}`;

/**
 * Turn the eye so that the marked place faces it and little of the tube is seen end-on.
 * @param {ShownView} view
 */
function lookAtMark(view) {
  const { peak } = view.field;
  const place = peak && placeAt(view, peak.s_mm, peak.theta_rad, peak.surface);
  if (!place) return;
  const [heights, line] = [[HEIGHT, -HEIGHT], middleLine(view)];
  const eyes = TURNS.flatMap((turn, k) => heights.map((height) => ({ turn, height, order: k })));
  let best = { ...eyes[0], cost: Infinity };
  for (const eye of eyes) {
    Object.assign(view.camera, { turn: eye.turn, height: eye.height });
    const cost = costOf(view, place, line) + LATER * eye.order;
    if (cost < best.cost) best = { ...eye, cost };
    if (best.cost < GOOD) break;
  }
  Object.assign(view.camera, { turn: best.turn, height: best.height });
  fitViews([view]);
}

/**
 * @param {ShownView} view
 * @param {FoundPlace} place
 * @param {Vector[]} line
 * @returns {number}
 */
function costOf(view, place, line) {
  const facing = dot(normalAt(view, place), frameOf(view.camera).towards);
  return (isSeen(view, place) ? 0 : HIDDEN) - FACING * facing + SHORTENED * (1 - seenShare(view, line));
}

/**
 * Whether nothing stands before a place.
 * @param {ShownView} view
 * @param {FoundPlace} place
 * @returns {boolean}
 */
function isSeen(view, place) {
  const outside = { ...place, surface: /** @type {Surface} */ ("outer") };
  const [right, up] = seen(view.camera, dotOf(view, outside).point);
  const faces = [{ name: outside.surface, place: view.faces[0].place }];
  const found = pick(view.sheet, view.camera, faces, keptRange(view), right, up);
  return !isHidden(view, { ...place, surface: view.store.state.surface }) && found !== null && Math.abs(found.s - place.s) < NEAR_MM;
}

/**
 * Points of the top line at equal distances along the tube.
 * @param {ShownView} view
 * @returns {Vector[]}
 */
function middleLine(view) {
  const [low, high] = view.scene.ends_mm;
  const every = (high - low) / SAMPLES;
  return Array.from({ length: SAMPLES - 1 }, (_, k) => low + (k + 1) * every).flatMap((s) => {
    const place = placeAt(view, s, 0, "outer");
    return place ? [dotOf(view, place).point] : [];
  });
}

/**
 * @param {View} view
 * @param {Vector[]} line
 * @returns {number} mean length of the tube as seen over its own
 */
function seenShare({ camera }, line) {
  const dots = line.map((point) => seen(camera, point));
  const lengths = line.slice(1).map((point, k) => {
    const real = Math.hypot(...point.map((x, i) => x - line[k][i])) / camera.mmPerDot;
    return Math.hypot(dots[k + 1][0] - dots[k][0], dots[k + 1][1] - dots[k][1]) / real;
  });
  return lengths.reduce((sum, share) => sum + share, 0) / lengths.length;
}
