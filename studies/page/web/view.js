// One view of a bar: the solid with its loads above, the wall unrolled below, words over both.

import { find } from "./basics.js";
import { fit, newCamera } from "./camera.js";
import { rangeOver, readCase, readField } from "./fields.js";
import { drawnMotion, isDeep, isShown, solidSize } from "./layout.js";
import { isNeutral } from "./preview.js";
import { fieldPreview, motionRatio } from "./preview_field.js";
import { addRamp, createPainter, createShape, fill } from "./painter.js";
import { paint } from "./painting.js";
import { readPath } from "./path.js";
import { cutArrays, flatRingArrays, movedFace, rimArrays, ringArrays, sleeveArrays, unrolled } from "./shapes.js";
import { readSheet } from "./sheet.js";

const SLEEVE_MM = 1.5;
/** How far a ring stands off the bar, over the sleeve, and half its width. */
const RING_MM = [1.8, 1.2];
const NAMES = ["face-outer", "face-inner", "rims", "cut", "ghost", "sleeve", "arrows", "reactions", "strip", "rings", "flat-rings"];
/** What a view is before its first case is read. */
const AT_FIRST = { now: null, step: null, range: [0, 1], times: 0, faces: [], values: [], arrows: [] };

/**
 * A view in an element that holds a canvas; null where nothing can be drawn.
 *
 * `shared` may hold what several views have in common: `camera`, and the `scenes` of all designs,
 * so that colours and the drawn deformation have one scale; a run's `preview` moves its fields.
 * @param {HTMLElement} root
 * @param {Scene} scene
 * @param {ViewStore} store
 * @param {Record<string, Uint8Array>} ramps
 * @param {{ camera?: Camera, scenes?: Scene[], preview?: Preview | null }} [shared]
 * @returns {Promise<View | null>}
 */
export async function createView(root, scene, store, ramps, shared = {}) {
  const canvas = find(root, "canvas", HTMLCanvasElement);
  const painter = createPainter(canvas);
  if (!painter) return null;
  for (const [name, colours] of Object.entries(ramps)) addRamp(painter, name, colours);
  const sheet = await readSheet(scene);
  const linear = { sheet, flat: unrolled(sheet) };
  /** @type {View} */
  const view = {
    root, canvas, painter, scene, store, linear, ...linear,
    ...AT_FIRST,
    field: scene.cases[0].fields[0],
    deep: isDeep(sheet.base),
    scenes: shared.scenes || [scene],
    camera: shared.camera || newCamera(),
    preview: shared.preview ? fieldPreview(shared.preview, sheet) : null,
    cases: new Map(),
    shown: [],
    forget: store.on((changed) => changedIn(view, changed)),
    shapes: Object.fromEntries(NAMES.map((name) => [name, createShape(painter)])),
  };
  fillSheet(view);
  await show(view);
  fitViews([view]);
  return view;
}

/**
 * Draw on a sheet: that of the linear answers, or that of a path.
 * @param {View} view
 * @param {{ sheet: Sheet, flat: Flat }} target
 */
function drawOn(view, { sheet, flat }) {
  if (view.sheet === sheet) return;
  Object.assign(view, { sheet, flat });
  fillSheet(view);
}

/**
 * Hand the painter what does not move.
 *
 * @param {View} view
 */
function fillSheet({ painter, shapes, sheet, flat }) {
  for (const name of ["face-outer", "face-inner", "ghost"])
    fill(painter, shapes[name], { index: sheet.fans, along: sheet.s, value: sheet.s });
  const still = new Float32Array(flat.source.length);
  fill(painter, shapes.strip, { ...flat.arrays, along: still });
  fill(painter, shapes.ghost, movedFace(sheet, sheet.base, sheet.base, 0));
}

/**
 * The case that is shown, read when it is first shown.
 * @param {View} view
 * @returns {Promise<ReadCase | null>}
 */
async function current(view) {
  const { caseId } = view.store.state;
  const packed = view.scene.cases.find((one) => one.id === caseId);
  if (!packed) return null;
  if (!view.cases.has(caseId)) view.cases.set(caseId, readCase(view.linear.sheet, packed));
  return (await view.cases.get(caseId)) ?? null;
}

const SHAPE_KEYS = ["caseId", "field", "surface", "stretch", "swing", "cut", "sameColours", "step", "walls", "load"];

/**
 * @param {View} view
 * @param {string[]} changed
 * @returns {Promise<void>}
 */
async function changedIn(view, changed) {
  if (changed.some((key) => SHAPE_KEYS.includes(key))) await show(view);
  else paint(view);
  for (const listener of view.shown) listener();
}

/**
 * Read what the state chooses and draw it.
 * @param {View} view
 * @returns {Promise<void>}
 */
