// A view on paper: drawn for the size it has there, so that words and rings stay at their places.

import { fitViews } from "./view.js";

/** Of the view on paper, in dots of the page, as in first.css; between A4's width and Letter's. */
const PAPER = { width: "690px", height: "250px" };

/**
 * Draw the view at its size on paper before it is printed, and at its own again afterwards.
 * @param {View} view
 */
export function drawForPaper(view) {
  const { root, camera } = view;
  /** @type {Camera | null} */
  let before = null;
  addEventListener("beforeprint", () => {
    before = { ...camera };
    Object.assign(root.style, PAPER);
    fitViews([view]);
  });
  addEventListener("afterprint", () => {
    Object.assign(root.style, { width: "", height: "" });
    if (before) Object.assign(camera, before);
    before = null;
  });
}
