// The cross-section where the bar is cut, in words and as a small drawing.

import { cutAt, nearTo, TURN, wrapped } from "./sheet.js";
import { written } from "./fields.js";
import { length, minus } from "./vectors.js";

/**
 * Outer and inner points round a section, with their angles, ascending.
 * @param {ShownView} view
 * @param {number} s
 * @returns {SectionPoint[]}
 */
function sectionAt(view, s) {
  const { sheet } = view;
  /** @type {(columns: Columns, end: Between) => Vector} */
  const at = (columns, [a, b, share]) =>
    columns.map((column) => (1 - share) * column[a] + share * column[b]);
  const points = cutAt(sheet, s).flatMap((ends) =>
    ends.map((end) => ({
      theta: angleOf(sheet, end),
      outer: at(sheet.base, end),
      inner: at(sheet.inner, end),
      value: [0, 1].map((face) => at([view.values[face]], end)[0]),
    })),
  );
  return points.sort((a, b) => a.theta - b.theta);
}

/**
 * @param {Sheet} sheet
 * @param {Between} end
 * @returns {number}
 */
function angleOf(sheet, [a, b, share]) {
  const first = sheet.theta[a];
  return wrapped((1 - share) * first + share * nearTo(sheet.theta[b], first));
}

/**
 * What the cut section measures, as finely as places are stored: to 0.01 mm; the field's largest value in it.
 * @param {ShownView} view
 * @returns {string}
 */
export function sectionWords(view) {
  const { cut } = view.store.state;
  if (cut === null) return "";
  const points = sectionAt(view, cut);
  if (!points.length) return "";
  const walls = points.map((point) => length(minus(point.outer, point.inner)));
  const across = points.map((point) => length(minus(point.outer, opposite(points, point).outer)));
  const values = points.flatMap((point) => point.value).filter((value) => !Number.isNaN(value));
  /** @type {(list: number[], decimals: number) => string} */
  const range = (list, decimals) => {
    const ends = [Math.min(...list), Math.max(...list)];
    const [low, high] = ends.map((value) => value.toFixed(decimals));
    return low === high ? low : `${low} to ${high}`;
  };
  const unit = view.field.unit ? ` ${view.field.unit}` : "";
  const span = `${written(Math.min(...values))} to ${written(Math.max(...values))}${unit}`;
  return (
    `Outer diameter ${range(across, 1)} mm, wall ${range(walls, 2)} mm; ` +
    `${view.field.name} ${values.length ? span : "not judged"}`
  );
}

/**
 * @param {SectionPoint[]} points
 * @param {SectionPoint} point
 * @returns {SectionPoint}
 */
function opposite(points, point) {
  const angle = (point.theta + TURN / 2) % TURN;
  /** @type {(one: SectionPoint) => number} */
  const gap = (one) => Math.abs(((one.theta - angle + 1.5 * TURN) % TURN) - TURN / 2);
  return points.reduce((best, one) => (gap(one) < gap(best) ? one : best));
}
