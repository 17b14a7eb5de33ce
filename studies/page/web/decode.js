// Arrays that the page carries as text: see studies/page/packing.py, which writes them.

/**
 * The bytes of a text in base64.
 * @param {string} text
 * @returns {Uint8Array<ArrayBuffer>}
 */
export function bytesOf(text) {
  const letters = atob(text);
  const bytes = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i++) bytes[i] = letters.charCodeAt(i);
  return bytes;
}

/**
 * Text of one packed array to whole numbers, column after column.
 * @param {PackedWhole} packed
 * @returns {Promise<Uint32Array>}
 */
async function inflated(packed) {
  const bytes = bytesOf(packed.data);
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const shuffled = new Uint8Array(await new Response(stream).arrayBuffer());
  const count = packed.rows * packed.columns;
  const whole = new Uint32Array(count);
  for (let place = 0; place < packed.bytes; place++) {
    const start = place * count;
    for (let i = 0; i < count; i++) whole[i] += shuffled[start + i] * 256 ** place;
  }
  return whole;
}

/**
 * Undo the differences: each column is a running sum that wraps round.
 * @param {PackedWhole} packed
 * @param {Uint32Array} whole
 * @returns {Uint32Array}
 */
function summed(packed, whole) {
  const wrap = packed.bytes === 2 ? 0xffff : 0xffffffff;
  for (let column = 0; column < packed.columns; column++) {
    let sum = 0;
    const start = column * packed.rows;
    for (let row = 0; row < packed.rows; row++) {
      sum = (sum + whole[start + row]) & wrap;
      whole[start + row] = sum >>> 0;
    }
  }
  return whole;
}

/**
 * Whole numbers, row after row.
 * @param {PackedWhole} packed
 * @returns {Promise<Uint32Array>}
 */
export async function wholeNumbers(packed) {
  const whole = summed(packed, await inflated(packed));
  const rows = new Uint32Array(whole.length);
  for (let column = 0; column < packed.columns; column++)
    for (let row = 0; row < packed.rows; row++)
      rows[row * packed.columns + column] = whole[column * packed.rows + row];
  return rows;
}

/**
 * Reals as one Float32Array for each column.
 * @param {PackedReals} packed
 * @returns {Promise<Columns>}
 */
export async function columnsOf(packed) {
  const whole = summed(packed, await inflated(packed));
  return Array.from({ length: packed.columns }, (_, column) => {
    const values = new Float32Array(packed.rows);
    for (let row = 0; row < packed.rows; row++)
      values[row] = packed.low[column] + packed.step[column] * whole[column * packed.rows + row];
    return values;
  });
}
