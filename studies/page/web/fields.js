// The fields of a load case: how each is named, read, coloured and written.

import { columnsOf } from "./decode.js";
import { plusEach, withMiddles } from "./sheet.js";

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
  return fields;
}

/** A case's fields at all vertices of both faces, read when first wanted. */
export async function readCase(sheet, packed) {
  const [vonMises, axial, hoop, used, moved, ...modes] = await Promise.all([
    columnsOf(packed.von_mises_mpa),
    columnsOf(packed.axial_mpa),
    columnsOf(packed.hoop_mpa),
    columnsOf(packed.used),
    columnsOf(packed.moved_mm),
    ...packed.modes.map((mode) => columnsOf(mode.moved_mm)),
  ]);
  const faces = (pair) => pair.map((values) => withMiddles(sheet, values));
  const values = { von_mises: faces(vonMises), axial: faces(axial), hoop: faces(hoop) };
  LIMITS.forEach((limit, k) => {
    const both = withMiddles(sheet, used[k]);
    values[`used_${limit}`] = [both, both];
  });
  const motions = [moved, ...modes].map((columns) => motionOf(sheet, columns));
  values.displacement = motions[0].map(sizes);
  const largest = modes.map((_, k) => Math.max(...motions[k + 1].map(sizes).map(extreme)) || 1);
  largest.forEach((most, k) => (values[`mode_${k + 1}`] = motions[k + 1].map((m) => over(m, most))));
  const fields = fieldsOf(packed);
  return { packed, values, motion: motions[0], modes: motions.slice(1), largest, fields };
}

/** Motion of the outer face and of the bore, three components each. */
function motionOf(sheet, columns) {
  const outer = columns.slice(0, 3);
  const bore = outer.map((values, k) => plusEach(values, columns[3 + k]));
  return [outer, bore].map((face) => face.map((values) => withMiddles(sheet, values)));
}

function sizes(motion) {
  return motion[0].map((x, i) => Math.hypot(x, motion[1][i], motion[2][i]));
}

function over(motion, largest) {
  return sizes(motion).map((value) => value / largest);
}

/** Largest magnitude of a long array. */
export function extreme(values) {
  return values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
}

/** The range that colours span: from 0, or as far below it as above. */
export function rangeOf(field, faces) {
  if (field.id.startsWith("used_") || "mode" in field) return [0, 1];
  const most = Math.max(...faces.map(extreme)) || 1;
  return field.signed ? [-most, most] : [0, most];
}

/** A number as the page writes it: four significant digits. */
export function written(value) {
  if (!Number.isFinite(value)) return "-";
  if (value === 0) return "0";
  const decimals = Math.min(4, Math.max(0, 3 - Math.floor(Math.log10(Math.abs(value)))));
  return value.toFixed(decimals).replace("-", "\u2212");
}
