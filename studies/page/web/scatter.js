// Designs as dots over two of their columns.

import { drawnToWidth, fieldOf } from "./drawing.js";
import { designClasses, drawn, fillChoices, inWords } from "./table.js";

const REACH = 14;
/** @type {Record<string, number>} */
const WAYS = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 };
const SCATTER_MARGINS = { left: 58, right: 14, top: 26, bottom: 46 };
const NARROW = 500;
/** Round the picked design, whatever its colour. */
const RING = 12;
/** @type {Column} */
const NO_COLOUR = { key: "", name: "front and limits", kind: "", decimals: 0, set: "", better: "", level: null, values: [] };

/**
 * Let the dots follow the chosen columns, the kept ranges and the pick.
 * @param {FindPart} part
 * @param {Table} table
 * @param {SweepStore} store
 */
export function bindScatter(part, table, store) {
  const svg = part("scatter");
  const [x, y, colour] = [part("x"), part("y"), part("colour")];
  fillChoices(x, table.drawn, store.state.x);
  fillChoices(y, table.drawn, store.state.y);
  fillChoices(colour, [NO_COLOUR, ...table.drawn], store.state.colour);
  x.addEventListener("change", () => store.set({ x: x.value }));
  y.addEventListener("change", () => store.set({ y: y.value }));
  colour.addEventListener("change", () => store.set({ colour: colour.value }));
  const draw = drawnToWidth(svg, (width) => (width < NARROW ? 300 : 360), () => drawScatter(svg, table, store));
  store.on((changed) => {
    [x.value, y.value, colour.value] = [store.state.x, store.state.y, store.state.colour];
    if (changed.some((key) => key !== "axes")) draw();
    if (changed.includes("colour")) showColourKey(part("colour-key"), table, store.state.colour);
  });
  showColourKey(part("colour-key"), table, store.state.colour);
  svg.addEventListener("click", (event) => store.set({ picked: under(event, svg, table, store) }));
  svg.addEventListener("keydown", (event) => step(event, table, store));
}

/**
 * What the colours stand for: from least to greatest, or each word.
 * @param {HTMLElement} holder
 * @param {Table} table
 * @param {string} key
 */
function showColourKey(holder, table, key) {
  holder.hidden = key === "";
  if (key === "") return;
  const column = table.column(key);
  const colours = table.colours(key);
  const { words, rank, ends } = table.scale(key, 0, 1);
  /** @type {(at: number) => number} */
  const first = (at) => column.values.findIndex((value) => value !== null && rank(value) === at);
  const shown = (words ? words.map((_, k) => k) : ends).map(first).filter((design) => design >= 0);
  const parts = shown.map((design) => {
    const swatch = Object.assign(document.createElement("i"), { className: "swatch" });
    swatch.style.background = colours[design] ?? "none";
    const text = document.createElement("span");
    text.append(swatch, ` ${inWords(column, column.values[design])}`);
    return text;
  });
  holder.replaceChildren(`Colour: ${column.name}: `, ...parts);
}

/**
 * The scales of the two columns in the drawing's field.
 * @param {SVGSVGElement} svg
 * @param {Table} table
 * @param {SweepState} state
 * @returns {{ box: Box, across: Scale, up: Scale }}
 */
function scalesOf(svg, table, { x, y }) {
  const box = fieldOf(svg, SCATTER_MARGINS);
  const across = table.scaleWithLevel(x, box.left, box.right, box.right < NARROW ? 4 : 7);
  return { box, across, up: table.scaleWithLevel(y, box.bottom, box.top, 6) };
}

/**
 * The design next to the pointer; of several on one place the next one with each click.
 * @param {MouseEvent} event
 * @param {SVGSVGElement} svg
 * @param {Table} table
 * @param {SweepStore} store
 * @returns {number | null}
 */
