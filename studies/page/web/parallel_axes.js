// Designs as lines over many columns, each an upright axis; a stretch of an axis can be kept alone.

import { drawnToWidth } from "./drawing.js";
import { designClasses, drawn, fillChoices } from "./table.js";

const LONGEST_NAME = 23;
const LINES_FIELD = { top: 62, bottom: 350 };
const LINES_HEIGHT = 370;
/** Room beside the first and the last axis, and between two at least. */
const SIDE_ROOM = 76;
const LEAST_GAP = 96;
const HANDLE = 44;

/**
 * Let the lines follow the chosen axes, the kept ranges and the pick.
 * @param {FindPart} part
 * @param {Table} table
 * @param {SweepStore} store
 */
export function bindParallelAxes(part, table, store) {
  const svg = part("parallel-axes");
  fillAxes(part("axes"), table, store);
  bindRange(part, table, store);
  bindDrag(svg, table, store);
  const draw = drawnToWidth(svg, () => LINES_HEIGHT, () => drawLines(svg, table, store));
  store.on((changed) => {
    if (changed.some((key) => ["axes", "ranges", "picked"].includes(key))) draw();
  });
}

/**
 * @param {Element} holder
 * @param {Table} table
 * @param {SweepStore} store
 */
function fillAxes(holder, table, store) {
  for (const column of table.drawn) {
    const box = Object.assign(document.createElement("input"), { type: "checkbox" });
    box.checked = store.state.axes.includes(column.key);
    box.addEventListener("change", () => {
      const chosen = table.drawn.map((one) => one.key);
      const { axes } = store.state;
      const next = chosen.filter((key) => (key === column.key ? box.checked : axes.includes(key)));
      store.set({ axes: next });
    });
    store.on((changed) => {
      if (changed.includes("axes")) box.checked = store.state.axes.includes(column.key);
    });
    const label = document.createElement("label");
    label.append(box, column.name);
    holder.append(label);
  }
}

/**
 * The same as dragging, for fingers that cannot: an axis, from, to.
 * @param {FindPart} part
 * @param {Table} table
 * @param {SweepStore} store
 */
function bindRange(part, table, store) {
  const [axis, from, to] = [part("range-axis"), part("range-from"), part("range-to")];
  const numeric = table.drawn.filter((column) => !table.scale(column.key, 0, 1).words);
  fillChoices(axis, numeric, store.state.y);
  const apply = () => {
    const low = from.value === "" ? -Infinity : Number(from.value);
    const high = to.value === "" ? Infinity : Number(to.value);
    store.set({ ranges: { ...store.state.ranges, [axis.value]: [low, high] } });
  };
  const show = () => {
    const [low, high] = store.state.ranges[axis.value] || [-Infinity, Infinity];
    from.value = shortened(low);
    to.value = shortened(high);
  };
  from.addEventListener("change", apply);
  to.addEventListener("change", apply);
  axis.addEventListener("change", show);
  part("range-clear").addEventListener("click", () => store.set({ ranges: {} }));
  const tell = () => {
    show();
    part("range-words").textContent = keptWords(table, store.state.ranges);
  };
  store.on((changed) => changed.includes("ranges") && tell());
  tell();
}

/**
 * @param {Table} table
 * @param {Record<string, Interval>} ranges
 * @returns {string}
 */
function keptWords(table, ranges) {
  if (!Object.keys(ranges).length) return "";
  const kept = [...Array(table.count).keys()].filter((design) => table.kept(design, ranges));
  return `${kept.length} of ${table.count} designs kept`;
}

/**
 * @param {Table} table
 * @param {string[]} axes
 * @param {number} width
 * @returns {Line[]}
 */
function upright(table, axes, width) {
  const gap = axes.length > 1 ? (width - 2 * SIDE_ROOM) / (axes.length - 1) : 0;
  return axes.map((key, k) => ({
    key,
    x: SIDE_ROOM + k * gap,
    scale: table.scale(key, LINES_FIELD.bottom, LINES_FIELD.top),
    column: table.column(key),
  }));
}

/**
 * @param {SVGSVGElement} svg
 * @param {Table} table
 * @param {SweepStore} store
 */
function drawLines(svg, table, store) {
  const { axes, ranges, picked } = store.state;
  // what has no room scrolls in its frame
  const room = svg.parentElement?.clientWidth ?? 0;
  const width = Math.max(room, 2 * SIDE_ROOM + LEAST_GAP * (axes.length - 1));
  svg.setAttribute("viewBox", `0 0 ${width} ${LINES_HEIGHT}`);
  svg.style.minWidth = `${width}px`;
  const lines = upright(table, axes, width);
  const order = [...Array(table.count).keys()].sort((a, b) => Number(a === picked) - Number(b === picked));
  const parts = order.map((design) => designLine(table, lines, design, store.state));
  lines.forEach((line, k) => parts.push(...axisOf(line, k, lines.length, ranges[line.key])));
  svg.replaceChildren(...parts);
}

/**
 * @param {Table} table
 * @param {Line[]} lines
 * @param {number} design
 * @param {SweepState} state
 * @returns {SVGElement}
 */
