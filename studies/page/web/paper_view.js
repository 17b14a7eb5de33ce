// A view on paper: drawn for the size it has there, so that words and rings stay at their places.
// A browser may print what the canvas held before, at that size: so a copy lies over it.

import { fitViews } from "./view.js";

/** Of the view on paper, in dots of the page, as in first.css; between A4's width and Letter's. */
const PAPER = { width: "690px", height: "180px" };

/**
 * Draw the view at its size on paper before it is printed, and at its own again afterwards.
 * @param {View} view
 */
export function drawForPaper(view) {
  const { root, camera } = view;
  /** @type {Camera | null} */
  let before = null;
  const copy = document.createElement("canvas");
  copy.className = "printed";
  addEventListener("beforeprint", () => {
    before = { ...camera };
    Object.assign(root.style, PAPER);
    fitViews([view]);
    copyOf(view.canvas, copy);
    view.canvas.after(copy);
  });
  addEventListener("afterprint", () => {
    Object.assign(root.style, { width: "", height: "" });
    copy.remove();
    if (before) Object.assign(camera, before);
    before = null;
  });
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {HTMLCanvasElement} copy
 */
function copyOf(canvas, copy) {
  Object.assign(copy, { width: canvas.width, height: canvas.height });
  const drawing = copy.getContext("2d");
  if (!drawing) return;
  drawing.fillStyle = getComputedStyle(document.body).backgroundColor;
  drawing.fillRect(0, 0, copy.width, copy.height);
  drawing.drawImage(canvas, 0, 0);
}
