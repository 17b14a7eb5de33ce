// The table of designs as the plots read it: columns by key, and where a value stands on an axis.

import { find } from "./basics.js";

/** How far an axis reaches to a value beside it, of the length that it has without. */
const FARTHEST = 1.5;

/**
 * The designs, with what the plots ask of them.
 * @param {SweepData} data
 * @param {Uint8Array} ramp Three bytes a colour.
 * @returns {Table}
 */
export function tableOf(data, ramp) {
  const columns = new Map(data.columns.map((one) => [one.key, one]));
  /** @type {(key: string) => Column} */
  const column = (key) => columns.get(key) ?? data.columns[0];
  const governing = columns.get(data.governing);
  /** @type {Map<string, Scale["rank"]>} */
  const ranks = new Map();
  /** @type {(key: string) => Scale["rank"]} */
  const rankOf = (key) => {
    if (!ranks.has(key)) ranks.set(key, scaleOf(column(key), 0, 1).rank);
    return ranks.get(key) ?? (() => null);
  };
  const shown = data.columns.filter((one) => one.kind !== "state");
  return {
    ...data,
    columns,
    drawn: shown,
    column,
    count: data.columns[0].values.length,
    best: new Set(data.front),
    value: (key, design) => column(key).values[design],
    scale: (key, low, high, most) => scaleOf(column(key), low, high, most),
    scaleWithLevel: (key, low, high, most) => scaleOf(column(key), low, high, most, column(key).level),
    scaleOfDrawn: (key, figure, low, high, most) => scaleOf(drawnColumn(column(key), column(figure)), low, high, most),
    colours: (key) => coloursOf(ramp, column(key)),
    before: (design) => governing !== undefined && isBefore(governing.values[design]),
    kept: (design, ranges) =>
      Object.entries(ranges).every(([key, range]) => inside(rankOf(key)(column(key).values[design]), range)),
  };
}

/** @type {(factor: Value) => boolean} */
const isBefore = (factor) => typeof factor === "number" && factor < 1;

/**
 * A column of the designs alone that have a figure; of all where none has.
 * @param {Column} column
 * @param {Column} figure
 * @returns {Column}
 */
function drawnColumn(column, figure) {
  const values = column.values.filter((_, design) => figure.values[design] !== null);
  return { ...column, values: values.length ? values : column.values };
}

/** @type {(at: number | null, range: Interval) => boolean} */
const inside = (at, [low, high]) => at !== null && at >= low && at <= high;

/**
 * The colours of designs by a column: pale where it is least, dark where it is greatest.
 * @param {Uint8Array} ramp
 * @param {Column} column
 * @returns {(string | null)[]}
 */
function coloursOf(ramp, column) {
  const { rank, ends } = scaleOf(column, 0, 1);
  return column.values.map((value) => {
    const at = rank(value);
    if (at === null) return null;
    return rampColour(ramp, ends[1] > ends[0] ? (at - ends[0]) / (ends[1] - ends[0]) : 0.5);
  });
}

/**
 * A colour of the ramp; not from the palest on, since a dot must show on paper.
 * @param {Uint8Array} ramp
 * @param {number} share
 * @returns {string}
 */
function rampColour(ramp, share) {
  const k = 3 * Math.round(40 + 215 * share);
  return `rgb(${ramp[k]} ${ramp[k + 1]} ${ramp[k + 2]})`;
}

/**
 * An axis from one place of a drawing to another: numbers by size, words by their order.
 * @param {Column} column
 * @param {number} from
 * @param {number} to
 * @param {number} [most] Ticks.
 * @param {number | null} [level] A value that the axis reaches, too.
 * @returns {Scale}
 */