function under(event, svg, table, store) {
  const frame = svg.getBoundingClientRect();
  const scale = frame.width / svg.viewBox.baseVal.width;
  /** @type {(dot: DesignDot) => number} */
  const away = ({ left, top }) => Math.hypot(frame.left + left * scale - event.clientX, frame.top + top * scale - event.clientY);
  const near = placesOf(svg, table, store).filter((dot) => away(dot) < REACH);
  const least = Math.min(...near.map(away));
  const found = near.filter((dot) => away(dot) < least + 1).map((dot) => dot.design);
  const { picked } = store.state;
  const at = picked === null ? -1 : found.indexOf(picked);
  return found.length ? found[(at + 1) % found.length] : null;
}

/**
 * Where the dots of all designs stand that have both figures.
 * @param {SVGSVGElement} svg
 * @param {Table} table
 * @param {SweepStore} store
 * @returns {DesignDot[]}
 */
function placesOf(svg, table, store) {
  const { across, up } = scalesOf(svg, table, store.state);
  return [...Array(table.count).keys()].flatMap((design) => {
    const left = across.place(table.value(store.state.x, design));
    const top = up.place(table.value(store.state.y, design));
    return left === null || top === null ? [] : [{ design, left, top }];
  });
}

/**
 * Arrow keys go through the designs from left to right.
 * @param {KeyboardEvent} event
 * @param {Table} table
 * @param {SweepStore} store
 */
function step(event, table, store) {
  const way = WAYS[event.key];
  if (!way) return;
  event.preventDefault();
  const { x, picked, ranges } = store.state;
  const { rank } = table.scale(x, 0, 1);
  const order = [...Array(table.count).keys()]
    .flatMap((design) => {
      const ranked = rank(table.value(x, design));
      return ranked === null || !table.kept(design, ranges) ? [] : [{ design, ranked }];
    })
    .sort((a, b) => a.ranked - b.ranked)
    .map(({ design }) => design);
  if (!order.length) return;
  const at = picked === null ? -1 : order.indexOf(picked);
  const next = at < 0 ? 0 : Math.max(0, Math.min(order.length - 1, at + way));
  store.set({ picked: order[next] });
}

/**
 * @param {SVGSVGElement} svg
 * @param {Table} table
 * @param {SweepStore} store
 */
function drawScatter(svg, table, store) {
  const { x, y, picked, colour } = store.state;
  const { box, across, up } = scalesOf(svg, table, store.state);
  const columns = [table.column(x), table.column(y)];
  const places = placesOf(svg, table, store);
  const parts = [...loadParts(box, across, up, columns), ...gridOf(box, across, up), ...titlesOf(box, columns)];
  parts.push(...frontLine(table, columns, places));
  const colours = colour === "" ? [] : table.colours(colour);
  const dots = places.sort((a, b) => Number(a.design === picked) - Number(b.design === picked));
  for (const dot of dots) {
    parts.push(dotOf(table, dot, store.state, colours[dot.design]));
    if (dot.design === picked) parts.push(drawn("circle", { class: "picked-ring", cx: dot.left, cy: dot.top, r: RING }));
  }
  svg.replaceChildren(...parts);
}

/**
 * The line where the load itself is the limit, and the field below it tinted.
 * @param {Box} box
 * @param {Scale} across
 * @param {Scale} up
 * @param {Column[]} columns
 * @returns {SVGElement[]}
 */
function loadParts(box, across, up, [x, y]) {
  const parts = [];
  const [wide, high] = [box.right - box.left, box.bottom - box.top];
  if (y.level !== null) {
    const at = up.atRank(y.level);
    const edge = Math.min(box.bottom, Math.max(box.top, at));
    const side = at > box.bottom ? ": below this axis" : at < box.top ? ": above this axis" : "";
    parts.push(drawn("rect", { class: "under-load", x: box.left, y: edge, width: wide, height: box.bottom - edge }));
    if (!side) parts.push(drawn("path", { class: "load-line", d: `M${box.left} ${at.toFixed(1)}H${box.right}` }));
    parts.push(drawn("text", { class: "load-word", x: box.right - 2, y: edge - 5, "text-anchor": "end" }, `1 \u00d7 load${side}`));
  }
  if (x.level !== null) {
    const at = across.atRank(x.level);
    const edge = Math.min(box.right, Math.max(box.left, at));
    parts.push(drawn("rect", { class: "under-load", x: box.left, y: box.top, width: edge - box.left, height: high }));
    if (at === edge) parts.push(drawn("path", { class: "load-line", d: `M${at.toFixed(1)} ${box.top}V${box.bottom}` }));
  }
  return parts;
}

