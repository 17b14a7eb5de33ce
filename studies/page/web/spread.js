// Things of some width along a line: as near to their own places as they go without overlap.

/**
 * The middles of boxes in a row, in the order given, each as near to its own place as it goes: the
 * least sum of squared shifts, which pushes close ones apart symmetrically.
 *
 * With the widths taken off, places must not descend; pooling neighbours that do gives the least
 * squares (isotonic regression by pooling adjacent violators, as in Barlow et al., Statistical
 * Inference under Order Restrictions, 1972, from memory, unverified).
 * @param {number[]} places ascending
 * @param {number[]} widths
 * @param {Interval} frame
 * @returns {number[]}
 */
export function spread(places, widths, [low, high]) {
  const offsets = widths.map((_, k) => widths.slice(0, k).reduce((sum, one) => sum + one, widths[k] / 2));
  const room = high - widths.reduce((sum, one) => sum + one, 0);
  return pooled(places.map((place, k) => place - offsets[k])).map(
    (start, k) => Math.max(low, Math.min(room, start)) + offsets[k],
  );
}

/**
 * @param {number[]} values
 * @returns {number[]}
 */
function pooled(values) {
  /** @type {{ mean: number, count: number }[]} */
  const pools = [];
  for (const value of values) {
    let last = { mean: value, count: 1 };
    for (let one = pools.at(-1); one && one.mean > last.mean; one = pools.at(-1)) {
      const count = one.count + last.count;
      last = { mean: (one.mean * one.count + last.mean * last.count) / count, count };
      pools.pop();
    }
    pools.push(last);
  }
  return pools.flatMap(({ mean, count }) => new Array(count).fill(mean));
}
