// Drawings in dots of the screen: drawn anew at another width, so that their words keep their size.

/**
 * Draw now, and whenever the width of the drawing's frame changes.
 * @param {SVGSVGElement} svg
 * @param {(width: number) => number} heightOf
 * @param {() => void} draw
 * @returns {() => void} Draws again.
 */
export function drawnToWidth(svg, heightOf, draw) {
  let width = 0;
  const fit = () => {
    const room = Math.round(svg.parentElement?.clientWidth ?? 0);
    if (!room || room === width) return;
    width = room;
    svg.setAttribute("viewBox", `0 0 ${width} ${heightOf(width)}`);
    draw();
  };
  new ResizeObserver(fit).observe(svg.parentElement ?? svg);
  fit();
  return () => (width ? draw() : fit());
}

/**
 * The field of a plot between its axes.
 * @param {SVGSVGElement} svg
 * @param {{ left: number, right: number, top: number, bottom: number }} margins
 * @returns {Box}
 */
export function fieldOf(svg, margins) {
  const { width, height } = svg.viewBox.baseVal;
  return {
    left: margins.left,
    right: Math.max(margins.left + 1, width - margins.right),
    top: margins.top,
    bottom: Math.max(margins.top + 1, height - margins.bottom),
  };
}
