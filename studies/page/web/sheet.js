// The bar's two faces as triangles. Each 8-node element becomes a fan of eight triangles round its
// middle, whose value is that of the element's own interpolation.

import { columnsOf, wholeNumbers } from "./decode.js";

const RIM = [0, 4, 1, 5, 2, 6, 3, 7];
export const TURN = 2 * Math.PI;

/**
 * Everything of a bar that does not depend on the load case.
 * @param {PackedSheet} scene
 * @returns {Promise<Sheet>}
 */
export async function readSheet(scene) {
  const [nodes, quads, outer, wall] = await Promise.all([
    columnsOf(scene.sheet),
    wholeNumbers(scene.quads),
    columnsOf(scene.outer_mm),
    columnsOf(scene.wall_mm),
  ]);
  const nodeCount = nodes[0].length;
  const quadCount = quads.length / 8;
  const counts = { nodeCount, quadCount, count: nodeCount + quadCount, quads };
  const s = withMiddles(counts, nodes[0]);
  return {
    ...counts,
    s,
    theta: thetaWithMiddles(counts, nodes[1]),
    fans: fansOf(counts),
    reach: reachOf(counts, s),
    rims: rimsOf(counts),
    base: [0, 1, 2].map((k) => withMiddles(counts, outer[k])),
    inner: [0, 1, 2].map((k) => withMiddles(counts, plusEach(outer[k], wall[k]))),
  };
}

/**
 * @param {Float32Array} a
 * @param {Float32Array} b
 * @returns {Float32Array}
 */
export function plusEach(a, b) {
  return a.map((value, i) => value + b[i]);
}

/**
 * Values at the nodes, then those in the middle of each element.
 * @param {Counts} sheet
 * @param {Float32Array} values
 * @returns {Float32Array}
 */
export function withMiddles(sheet, values) {
  const all = new Float32Array(sheet.count);
  all.set(values);
  for (let q = 0; q < sheet.quadCount; q++) {
    let corners = 0;
    let sides = 0;
    for (let k = 0; k < 4; k++) {
      corners += values[sheet.quads[8 * q + k]];
      sides += values[sheet.quads[8 * q + 4 + k]];
    }
    all[sheet.nodeCount + q] = sides / 2 - corners / 4;
  }
  return all;
}

/**
 * Angles likewise; an element across the cut at a whole turn is unwound first.
 * @param {Counts} sheet
 * @param {Float32Array} theta
 * @returns {Float32Array}
 */
function thetaWithMiddles(sheet, theta) {
  const all = new Float32Array(sheet.count);
  all.set(theta);
  for (let q = 0; q < sheet.quadCount; q++) {
    const first = theta[sheet.quads[8 * q]];
    let sum = 0;
    for (let k = 0; k < 4; k++) sum += nearTo(theta[sheet.quads[8 * q + k]], first);
    all[sheet.nodeCount + q] = wrapped(sum / 4);
  }
  return all;
}

/**
 * The angle plus whole turns that lies nearest to another.
 * @param {number} angle
 * @param {number} other
 * @returns {number}
 */
export function nearTo(angle, other) {
  return angle + TURN * Math.round((other - angle) / TURN);
}

/**
 * An angle in [0, a whole turn).
 * @param {number} angle
 * @returns {number}
 */
export function wrapped(angle) {
  const rest = angle % TURN;
  return rest < 0 ? rest + TURN : rest;
}

/**
 * An angle in [0, a whole turn) as one about the top: from minus half a turn to half a turn.
 * @param {number} angle
 * @returns {number}
 */
export function aboutTop(angle) {
  return angle > Math.PI ? angle - TURN : angle;
}

/**
 * @param {Counts} sheet
 * @returns {Uint32Array}
 */
function fansOf(sheet) {
  const fans = new Uint32Array(sheet.quadCount * 24);
  let at = 0;
  for (let q = 0; q < sheet.quadCount; q++)
    for (let k = 0; k < 8; k++) {
      fans[at++] = sheet.nodeCount + q;
      fans[at++] = sheet.quads[8 * q + RIM[k]];
      fans[at++] = sheet.quads[8 * q + RIM[(k + 1) % 8]];
    }
  return fans;
}

/**
 * Pairs of neighbouring nodes on the two ends of the bar, where the wall is seen.
 * @param {Counts} sheet
 * @returns {number[][]}
 */
