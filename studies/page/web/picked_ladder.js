// The limits of the picked design beside those of the baseline, on one ladder.

const LADDER_LOW = 0.5;
const LADDER_HIGH = 30;
const LADDER_EDGES = [0.02, 300];
const MOST_TICKS = 6;
const LADDER_TICKS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200];

/**
 * Let the ladder follow the pick; without one it shows the baseline alone.
 * @param {FindPart} part
 * @param {Table} table
 * @param {SweepStore} store
 */
export function bindPickedLadder(part, table, store) {
  const show = () => part("ladder").replaceChildren(...ladderParts(table, store.state.picked));
  store.on((changed) => changed.includes("picked") && show());
  show();
}

/**
 * @param {Table} table
 * @param {number | null} picked
 * @returns {HTMLElement[]}
 */
function ladderParts(table, picked) {
  const base = table.baseline;
  if (!base || !table.limits.length) return [made("p", "note", "No limits are stored of these designs.")];
  const chosen = picked ?? base.design;
  const words = { own: ", the study file\u2019s own", nearest: ", the nearest to the study file", unknown: "" };
  const beside = `design ${base.design + 1}${words[base.of_study]}`;
  const title = chosen === base.design ? `Limits of ${beside}` : `Limits of design ${chosen + 1} beside ${beside}`;
  const place = ladderAxis(table);
  const grid = made("table", "ladder pair");
  grid.append(made("caption", "", title), ladderHead(place, chosen, base.design), ladderBody(table, place, chosen, base.design));
  return [grid, ladderKey(chosen, base.design)];
}

/**
 * Where a factor stands on an axis that holds all designs, percent.
 * @param {Table} table
 * @returns {(factor: number) => number}
 */
function ladderAxis(table) {
  const every = table.limits.flatMap((one) => one.factors.filter((factor) => factor !== null));
  const low = Math.max(LADDER_EDGES[0], every.reduce((a, b) => Math.min(a, 0.9 * b), LADDER_LOW));
  const high = Math.min(LADDER_EDGES[1], every.reduce((a, b) => Math.max(a, 1.1 * b), LADDER_HIGH));
  return (factor) => {
    const share = Math.log(Math.max(factor, LADDER_EDGES[0]) / low) / Math.log(high / low);
    return 100 * Math.min(1, Math.max(0, share));
  };
}

/**
 * @param {(factor: number) => number} place
 * @param {number} chosen
 * @param {number} base
 * @returns {HTMLElement}
 */
function ladderHead(place, chosen, base) {
  const scale = made("span", "scale");
  scale.setAttribute("aria-hidden", "true");
  const inside = LADDER_TICKS.filter((factor) => place(factor) > 0 && place(factor) < 100);
  for (const factor of inside) {
    const isDecade = Number.isInteger(Math.log10(factor));
    const style = factor === 1 ? "load" : isDecade ? "" : "minor";
    // of a long axis the decades alone have room
    if (isDecade || inside.length <= MOST_TICKS) scale.append(placed(made("span", style, String(factor)), place(factor)));
  }
  const row = made("tr", "");
  const axis = made("th", "axis");
  axis.append(scale);
  const heads = chosen === base ? [chosen] : [chosen, base];
  row.append(made("th", "", "Limits, nearest first"), axis, ...heads.map((design) => made("th", "n", `${design + 1}`)));
  row.querySelectorAll("th").forEach((cell) => cell.setAttribute("scope", "col"));
  const head = made("thead", "");
  head.append(row);
  return head;
}

/**
 * @param {Table} table
 * @param {(factor: number) => number} place
 * @param {number} chosen
 * @param {number} base
 * @returns {HTMLElement}
 */
function ladderBody(table, place, chosen, base) {
  const body = made("tbody", "");
  const rank = (/** @type {SweepLimit} */ one) => one.factors[chosen] ?? Infinity;
  for (const one of [...table.limits].sort((a, b) => rank(a) - rank(b))) {
    const name = made("th", "");
    name.setAttribute("scope", "row");
    const of = one.cases[chosen];
    const small = made("small", "", of === null ? one.gloss : table.cases[of]);
    name.append(`${one.name[0].toUpperCase()}${one.name.slice(1)}`, titled(small, one.gloss));
    const axis = made("td", "axis");
    axis.append(ladderRail(one, place, chosen, base));
    const row = made("tr", "");
    row.append(name, axis, factorCell(one, chosen));
    if (chosen !== base) row.append(factorCell(one, base));
    body.append(row);
  }
  return body;
}

/**
 * @param {SweepLimit} one
 * @param {number} design
 * @returns {HTMLElement}
 */
function factorCell(one, design) {
  const factor = one.factors[design];
  if (factor === null) return made("td", "n", "\u2013");
  const cell = made("td", factor < 1 ? "n below" : "n");
  cell.append(made("b", "", numberOf(factor)));
  const middle = one.middles[design];
  if (middle !== null) cell.append(made("small", "", `middle ${numberOf(middle)}`));
  return cell;
}

/** @type {(factor: number) => string} */
const numberOf = (factor) => factor.toFixed(factor < 10 ? 2 : 1);

/**
 * The marks of both designs, and from where to where all designs reach.
 * @param {SweepLimit} one
 * @param {(factor: number) => number} place
 * @param {number} chosen
 * @param {number} base
 * @returns {HTMLElement}
 */
function ladderRail(one, place, chosen, base) {
  const rail = made("span", "rail");
  rail.setAttribute("aria-hidden", "true");
  const under = made("span", "under");
  under.style.width = `${place(1)}%`;
  rail.append(under, placed(made("span", "load"), place(1)));
  const every = one.factors.filter((factor) => factor !== null);
  const [low, high] = [Math.min(...every), Math.max(...every)].map(place);
  rail.append(spanning(made("span", "reach"), low, high));
  const marks = chosen === base ? [[chosen, "full"]] : [[base, "open"], [chosen, "full"]];
  for (const [design, fill] of marks) {
    const factor = one.factors[Number(design)];
    if (factor === null) continue;
    const middle = one.middles[Number(design)];
    if (middle !== null && fill === "full") rail.append(spanning(made("span", "whisker"), place(factor), place(middle)));
    const mark = made("span", "at");
    mark.append(made("span", `fill ${fill}`));
    rail.append(placed(mark, place(factor)));
  }
  return rail;
}

/**
 * @param {number} chosen
 * @param {number} base
 * @returns {HTMLElement}
 */
function ladderKey(chosen, base) {
  const key = made("p", "note ladder-key");
  key.append(made("span", "fill full"), ` design ${chosen + 1}`);
  if (chosen !== base) key.append(", ", made("span", "fill open"), ` design ${base + 1}`);
  key.append("; low end of a range, line up to its middle. ", made("span", "reach-key"), " all designs. Tinted: below the load.");
  return key;
}

/** @type {(element: HTMLElement, at: number) => HTMLElement} */
function placed(element, at) {
  element.style.left = `${at.toFixed(2)}%`;
  return element;
}

/** @type {(element: HTMLElement, from: number, to: number) => HTMLElement} */
function spanning(element, from, to) {
  element.style.width = `${Math.max(0, to - from).toFixed(2)}%`;
  return placed(element, from);
}

/** @type {(element: HTMLElement, text: string) => HTMLElement} */
function titled(element, text) {
  element.title = text;
  return element;
}

/** @type {(name: string, style: string, text?: string) => HTMLElement} */
function made(name, style, text) {
  const element = document.createElement(name);
  if (style) element.className = style;
  if (text !== undefined) element.textContent = text;
  return element;
}
