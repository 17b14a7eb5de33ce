// Mouse, touch and keyboard on a view: turn, shift, come nearer, point at a place.

import { PRESETS, shiftBy, turnBy, zoomBy } from "./camera.js";
import { solidSize } from "./layout.js";
import { placeUnder } from "./probing.js";

const TURN_PER_DOT = 0.4;
const KEY_TURN = 5;
const KEY_SHIFT = 24;
const KEY_ZOOM = 1.15;
const STILL_DOTS = 5;
/** @type {Record<string, number[]>} */
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
/** @type {Record<string, number>} */
const ZOOMS = { "+": KEY_ZOOM, "=": KEY_ZOOM, "-": 1 / KEY_ZOOM };

/**
 * Let people move a view; `moved` is called when the camera has changed.
 * @param {View} view
 * @param {() => void} moved
 */
export function listen(view, moved) {
  const { canvas } = view;
  const fingers = new Map();
  let travelled = 0;
  canvas.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, at(event));
    travelled = fingers.size > 1 ? STILL_DOTS + 1 : 0;
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return hover(view, event);
    const now = at(event);
    travelled += Math.hypot(now.x - before.x, now.y - before.y);
    if (fingers.size === 1) drag(view, event, before, now);
    else pinch(view, fingers, event.pointerId, now);
    fingers.set(event.pointerId, now);
    moved();
  });
  canvas.addEventListener("pointerup", (event) => {
    if (fingers.size === 1 && travelled <= STILL_DOTS) pin(view, event);
    fingers.delete(event.pointerId);
  });
  canvas.addEventListener("pointercancel", (event) => fingers.delete(event.pointerId));
  canvas.addEventListener("pointerleave", () => view.store.set({ hover: null }));
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  canvas.addEventListener("wheel", (event) => wheel(view, event, moved), { passive: false });
  canvas.addEventListener("keydown", (event) => key(view, event, moved));
}

/**
 * @param {MouseEvent} event
 * @returns {Dot}
 */
function at(event) {
  return { x: event.offsetX, y: event.offsetY };
}

/**
 * @param {View} view
 * @param {PointerEvent} event
 * @param {Dot} before
 * @param {Dot} now
 */
function drag(view, event, before, now) {
  const [right, down] = [now.x - before.x, now.y - before.y];
  const shifting = event.shiftKey || event.buttons === 2 || event.buttons === 4;
  if (shifting) shiftBy(view.camera, right, -down);
  else turnBy(view.camera, -right * TURN_PER_DOT, down * TURN_PER_DOT);
}

/**
 * @param {View} view
 * @param {Map<number, Dot>} fingers
 * @param {number} id
 * @param {Dot} now
 */
function pinch(view, fingers, id, now) {
  const [other] = [...fingers].flatMap(([one, dot]) => (one === id ? [] : [dot]));
  const before = fingers.get(id);
  if (!before) return;
  /** @type {(a: Dot) => number} */
  const apart = (a) => Math.hypot(a.x - other.x, a.y - other.y) || 1;
  const [width, height] = solidSize(view);
  const middle = { x: (now.x + other.x) / 2, y: (now.y + other.y) / 2 };
  shiftBy(view.camera, (now.x - before.x) / 2, -(now.y - before.y) / 2);
  zoomBy(view.camera, apart(now) / apart(before), middle.x - width / 2, height / 2 - middle.y);
}

/**
 * @param {View} view
 * @param {WheelEvent} event
 * @param {() => void} moved
 */
function wheel(view, event, moved) {
  // a page must still scroll past the view: only a pointer that has come to work here zooms
  if (!event.ctrlKey && document.activeElement !== view.canvas) return;
  event.preventDefault();
  const [width, height] = solidSize(view);
  const factor = Math.exp(-event.deltaY * (event.deltaMode ? 0.03 : 0.0015));
  zoomBy(view.camera, factor, event.offsetX - width / 2, height / 2 - event.offsetY);
  moved();
}

/**
 * @param {View} view
 * @param {PointerEvent} event
 */
function hover(view, event) {
  if (event.pointerType === "touch") return;
  const { x, y } = at(event);
  const found = placeUnder(view, x, y);
  view.store.set({ hover: found && { s: found.s, theta: found.theta, surface: found.surface } });
}

/**
 * Mark the place that was clicked or tapped; beside the bar, no place.
 * @param {View} view
 * @param {PointerEvent} event
 */
function pin(view, event) {
  view.canvas.focus();
  const found = placeUnder(view, event.offsetX, event.offsetY);
  view.store.set({ pin: found && { s: found.s, theta: found.theta, surface: found.surface } });
}

/**
 * @param {View} view
 * @param {KeyboardEvent} event
 * @param {() => void} moved
 */
function key(view, event, moved) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const act = actionOf(view, event.key, event.shiftKey);
  if (!act) return;
  act();
  event.preventDefault();
  moved();
}

/**
 * What a key does in a view; null where it does nothing there.
 *
 * @param {View} view
 * @param {string} pressed
 * @param {boolean} shifting
 * @returns {(() => void) | null}
 */
function actionOf({ camera, store }, pressed, shifting) {
  const arrow = ARROWS[pressed];
  if (arrow) {
    const [right, up] = arrow;
    if (shifting) return () => shiftBy(camera, -right * KEY_SHIFT, -up * KEY_SHIFT);
    return () => turnBy(camera, right * KEY_TURN, up * KEY_TURN);
  }
  const zoom = ZOOMS[pressed];
  if (zoom) return () => zoomBy(camera, zoom);
  const name = Object.keys(PRESETS)[Number(pressed) - 1];
  if (name) return () => store.set({ preset: { name } });
  if (pressed === " ") return () => store.set({ playing: !store.state.playing });
  return pressed === "Escape" ? () => store.set({ pin: null, cut: null }) : null;
}
