// Places in words, as results.json and the tables have them: see studies/records/places.py.

const SIDE_SHARE = 0.38;

/** Where an outward normal looks: top, front ..., with a second side where it leans there. */
function facingInWords(normal, s) {
  const outboard = s >= 0 ? normal[0] : -normal[0];
  const leanings = [
    ["top", normal[2]],
    ["underside", -normal[2]],
    ["front", normal[1]],
    ["rear", -normal[1]],
    ["outboard", outboard],
    ["inboard", -outboard],
  ].sort((a, b) => b[1] - a[1]);
  const [first, second] = leanings;
  return second[1] > SIDE_SHARE ? `${first[0]} towards ${second[0]}` : first[0];
}

function sideOf(s) {
  return s < 0 ? "left" : "right";
}

export function placeInWords(s, normal, surface) {
  const inside = surface === "inner" ? ", inner surface" : "";
  return `${sideOf(s)} ${Math.abs(s).toFixed(0)} mm, ${facingInWords(normal, s)}${inside}`;
}