function scaleOf(column, from, to, most = 6, level = null) {
  const words = wordsOf(column);
  /** @type {(value: Value) => number | null} */
  const rank = (value) => (value === null ? null : words ? words.indexOf(String(value)) : Number(value));
  const own = column.values.map(rank).filter((value) => value !== null);
  const ends = endsOf(own);
  let [low, high] = endsOf(isNear(level, ends) ? [...own, level] : own);
  const room = words ? 0.5 : roomBeside(low, high);
  [low, high] = [low - room, high + room];
  /** @type {Scale["atRank"]} */
  const atRank = (at) => from + ((at - low) / (high - low)) * (to - from);
  return {
    rank,
    words,
    ends,
    place: (value) => {
      const at = rank(value);
      return at === null ? null : atRank(at);
    },
    rankAt: (place) => low + ((place - from) / (to - from)) * (high - low),
    ticks: words ? words.map((word, k) => [k, word]) : roundTicks(low, high, most),
    atRank,
  };
}

/** @type {(values: number[]) => Interval} */
const endsOf = (values) => (values.length ? [Math.min(...values), Math.max(...values)] : [0, 1]);

/**
 * Whether a value is near enough to an axis for it to reach there, and still to show what it holds.
 * @param {number | null} level
 * @param {Interval} ends
 * @returns {level is number}
 */
function isNear(level, [low, high]) {
  if (level === null) return false;
  const away = Math.max(low - level, level - high, 0);
  return low === high || away <= FARTHEST * (high - low);
}

/** @type {(low: number, high: number) => number} */
const roomBeside = (low, high) => 0.04 * (high - low) || 0.02 * Math.abs(high) || 1;

/**
 * @param {Column} column
 * @returns {string[] | null}
 */
function wordsOf(column) {
  const text = column.values.filter((value) => value !== null);
  return text.some((value) => typeof value === "string") ? [...new Set(text.map(String))] : null;
}

/**
 * Round values between two limits, with as many decimals as their step has.
 * @param {number} low
 * @param {number} high
 * @returns {[number, string][]}
 */
function roundTicks(low, high, most = 6) {
  const rough = (high - low) / most;
  const decade = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((k) => k * decade).find((k) => k >= rough * 0.999) ?? 10 * decade;
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  /** @type {[number, string][]} */
  const found = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k++)
    found.push([k * step, minus((k * step + 0).toFixed(decimals))]);
  return found;
}

/** @type {(text: string) => string} */
const minus = (text) => text.replace("-", "\u2212");

/**
 * Classes of a design's mark: on the Pareto front, below its load, picked, outside the kept ranges.
 *
 * @param {Table} table
 * @param {number} design
 * @param {SweepState} state
 * @returns {string}
 */
export function designClasses(table, design, { picked, ranges }) {
  const classes = {
    front: table.best.has(design),
    before: table.before(design),
    picked: design === picked,
    faded: !table.kept(design, ranges),
  };
  return Object.entries(classes).flatMap(([name, holds]) => (holds ? [name] : [])).join(" ");
}

/**
 * A value in words: as many decimals as its column shows, texts as they are.
 * @param {Column} column
 * @param {Value} value
 * @returns {string}
 */
export function inWords(column, value) {
  if (value === null) return "\u2013";
  if (typeof value !== "number") return String(value);
  if (Number.isInteger(value)) return minus(String(value));
  const large = Math.abs(value) >= 1e5;
  return minus(large ? value.toPrecision(4) : String(Number(value.toFixed(column.decimals))));
}

/**
 * An element of a drawing.
 * @param {string} name
 * @param {Record<string, string | number>} attributes
 * @param {string} [text]
 * @returns {SVGElement}
 */
export function drawn(name, attributes, text) {
  const made = /** @type {SVGElement} */ (
    document.createElementNS(find(document, "svg", SVGSVGElement).namespaceURI, name)
  );
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  if (text !== undefined) made.textContent = text;
  return made;
}

/**
 * The choices of a list of columns.
 * @param {HTMLSelectElement} select
 * @param {Column[]} columns
 * @param {string} chosen
 */
export function fillChoices(select, columns, chosen) {
  select.replaceChildren(
    ...columns.map((column) => new Option(column.name, column.key, false, column.key === chosen)),
  );
}
