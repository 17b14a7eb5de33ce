// A run's page: read what it carries, show one case at a time, link the view with the charts.

import { bindCharts } from "./charts.js";
import { find, island, unfoldForPaper } from "./basics.js";
import { applyPreset, followCase, rampsOf, withoutView } from "./common.js";
import { bindControls } from "./controls.js";
import { listen } from "./gestures.js";
import { paint } from "./painting.js";
import { offerProbe } from "./probing.js";
import { refresh } from "./readout.js";
import { createStore, firstState } from "./store.js";
import { bindPathGraphs } from "./path_graph.js";
import { bindPreview } from "./preview_panel.js";
import { createView, fitViews } from "./view.js";

/** @returns {Promise<void>} */
async function start() {
  /** @type {Scene} */
  const scene = island("scene");
  const store = createStore(firstState(scene));
  /** @type {Preview | null} */
  const preview = island("preview");
  if (preview) store.set({ walls: preview.groups.map(() => 1) });
  followCase(store);
  unfoldForPaper();
  bindCharts(document, store, scene, island("numbers"));
  bindPathGraphs(document, store, scene);
  if (preview) bindPreview(store, preview);
  const root = find(document, ".view3d", HTMLElement);
  const pane = find(root, ".view", HTMLElement);
  const view = await createView(pane, scene, store, rampsOf(island("ramps")), { preview });
  if (!view) return withoutView();
  offerProbe(pane, view);
  const parts = bindControls(root, store, [view]);
  listen(view, () => paint(view));
  view.shown.push(() => refresh(parts, store, [view]));
  store.on((changed) => changed.includes("preset") && applyPreset([view], store.state.preset));
  new ResizeObserver(() => fitViews([view])).observe(view.canvas);
  refresh(parts, store, [view]);
  performance.mark("ready");
  document.documentElement.dataset.ready = "view";
}

start();
