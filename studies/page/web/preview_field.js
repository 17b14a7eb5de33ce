// Colours at other walls and loads: a field's change on a grid, added at each vertex of the sheet.

import { columnsOf } from "./decode.js";
import { termsAt, grown, isNeutral } from "./preview.js";
import { TURN } from "./sheet.js";

/**
 * Where each vertex lies in the grid: four places of it, their weights, and the share of the wall
 * there that the first group's factor multiplies.
 * @param {PreviewGrid} grid
 * @param {Sheet} sheet
 * @returns {GridPlaces}
 */
function placesIn({ s_mm: lines, angles, share }, sheet) {
  const places = new Uint32Array(4 * sheet.count);
  const weights = new Float32Array(4 * sheet.count);
  const first = new Float32Array(sheet.count);
  for (let i = 0; i < sheet.count; i++) {
    const line = before(lines, sheet.s[i]);
    const along = clamped((sheet.s[i] - lines[line]) / (lines[line + 1] - lines[line]));
    const turn = (sheet.theta[i] / TURN) * angles;
    const [near, round] = [Math.floor(turn) % angles, turn - Math.floor(turn)];
    const next = (near + 1) % angles;
    places.set([line * angles + near, line * angles + next, (line + 1) * angles + near, (line + 1) * angles + next], 4 * i);
    weights.set([(1 - along) * (1 - round), (1 - along) * round, along * (1 - round), along * round], 4 * i);
    first[i] = (1 - along) * share[line] + along * share[line + 1];
  }
  return { places, weights, first };
}

/** @type {(value: number) => number} */
const clamped = (value) => Math.min(1, Math.max(0, value));

/**
 * The last of ascending numbers that is not beyond a value, but not the very last.
 * @param {number[]} numbers
 * @param {number} value
 * @returns {number}
 */
function before(numbers, value) {
  let [low, high] = [0, numbers.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (numbers[middle] <= value) low = middle;
    else high = middle;
  }
  return low;
}

/**
 * What gives a view its fields at other walls and loads.
 * @param {Preview} preview
 * @param {Sheet} sheet
 * @returns {FieldPreview}
 */
export function fieldPreview(preview, sheet) {
  const places = placesIn(preview.grid, sheet);
  /** @type {Map<PreviewField, Promise<Columns>>} */
  const known = new Map();
  return {
    preview,
    async read(caseId, fieldId) {
      const field = preview.cases.find(({ id }) => id === caseId)?.fields[fieldId];
      if (!field) return null;
      if (!known.has(field)) known.set(field, columnsOf(field));
      return (await known.get(field)) ?? null;
    },
    values: (values, changes, state) => changed(preview, places, values, changes, state),
  };
}

/**
 * Values of both faces at other walls and loads: (value + change) / wall ratio x load.
 * @param {Preview} preview
 * @param {GridPlaces} where
 * @param {Columns} values
 * @param {Columns} changes
 * @param {ViewState} state
 * @returns {Columns}
 */
function changed(preview, { places, weights, first }, values, changes, { walls, load }) {
  const terms = termsAt(preview, walls);
  const surfaces = changes.length / terms.length;
  const [inner, outer] = [walls[0], walls[walls.length - 1]];
  return values.map((face, k) => {
    const surface = Math.min(k, surfaces - 1);
    const change = changeOf(terms, changes, surfaces, surface);
    return face.map((value, i) => {
      let sum = value;
      for (let c = 4 * i; c < 4 * i + 4; c++) sum += weights[c] * change[places[c]];
      return (sum / (outer + (inner - outer) * first[i])) * load;
    });
  });
}

/**
 * The change of one surface at every place of the grid.
 * @param {number[]} terms
 * @param {Columns} changes
 * @param {number} surfaces
 * @param {number} surface
 * @returns {Float32Array}
 */
function changeOf(terms, changes, surfaces, surface) {
  const total = new Float32Array(changes[0].length);
  terms.forEach((term, k) => {
    const column = changes[k * surfaces + surface];
    for (let i = 0; i < total.length; i++) total[i] += term * column[i];
  });
  return total;
}

/**
 * How much further the bar moves than in the run.
 * @param {FieldPreview | null} fields
 * @param {ViewState} state
 * @returns {number}
 */
export function motionRatio(fields, state) {
  const one = fields?.preview.cases.find(({ id }) => id === state.caseId);
  if (!fields || !one || isNeutral(state)) return 1;
  return grown(one.deflection, termsAt(fields.preview, state.walls)).ratio * state.load;
}