export async function show(view) {
  const { state } = view.store;
  const { caseId, field: id } = state;
  const chosen = await current(view);
  const read = chosen && (await readChosen(view, chosen, id));
  // a later choice is shown by its own call
  if (caseId !== state.caseId || id !== state.field) return;
  view.now = chosen;
  if (isShown(view) && read) {
    view.field = read.field;
    takeStep(view, read.path);
    view.values = valuesNow(view, read.changes);
    view.range = rangeNow(view);
    build(view);
  }
  view.root.classList.toggle("has-no-case", !chosen);
  paint(view);
}

/**
 * Read a field of a case; a case with fewer modes, or without a path, falls back to its first.
 *
 * @param {View} view
 * @param {ReadCase} chosen
 * @param {string} id
 * @returns {Promise<{ field: Field, path: ReadPath | null, changes: Columns | null }>}
 */
async function readChosen(view, chosen, id) {
  const { fields } = chosen.packed;
  const field = fields.find((one) => one.id === id) ?? fields[0];
  await readField(view.linear.sheet, chosen, field);
  const changes = (await view.preview?.read(chosen.packed.id, field.id)) ?? null;
  return { field, path: field.steps ? await readPath(chosen) : null, changes };
}

/**
 * The values that are shown: as printed, or at the walls and the load of the preview.
 * @param {ShownView} view
 * @param {Columns | null} changes
 * @returns {Columns}
 */
function valuesNow({ now, field, step, preview, store }, changes) {
  const values = now.values[field.id];
  if (!preview || isNeutral(store.state) || step || field.shape) return values;
  if (changes) return preview.values(values, changes, store.state);
  const ratio = motionRatio(preview, store.state);
  return values.map((face) => face.map((value) => value * ratio));
}

/**
 * Draw a path at its chosen step, or the linear answer where there is no path.
 * @param {ShownView} view
 * @param {ReadPath | null} path
 */
function takeStep(view, path) {
  drawOn(view, path ?? view.linear);
  view.step = path && path.steps[Math.min(view.store.state.step, path.steps.length - 1)];
  if (view.step) view.now.values[view.field.id] = view.step.values;
}

/**
 * The range of the field in this case: of all cases or designs where they share one scale.
 * @param {View} view
 * @returns {Interval}
 */
function rangeNow(view) {
  const { sameColours, caseId } = view.store.state;
  const packed = view.scenes.flatMap(({ cases }) => cases);
  const shared = packed.filter((one) => sameColours || one.id === caseId);
  const alike = shared.flatMap(({ fields }) => fields.filter(({ id }) => id === view.field.id));
  return rangeOver(alike.map(({ range }) => range));
}

/** @param {ShownView} view */
function build(view) {
  const { sheet, painter, store } = view;
  const { motion, times } = drawnMotion(view);
  const { values } = view;
  view.times = times;
  view.faces = [
    movedFace(sheet, sheet.base, motion[0], times),
    movedFace(sheet, sheet.inner, motion[1], times),
  ];
  const places = view.faces.map((face) => face.place);
  ["face-outer", "face-inner"].forEach((name, k) =>
    fill(painter, view.shapes[name], { ...view.faces[k], value: values[k] }),
  );
  fill(painter, view.shapes.rims, rimArrays(sheet, places, values));
  const { cut } = store.state;
  if (cut !== null) fill(painter, view.shapes.cut, cutArrays(sheet, places, values, cut));
  const [from, to] = view.scene.clamp_mm;
  fill(painter, view.shapes.sleeve, sleeveArrays(sheet, view.faces[0], from, to, SLEEVE_MM));
  const [off, half] = RING_MM;
  fill(painter, view.shapes.rings, ringArrays(sheet, view.faces[0], view.field.rings, off, half));
  fill(painter, view.shapes["flat-rings"], flatRingArrays(view.field.rings, half));
  const face = values[store.state.surface === "inner" ? 1 : 0];
  fill(painter, view.shapes.strip, { value: Float32Array.from(view.flat.source, (i) => face[i]) });
}

/**
 * Shift and size what is seen so that the whole bar, at rest and moved, just fits into each view.
 * @param {View[]} views
 */
export function fitViews(views) {
  const [width, height] = solidSize(views[0]);
  const room = { aside: Math.min(60, 0.07 * width), above: Math.min(60, 0.17 * height) };
  fit(views[0].camera, shownPoints(views), width, height, room);
  views.forEach(paint);
}

/**
 * All points of the views' bars, at rest and moved, a column for each axis.
 * @param {View[]} views
 * @returns {Columns}
 */
function shownPoints(views) {
  return [0, 1, 2].map((k) => {
    const columns = views.flatMap(({ sheet, faces }) => [
      sheet.base[k],
      ...faces.slice(0, 1).map(({ place }) => place.filter((_, i) => i % 3 === k)),
    ]);
    const every = new Float32Array(columns.reduce((sum, column) => sum + column.length, 0));
    let at = 0;
    for (const column of columns) {
      every.set(column, at);
      at += column.length;
    }
    return every;
  });
}
