// The table of designs as the plots read it: columns by key, and where a value stands on an axis.

/** The designs, with what the plots ask of them. */
export function tableOf(data) {
  const columns = new Map(data.columns.map((column) => [column.key, column]));
  const drawn = data.columns.filter((column) => column.kind !== "state");
  return {
    ...data,
    columns,
    drawn,
    count: data.columns[0].values.length,
    best: new Set(data.front),
    value: (key, design) => columns.get(key).values[design],
    scale: (key, low, high) => scaleOf(columns.get(key), low, high),
    before: (design) => columns.has(data.governing) && isBefore(columns.get(data.governing).values[design]),
    kept: (design, ranges) =>
      Object.entries(ranges).every(([key, range]) => inside(scaleOf(columns.get(key), 0, 1), columns.get(key).values[design], range)),
  };
}

const isBefore = (factor) => factor !== null && factor < 1;

function inside(scale, value, [low, high]) {
  const at = scale.rank(value);
  return at !== null && at >= low && at <= high;
}

/** An axis from one place of a drawing to another: numbers by size, words by their order. */
function scaleOf(column, from, to) {
  const words = wordsOf(column);
  const rank = (value) => (value === null ? null : words ? words.indexOf(String(value)) : value);
  const ranks = column.values.map(rank).filter((value) => value !== null);
  let [low, high] = ranks.length ? [Math.min(...ranks), Math.max(...ranks)] : [0, 1];
  const room = words ? 0.5 : 0.04 * (high - low) || 0.02 * Math.abs(high) || 1;
  [low, high] = [low - room, high + room];
  return {
    rank,
    words,
    place: (value) => (value === null ? null : from + ((rank(value) - low) / (high - low)) * (to - from)),
    rankAt: (place) => low + ((place - from) / (to - from)) * (high - low),
    ticks: words ? words.map((word, k) => [k, word]) : roundTicks(low, high),
    atRank: (at) => from + ((at - low) / (high - low)) * (to - from),
  };
}

function wordsOf(column) {
  const text = column.values.filter((value) => value !== null);
  return text.some((value) => typeof value === "string") ? [...new Set(text.map(String))] : null;
}

/** Round values between two limits, with as many decimals as their step has. */
function roundTicks(low, high, most = 6) {
  const rough = (high - low) / most;
  const decade = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((k) => k * decade).find((k) => k >= rough * 0.999);
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const found = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k++)
    found.push([k * step, minus((k * step + 0).toFixed(decimals))]);
  return found;
}

const minus = (text) => text.replace("-", "\u2212");

/** A value in words: as many decimals as its column shows, texts as they are. */
export function inWords(column, value) {
  if (value === null) return "\u2013";
  if (typeof value !== "number") return String(value);
  if (Number.isInteger(value)) return minus(String(value));
  const large = Math.abs(value) >= 1e5;
  return minus(large ? value.toPrecision(4) : String(Number(value.toFixed(column.decimals))));
}

/** An element of a drawing. */
export function drawn(name, attributes, text) {
  const made = document.createElementNS(document.querySelector("svg").namespaceURI, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== undefined) made.textContent = text;
  return made;
}

/** The choices of a list of columns. */
export function fillChoices(select, columns, chosen) {
  select.replaceChildren(
    ...columns.map((column) => new Option(column.name, column.key, false, column.key === chosen)),
  );
}
