// One cursor over all charts and maps of a page, linked with the views.

import { find, findAll } from "./basics.js";
import { onRuler } from "./places.js";
import { TURN, wrapped } from "./sheet.js";

/**
 * Let charts show and set the place along the bar.
 * @param {ParentNode} root
 * @param {ViewStore} store
 * @param {Span} scene
 * @param {Record<string, CaseNumbers>} numbers
 */
export function bindCharts(root, store, scene, numbers) {
  const [low, high] = scene.ends_mm;
  const charts = findAll(root, "svg[data-along]", SVGSVGElement);
  for (const svg of charts) {
    svg.addEventListener("pointermove", (event) => {
      const frame = svg.getBoundingClientRect();
      const s = low + ((event.clientX - frame.left) / frame.width) * (high - low);
      if (s < low || s > high) return store.set({ hover: null });
      store.set({ hover: { s, theta: thetaIn(svg, event, store), surface: store.state.surface } });
    });
    svg.addEventListener("pointerleave", () => store.set({ hover: null }));
  }
  store.on((changed) => {
    if (changed.includes("hover") || changed.includes("pin") || changed.includes("caseId"))
      moveCursor(charts, store, scene, numbers);
  });
}

/**
 * On a map the height is an angle; on a chart the last angle, or the top, is kept.
 * @param {SVGSVGElement} svg
 * @param {PointerEvent} event
 * @param {ViewStore} store
 * @returns {number}
 */
function thetaIn(svg, event, store) {
  const map = event.target instanceof Element && event.target.closest("image");
  if (!map) return (store.state.pin || { theta: 0 }).theta;
  const frame = map.getBoundingClientRect();
  const turn = 0.5 - (event.clientY - frame.top) / frame.height;
  return wrapped(turn * TURN);
}

/**
 * @param {SVGSVGElement[]} charts
 * @param {ViewStore} store
 * @param {Span} scene
 * @param {Record<string, CaseNumbers>} numbers
 */
function moveCursor(charts, store, scene, numbers) {
  const place = store.state.hover || store.state.pin;
  const [low, high] = scene.ends_mm;
  for (const svg of charts) {
    const line = find(svg, ".cursor", SVGElement);
    line.style.display = place ? "" : "none";
    if (!place) continue;
    const x = `${(100 * (place.s - low)) / (high - low)}%`;
    line.setAttribute("x1", x);
    line.setAttribute("x2", x);
  }
  const found = numbers[store.state.caseId];
  const out = document.querySelector(`[data-case="${CSS.escape(store.state.caseId)}"] .along-reading`);
  if (out && found) out.textContent = place ? readings(found, place.s) : "";
}

/**
 * All numbers of a case at a place along the bar, interpolated.
 * @param {CaseNumbers} found
 * @param {number} s
 * @returns {string}
 */
function readings(found, s) {
  const places = found.s_mm;
  let k = places.findIndex((at) => at > s);
  if (k < 0) k = places.length - 1;
  if (k === 0) k = 1;
  const share = Math.max(0, Math.min(1, (s - places[k - 1]) / (places[k] - places[k - 1])));
  const parts = Object.entries(found.columns).map(([name, values]) => {
    const value = (1 - share) * values[k - 1] + share * values[k];
    return `${name}: ${value.toFixed(Math.abs(value) < 10 ? 2 : 0).replace("-", "\u2212")}`;
  });
  return `${onRuler(s, 1)}: ${parts.join("; ")}`;
}
