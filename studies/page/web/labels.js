// Labels and marks over a picture: loads, the peak, marked places, the names along the strip.

import { isReaction } from "./arrows.js";
import { find } from "./basics.js";
import { written } from "./fields.js";
import { separate } from "./label_layout.js";
import { belowStrip, isShown, keptRange, solidSize, stripBox } from "./layout.js";
import { equalMirrored, isHidden, limitGroups, limitRings, numberRow, numbersOf } from "./limit_marks.js";
import { grown, isNeutral, termsAt } from "./preview.js";
import { dotOf, onCanvas, placeAt, reading, stripDot } from "./probing.js";
import { rulerOf } from "./ruler.js";
import { minus, scaled } from "./vectors.js";

/** Height of the strip from which on there is room for the name of its middle, in dots. */
const LEAST_FOR_TOP = 44;
/** About so many points of the bar are kept free of words. */
const BAR_DOTS = 600;

/**
 * Put the words over the picture: loads, peak, marked place, and the strip's own.
 * @param {View} view
 */
export function words(view) {
  const layer = find(view.root, ".words", HTMLElement);
  /** @type {Word[]} */
  const parts = [];
  const groups = limitGroups(view);
  if (isShown(view)) {
    for (const arrow of view.arrows) {
      const back = minus(arrow.tip, scaled(arrow.direction, arrow.size * 1.12));
      parts.push({ ...onCanvas(view, back), text: loadWords(arrow, view.step?.factor ?? loadNow(view)), kind: isReaction(arrow) ? "load reaction" : "load" });
    }
    parts.push(...marked(view, groups), ...limitRings(view, groups), ...ends(view), ...stripWords(view));
  }
  // few and short: made anew each time
  layer.replaceChildren(...parts.map(wordOf));
  const leaders = separate(layer, solidSize(view), barDots(view)) + numberRow(view, groups);
  if (isShown(view)) layer.prepend(rulerOf(view, leaders));
}

/**
 * Some points of the outer surface as drawn.
 * @param {View} view
 * @returns {Dot[]}
 */
function barDots(view) {
  const place = view.faces[0]?.place ?? [];
  const every = 3 * Math.ceil(place.length / 3 / BAR_DOTS);
  return Array.from({ length: Math.floor(place.length / every) || 0 }, (_, k) =>
    onCanvas(view, [...place.slice(k * every, k * every + 3)]),
  );
}

/**
 * The multiple of the case's load that is shown; of a buckling mode there is none.
 * @param {ShownView} view
 * @returns {number}
 */
function loadNow({ preview, store }) {
  return preview ? store.state.load : 1;
}

/**
 * @param {Word} word
 * @returns {HTMLElement}
 */
function wordOf({ x, y, text, kind, circle, second }) {
  const word = document.createElement("span");
  word.className = `word ${kind}`;
  word.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
  const inner = document.createElement("span");
  if (circle) inner.append(elementOf("b", "circle", circle));
  inner.append(text);
  if (second) inner.append(elementOf("small", "", second));
  word.append(inner);
  return word;
}

/**
 * @param {string} tag
 * @param {string} className
 * @param {string} textContent
 * @returns {HTMLElement}
 */
function elementOf(tag, className, textContent) {
  return Object.assign(document.createElement(tag), { className, textContent });
}

/**
 * @param {Arrow} arrow
 * @param {number} times
 * @returns {string}
 */
function loadWords({ load, heads }, times) {
  const what = load.name ? `${load.name} ` : "";
  if (heads === 2) return `${what}${written((times * Math.hypot(...load.moment_nmm)) / 1000)} N·m`;
  return `${what}${Math.round(times * Math.hypot(...load.force_n))} N`;
}

/**
 * @param {ShownView} view
 * @param {LimitGroup[]} groups
 * @returns {Word[]}
 */
function marked(view, groups) {
  const { hover, pin, cut } = view.store.state;
  const found = markedPeak(view, groups.find(({ chosen }) => chosen));
  for (const { place, kind, flat } of [
    { place: pin, kind: "ring pinned", flat: "ring" },
    { place: hover, kind: "cross", flat: "cross" },
  ]) {
    const here = place && placeAt(view, place.s, place.theta, place.surface);
    if (!here) continue;
    found.push({ ...dotOf(view, here), text: valueText(view, here, kind), kind });
    found.push({ ...stripDot(view, here), text: "", kind: flat });
  }
  if (cut !== null) found.push({ ...stripDot(view, { s: cut, theta: 0 }), text: "", kind: "cutline" });
  return found;
}

