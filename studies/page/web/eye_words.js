// Where the eye is, in words beside the legend.

const LEVEL = 8;
const UPRIGHT = 70;
/** From behind up to here, then also from the side, from the side alone, and so on to the front. */
const SECTORS = [22, 68, 112, 158];

/**
 * @param {Camera} camera
 * @returns {string}
 */
function eyeInWords({ turn, height }) {
  const upright = Math.abs(height) < LEVEL ? "" : height > 0 ? "above" : "below";
  if (Math.abs(height) > UPRIGHT) return `viewed from ${upright}`;
  return `viewed from ${roundInWords(turn)}${upright && ` and ${upright}`}`;
}

/**
 * @param {number} turn
 * @returns {string}
 */
function roundInWords(turn) {
  const sector = SECTORS.filter((end) => Math.abs(turn) > end).length;
  const side = turn > 0 ? "right" : "left";
  return ["behind", `behind, ${side}`, `the ${side}`, `the front, ${side}`, "the front"][sector];
}

/**
 * Write where the eye is beside the legend, where the page has a place for it.
 * @param {View} view
 */
export function writeEye({ root, camera }) {
  const place = root.closest(".view3d")?.querySelector("[data-part='viewed']");
  if (place) place.textContent = `, ${eyeInWords(camera)}.`;
}
