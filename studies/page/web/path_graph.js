// The graphs of a path: a cursor at the step that the view shows, and a click that chooses one.

import { find, findAll } from "./basics.js";

/**
 * Let the graphs of all paths show and choose the step.
 * @param {ParentNode} root
 * @param {ViewStore} store
 * @param {Scene} scene
 */
export function bindPathGraphs(root, store, scene) {
  const graphs = findAll(root, "svg[data-path]", SVGSVGElement);
  for (const svg of graphs)
    svg.addEventListener("click", (event) => {
      const dot = nearestDot(svg, event);
      store.set({ field: stepsField(scene, svg.dataset.path), step: Number(dot.dataset.step) });
    });
  store.on(() => graphs.forEach((svg) => markStep(svg, store.state, stepsField(scene, svg.dataset.path))));
}

/**
 * The field of a case that has steps: its path's.
 * @param {Scene} scene
 * @param {string | undefined} caseId
 * @returns {string | undefined}
 */
function stepsField(scene, caseId) {
  return scene.cases.find(({ id }) => id === caseId)?.fields.find(({ steps }) => steps)?.id;
}

/**
 * @param {SVGSVGElement} svg
 * @returns {SVGElement[]}
 */
function stepDots(svg) {
  return findAll(svg, "[data-step]", SVGElement);
}

/**
 * @param {SVGSVGElement} svg
 * @param {MouseEvent} event
 * @returns {SVGElement}
 */
function nearestDot(svg, event) {
  /** @type {(dot: SVGElement) => number} */
  const away = (dot) => {
    const box = dot.getBoundingClientRect();
    return Math.hypot(box.x + box.width / 2 - event.clientX, box.y + box.height / 2 - event.clientY);
  };
  return stepDots(svg).reduce((best, dot) => (away(dot) < away(best) ? dot : best));
}

/**
 * @param {SVGSVGElement} svg
 * @param {ViewState} state
 * @param {string | undefined} pathField
 */
function markStep(svg, { caseId, field, step }, pathField) {
  const cursor = find(svg, ".step-cursor", SVGElement);
  const dots = stepDots(svg);
  const shown = field === pathField && caseId === svg.dataset.path;
  cursor.style.display = shown ? "" : "none";
  const dot = dots[Math.min(step, dots.length - 1)];
  const line = find(cursor, "line", SVGElement);
  for (const name of ["x1", "x2"]) line.setAttribute(name, dot.getAttribute("cx") ?? "");
  for (const name of ["cx", "cy"])
    find(cursor, "circle", SVGElement).setAttribute(name, dot.getAttribute(name) ?? "");
}
