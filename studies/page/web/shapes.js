// Arrays for the painter: the moved faces, cut walls, arrows, the clamp's sleeve.

import { cross, minus, plus, scaled, squareTo, unit } from "./vectors.js";
import { aboutTop, cutAt, nearTo } from "./sheet.js";

/**
 * One face moved `scale` times: places and normals, three numbers a vertex.
 * @param {Sheet} sheet
 * @param {Columns} base
 * @param {Columns} motion
 * @param {number} scale
 * @returns {DrawnFace}
 */
export function movedFace(sheet, base, motion, scale) {
  const place = new Float32Array(3 * sheet.count);
  for (let k = 0; k < 3; k++)
    for (let i = 0; i < sheet.count; i++) place[3 * i + k] = base[k][i] + scale * motion[k][i];
  return { place, normal: normalsOf(sheet.fans, place) };
}

/**
 * @param {Uint32Array} fans
 * @param {Float32Array} place
 * @returns {Float32Array}
 */
function normalsOf(fans, place) {
  const normal = new Float32Array(place.length);
  for (let t = 0; t < fans.length; t += 3) {
    const [a, b, c] = [3 * fans[t], 3 * fans[t + 1], 3 * fans[t + 2]];
    const [ux, uy, uz] = [place[b] - place[a], place[b + 1] - place[a + 1], place[b + 2] - place[a + 2]];
    const [vx, vy, vz] = [place[c] - place[a], place[c + 1] - place[a + 1], place[c + 2] - place[a + 2]];
    const [nx, ny, nz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    for (const i of [a, b, c]) {
      normal[i] += nx;
      normal[i + 1] += ny;
      normal[i + 2] += nz;
    }
  }
  return normal;
}

/**
 * The wall seen at the two ends of the bar.
 * @param {Sheet} sheet
 * @param {Columns} faces
 * @param {Columns} values
 * @returns {Arrays}
 */
export function rimArrays(sheet, faces, values) {
  const build = newStrip();
  for (const [a, b] of sheet.rims) {
    const along = sheet.s[a];
    addWall(build, [[a, a, 0], [b, b, 0]], faces, values, [along, along]);
  }
  return finished(build);
}

/**
 * The wall seen where the bar is cut at s.
 * @param {Sheet} sheet
 * @param {Columns} faces
 * @param {Columns} values
 * @param {number} s
 * @returns {Arrays}
 */
export function cutArrays(sheet, faces, values, s) {
  const build = newStrip();
  for (const ends of cutAt(sheet, s)) addWall(build, ends, faces, values, [s, s]);
  return finished(build);
}

/** @returns {Strip} */
function newStrip() {
  return { place: [], normal: [], value: [], along: [], index: [] };
}

/**
 * Add the piece of wall between two points, each a pair of vertices and a share.
 * @param {Strip} build
 * @param {Crossing} ends
 * @param {Columns} faces
 * @param {Columns} values
 * @param {Interval} along
 */
function addWall(build, ends, faces, values, along) {
  const first = build.place.length / 3;
  const corners = [0, 1].flatMap((face) => ends.map((end) => between(faces[face], end)));
  const normal = unit(cross(minus(corners[1], corners[0]), minus(corners[2], corners[0])));
  [0, 1].forEach((face) =>
    ends.forEach(([a, b, share], k) => {
      build.place.push(...corners[2 * face + k]);
      build.normal.push(...normal);
      build.value.push((1 - share) * values[face][a] + share * values[face][b]);
      build.along.push(along[k]);
    }),
  );
  build.index.push(first, first + 1, first + 2, first + 1, first + 3, first + 2);
}

/**
 * @param {Float32Array} face
 * @param {Between} end
 * @returns {Vector}
 */
function between(face, [a, b, share]) {
  /** @type {(i: number) => Vector} */
  const at = (i) => [face[3 * i], face[3 * i + 1], face[3 * i + 2]];
  return plus(scaled(at(a), 1 - share), scaled(at(b), share));
}

/**
 * @param {Strip} build
 * @returns {Arrays}
 */
function finished(build) {
  return {
    place: new Float32Array(build.place),
    normal: new Float32Array(build.normal),
    value: new Float32Array(build.value),
    along: new Float32Array(build.along),
    index: new Uint32Array(build.index),
  };
}

const ROUND = 24;

/**
 * A solid of turning: rings of [distance along, radius] about an axis.
 * @param {Strip} build
 * @param {Vector} start
 * @param {Vector} direction
 * @param {number[][]} rings
 */
function turned(build, start, direction, rings) {
  const [u, v] = squareTo(direction);
  const first = build.place.length / 3;
  rings.forEach(([along, radius]) => {
    for (let k = 0; k < ROUND; k++) {
      const angle = (2 * Math.PI * k) / ROUND;
      const ray = plus(scaled(u, Math.cos(angle)), scaled(v, Math.sin(angle)));
      build.place.push(...plus(plus(start, scaled(direction, along)), scaled(ray, radius)));
      build.normal.push(...ray);
      build.value.push(0);
      build.along.push(0);
    }
  });
  for (let ring = 0; ring + 1 < rings.length; ring++)
    for (let k = 0; k < ROUND; k++) {
      const [a, b] = [first + ring * ROUND + k, first + ring * ROUND + ((k + 1) % ROUND)];
      build.index.push(a, b, a + ROUND, b, b + ROUND, a + ROUND);
    }
}

/**
 * Arrows of loads: one head for a force, two for a moment, whose axis it shows.
 * @param {Arrow[]} arrows
 * @returns {Arrays}
 */
export function arrowArrays(arrows) {
  const build = newStrip();
  for (const { tip, direction, size, heads } of arrows) {
    const start = minus(tip, scaled(direction, size));
    const [thin, thick, head] = [0.022 * size, 0.07 * size, 0.22 * size];
    const rings = [[0, 0], [0, thin], [size - heads * head, thin]];
    for (let k = heads; k > 0; k--) rings.push([size - k * head, thick], [size - (k - 1) * head, 0]);
    turned(build, start, direction, rings);
  }
  return finished(build);
}

/**
 * The clamp as a sleeve a little outside the moved outer surface.
 * @param {Sheet} sheet
 * @param {DrawnFace} face
 * @param {number} from
 * @param {number} to
 * @param {number} off
 * @returns {Arrays}
 */
export function sleeveArrays(sheet, face, from, to, off) {
  const place = new Float32Array(face.place);
  for (let i = 0; i < sheet.count; i++) {
    const normal = unit([face.normal[3 * i], face.normal[3 * i + 1], face.normal[3 * i + 2]]);
    for (let k = 0; k < 3; k++) place[3 * i + k] += off * normal[k];
  }
  const index = [];
  for (let t = 0; t < sheet.fans.length; t += 3) {
    const middle = sheet.s[sheet.fans[t]];
    if (middle > from && middle < to) index.push(sheet.fans[t], sheet.fans[t + 1], sheet.fans[t + 2]);
  }
  return { place, normal: face.normal, value: sheet.s, along: sheet.s, index: new Uint32Array(index) };
}

/**
 * Rings round the moved outer surface, each in the colour of its own value.
 * @param {Sheet} sheet
 * @param {DrawnFace} face
 * @param {Ring[]} rings
 * @param {number} off
 * @param {number} half
 * @returns {Arrays}
 */
export function ringArrays(sheet, { place, normal }, rings, off, half) {
  const build = newStrip();
  for (const { s_mm, value } of rings)
    for (const ends of cutAt(sheet, s_mm)) {
      const [a, b] = ends.map((end) => between(place, end));
      const [m, n] = ends.map((end) => unit(between(normal, end)));
      const along = scaled(unit(cross(m, minus(b, a))), half);
      const [low, high] = [plus(a, scaled(m, off)), plus(b, scaled(n, off))];
      const corners = [minus(low, along), minus(high, along), plus(low, along), plus(high, along)];
      addBand(build, corners, [m, n, m, n], value, s_mm);
    }
  return finished(build);
}

/**
 * The same rings on the unrolled wall, a little before it.
 * @param {Ring[]} rings
 * @param {number} half
 * @returns {Arrays}
 */
export function flatRingArrays(rings, half) {
  const build = newStrip();
  for (const { s_mm, value } of rings) {
    const [left, right, turn] = [s_mm - half, s_mm + half, Math.PI];
    const corners = [[left, -turn, -1], [left, turn, -1], [right, -turn, -1], [right, turn, -1]];
    addBand(build, corners, corners.map(() => [0, 0, 1]), value, s_mm);
  }
  return finished(build);
}

/**
 * @param {Strip} build
 * @param {Vector[]} corners
 * @param {Vector[]} normals
 * @param {number} value
 * @param {number} along
 */
function addBand(build, corners, normals, value, along) {
  const first = build.place.length / 3;
  corners.forEach((corner, k) => {
    build.place.push(...corner);
    build.normal.push(...normals[k]);
    build.value.push(value);
    build.along.push(along);
  });
  build.index.push(first, first + 1, first + 2, first + 1, first + 3, first + 2);
}

/**
 * The unrolled wall: s to the right, theta upwards, the top at the clamp in the middle.
 * @param {Sheet} sheet
 * @returns {Flat}
 */
export function unrolled(sheet) {
  const count = 9 * sheet.quadCount;
  const place = new Float32Array(3 * count);
  const source = new Uint32Array(count);
  const index = new Uint32Array(24 * sheet.quadCount);
  const RIM = [1, 5, 2, 6, 3, 7, 4, 8];
  for (let q = 0; q < sheet.quadCount; q++) {
    const vertices = [sheet.nodeCount + q, ...sheet.quads.subarray(8 * q, 8 * q + 8)];
    const middle = aboutTop(sheet.theta[vertices[0]]);
    vertices.forEach((vertex, k) => {
      const at = 9 * q + k;
      source[at] = vertex;
      place.set([sheet.s[vertex], nearTo(sheet.theta[vertex], middle), 0], 3 * at);
    });
    RIM.forEach((local, k) =>
      index.set([9 * q, 9 * q + local, 9 * q + RIM[(k + 1) % 8]], 24 * q + 3 * k),
    );
  }
  const normal = new Float32Array(3 * count).map((_, i) => (i % 3 === 2 ? 1 : 0));
  return { source, arrays: { place, normal, index } };
}
