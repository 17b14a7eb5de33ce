// The sliders of wall and load, and the figures that follow them.

import { find, findAll, shellWord } from "./basics.js";
import { written } from "./fields.js";
import { governingAt, grown, isNeutral, limitAt, termsAt } from "./preview.js";

/**
 * Bind the preview's part of the page to the store, where the page has one.
 * @param {ViewStore} store
 * @param {Preview} preview
 */
export function bindPreview(store, preview) {
  const root = find(document, ".view3d", HTMLElement);
  const walls = findAll(root, "[data-wall]", HTMLInputElement);
  const load = find(root, "[data-load]", HTMLInputElement);
  const together = root.querySelector("[data-together]");
  const chosen = () => walls.map((one) => Number(one.value));
  for (const one of walls)
    one.addEventListener("input", () => {
      const all = together instanceof HTMLInputElement && together.checked;
      if (all) for (const other of walls) other.value = one.value;
      store.set({ walls: chosen() });
    });
  load.addEventListener("input", () => store.set({ load: Number(load.value) }));
  find(root, "[data-neutral]", HTMLElement).addEventListener("click", () => {
    for (const one of [...walls, load]) one.value = "1";
    store.set({ walls: walls.map(() => 1), load: 1 });
  });
  const show = () => showPreview(root, store.state, preview);
  store.on((changed) => ["walls", "load", "caseId"].some((key) => changed.includes(key)) && show());
  show();
}

/**
 * @param {HTMLElement} root
 * @param {ViewState} state
 * @param {Preview} preview
 */
function showPreview(root, state, preview) {
  const terms = termsAt(preview, state.walls);
  preview.groups.forEach((group, k) => {
    find(root, `[data-wall-words="${k}"]`, HTMLElement).textContent = wallWords(group, state.walls[k]);
  });
  find(root, "[data-load-words]", HTMLElement).textContent = `x ${state.load.toFixed(2)}`;
  find(root, "[data-preview-words]", HTMLElement).textContent = sentence(preview, state, terms);
  find(root, "[data-preview-command]", HTMLElement).textContent = command(preview, state);
  const rows = rowsOf(preview, state, terms).map(rowElement);
  find(root, "[data-preview-rows]", HTMLElement).replaceChildren(...rows);
  root.classList.toggle("moved", !isNeutral(state));
  const tag = root.closest("details")?.querySelector("[data-moved]");
  if (tag) tag.textContent = isNeutral(state) ? "" : "moved: the picture is not that of the run";
}

/**
 * @param {PreviewGroup} group
 * @param {number} factor
 * @returns {string}
 */
function wallWords({ walls_mm: walls }, factor) {
  const ends = [Math.min(...walls), Math.max(...walls)].map((wall) => (wall * factor).toFixed(2));
  return `x ${factor.toFixed(2)}: ${ends[0] === ends[1] ? ends[0] : ends.join(" to ")} mm`;
}

/**
 * What governs at these walls and this load, and whether that is another limit than in the run.
 * @param {Preview} preview
 * @param {ViewState} state
 * @param {number[]} terms
 * @returns {string}
 */
function sentence(preview, state, terms) {
  const before = governingAt(preview, termsAt(preview, state.walls.map(() => 1)), 1);
  const now = governingAt(preview, terms, state.load);
  if (!before || !now) return "No limit follows.";
  const words = `Governing: ${limitWords(now)}`;
  if (isNeutral(state)) return `${words}. As in the run.`;
  const other = now.limit !== before.limit;
  const moved = now.place !== before.place && now.place ? ` It was at ${before.place}.` : "";
  const lost = preview.cases.flatMap(({ title, limits }) =>
    limits.filter(({ follow, range }) => !follow && range[0] / state.load < 3 * now.range[0])
      .map(({ name }) => `${name} of '${title}'`));
  const still = lost.length ? ` Does not follow, and may come first: ${lost.join("; ")}.` : "";
  return `${words}.${other ? ` In the run: ${limitWords(before)}.` : moved}${still}`;
}

