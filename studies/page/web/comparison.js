// The comparison's page: two views side by side with one camera, one scale, one place.

import { bindCharts } from "./charts.js";
import { newCamera } from "./camera.js";
import { find, findAll, island, unfoldForPaper } from "./basics.js";
import { applyPreset, followCase, rampsOf, withoutView } from "./common.js";
import { bindControls } from "./controls.js";
import { listen } from "./gestures.js";
import { paint } from "./painting.js";
import { offerProbe } from "./probing.js";
import { refresh } from "./readout.js";
import { createStore, firstState } from "./store.js";
import { createView, fitViews } from "./view.js";

/** @returns {Promise<void>} */
async function start() {
  /** @type {Scene[]} */
  const designs = island("designs");
  const store = createStore(firstState(designs[0]));
  const axis = island("axis");
  followCase(store);
  unfoldForPaper();
  bindCharts(document, store, axis, island("numbers"));
  const shared = { camera: newCamera(), scenes: designs };
  /** @type {ComparisonPage} */
  const page = { store, designs, shared, ramps: rampsOf(island("ramps")), views: [] };
  const panes = findAll(document, ".pane", HTMLElement);
  for (const [k, pane] of panes.entries())
    if (!(await fillPane(page, pane, Math.min(k, designs.length - 1)))) return withoutView();
  const parts = bindControls(find(document, ".view3d", HTMLElement), store, page.views);
  const write = () => refresh(parts, store, page.views);
  page.refresh = write;
  panes.forEach((pane) => bindPane(page, pane));
  store.on((changed) => changed.includes("preset") && applyPreset(page.views, store.state.preset));
  new ResizeObserver(() => fitViews(page.views)).observe(panes[0]);
  write();
  performance.mark("ready");
  document.documentElement.dataset.ready = "view";
}

/**
 * Let a pane show a design; a canvas keeps its context, so a new design gets a new canvas.
 * @param {ComparisonPage} page
 * @param {HTMLElement} pane
 * @param {number} number
 * @returns {Promise<boolean>} Whether it can be drawn.
 */
async function fillPane(page, pane, number) {
  const k = Number(pane.dataset.pane);
  const root = find(pane, ".view", HTMLElement);
  const before = page.views[k];
  if (before) {
    before.forget();
    before.painter.gl.getExtension("WEBGL_lose_context")?.loseContext();
    before.canvas.replaceWith(before.canvas.cloneNode());
  }
  const view = await createView(root, page.designs[number], page.store, page.ramps, page.shared);
  find(pane, "select", HTMLSelectElement).value = String(number);
  if (!view) return false;
  page.views[k] = view;
  offerProbe(root, view);
  listen(view, () => page.views.forEach(paint));
  view.shown.push(() => page.refresh?.());
  return true;
}

/**
 * @param {ComparisonPage} page
 * @param {HTMLElement} pane
 */
function bindPane(page, pane) {
  const choice = find(pane, "select", HTMLSelectElement);
  choice.addEventListener("change", async () => {
    await fillPane(page, pane, Number(choice.value));
    fitViews(page.views);
    page.refresh?.();
  });
}

start();
