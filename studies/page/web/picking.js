// What lies under a dot of the picture.

import { frameOf } from "./camera.js";
import { dot } from "./vectors.js";
import { nearTo, weightsIn, wrapped } from "./sheet.js";

/**
 * The place of the bar under a dot, nearest to the eye; null beside the bar.
 *
 * `faces` lists what is drawn solid: its name and its places, three numbers a vertex. `kept` is
 * the range of s that the cut leaves.
 * @param {Sheet} sheet
 * @param {Camera} camera
 * @param {SurfacePlaces[]} faces
 * @param {Interval} kept
 * @param {number} right
 * @param {number} up
 * @returns {FoundPlace | null}
 */
export function pick(sheet, camera, faces, kept, right, up) {
  const frame = frameOf(camera);
  let best = null;
  for (const face of faces) {
    const projected = project(face.place, frame, camera);
    for (let t = 0; t < sheet.fans.length; t += 3) {
      const hit = hitOf(sheet, projected, t, right, up);
      if (!hit || (best && hit.near <= best.near)) continue;
      const place = placeOf(sheet, hit);
      if (place.s >= kept[0] && place.s <= kept[1]) best = { ...hit, ...place, surface: face.name };
    }
  }
  return best;
}

/**
 * @param {Float32Array} place
 * @param {Frame} frame
 * @param {Camera} camera
 * @returns {Projected}
 */
function project(place, frame, camera) {
  const count = place.length / 3;
  const [x, y, z] = [0, 1, 2].map(() => new Float32Array(count));
  const shift = [frame.right, frame.up, frame.towards].map((axis) => dot(axis, camera.centre));
  const per = 1 / camera.mmPerDot;
  for (let i = 0; i < count; i++) {
    const [a, b, c] = [place[3 * i], place[3 * i + 1], place[3 * i + 2]];
    x[i] = (frame.right[0] * a + frame.right[1] * b + frame.right[2] * c - shift[0]) * per;
    y[i] = (frame.up[0] * a + frame.up[1] * b + frame.up[2] * c - shift[1]) * per;
    z[i] = frame.towards[0] * a + frame.towards[1] * b + frame.towards[2] * c - shift[2];
  }
  return { x, y, z };
}

/**
 * @param {Sheet} sheet
 * @param {Projected} projected
 * @param {number} t
 * @param {number} right
 * @param {number} up
 * @returns {Hit | null}
 */
function hitOf(sheet, { x, y, z }, t, right, up) {
  const [a, b, c] = [sheet.fans[t], sheet.fans[t + 1], sheet.fans[t + 2]];
  if (Math.min(x[a], x[b], x[c]) > right || Math.max(x[a], x[b], x[c]) < right) return null;
  if (Math.min(y[a], y[b], y[c]) > up || Math.max(y[a], y[b], y[c]) < up) return null;
  const weights = weightsIn([x[a], x[b], x[c]], [y[a], y[b], y[c]], right, up);
  if (!weights || Math.min(...weights) < 0) return null;
  const near = weights[0] * z[a] + weights[1] * z[b] + weights[2] * z[c];
  return { corners: [a, b, c], weights, near };
}

/**
 * s and theta of a hit.
 * @param {Sheet} sheet
 * @param {Corners} hit
 * @returns {{ s: number, theta: number }}
 */
function placeOf(sheet, { corners, weights }) {
  const first = sheet.theta[corners[0]];
  let [s, theta] = [0, 0];
  corners.forEach((i, k) => {
    s += weights[k] * sheet.s[i];
    theta += weights[k] * nearTo(sheet.theta[i], first);
  });
  return { s, theta: wrapped(theta) };
}
