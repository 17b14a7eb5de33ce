// The controls, gestures and readings of a page with a single view.

import { applyPreset, outliveLoss } from "./common.js";
import { bindControls } from "./controls.js";
import { listen } from "./gestures.js";
import { paint } from "./painting.js";
import { offerProbe } from "./probing.js";
import { refresh } from "./readout.js";
import { fitViews } from "./view.js";

/**
 * Let a view be steered, and its reading follow.
 * @param {HTMLElement} root
 * @param {HTMLElement} pane
 * @param {View} view
 */
export function steer(root, pane, view) {
  const { store } = view;
  offerProbe(pane, view);
  outliveLoss(view.canvas);
  const parts = bindControls(root, store, [view]);
  listen(view, () => paint(view));
  view.shown.push(() => refresh(parts, store, [view]));
  store.on((changed) => changed.includes("preset") && applyPreset([view], store.state.preset));
  new ResizeObserver(() => fitViews([view])).observe(view.canvas);
  refresh(parts, store, [view]);
}