function designLine(table, lines, design, state) {
  let pen = "M";
  let d = "";
  for (const line of lines) {
    const y = line.scale.place(line.column.values[design]);
    d += y === null ? "" : `${pen}${line.x.toFixed(1)} ${y.toFixed(1)}`;
    pen = y === null ? "M" : "L";
  }
  const classes = `design-line ${designClasses(table, design, state)}`;
  return drawn("path", { class: classes, d: d || "M0 0", "data-design": design });
}

/**
 * @param {Line} line
 * @param {number} k
 * @param {number} count
 * @param {Interval | undefined} range
 * @returns {SVGElement[]}
 */
function axisOf(line, k, count, range) {
  const { x, scale } = line;
  const parts = [drawn("path", { class: "axis-line", d: `M${x} ${LINES_FIELD.top}V${LINES_FIELD.bottom}` })];
  for (const [at, words] of scale.ticks) {
    const y = scale.atRank(at);
    parts.push(drawn("text", { class: "tick axis-tick", x: x - 6, y: y + 4, "text-anchor": "end" }, words));
  }
  if (range) {
    const [low, high] = range.map((at) => Math.max(LINES_FIELD.top, Math.min(LINES_FIELD.bottom, scale.atRank(at))));
    const [top, bottom] = [Math.min(low, high), Math.max(low, high)];
    parts.push(drawn("rect", { class: "axis-range", x: x - 5, y: top, width: 10, height: Math.max(1, bottom - top) }));
  }
  parts.push(...titleLines(line, k, count));
  const handle = { class: "axis-handle", x: x - HANDLE / 2, y: LINES_FIELD.top, width: HANDLE, height: LINES_FIELD.bottom - LINES_FIELD.top };
  parts.push(drawn("rect", { ...handle, "data-axis": line.key }));
  return parts;
}

/**
 * Long names are broken, and stand in two heights so that neighbours do not meet.
 * @param {Line} line
 * @param {number} k
 * @param {number} count
 * @returns {SVGElement[]}
 */
function titleLines(line, k, count) {
  const texts = rowsOf(line.column.name);
  const top = k % 2 ? 12 : 38;
  const anchor = k === 0 ? "start" : k === count - 1 ? "end" : "middle";
  const x = line.x + (k === 0 ? -60 : k === count - 1 ? 60 : 0);
  return texts.map((text, row) =>
    drawn("text", { class: row ? "tick" : "axis-title", x, y: top + 12 * row, "text-anchor": anchor }, text),
  );
}

/**
 * A name in at most two rows: figure and case, or broken between words.
 * @param {string} name
 * @returns {string[]}
 */
function rowsOf(name) {
  const [figure, where] = name.split(": ");
  const comma = name.lastIndexOf(", ", LONGEST_NAME);
  const end = comma > 0 ? comma : name.lastIndexOf(" ", LONGEST_NAME);
  const rest = name.slice(end).replace(/^[, ]+/, "");
  const rows = where ? [figure, where] : name.length > LONGEST_NAME && end > 0 ? [name.slice(0, end), rest] : [name];
  return rows.map((text) => (text.length > LONGEST_NAME ? `${text.slice(0, LONGEST_NAME - 1)}\u2026` : text));
}

/**
 * Dragging along an axis keeps what crosses it there; a mere click lets all through again.
 * @param {SVGSVGElement} svg
 * @param {Table} table
 * @param {SweepStore} store
 */
function bindDrag(svg, table, store) {
  /** @type {{ key: string, at: number } | null} */
  let begun = null;
  /** @type {(event: PointerEvent) => number} */
  const height = (event) => {
    const frame = svg.getBoundingClientRect();
    return ((event.clientY - frame.top) / frame.height) * svg.viewBox.baseVal.height;
  };
  svg.addEventListener("pointerdown", (event) => {
    const key = dataOf(event).axis;
    if (!key) return;
    begun = { key, at: height(event) };
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (begun && Math.abs(height(event) - begun.at) > 4) keep(begun.key, begun.at, height(event));
  });
  svg.addEventListener("pointerup", (event) => {
    if (begun && Math.abs(height(event) - begun.at) <= 4) {
      const { [begun.key]: gone, ...left } = store.state.ranges;
      if (gone) store.set({ ranges: left });
    }
    begun = null;
  });
  /** @type {(key: string, from: number, to: number) => void} */
  function keep(key, from, to) {
    const { rankAt } = table.scale(key, LINES_FIELD.bottom, LINES_FIELD.top);
    const ends = [rankAt(from), rankAt(to)].sort((a, b) => a - b);
    store.set({ ranges: { ...store.state.ranges, [key]: ends } });
  }
  svg.addEventListener("click", (event) => {
    const { design } = dataOf(event);
    if (design !== undefined) store.set({ picked: Number(design) });
  });
}

/**
 * What the element under the pointer carries.
 *
 * @param {Event} event
 * @returns {DOMStringMap}
 */
function dataOf(event) {
  return event.target instanceof SVGElement ? event.target.dataset : {};
}

/**
 * A limit as its field shows it; nothing where there is none.
 *
 * @param {number} value
 * @returns {string}
 */
function shortened(value) {
  return Number.isFinite(value) ? String(Number(value.toPrecision(6))) : "";
}
