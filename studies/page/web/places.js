// Places in words, as results.json and the tables have them: see studies/records/places.py.

const SIDE_SHARE = 0.38;

/**
 * The side that an outward normal faces: top, front ..., with a second side where it leans there.
 * @param {Vector} normal
 * @param {number} s
 * @returns {string}
 */
function facingInWords(normal, s) {
  const outboard = s >= 0 ? normal[0] : -normal[0];
  /** @type {[string, number][]} */
  const leanings = [
    ["top", normal[2]],
    ["underside", -normal[2]],
    ["front", normal[1]],
    ["rear", -normal[1]],
    ["outboard", outboard],
    ["inboard", -outboard],
  ];
  const [first, second] = leanings.sort((a, b) => b[1] - a[1]);
  return second[1] > SIDE_SHARE ? `${first[0]} towards ${second[0]}` : first[0];
}

/**
 * @param {number} s
 * @returns {string}
 */
export function onRuler(s, digits = 0) {
  return `${s < 0 ? "left" : "right"} ${Math.abs(s).toFixed(digits)} mm`;
}

/**
 * @param {number} s
 * @param {Vector} normal
 * @param {Surface} surface
 * @returns {string}
 */
export function placeInWords(s, normal, surface) {
  const inside = surface === "inner" ? ", inner surface" : "";
  return `${onRuler(s)}, ${facingInWords(normal, s)}${inside}`;
}
