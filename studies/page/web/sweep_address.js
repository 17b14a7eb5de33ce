// What of a sweep is chosen, picked and kept, as its address holds it.

import { onAddress, readAddress, writeAddress } from "./address.js";

/**
 * What the page shows where its address says nothing.
 * @param {Table} table
 * @returns {SweepState}
 */
function usualState(table) {
  const { x, y, axes } = table.first;
  return { x, y, colour: "", axes, ranges: {}, picked: null };
}

/**
 * What the address says; what names no column and no design is passed over.
 * @param {Table} table
 * @returns {SweepState}
 */
export function stateOfAddress(table) {
  const said = readAddress();
  const usual = usualState(table);
  /** @type {(name: string, usually: string) => string} */
  const column = (name, usually) => knownKey(table, said.get(name)) ?? usually;
  const design = Number(said.get("design")) - 1;
  const axes = table.drawn.map((one) => one.key).filter((key) => said.getAll("axis").includes(key));
  return {
    x: column("x", usual.x),
    y: column("y", usual.y),
    colour: column("colour", usual.colour),
    axes: axes.length ? axes : usual.axes,
    ranges: Object.fromEntries(said.getAll("keep").flatMap((text) => rangeOf(table, text))),
    picked: Number.isInteger(design) && design >= 0 && design < table.count ? design : null,
  };
}

/**
 * @param {Table} table
 * @param {string | null} key
 * @returns {string | undefined}
 */
const knownKey = (table, key) => table.drawn.map((one) => one.key).find((one) => one === key);

/**
 * A kept range: the column, from and to, parted by colons; an end may be empty.
 * @param {Table} table
 * @param {string} text
 * @returns {[string, Interval][]}
 */
function rangeOf(table, text) {
  const found = /^(.*):([^:]*):([^:]*)$/s.exec(text);
  const key = found ? knownKey(table, found[1]) : undefined;
  if (!found || key === undefined) return [];
  const low = found[2] === "" ? -Infinity : Number(found[2]);
  const high = found[3] === "" ? Infinity : Number(found[3]);
  return low <= high ? [[key, [low, high]]] : [];
}

/**
 * Keep in the address what differs from the usual, and follow an address that is changed.
 * @param {Table} table
 * @param {SweepStore} store
 */
export function bindSweepAddress(table, store) {
  const usual = usualState(table);
  store.on(() => {
    const { x, y, colour, axes, ranges, picked } = store.state;
    /** @type {(end: number) => string} */
    const end = (at) => (Number.isFinite(at) ? String(Number(at.toPrecision(6))) : "");
    const kept = Object.entries(ranges).map(([key, [low, high]]) => ["keep", `${key}:${end(low)}:${end(high)}`]);
    const shown = axes.join() === usual.axes.join() ? [] : axes.map((key) => ["axis", key]);
    writeAddress([
      ["x", x === usual.x ? "" : x],
      ["y", y === usual.y ? "" : y],
      ["colour", colour],
      ["design", picked === null ? "" : String(picked + 1)],
      ...kept,
      ...shown,
    ]);
  });
  onAddress(() => store.set(stateOfAddress(table)));
}
