// A run's page: read what it carries, show one case at a time, link the view with the charts.

import { bindCharts } from "./charts.js";
import { island, unfoldForPaper } from "./basics.js";
import { applyPreset, followCase, rampsOf, withoutView } from "./common.js";
import { bindControls, refresh } from "./controls.js";
import { listen } from "./gestures.js";
import { paint } from "./painting.js";
import { probe } from "./probing.js";
import { createStore, firstState } from "./store.js";
import { bindPathGraphs } from "./path_graph.js";
import { createView, look } from "./view.js";

async function start() {
  const scene = island("scene");
  const store = createStore(firstState(scene));
  followCase(store);
  unfoldForPaper();
  bindCharts(document, store, scene, island("numbers"));
  bindPathGraphs(document, store, scene);
  const root = document.querySelector(".studio");
  const view = await createView(root.querySelector(".view"), scene, store, rampsOf(island("ramps")));
  if (!view) return withoutView();
  root.querySelector(".view").barView = Object.assign(view, { probe: (...place) => probe(view, ...place) });
  const parts = bindControls(root, store, [view]);
  listen(view, () => paint(view));
  view.shown.push(() => refresh(parts, store, [view]));
  store.on((changed) => changed.includes("preset") && applyPreset([view], store.state.preset));
  new ResizeObserver(() => look([view])).observe(view.canvas);
  refresh(parts, store, [view]);
  performance.mark("ready");
  document.documentElement.dataset.ready = "view";
}

start();
