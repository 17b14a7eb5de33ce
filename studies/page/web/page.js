// A run's page: read what it carries, show one case at a time, link the view with the charts.

import { bindCharts } from "./charts.js";
import { find, island, unfoldForPaper } from "./basics.js";
import { bindPrinting, followAnchors, followCaseLinks } from "./folds.js";
import { followCase, governingState, rampsOf, showGoverning, withoutView } from "./common.js";
import { createStore, firstState } from "./store.js";
import { bindPathGraphs } from "./path_graph.js";
import { followMark } from "./eye.js";
import { drawForPaper } from "./paper_view.js";
import { bindPreview } from "./preview_panel.js";
import { steer } from "./steering.js";
import { createView } from "./view.js";

/** @returns {Promise<void>} */
async function start() {
  /** @type {Scene} */
  const scene = island("scene");
  const store = createStore({ ...firstState(scene), ...governingState() });
  /** @type {Preview | null} */
  const preview = island("preview");
  if (preview) store.set({ walls: preview.groups.map(() => 1) });
  followCase(store);
  showGoverning();
  followCaseLinks(store);
  followAnchors();
  bindPrinting();
  unfoldForPaper();
  bindCharts(document, store, scene, island("numbers"));
  bindPathGraphs(document, store, scene);
  if (preview) bindPreview(store, preview);
  const root = find(document, ".view3d", HTMLElement);
  const pane = find(root, ".view", HTMLElement);
  const view = await createView(pane, scene, store, rampsOf(island("ramps")), {
    preview,
  });
  if (!view) return withoutView();
  steer(root, pane, view);
  drawForPaper(view);
  followMark(view);
  performance.mark("ready");
  document.documentElement.dataset.ready = "view";
}

start();
