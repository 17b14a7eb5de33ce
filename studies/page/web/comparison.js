// The comparison's page: two views side by side with one camera, one scale, one place.

import { bindCharts } from "./charts.js";
import { newCamera } from "./camera.js";
import { island, unfoldForPaper } from "./basics.js";
import { applyPreset, followCase, rampsOf, withoutView } from "./common.js";
import { bindControls, refresh } from "./controls.js";
import { listen } from "./gestures.js";
import { paint } from "./painting.js";
import { probe } from "./probing.js";
import { createStore, firstState } from "./store.js";
import { createView, look } from "./view.js";

async function start() {
  const designs = island("designs");
  const store = createStore(firstState(designs[0]));
  const axis = island("axis");
  followCase(store);
  unfoldForPaper();
  bindCharts(document, store, axis, island("numbers"));
  const shared = { camera: newCamera(), scenes: designs };
  const page = { store, designs, shared, ramps: rampsOf(island("ramps")), views: [] };
  const panes = [...document.querySelectorAll(".pane")];
  for (const [k, pane] of panes.entries()) await fillPane(page, pane, Math.min(k, designs.length - 1));
  if (page.views.some((view) => !view)) return withoutView();
  const parts = bindControls(document.querySelector(".studio"), store, page.views);
  page.refresh = () => refresh(parts, store, page.views);
  panes.forEach((pane) => bindPane(page, pane));
  store.on((changed) => changed.includes("preset") && applyPreset(page.views, store.state.preset));
  new ResizeObserver(() => look(page.views)).observe(panes[0]);
  page.refresh();
  performance.mark("ready");
  document.documentElement.dataset.ready = "view";
}

/** Let a pane show a design; a canvas keeps its context, so a new design gets a new canvas. */
async function fillPane(page, pane, number) {
  const k = Number(pane.dataset.pane);
  const root = pane.querySelector(".view");
  const before = page.views[k];
  if (before) {
    before.forget();
    before.painter.gl.getExtension("WEBGL_lose_context")?.loseContext();
    before.canvas.replaceWith(before.canvas.cloneNode());
  }
  const view = await createView(root, page.designs[number], page.store, page.ramps, page.shared);
  page.views[k] = view;
  pane.querySelector("select").value = number;
  if (!view) return;
  root.barView = Object.assign(view, { probe: (...place) => probe(view, ...place) });
  listen(view, () => page.views.forEach(paint));
  view.shown.push(() => page.refresh?.());
}

function bindPane(page, pane) {
  pane.querySelector("select").addEventListener("change", async (event) => {
    await fillPane(page, pane, Number(event.target.value));
    look(page.views);
    page.refresh();
  });
}

start();
