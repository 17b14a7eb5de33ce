// Designs as dots over two of their columns.

import { drawn, fillChoices, inWords } from "./table.js";

const REACH = 14;
const BOX = { left: 76, right: 744, top: 20, bottom: 372 };

/** Let the dots follow the chosen columns, the kept ranges and the pick. */
export function bindCloud(part, table, store) {
  const svg = part("cloud");
  for (const side of ["x", "y"]) {
    fillChoices(part(side), table.drawn, store.state[side]);
    part(side).addEventListener("change", (event) => store.set({ [side]: event.target.value }));
  }
  store.on((changed) => {
    if (changed.some((key) => key !== "axes")) drawCloud(svg, table, store);
  });
  svg.addEventListener("click", (event) => store.set({ picked: under(event, svg, table, store) }));
  svg.addEventListener("keydown", (event) => step(event, table, store));
  drawCloud(svg, table, store);
}

/** The design next to the pointer; of several on one place the next one with each click. */
function under(event, svg, table, store) {
  const frame = svg.getBoundingClientRect();
  const scale = frame.width / svg.viewBox.baseVal.width;
  const away = ({ left, top }) => Math.hypot(frame.left + left * scale - event.clientX, frame.top + top * scale - event.clientY);
  const near = placesOf(table, store).filter((dot) => away(dot) < REACH);
  const least = Math.min(...near.map(away));
  const found = near.filter((dot) => away(dot) < least + 1).map((dot) => dot.design);
  return found.length ? found[(found.indexOf(store.state.picked) + 1) % found.length] : null;
}

/** Where the dots of all designs stand that have both figures. */
function placesOf(table, store) {
  const across = table.scale(store.state.x, BOX.left, BOX.right);
  const up = table.scale(store.state.y, BOX.bottom, BOX.top);
  return [...Array(table.count).keys()]
    .map((design) => ({
      design,
      left: across.place(table.value(store.state.x, design)),
      top: up.place(table.value(store.state.y, design)),
    }))
    .filter(({ left, top }) => left !== null && top !== null);
}

/** Arrow keys go through the designs from left to right. */
function step(event, table, store) {
  const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
  if (!way) return;
  event.preventDefault();
  const { x, picked, ranges } = store.state;
  const { rank } = table.scale(x, 0, 1);
  const order = [...Array(table.count).keys()]
    .filter((design) => rank(table.value(x, design)) !== null && table.kept(design, ranges))
    .sort((a, b) => rank(table.value(x, a)) - rank(table.value(x, b)));
  if (!order.length) return;
  const at = order.indexOf(picked);
  const next = at < 0 ? 0 : Math.max(0, Math.min(order.length - 1, at + way));
  store.set({ picked: order[next] });
}

function drawCloud(svg, table, store) {
  const { x, y, picked, ranges } = store.state;
  const across = table.scale(x, BOX.left, BOX.right);
  const up = table.scale(y, BOX.bottom, BOX.top);
  const parts = [...gridOf(across, up), ...titlesOf(table.columns.get(x), table.columns.get(y))];
  const dots = placesOf(table, store).sort((a, b) => (a.design === picked) - (b.design === picked));
  for (const { design, left, top } of dots) parts.push(dotOf(table, design, left, top, picked, ranges));
  svg.replaceChildren(...parts);
}

function dotOf(table, design, left, top, picked, ranges) {
  const names = ["cloud-dot"];
  if (table.best.has(design)) names.push("front");
  if (table.before(design)) names.push("before");
  if (design === picked) names.push("picked");
  if (!table.kept(design, ranges)) names.push("faded");
  const common = { class: names.join(" "), "data-design": design };
  const size = design === picked ? 8 : 5.5;
  const made = table.before(design)
    ? drawn("path", { ...common, d: `M${left - size} ${top - size}l${2 * size} ${2 * size}m0 ${-2 * size}l${-2 * size} ${2 * size}` })
    : drawn("circle", { ...common, cx: left.toFixed(1), cy: top.toFixed(1), r: size });
  made.append(drawn("title", {}, titleOf(table, design)));
  return made;
}

function titleOf(table, design) {
  const inputs = table.drawn.filter((column) => column.kind === "input");
  const told = inputs.map((column) => `${column.name} ${inWords(column, column.values[design])}`);
  return `design ${design + 1}: ${told.join(", ")}`;
}

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

function titlesOf(x, y) {
  return [
    drawn("text", { class: "chart-title", x: BOX.right, y: BOX.bottom + 44, "text-anchor": "end" }, x.name),
    drawn("text", { class: "chart-title", x: 4, y: 12 }, y.name),
  ];
}
