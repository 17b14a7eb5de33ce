// The fields of a load case: how each is named, read, coloured and written.

import { columnsOf } from "./decode.js";
import { plusEach, withMiddles } from "./sheet.js";

/** Steps of a quantised column. */
const STEPS = 65535;
/** The path past yield: a field with a sheet, steps and a true shape of its own. */
const PLASTIC = { id: "plastic", name: "path past yield: plastic strain", unit: "%", faces: true, path: true };
const LIMITS = ["yield", "stability", "ovalisation"];

/** What can be shown of a case, in the order of the list. */
export function fieldsOf(packedCase) {
  const stress = (id, name, signed) => ({ id, name, unit: "MPa", signed, faces: true });
  const fields = [
    stress("von_mises", "von Mises stress", false),
    stress("axial", "stress along the tube", true),
    stress("hoop", "stress round the tube", true),
    ...LIMITS.map((limit) => ({ id: `used_${limit}`, name: `used share, ${limit}`, unit: "" })),
    { id: "displacement", name: "displacement", unit: "mm", faces: true },
  ];
  packedCase.modes.forEach((mode, k) =>
    fields.push({
      id: `mode_${k + 1}`,
      name: `buckling mode ${k + 1}, at ${mode.factor.toPrecision(3)} times the load`,
      unit: "of its largest",
      mode: k,
      faces: true,
    }),
  );
  if (packedCase.path) fields.push(PLASTIC);
  return fields;
}

/** A case's fields at all vertices of both faces; its buckling modes are read when wanted. */
export async function readCase(sheet, packed) {
  const [vonMises, axial, hoop, used, moved] = await Promise.all(
    [packed.von_mises_mpa, packed.axial_mpa, packed.hoop_mpa, packed.used, packed.moved_mm].map(
      columnsOf,
    ),
  );
  const faces = (pair) => pair.map((values) => withMiddles(sheet, values));
  const values = { von_mises: faces(vonMises), axial: faces(axial), hoop: faces(hoop) };
  LIMITS.forEach((limit, k) => {
    const both = withMiddles(sheet, used[k]);
    values[`used_${limit}`] = [both, both];
  });
  const motion = motionOf(sheet, moved);
  values.displacement = motion.map(sizes);
  return { packed, values, motion, modes: [], largest: [], fields: fieldsOf(packed) };
}

/** Read a buckling mode of a case, once. */
export async function readMode(sheet, read, number) {
  if (read.modes[number]) return;
  const motion = motionOf(sheet, await columnsOf(read.packed.modes[number].moved_mm));
  const largest = Math.max(...motion.map(sizes).map(extreme)) || 1;
  read.modes[number] = motion;
  read.largest[number] = largest;
  read.values[`mode_${number + 1}`] = motion.map((face) => over(face, largest));
}

/** Motion of the outer surface and of the inner surface, three components each. */
export function motionOf(sheet, columns) {
  const outer = columns.slice(0, 3);
  const inner = outer.map((values, k) => plusEach(values, columns[3 + k]));
  return [outer, inner].map((face) => face.map((values) => withMiddles(sheet, values)));
}

function sizes(motion) {
  return motion[0].map((x, i) => Math.hypot(x, motion[1][i], motion[2][i]));
}

function over(motion, largest) {
  return sizes(motion).map((value) => value / largest);
}

/** Largest magnitude of a long array. */
function extreme(values) {
  return values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
}

/** The range that colours span for a case: from 0, or as far below it as above. */
export function rangeOf(field, packed) {
  if (field.id.startsWith("used_") || "mode" in field) return [0, 1];
  if ("path" in field) return [0, packed.path?.most_percent || 0.01];
  if (field.id === "displacement") return [0, packed.largest_mm || 1];
  const { low, step } = packed[`${field.id}_mpa`];
  const most = Math.max(...low.map((least, k) => Math.max(-least, least + STEPS * step[k]))) || 1;
  return field.signed ? [-most, most] : [0, most];
}

/** The range that holds several. */
export function rangeOver(ranges) {
  return [Math.min(...ranges.map((r) => r[0])), Math.max(...ranges.map((r) => r[1]))];
}

/** A number as the page writes it: so many significant digits, no zeros behind them. */
export function written(value, digits = 4) {
  if (!Number.isFinite(value)) return "-";
  if (value === 0) return "0";
  const size = Math.floor(Math.log10(Math.abs(value)));
  const text = value.toFixed(Math.min(6, Math.max(0, digits - 1 - size)));
  return (text.includes(".") ? text.replace(/\.?0+$/, "") : text).replace("-", "\u2212");
}