function rimsOf(sheet) {
  const seen = new Map();
  for (let q = 0; q < sheet.quadCount; q++)
    for (let k = 0; k < 4; k++) {
      const middle = sheet.quads[8 * q + 4 + k];
      seen.set(middle, (seen.get(middle) || 0) + 1);
    }
  const pairs = [];
  for (let q = 0; q < sheet.quadCount; q++)
    for (let k = 0; k < 4; k++) {
      const middle = sheet.quads[8 * q + 4 + k];
      if (seen.get(middle) !== 1) continue;
      pairs.push([sheet.quads[8 * q + k], middle], [middle, sheet.quads[8 * q + ((k + 1) % 4)]]);
    }
  return pairs;
}

/**
 * The least and greatest s of each element, one after the other: most are ruled out by them.
 * @param {Counts} counts
 * @param {Float32Array} s
 * @returns {Float32Array}
 */
function reachOf(counts, s) {
  const reach = new Float32Array(2 * counts.quadCount);
  for (let q = 0; q < counts.quadCount; q++) {
    let [low, high] = [Infinity, -Infinity];
    for (let k = 0; k < 8; k++) {
      const at = s[counts.quads[8 * q + k]];
      if (at < low) low = at;
      if (at > high) high = at;
    }
    reach[2 * q] = low;
    reach[2 * q + 1] = high;
  }
  return reach;
}

/**
 * First places in `fans` of the triangles of all elements that reach s.
 * @param {Sheet} sheet
 * @param {number} s
 * @returns {Generator<number>}
 */
function* trianglesAt(sheet, s) {
  for (let q = 0; q < sheet.quadCount; q++) {
    if (s < sheet.reach[2 * q] - 1e-3 || s > sheet.reach[2 * q + 1] + 1e-3) continue;
    for (let t = 24 * q; t < 24 * (q + 1); t += 3) yield t;
  }
}

/**
 * The triangle of the sheet that holds a place, with its three weights; null where none does.
 * @param {Sheet} sheet
 * @param {number} s
 * @param {number} theta
 * @returns {Corners | null}
 */
export function findPlace(sheet, s, theta) {
  const { fans } = sheet;
  for (const t of trianglesAt(sheet, s)) {
    const corners = [fans[t], fans[t + 1], fans[t + 2]];
    const along = corners.map((i) => sheet.s[i]);
    // one corner next to the place, the others next to it: never half a turn apart
    const first = nearTo(sheet.theta[corners[0]], theta);
    const round = corners.map((i) => nearTo(sheet.theta[i], first));
    const weights = weightsIn(along, round, s, theta);
    if (weights && Math.min(...weights) > -1e-3) return { corners, weights };
  }
  return null;
}

/**
 * Weights of three corners (x, y) at a point; null for a triangle without area.
 * @param {number[]} x
 * @param {number[]} y
 * @param {number} atX
 * @param {number} atY
 * @returns {number[] | null}
 */
export function weightsIn(x, y, atX, atY) {
  const area = (x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0]);
  if (!area) return null;
  const second = ((atX - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (atY - y[0])) / area;
  const third = ((x[1] - x[0]) * (atY - y[0]) - (atX - x[0]) * (y[1] - y[0])) / area;
  return [1 - second - third, second, third];
}

/**
 * A value at a place found by `findPlace` or a pick.
 * @param {Float32Array} values
 * @param {Corners} place
 * @returns {number}
 */
export function valueAt(values, place) {
  return place.corners.reduce((sum, i, k) => sum + place.weights[k] * values[i], 0);
}

/**
 * The wall where the bar is cut at s: for each triangle that crosses, the two points on its sides,
 * each as a pair of vertices and the share of the second.
 * @param {Sheet} sheet
 * @param {number} s
 * @returns {Crossing[]}
 */
export function cutAt(sheet, s) {
  /** @type {Crossing[]} */
  const crossing = [];
  const { fans } = sheet;
  for (const t of trianglesAt(sheet, s)) {
    /** @type {Crossing} */
    const ends = [];
    for (let k = 0; k < 3; k++) {
      const a = fans[t + k];
      const b = fans[t + ((k + 1) % 3)];
      const [low, high] = [sheet.s[a] - s, sheet.s[b] - s];
      if (low < 0 !== high < 0) ends.push([a, b, low / (low - high)]);
    }
    if (ends.length === 2) crossing.push(ends);
  }
  return crossing;
}
