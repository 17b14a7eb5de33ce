// What the two pages share: the data they carry, and the camera's presets.

import { PRESETS } from "./camera.js";
import { bytesOf } from "./decode.js";
import { look } from "./view.js";

/** The JSON that the page carries under a name. */
export function island(id) {
  return JSON.parse(document.getElementById(id).textContent);
}

/** Rows of 256 colours as the painter takes them. */
export function rampsOf(packed) {
  return Object.fromEntries(
    Object.entries(packed).map(([name, text]) => [name, bytesOf(text)]),
  );
}

/** Turn every view to a preset direction, and let the whole bar be seen. */
export function applyPreset(views, preset) {
  for (const view of views) {
    const { turn, height } = PRESETS[preset.name] || view.camera;
    Object.assign(view.camera, { turn, height });
    look(view);
  }
}
