// The page of `barwright live`: the view as it was, and a new page as soon as there is one.

import { find, island } from "./basics.js";
import { followCase, rampsOf, withoutView } from "./common.js";
import { paint } from "./painting.js";
import { createStore, firstState } from "./store.js";
import { steer } from "./steering.js";
import { createView } from "./view.js";

const AGAIN_MS = 1000;
const KEPT = "barwright live";

/** @returns {Promise<void>} */
async function startLive() {
  follow(Number(document.documentElement.dataset.version));
  /** @type {Scene} */
  const scene = island("scene");
  const kept = JSON.parse(sessionStorage.getItem(KEPT) ?? "{}");
  const first = firstState(scene);
  const known = scene.cases.find(({ id }) => id === kept.caseId);
  const caseId = known ? known.id : first.caseId;
  const store = createStore({ ...first, caseId, field: kept.field ?? first.field });
  followCase(store);
  const root = find(document, ".view3d", HTMLElement);
  const pane = find(root, ".view", HTMLElement);
  const view = await createView(pane, scene, store, rampsOf(island("ramps")));
  if (!view) return withoutView();
  if (kept.camera) Object.assign(view.camera, kept.camera);
  steer(root, pane, view);
  paint(view);
  addEventListener("pagehide", () => {
    const { caseId: shown, field } = store.state;
    sessionStorage.setItem(KEPT, JSON.stringify({ caseId: shown, field, camera: view.camera }));
  });
  document.documentElement.dataset.ready = "view";
}

/**
 * Wait until there is another page, and show it; say so where nobody answers any more.
 * @param {number} version
 * @returns {Promise<void>}
 */
async function follow(version) {
  for (;;) {
    try {
      const answer = await fetch(`after?version=${version}`, { cache: "no-store" });
      const { version: latest } = await answer.json();
      if (latest !== version) return location.reload();
    } catch {
      document.documentElement.classList.add("ended");
      await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
    }
  }
}

startLive();