/**
 * @param {GoverningLimit} one
 * @returns {string}
 */
function limitWords({ limit, range, place, title }) {
  return `${limit.name} ${rangeWords(range)} x load of '${title}'${place ? `, ${place}` : ""}`;
}

/** @type {(range: number[]) => string} */
const rangeWords = (range) => {
  const ends = range.length === 1 ? range : [range[0], range[range.length - 1]];
  return ends.map((end) => end.toFixed(2)).join(" to ");
};

/**
 * The command that computes these walls by themselves.
 * @param {Preview} preview
 * @param {ViewState} state
 * @returns {string}
 */
function command(preview, state) {
  const settings = preview.groups.flatMap(({ paths }, k) =>
    state.walls[k] === 1 ? [] : paths.map((path) => `--set ${shellWord(`${path}*=${state.walls[k]}`)}`));
  return [preview.command, ...settings].join(" ");
}

/**
 * The figures of the bar and of the chosen case: as printed, and as they follow.
 * @param {Preview} preview
 * @param {ViewState} state
 * @param {number[]} terms
 * @returns {PreviewRow[]}
 */
function rowsOf(preview, state, terms) {
  const one = preview.cases.find(({ id }) => id === state.caseId) ?? preview.cases[0];
  /** @type {(name: string, figure: PreviewFigure, decimals: number, load: number) => PreviewRow} */
  const figure = (name, { value, ...follow }, decimals, load) => {
    const { ratio, part } = grown(follow, terms);
    const now = value * ratio * load;
    return {
      name, before: value.toFixed(decimals), now: now.toFixed(decimals),
      change: ratio * load - 1, place: part.place, error: follow.error,
    };
  };
  const rows = [figure("Mass, g", preview.mass, 0, 1)];
  rows.push(figure("Deflection, mm", one.deflection, 2, state.load));
  if (one.stiffness) rows.push(figure("Stiffness, N/mm", one.stiffness, 1, 1));
  if (one.peak) rows.push(figure("Peak stress, MPa", one.peak, 0, state.load));
  rows.push(...one.limits.map((limit) => limitRow(limit, terms, state.load)));
  if (preview.together) {
    const limit = { ...preview.together, name: "all repeated loads combined", place: "", verified: false };
    rows.push(limitRow({ ...limit, follow: preview.together }, terms, state.load));
  }
  return rows;
}

/**
 * @param {PreviewLimit} limit
 * @param {number[]} terms
 * @param {number} load
 * @returns {PreviewRow}
 */
function limitRow(limit, terms, load) {
  const before = rangeWords(limit.range);
  const now = limitAt(limit, terms, load);
  const name = `${limit.name}, x load`;
  if (!now) return { name, before, now: "", change: null, place: "does not follow", error: null };
  const change = now.range[0] / limit.range[0] - 1;
  return { name, before, now: rangeWords(now.range), change, place: now.place, error: now.error };
}

/**
 * @param {PreviewRow} row
 * @returns {HTMLElement}
 */
function rowElement({ name, before, now, change, place, error }) {
  const row = document.createElement("tr");
  if (change === null) row.className = "still";
  const head = Object.assign(document.createElement("th"), { scope: "row", textContent: name });
  const moved = change === null || Math.abs(change) < 5e-4 ? "" : `${change > 0 ? "+" : "\u2212"}${Math.abs(100 * change).toFixed(1)} %`;
  const off = error === null ? "" : error < 0.1 ? "< 0.1 %" : `${written(error, 2)} %`;
  /** @type {(text: string, kind: string) => HTMLElement} */
  const cell = (text, kind) => Object.assign(document.createElement("td"), { textContent: text, className: kind });
  row.append(head, cell(before, "n"), cell(now, "n now"), cell(moved, "n"), cell(off, "n"), cell(place, ""));
  return row;
}
