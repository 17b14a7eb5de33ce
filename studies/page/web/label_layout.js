// Where the labels of marked places stand: beside their mark, over no other label and no other mark.

import { find, findAll } from "./basics.js";

const ASIDE = 14;
const MARK = 9;
/** Of a label's middle below its mark, in lines; the preferred first. */
const LINES_DOWN = [-1, 1, 0, -2.2, 2.2, -3.4, 3.4];

/**
 * Move the labels of marked places, the first marked first, off each other and off all others.
 * @param {HTMLElement} layer
 */
export function separate(layer) {
  const labels = findAll(layer, ".ring, .cross", HTMLElement).filter((word) => word.textContent);
  if (!labels.length) return;
  const frame = layer.getBoundingClientRect();
  const others = findAll(layer, ".word:not(.ring):not(.cross) span", HTMLElement);
  const taken = others.map((span) => span.getBoundingClientRect());
  const marks = findAll(layer, ".ring, .cross", HTMLElement).map(markBox);
  for (const word of labels) {
    const span = find(word, "span", HTMLElement);
    const boxes = boxesBeside(word.getBoundingClientRect(), span.getBoundingClientRect());
    const best = leastCovered(boxes, [...taken, ...marks], frame);
    const at = word.getBoundingClientRect();
    span.style.transform = `translate(${best.left - at.left}px, ${best.top - at.top}px)`;
    taken.push(best);
  }
}

/**
 * @param {HTMLElement} word
 * @returns {DOMRect}
 */
function markBox(word) {
  const { left, top } = word.getBoundingClientRect();
  return new DOMRect(left - MARK, top - MARK, 2 * MARK, 2 * MARK);
}

/**
 * The boxes of a label's size to the right and left of a mark, the preferred first.
 * @param {DOMRect} mark
 * @param {DOMRect} size
 * @returns {DOMRect[]}
 */
function boxesBeside(mark, { width, height }) {
  return LINES_DOWN.flatMap((lines) =>
    [ASIDE, -ASIDE - width].map(
      (aside) => new DOMRect(mark.left + aside, mark.top + (lines - 0.5) * height, width, height),
    ),
  );
}

/**
 * The first of the boxes that cover least; what leaves the frame is worst.
 * @param {DOMRect[]} boxes
 * @param {DOMRect[]} taken
 * @param {DOMRect} frame
 * @returns {DOMRect}
 */
function leastCovered(boxes, taken, frame) {
  /** @type {(box: DOMRect) => number} */
  const cost = (box) => {
    const inside = sharedArea(box, frame);
    const covered = taken.reduce((sum, other) => sum + sharedArea(box, other), 0);
    return 2 * (box.width * box.height - inside) + covered;
  };
  return boxes.reduce((best, box) => (cost(box) < cost(best) - 0.5 ? box : best));
}

/**
 * @param {DOMRect} a
 * @param {DOMRect} b
 * @returns {number}
 */
function sharedArea(a, b) {
  const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  return Math.max(0, wide) * Math.max(0, high);
}
