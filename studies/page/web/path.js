// A case's path past yield: a mesh of its own, and steps in their true shape.

import { columnsOf } from "./decode.js";
import { motionOf } from "./fields.js";
import { readSheet, withMiddles } from "./sheet.js";
import { unrolled } from "./shapes.js";

/**
 * Read the path of a case, all steps at once so that the slider need not wait; only once.
 * @param {ReadCase} read
 * @returns {Promise<ReadPath> | null}
 */
export function readPath(read) {
  if (!read.packed.path) return null;
  read.path ??= unpackedPath(read.packed.path);
  return read.path;
}

/**
 * @param {PackedPath} packed
 * @returns {Promise<ReadPath>}
 */
async function unpackedPath(packed) {
  const sheet = await readSheet(packed);
  const steps = await Promise.all(packed.steps.map((step) => readStep(sheet, step)));
  return { sheet, flat: unrolled(sheet), steps };
}

/**
 * @param {Sheet} sheet
 * @param {PackedStep} packed
 * @returns {Promise<ReadStep>}
 */
async function readStep(sheet, packed) {
  const [moved, values] = await Promise.all([packed.moved_mm, packed.data].map(columnsOf));
  const faces = values.map((face) => withMiddles(sheet, face));
  return { ...packed, motion: motionOf(sheet, moved), values: faces };
}
