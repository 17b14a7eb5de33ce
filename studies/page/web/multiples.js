// A figure against each axis of a sweep by itself: small plots with one scale upwards.

import { drawnToWidth, fieldOf } from "./drawing.js";
import { drawn } from "./table.js";

const SMALL_MARGINS = { left: 42, right: 8, top: 8, bottom: 22 };
const SMALL_HEIGHT = 150;
const MOST = 24;

/**
 * Fill the part with a small plot an axis; they follow the figure, the kept ranges and the pick.
 * @param {FindPart} part
 * @param {Table} table
 * @param {SweepStore} store
 */
export function bindMultiples(part, table, store) {
  const axes = table.drawn.filter((column) => column.kind === "input").slice(0, MOST);
  const title = part("each-title");
  const draws = axes.map((column) => addPlot(part("multiples"), table, store, column));
  const show = () => {
    const { name } = table.column(store.state.y);
    title.textContent = `${name[0].toUpperCase()}${name.slice(1)} against each axis`;
    for (const draw of draws) draw();
  };
  store.on((changed) => changed.some((key) => ["y", "ranges", "picked"].includes(key)) && show());
  show();
}

/**
 * @param {HTMLElement} holder
 * @param {Table} table
 * @param {SweepStore} store
 * @param {Column} column
 * @returns {() => void} Draws again.
 */
function addPlot(holder, table, store, column) {
  const figure = document.createElement("figure");
  const caption = Object.assign(document.createElement("figcaption"), { textContent: column.name });
  const frame = document.createElement("div");
  const svg = /** @type {SVGSVGElement} */ (drawn("svg", { class: "chart multiple", role: "img" }));
  frame.append(svg);
  figure.append(frame, caption);
  holder.append(figure);
  return drawnToWidth(svg, () => SMALL_HEIGHT, () => drawPlot(svg, table, store.state, column));
}

/**
 * @param {SVGSVGElement} svg
 * @param {Table} table
 * @param {SweepState} state
 * @param {Column} column
 */
function drawPlot(svg, table, state, column) {
  const box = fieldOf(svg, SMALL_MARGINS);
  const across = table.scaleOfDrawn(column.key, state.y, box.left, box.right, 4);
  const up = table.scaleWithLevel(state.y, box.bottom, box.top, 4);
  const figure = table.column(state.y);
  svg.setAttribute("aria-label", `${figure.name} against ${column.name}`);
  const parts = smallAxes(box, across, up);
  const load = up.place(figure.level);
  if (load !== null && load >= box.top && load <= box.bottom)
    parts.push(drawn("path", { class: "load-line", d: `M${box.left} ${load.toFixed(1)}H${box.right}` }));
  parts.push(...smallDots(table, state, column, across, up));
  svg.replaceChildren(...parts);
}

/**
 * @param {Box} box
 * @param {Scale} across
 * @param {Scale} up
 * @returns {SVGElement[]}
 */
function smallAxes(box, across, up) {
  const parts = [drawn("path", { class: "frame", d: `M${box.left} ${box.top}V${box.bottom}H${box.right}` })];
  for (const [at, words] of up.ticks) {
    const y = up.atRank(at);
    parts.push(drawn("path", { class: "grid", d: `M${box.left} ${y.toFixed(1)}H${box.right}` }));
    parts.push(drawn("text", { class: "tick", x: box.left - 5, y: (y + 4).toFixed(1), "text-anchor": "end" }, words));
  }
  for (const [at, words] of across.ticks)
    parts.push(drawn("text", { class: "tick", x: across.atRank(at).toFixed(1), y: box.bottom + 15, "text-anchor": "middle" }, words));
  return parts;
}

/**
 * All dots of a kind as one path, since there may be thousands in each of many plots.
 * @param {Table} table
 * @param {SweepState} state
 * @param {Column} column
 * @param {Scale} across
 * @param {Scale} up
 * @returns {SVGElement[]}
 */
function smallDots(table, state, column, across, up) {
  /** @type {Record<string, string>} */
  const paths = { faded: "", others: "", before: "", picked: "" };
  for (let design = 0; design < table.count; design++) {
    const left = across.place(column.values[design]);
    const top = up.place(table.value(state.y, design));
    if (left === null || top === null) continue;
    const kind = table.before(design) ? "before" : "others";
    const dot = `M${left.toFixed(1)} ${top.toFixed(1)}h.01`;
    paths[table.kept(design, state.ranges) ? kind : "faded"] += dot;
    if (design === state.picked) paths.picked = dot;
  }
  return Object.entries(paths).flatMap(([kind, d]) => (d ? [drawn("path", { class: `small-dots ${kind}`, d })] : []));
}
