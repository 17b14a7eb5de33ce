// The picked design: its row in words, the command that runs it, its rows in the tables.

import { findAll, shellWord } from "./basics.js";
import { inWords } from "./table.js";

/**
 * Let the pick be seen, set by number or by a table's button, and dropped.
 * @param {FindPart} part
 * @param {Table} table
 * @param {SweepStore} store
 */
export function bindPick(part, table, store) {
  const number = part("number");
  number.addEventListener("change", () => {
    const design = Number(number.value) - 1;
    const known = Number.isInteger(design) && design >= 0 && design < table.count;
    store.set({ picked: known ? design : null });
  });
  part("drop").addEventListener("click", () => store.set({ picked: null }));
  for (const button of findAll(document, "[data-pick]", HTMLElement))
    button.addEventListener("click", () => store.set({ picked: Number(button.dataset.pick) }));
  store.on((changed) => changed.includes("picked") && showPick(part, table, store.state.picked));
  showPick(part, table, store.state.picked);
}

/**
 * @param {FindPart} part
 * @param {Table} table
 * @param {number | null} picked
 */
function showPick(part, table, picked) {
  part("number").value = picked === null ? "" : String(picked + 1);
  for (const button of findAll(document, "[data-pick]", HTMLElement))
    button.setAttribute("aria-pressed", String(Number(button.dataset.pick) === picked));
  for (const row of findAll(document, "tr[data-design]", HTMLElement))
    row.classList.toggle("picked", Number(row.dataset.design) === picked);
  part("picked").replaceChildren(...(picked === null ? [hint()] : pickedParts(table, picked)));
}

/** @returns {HTMLElement} */
function hint() {
  return Object.assign(document.createElement("p"), { textContent: "No design is picked." });
}

/**
 * @param {Table} table
 * @param {number} design
 * @returns {HTMLElement[]}
 */
function pickedParts(table, design) {
  const head = Object.assign(document.createElement("h3"), { textContent: `Design ${design + 1}` });
  const columns = [...table.columns.values()].filter((column) => column.key !== "design" && column.values[design] !== null);
  const first = columns.filter((column) => column.kind !== "figure" || !column.key.includes("/"));
  const run = document.createElement("p");
  run.append("Run it by itself: ", Object.assign(document.createElement("code"), { textContent: commandOf(table, design) }));
  const rest = document.createElement("details");
  rest.append(Object.assign(document.createElement("summary"), { textContent: "Figures of each case" }));
  rest.append(pairsOf(columns.filter((column) => !first.includes(column)), design));
  return [head, pairsOf(first, design), run, ...(columns.length > first.length ? [rest] : [])];
}

/**
 * @param {Column[]} columns
 * @param {number} design
 * @returns {HTMLElement}
 */
function pairsOf(columns, design) {
  const list = document.createElement("dl");
  list.className = "pairs";
  for (const column of columns) {
    const pair = document.createElement("div");
    pair.append(
      Object.assign(document.createElement("dt"), { textContent: column.name }),
      Object.assign(document.createElement("dd"), { textContent: inWords(column, column.values[design]) }),
    );
    list.append(pair);
  }
  return list;
}

/**
 * The command line that computes a design by itself.
 * @param {Table} table
 * @param {number} design
 * @returns {string}
 */
function commandOf(table, design) {
  const inputs = [...table.columns.values()].filter((column) => column.kind === "input");
  const settings = inputs.map((column) => `--set ${shellWord(`${column.set}${column.values[design]}`)}`);
  return `barwright run ${shellWord(table.file)} ${settings.join(" ")}`;
}
