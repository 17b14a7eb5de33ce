// The fields of a load case, as the page describes them: see studies/page/view_fields.py.

import { columnsOf } from "./decode.js";
import { plusEach, withMiddles } from "./sheet.js";

/**
 * A case and its motion; each of its fields is unpacked when it is first shown.
 * @param {Sheet} sheet
 * @param {PackedCase} packed
 * @returns {Promise<ReadCase>}
 */
export async function readCase(sheet, packed) {
  return { packed, motion: motionOf(sheet, await columnsOf(packed.moved_mm)), values: {}, shapes: {} };
}

/**
 * Read a field of a case at all vertices of both surfaces, once; a path's is read with its steps.
 * @param {Sheet} sheet
 * @param {ReadCase} read
 * @param {Field} field
 * @returns {Promise<void>}
 */
export async function readField(sheet, read, field) {
  if (field.steps || read.values[field.id]) return;
  if (field.data) {
    const columns = (await columnsOf(field.data)).map((values) => withBlanks(field, values));
    const faces = columns.map((values) => withMiddles(sheet, values));
    // one column stands for both surfaces
    read.values[field.id] = [faces[0], faces[faces.length - 1]];
  } else if (field.shape) {
    const motion = motionOf(sheet, await columnsOf(field.shape));
    const largest = Math.max(...motion.map(sizes).map(extreme)) || 1;
    read.shapes[field.id] = { motion, largest };
    read.values[field.id] = motion.map((face) => over(face, largest));
  } else read.values[field.id] = read.motion.map(sizes);
}

/**
 * Values with NaN where the field knows nothing.
 * @param {Field} field
 * @param {Float32Array} values
 * @returns {Float32Array}
 */
function withBlanks({ blank_below: least }, values) {
  return least === null ? values : values.map((value) => (value < least ? NaN : value));
}

/**
 * Motion of the outer surface and of the inner surface, three components each.
 * @param {Sheet} sheet
 * @param {Columns} columns
 * @returns {Motion}
 */
export function motionOf(sheet, columns) {
  const outer = columns.slice(0, 3);
  const inner = outer.map((values, k) => plusEach(values, columns[3 + k]));
  return [outer, inner].map((face) => face.map((values) => withMiddles(sheet, values)));
}

/**
 * @param {Columns} motion
 * @returns {Float32Array}
 */
function sizes(motion) {
  return motion[0].map((x, i) => Math.hypot(x, motion[1][i], motion[2][i]));
}

/**
 * @param {Columns} motion
 * @param {number} largest
 * @returns {Float32Array}
 */
function over(motion, largest) {
  return sizes(motion).map((value) => value / largest);
}

/**
 * Largest magnitude of a long array.
 * @param {Float32Array} values
 * @returns {number}
 */
function extreme(values) {
  return values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
}

/**
 * The range that holds several.
 * @param {Interval[]} ranges
 * @returns {Interval}
 */
export function rangeOver(ranges) {
  return [Math.min(...ranges.map((r) => r[0])), Math.max(...ranges.map((r) => r[1]))];
}

/**
 * A number as the page writes it: so many significant digits, no zeros behind them.
 * @param {number} value
 * @returns {string}
 */
export function written(value, digits = 4) {
  if (!Number.isFinite(value)) return "-";
  if (value === 0) return "0";
  const size = Math.floor(Math.log10(Math.abs(value)));
  const text = value.toFixed(Math.min(6, Math.max(0, digits - 1 - size)));
  return (text.includes(".") ? text.replace(/\.?0+$/, "") : text).replace("-", "\u2212");
}