/**
 * The peak's mark, where there is one and no cut takes it away.
 *
 * @param {ShownView} view
 * @param {LimitGroup | undefined} group of the limit that is shown
 * @returns {Word[]}
 */
function markedPeak(view, group) {
  const [low, high] = keptRange(view);
  const peak = peakOf(view);
  if (!peak || peak.s_mm < low || peak.s_mm > high) return [];
  const place = placeAt(view, peak.s_mm, peak.theta_rad, peak.surface);
  if (!place) return [];
  const word = { ...dotOf(view, place), text: peak.text, kind: isHidden(view, place) ? "ring behind" : "ring" };
  return group ? governing(view, place, word, group) : [word];
}

/**
 * The mark of the limit that is shown: number, utilisation and factor, and its equal on the other side.
 * @param {ShownView} view
 * @param {FoundPlace} place
 * @param {Word} word
 * @param {LimitGroup} group
 * @returns {Word[]}
 */
function governing(view, place, word, group) {
  const shown = group.members.find(({ field }) => field === view.field.id);
  const kind = `${word.kind} governing${shown?.below ? " below-load" : ""}`;
  const equal = equalMirrored(view, place, (one) => reading(view, one).value);
  return [
    { ...word, kind, circle: numbersOf(group), second: shown?.reached },
    { ...stripDot(view, place), text: "", kind: `${kind.replace("ring", "spot")} flat` },
    ...(equal ? [dotOf(view, equal), stripDot(view, equal)].map((at) => ({ ...at, text: "", kind: "spot equal" })) : []),
  ];
}

/**
 * The reported peak of what is shown: by its own rule, so it need not be the largest colour.
 * @param {ShownView} view
 * @returns {(MarkedPlace & { text: string }) | null}
 */
function peakOf(view) {
  const { unit } = view.field;
  if (view.step) {
    const { peak } = view.step;
    return peak && { ...peak, text: `averaged peak ${written(peak.value, 3)} ${unit}` };
  }
  const peak = previewPeak(view) ?? view.field.peak;
  // where a limit moves to and how near it comes, the sliders' table says
  if (!peak || (!view.field.unit && !isNeutral(view.store.state))) return null;
  const what = unit ? "peak" : "utilisation";
  return { ...peak, text: `${what} ${written(peak.value, 3)} ${unit}`.trim() };
}

/**
 * The peak at the walls and the load of the preview, null where it is that of the run.
 * @param {ShownView} view
 * @returns {MarkedPlace | null}
 */
function previewPeak({ field, preview, store: { state } }) {
  const one = preview?.preview.cases.find(({ id }) => id === state.caseId);
  if (!preview || !field.peak || !field.unit || !one?.peak || isNeutral(state)) return null;
  const { ratio, part } = grown(one.peak, termsAt(preview.preview, state.walls));
  return { ...field.peak, ...part.at, value: field.peak.value * ratio * state.load };
}

/**
 * The value at a marked place; at the pointer only where it cannot be read elsewhere at once.
 * @param {ShownView} view
 * @param {FoundPlace} place
 * @param {string} kind
 * @returns {string}
 */
function valueText(view, place, kind) {
  const single = view.scenes.length === 1;
  return kind === "cross" && single ? "" : written(reading(view, place).value);
}

/**
 * @param {View} view
 * @returns {Word[]}
 */
function ends(view) {
  const [low, high] = view.scene.ends_mm;
  return [{ s: low, text: "left" }, { s: high, text: "right" }].map(({ s, text }) => {
    const place = placeAt(view, s, Math.PI, "outer");
    return place ? { ...dotOf(view, place), text, kind: "end" } : { x: -99, y: -99, text, kind: "end" };
  });
}

/**
 * @param {View} view
 * @returns {Word[]}
 */
function stripWords(view) {
  const [from, to] = view.scene.clamp_mm;
  const middle = from < to ? "clamp centre" : "middle";
  const { left, width, height, bottom } = stripBox(view);
  const below = belowStrip(view);
  const sides = [
    { text: "front", turn: 0.25 },
    { text: "rear", turn: -0.25 },
    ...(height > LEAST_FOR_TOP ? [{ text: "top", turn: 0 }] : []),
  ];
  return [
    ...sides.map(({ text, turn }) => ({
      x: left - 6, y: bottom - height * (0.5 + turn), text, kind: "side",
    })),
    { x: left - 8, y: bottom + below.line, text: "left", kind: "side" },
    { x: left + width + 8, y: bottom + below.line, text: "right", kind: "side right" },
    { x: left + width / 2, y: bottom + below.words, text: `mm along the tube from the ${middle}`, kind: "foot" },
  ];
}