/**
 * The designs of which none is better in both figures shown, joined; of a choice of sizes alone.
 * @param {Table} table
 * @param {Column[]} columns
 * @param {DesignDot[]} places
 * @returns {SVGElement[]}
 */
function frontLine(table, [x, y], places) {
  if (!table.choice || !x.better || !y.better || x === y) return [];
  const [right, up] = [x.better === "more" ? -1 : 1, y.better === "more" ? 1 : -1];
  const order = [...places].sort((a, b) => right * (a.left - b.left) || up * (a.top - b.top));
  let best = Infinity;
  const front = order.filter(({ top }) => {
    const better = up * top < best - 0.01;
    best = better ? up * top : best;
    return better;
  });
  const d = front.map(({ left, top }) => `${left.toFixed(1)} ${top.toFixed(1)}`).join("L");
  return front.length > 1 ? [drawn("path", { class: "front-line", d: `M${d}` })] : [];
}

/**
 * @param {Table} table
 * @param {DesignDot} dot
 * @param {SweepState} state
 * @param {string | null | undefined} colour
 * @returns {SVGElement}
 */
function dotOf(table, { design, left, top }, state, colour) {
  const common = { class: `scatter-dot ${designClasses(table, design, state)}`, "data-design": design };
  const size = design === state.picked ? 8 : 5.5;
  const made = table.before(design)
    ? drawn("path", { ...common, d: `M${left - size} ${top - size}l${2 * size} ${2 * size}m0 ${-2 * size}l${-2 * size} ${2 * size}` })
    : drawn("circle", { ...common, cx: left.toFixed(1), cy: top.toFixed(1), r: size });
  if (colour) made.style.setProperty(table.before(design) ? "stroke" : "fill", colour);
  made.append(drawn("title", {}, titleOf(table, design)));
  return made;
}

/**
 * @param {Table} table
 * @param {number} design
 * @returns {string}
 */
function titleOf(table, design) {
  const inputs = table.drawn.filter((column) => column.kind === "input");
  const texts = inputs.map((column) => `${column.name} ${inWords(column, column.values[design])}`);
  return `design ${design + 1}: ${texts.join(", ")}`;
}

/**
 * @param {Box} box
 * @param {Scale} across
 * @param {Scale} up
 * @returns {SVGElement[]}
 */
function gridOf(box, across, up) {
  const parts = [];
  for (const [at, words] of across.ticks) {
    const x = across.atRank(at).toFixed(1);
    parts.push(drawn("path", { class: "grid", d: `M${x} ${box.top}V${box.bottom}` }));
    parts.push(drawn("text", { class: "tick", x, y: box.bottom + 16, "text-anchor": "middle" }, words));
  }
  for (const [at, words] of up.ticks) {
    const y = up.atRank(at).toFixed(1);
    parts.push(drawn("path", { class: "grid", d: `M${box.left} ${y}H${box.right}` }));
    parts.push(drawn("text", { class: "tick", x: box.left - 6, y: Number(y) + 4, "text-anchor": "end" }, words));
  }
  return parts;
}

/**
 * @param {Box} box
 * @param {Column[]} columns
 * @returns {SVGElement[]}
 */
function titlesOf(box, [x, y]) {
  return [
    drawn("text", { class: "chart-title", x: box.right, y: box.bottom + 38, "text-anchor": "end" }, x.name),
    drawn("text", { class: "chart-title", x: 2, y: 14 }, y.name),
  ];
}
