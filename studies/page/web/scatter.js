// Designs as dots over two of their columns.

import { designClasses, drawn, fillChoices, inWords } from "./table.js";

const REACH = 14;
/** @type {Record<string, number>} */
const WAYS = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 };
const BOX = { left: 76, right: 744, top: 20, bottom: 372 };

/**
 * Let the dots follow the chosen columns, the kept ranges and the pick.
 * @param {FindPart} part
 * @param {Table} table
 * @param {SweepStore} store
 */
export function bindScatter(part, table, store) {
  const svg = part("scatter");
  const [x, y] = [part("x"), part("y")];
  fillChoices(x, table.drawn, store.state.x);
  fillChoices(y, table.drawn, store.state.y);
  x.addEventListener("change", () => store.set({ x: x.value }));
  y.addEventListener("change", () => store.set({ y: y.value }));
  store.on((changed) => {
    if (changed.some((key) => key !== "axes")) drawScatter(svg, table, store);
  });
  svg.addEventListener("click", (event) => store.set({ picked: under(event, svg, table, store) }));
  svg.addEventListener("keydown", (event) => step(event, table, store));
  drawScatter(svg, table, store);
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
  const near = placesOf(table, store).filter((dot) => away(dot) < REACH);
  const least = Math.min(...near.map(away));
  const found = near.filter((dot) => away(dot) < least + 1).map((dot) => dot.design);
  const { picked } = store.state;
  const at = picked === null ? -1 : found.indexOf(picked);
  return found.length ? found[(at + 1) % found.length] : null;
}

/**
 * Where the dots of all designs stand that have both figures.
 * @param {Table} table
 * @param {SweepStore} store
 * @returns {DesignDot[]}
 */
function placesOf(table, store) {
  const across = table.scale(store.state.x, BOX.left, BOX.right);
  const up = table.scale(store.state.y, BOX.bottom, BOX.top);
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
  const { x, y, picked } = store.state;
  const across = table.scale(x, BOX.left, BOX.right);
  const up = table.scale(y, BOX.bottom, BOX.top);
  const parts = [...gridOf(across, up), ...titlesOf(table.column(x), table.column(y))];
  const dots = placesOf(table, store).sort((a, b) => Number(a.design === picked) - Number(b.design === picked));
  for (const dot of dots) parts.push(dotOf(table, dot, store.state));
  svg.replaceChildren(...parts);
}

/**
 * @param {Table} table
 * @param {DesignDot} dot
 * @param {SweepState} state
 * @returns {SVGElement}
 */
function dotOf(table, { design, left, top }, state) {
  const common = { class: `scatter-dot ${designClasses(table, design, state)}`, "data-design": design };
  const size = design === state.picked ? 8 : 5.5;
  const made = table.before(design)
    ? drawn("path", { ...common, d: `M${left - size} ${top - size}l${2 * size} ${2 * size}m0 ${-2 * size}l${-2 * size} ${2 * size}` })
    : drawn("circle", { ...common, cx: left.toFixed(1), cy: top.toFixed(1), r: size });
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
 * @param {Scale} across
 * @param {Scale} up
 * @returns {SVGElement[]}
 */
function gridOf(across, up) {
  const parts = [];
  for (const [at, words] of across.ticks) {
    const x = across.atRank(at).toFixed(1);
    parts.push(drawn("path", { class: "grid", d: `M${x} ${BOX.top}V${BOX.bottom}` }));
    parts.push(drawn("text", { class: "tick", x, y: BOX.bottom + 18, "text-anchor": "middle" }, words));
  }
  for (const [at, words] of up.ticks) {
    const y = up.atRank(at).toFixed(1);
    parts.push(drawn("path", { class: "grid", d: `M${BOX.left} ${y}H${BOX.right}` }));
    parts.push(drawn("text", { class: "tick", x: BOX.left - 8, y: Number(y) + 4, "text-anchor": "end" }, words));
  }
  return parts;
}

/**
 * @param {Column} x
 * @param {Column} y
 * @returns {SVGElement[]}
 */
function titlesOf(x, y) {
  return [
    drawn("text", { class: "chart-title", x: BOX.right, y: BOX.bottom + 44, "text-anchor": "end" }, x.name),
    drawn("text", { class: "chart-title", x: 4, y: 12 }, y.name),
  ];
}
