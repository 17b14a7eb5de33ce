// Where a case's limits lie on the bar: rings on bar and unrolled wall, numbers as on the ladder.

import { find } from "./basics.js";
import { frameOf } from "./camera.js";
import { belowStrip, isShown, stripBox } from "./layout.js";
import { isNeutral } from "./preview.js";
import { dotOf, normalAt, placeAt, stripDot } from "./probing.js";
import { spread } from "./spread.js";
import { aboutTop, TURN, wrapped } from "./sheet.js";
import { dot } from "./vectors.js";

/** Limits as near to each other as this share a ring. */
const TOGETHER_MM = 3;
const TOGETHER = (20 / 360) * TURN;
/** Most rings of a picture: of more the nearest limits. */
const MOST = 6;
/** Width of a number's circle, and of each further number in it. */
const [CIRCLE, MORE, APART] = [20, 11, 4];
/** Both places are as bad where their values differ by less than this. */
const ALIKE = 0.005;

/**
 * The rings of the case that is shown, the nearest limit first; none where the picture shows
 * another load or another bar than the limits are of.
 * @param {View} view
 * @returns {LimitGroup[]}
 */
export function limitGroups(view) {
  if (!isShown(view) || showsAnother(view)) return [];
  const groups = grouped(view.now.packed.marks ?? []);
  for (const group of groups) group.chosen = group.members.some(({ field }) => field === view.field.id);
  return groups.slice(0, MOST);
}

/**
 * Whether other designs, a path, a mode, a cut or the sliders' bar is shown.
 * @param {View} view
 * @returns {boolean}
 */
function showsAnother({ scenes, step, field, store: { state } }) {
  const moved = step !== null || field.shape !== null;
  return moved || scenes.length > 1 || state.cut !== null || !isNeutral(state);
}

/**
 * @param {LimitMark[]} marks
 * @returns {LimitGroup[]}
 */
function grouped(marks) {
  /** @type {LimitGroup[]} */
  const groups = [];
  for (const mark of marks) {
    const beside = groups.find((group) => isBeside(group.members[0], mark));
    if (beside) beside.members.push(mark);
    else groups.push({ members: [mark], chosen: false });
  }
  return groups;
}

/**
 * @param {LimitMark} one
 * @param {LimitMark} other
 * @returns {boolean}
 */
function isBeside(one, other) {
  const turn = Math.abs(aboutTop(wrapped(one.theta_rad - other.theta_rad)));
  return one.surface === other.surface && Math.abs(one.s_mm - other.s_mm) < TOGETHER_MM && turn < TOGETHER;
}

/**
 * What stands in a group's circle.
 * @param {LimitGroup} group
 * @returns {string}
 */
export function numbersOf({ members }) {
  return members.map(({ number }) => number).sort((a, b) => a - b).join(" ");
}

/**
 * The rings of the limits whose field is not shown, on the bar and on the unrolled wall.
 * @param {ShownView} view
 * @param {LimitGroup[]} groups
 * @returns {Word[]}
 */
export function limitRings(view, groups) {
  return groups.filter(({ chosen }) => !chosen).flatMap((group) => {
    const [{ s_mm: s, theta_rad: theta, surface }] = group.members;
    const place = placeAt(view, s, theta, surface);
    if (!place) return [];
    const kind = isHidden(view, place) ? "spot behind" : "spot";
    return [
      { ...dotOf(view, place), text: "", circle: numbersOf(group), kind },
      { ...stripDot(view, place), text: "", kind: "spot flat" },
    ];
  });
}

/**
 * Whether a place looks away from the eye, or lies on the other surface than the one shown.
 * @param {ShownView} view
 * @param {FoundPlace} place
 * @returns {boolean}
 */
export function isHidden(view, place) {
  const away = dot(normalAt(view, place), frameOf(view.camera).towards) < 0;
  return away || place.surface !== view.store.state.surface;
}

/**
 * The place on the other side of the clamp, where it is as bad as the marked one.
 * @param {ShownView} view
 * @param {FoundPlace} place
 * @param {(place: FoundPlace) => number} valueOf
 * @returns {FoundPlace | null}
 */
export function equalMirrored(view, place, valueOf) {
  if (Math.abs(place.s) < TOGETHER_MM) return null;
  const other = placeAt(view, -place.s, place.theta, place.surface);
  const [here, there] = other ? [place, other].map(valueOf) : [1, 0];
  return Math.abs(there - here) < ALIKE * Math.abs(here) ? other : null;
}

/**
 * Put the numbers in a row below the unrolled wall, as buttons that show their limit.
 * @param {View} view
 * @param {LimitGroup[]} groups
 * @returns {string} the lines from the rings to them
 */
export function numberRow(view, groups) {
  const row = find(view.root, ".numbers", HTMLElement);
  const { left, width, bottom } = stripBox(view);
  const sorted = [...groups].sort((a, b) => a.members[0].s_mm - b.members[0].s_mm);
  const widths = sorted.map(({ members }) => CIRCLE + MORE * (members.length - 1) + APART);
  const rings = sorted.map(({ members: [{ s_mm: s, theta_rad: theta }] }) => stripDot(view, { s, theta }));
  const places = spread(rings.map(({ x }) => x), widths, [left, left + width]);
  const top = bottom + belowStrip(view).numbers;
  const key = sorted.map((group) => `${view.store.state.caseId} ${numbersOf(group)}`).join();
  if (row.dataset.key !== key) row.replaceChildren(...sorted.map((group) => buttonOf(view, group)));
  row.dataset.key = key;
  sorted.forEach((group, k) => {
    const button = /** @type {HTMLElement} */ (row.children[k]);
    button.style.transform = `translate(${places[k].toFixed(1)}px, ${top.toFixed(1)}px) translate(-50%, -50%)`;
    button.setAttribute("aria-pressed", String(group.chosen));
  });
  return sorted.map((group, k) => leader(rings[k], { x: places[k], y: top - CIRCLE / 2 }, group)).join("");
}

/**
 * @param {View} view
 * @param {LimitGroup} group
 * @returns {HTMLElement}
 */
function buttonOf(view, group) {
  const button = Object.assign(document.createElement("button"), {
    type: "button",
    className: group.members.some(({ below }) => below) ? "circle below" : "circle",
    textContent: numbersOf(group),
    title: group.members.map(({ number, words }) => `${number}, ${words}`).join("; "),
  });
  button.setAttribute("aria-label", button.title);
  const next = () => group.members[(group.members.findIndex(({ field }) => field === view.store.state.field) + 1) % group.members.length];
  button.addEventListener("click", () => view.store.set({ field: next().field, pin: null }));
  return button;
}

/**
 * Straight down from a ring to the strip's edge, then slanted to its number.
 * @param {Dot} ring
 * @param {Dot} number
 * @param {LimitGroup} group
 * @returns {string}
 */
function leader(ring, number, { chosen }) {
  const kind = chosen ? "leader chosen" : "leader";
  const knee = number.y - 4;
  return `<path class="${kind}" d="M${ring.x.toFixed(1)} ${(ring.y + 6).toFixed(1)}V${knee.toFixed(1)}L${number.x.toFixed(1)} ${number.y.toFixed(1)}"/>`;
}
