// What the two pages share: the data they carry, and the camera's presets.

import { PRESETS } from "./camera.js";
import { bytesOf } from "./decode.js";
import { look } from "./view.js";

/** Rows of 256 colours as the painter takes them. */
export function rampsOf(packed) {
  return Object.fromEntries(
    Object.entries(packed).map(([name, text]) => [name, bytesOf(text)]),
  );
}

/** Turn the views, which share a camera, to a preset direction; without one only fit them anew. */
export function applyPreset(views, preset) {
  const { camera } = views[0];
  const { turn, height } = PRESETS[preset.name] || camera;
  Object.assign(camera, { turn, height });
  look(views);
}

/** Show the chosen case's part of the page, and mark its row. */
export function followCase(store) {
  const follow = () => {
    for (const part of document.querySelectorAll("[data-case]"))
      part.classList.toggle("shown", part.dataset.case === store.state.caseId);
    for (const button of document.querySelectorAll("[data-choose]"))
      button.setAttribute("aria-pressed", button.dataset.choose === store.state.caseId);
    for (const choice of document.querySelectorAll("[data-case-choice]"))
      choice.value = store.state.caseId;
  };
  for (const button of document.querySelectorAll("[data-choose]"))
    button.addEventListener("click", () => store.set({ caseId: button.dataset.choose }));
  store.on((changed) => changed.includes("caseId") && follow());
  follow();
}

/** Pictures and tables stand in for what cannot be drawn, and a sentence says so. */
export function withoutView() {
  document.documentElement.classList.add("no-view");
  document.documentElement.dataset.ready = "pictures";
}
