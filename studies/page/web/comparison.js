// The comparison's page: two views side by side with one camera, one scale, one place.

import { keepAddress, onAddress, readAddress, writeAddress } from "./address.js";
import { bindCharts } from "./charts.js";
import { newCamera } from "./camera.js";
import { find, findAll, island, unfoldForPaper } from "./basics.js";
import { applyPreset, followCase, governingState, rampsOf, withoutView } from "./common.js";
import { bindControls } from "./controls.js";
import { listen } from "./gestures.js";
import { paint } from "./painting.js";
import { offerProbe } from "./probing.js";
import { refresh } from "./readout.js";
import { createStore, firstState } from "./store.js";
import { createView, fitViews } from "./view.js";

const LETTERS = "ABCDEFGH";
const SIDES = ["left", "right"];

/** @returns {Promise<void>} */
async function start() {
  /** @type {Scene[]} */
  const designs = island("designs");
  const caseId = caseOfAddress() ?? governingState().caseId ?? designs[0].cases[0].id;
  const store = createStore({ ...firstState(designs[0]), caseId });
  const axis = island("axis");
  followCase(store);
  unfoldForPaper();
  bindCharts(document, store, axis, island("numbers"));
  const shared = { camera: newCamera(), scenes: designs };
  /** @type {ComparisonPage} */
  const page = { store, designs, shared, ramps: rampsOf(island("ramps")), views: [] };
  const panes = findAll(document, ".pane", HTMLElement);
  bindAddress(page, panes);
  for (const [k, pane] of panes.entries())
    if (!(await fillPane(page, pane, designOfAddress(k, designs.length)))) return withoutView();
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
 * The case that the address names, where some design has it.
 * @returns {string | undefined}
 */
function caseOfAddress() {
  const named = readAddress().get("case");
  return findAll(document, "[data-choose]", HTMLElement)
    .map((button) => button.dataset.choose)
    .find((id) => id === named);
}

/**
 * The design that the address names for a view, from 0; the next one where it names none.
 * @param {number} k
 * @param {number} count
 * @returns {number}
 */
function designOfAddress(k, count) {
  const named = readAddress().get(SIDES[k]) ?? "";
  const found = named.length === 1 ? LETTERS.indexOf(named) : -1;
  return found >= 0 && found < count ? found : Math.min(k, count - 1);
}

/**
 * Keep case and views in the address, and follow it; a folded case that it names is opened.
 * @param {ComparisonPage} page
 * @param {HTMLElement[]} panes
 */
function bindAddress(page, panes) {
  const { store } = page;
  const unfold = () => {
    const shown = document.querySelector(".case.shown")?.closest("details");
    if (shown) shown.open = true;
  };
  page.keep = () => {
    const chosen = panes.map((pane, k) => [SIDES[k], LETTERS[Number(find(pane, "select", HTMLSelectElement).value)]]);
    writeAddress([["case", store.state.caseId], ...chosen]);
  };
  store.on((changed) => {
    if (!changed.includes("caseId")) return;
    unfold();
    page.keep?.();
  });
  let latest = 0;
  keepAddress(document);
  onAddress(async () => {
    latest += 1;
    const own = latest;
    // all of it is read before what is chosen is written there again
    const caseId = caseOfAddress() ?? store.state.caseId;
    const wanted = panes.map((_, k) => designOfAddress(k, page.designs.length));
    for (const [k, pane] of panes.entries())
      if (page.views[k]) await fillPane(page, pane, wanted[k]);
    // another address may have come meanwhile
    if (own !== latest) return;
    store.set({ caseId });
    fitViews(page.views);
    page.refresh?.();
    page.keep?.();
  });
  unfold();
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
    page.keep?.();
  });
}

start();
