// Where words stand over the bar: beside what they name, over no other word, no mark, in the frame.

import { find, findAll } from "./basics.js";

/** Radius of a mark, and gaps between a mark and its words, the preferred first, in dots. */
const MARK = 10;
const GAPS = [5, 14, 26, 40, 56, 74, 94];
/** Between the places tried where none beside the mark is free. */
const GRID = 10;
/** From this gap on a line leads from the mark to its words. */
const LED = 14;
/** What it costs to cover a point of the bar; other words and marks cost their area. */
const BAR_POINT = 4;
/** Kinds of words, the first placed first; those of the strip stay where they are. */
const ORDER = [".load", ".governing:not(.flat)", ".ring:not(.governing), .cross", ".spot", ".end"];
const MARKED = ".ring, .cross, .spot";
/** Steps to the right and down of a word beside its mark, the preferred first. */
const ASIDE = [[1, -1], [1, 1], [1, 0], [-1, -1], [-1, 1], [-1, 0], [0, -1], [0, 1]];
const OVER = [[0, 0], [0, -1], [1, 0], [-1, 0], [0, 1], [1, -1], [-1, -1]];
const UNDER = [[0, 1], [0, -1], [1, 1], [-1, 1], [1, 0], [-1, 0]];

/**
 * Move the words off each other and off the marks. The last kind, which only names what is seen,
 * is left out where there is no room.
 * @param {HTMLElement} layer
 * @param {number[]} size of the part with the bar, from the layer's upper left corner
 * @param {Dot[]} bar points of the bar, which words cover only where they must
 * @returns {string} lines from marks to words that stand away from them
 */
export function separate(layer, [width, height], bar) {
  const { left, top } = layer.getBoundingClientRect();
  const frame = new DOMRect(left, top, width, height);
  const fixed = findAll(layer, ".word.side span, .word.foot span", HTMLElement);
  const taken = [...fixed.map((span) => span.getBoundingClientRect()), ...findAll(layer, MARKED, HTMLElement).map(markBox)];
  let lines = "";
  for (const kind of ORDER)
    for (const word of findAll(layer, kind, HTMLElement).filter(({ textContent }) => textContent)) {
      const box = placed(word, kind, { taken, frame, bar });
      if (!box) continue;
      taken.push(box);
      if (kind !== ".end") lines += lineTo(word.getBoundingClientRect(), box, frame);
    }
  return lines;
}

/**
 * @param {HTMLElement} word
 * @param {string} kind
 * @param {{ taken: DOMRect[], frame: DOMRect, bar: Dot[] }} ground
 * @returns {DOMRect | null} where it stands now, null where it is left out
 */
function placed(word, kind, ground) {
  const span = find(word, "span", HTMLElement);
  const mark = word.getBoundingClientRect();
  const size = span.getBoundingClientRect();
  const beside = leastCovered(boxesFor(kind, mark, size), ground);
  const best = beside.cost > 1 ? leastCovered(boxesAnywhere(mark, size, ground.frame), ground) : beside;
  if (best.cost > 1 && shortened(word)) return placed(word, kind, ground);
  if (kind === ".end" && best.cost > 1) return word.remove(), null;
  span.style.transform = `translate(${best.box.left - mark.left}px, ${best.box.top - mark.top}px)`;
  return best.box;
}

/**
 * Whether a word could be made shorter: its second line is left out.
 * @param {HTMLElement} word
 * @returns {boolean}
 */
function shortened(word) {
  const second = word.querySelector("small");
  second?.remove();
  return second !== null;
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
 * The boxes that a word of some size may stand in, the preferred first.
 * @param {string} kind
 * @param {DOMRect} mark
 * @param {DOMRect} size
 * @returns {DOMRect[]}
 */
function boxesFor(kind, mark, size) {
  const steps = kind === ".load" ? OVER : kind === ".end" ? UNDER : ASIDE;
  return GAPS.flatMap((gap) => steps.map((step) => boxAt(mark, size, step, MARK + gap)));
}

/**
 * Boxes all over the frame, the nearest to the mark first.
 * @param {DOMRect} mark
 * @param {DOMRect} size
 * @param {DOMRect} frame
 * @returns {DOMRect[]}
 */
function boxesAnywhere({ left, top }, { width, height }, frame) {
  // a frame smaller than the word, as on paper, still has its corner
  const boxes = [new DOMRect(frame.left, frame.top, width, height)];
  for (let x = frame.left; x <= frame.right - width; x += GRID)
    for (let y = frame.top; y <= frame.bottom - height; y += GRID) boxes.push(new DOMRect(x, y, width, height));
  /** @type {(box: DOMRect) => number} */
  const far = (box) => Math.hypot(box.left + width / 2 - left, box.top + height / 2 - top);
  return boxes.sort((a, b) => far(a) - far(b));
}

/**
 * A box some way from a place; its nearest side or corner is the way's length away.
 * @param {DOMRect} mark
 * @param {DOMRect} size
 * @param {number[]} step
 * @param {number} away
 * @returns {DOMRect}
 */
function boxAt({ left, top }, { width, height }, [right, down], away) {
  const each = right && down ? away * Math.SQRT1_2 : away;
  const x = left + right * (each + width / 2) - width / 2;
  return new DOMRect(x, top + down * (each + height / 2) - height / 2, width, height);
}

/**
 * The first of the boxes that cover least; what leaves the frame is worst, then other words.
 * @param {DOMRect[]} boxes
 * @param {{ taken: DOMRect[], frame: DOMRect, bar: Dot[] }} ground
 * @returns {{ box: DOMRect, cost: number }} the cost without that of covering the bar
 */
function leastCovered(boxes, { taken, frame, bar }) {
  const costs = boxes.map((box) => {
    const outside = box.width * box.height - sharedArea(box, frame);
    return 2 * outside + taken.reduce((sum, other) => sum + sharedArea(box, other), 0);
  });
  const whole = boxes.map((box, k) => 100 * costs[k] + BAR_POINT * pointsIn(box, frame, bar) + k);
  const least = whole.indexOf(Math.min(...whole));
  return { box: boxes[least], cost: costs[least] };
}

/**
 * @param {DOMRect} box
 * @param {DOMRect} frame
 * @param {Dot[]} bar
 * @returns {number}
 */
function pointsIn(box, frame, bar) {
  const [left, right] = [box.left - frame.left, box.right - frame.left];
  const [top, bottom] = [box.top - frame.top, box.bottom - frame.top];
  return bar.filter(({ x, y }) => x > left && x < right && y > top && y < bottom).length;
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

/**
 * @param {DOMRect} mark
 * @param {DOMRect} box
 * @param {DOMRect} frame
 * @returns {string}
 */
function lineTo(mark, box, frame) {
  const [x, y] = [mark.left - frame.left, mark.top - frame.top];
  const [toX, toY] = [
    Math.max(box.left, Math.min(box.right, mark.left)) - frame.left,
    Math.max(box.top, Math.min(box.bottom, mark.top)) - frame.top,
  ];
  const far = Math.hypot(toX - x, toY - y);
  if (far < MARK + LED) return "";
  const off = MARK / far;
  return `<path class="leader" d="M${(x + off * (toX - x)).toFixed(1)} ${(y + off * (toY - y)).toFixed(1)}L${toX.toFixed(1)} ${toY.toFixed(1)}"/>`;
}
