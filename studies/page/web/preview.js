// Figures at other walls and loads, from a few computed designs: see studies/page/preview.py.
//
// A figure is its printed value times the largest, over its parts, of share times
// exp(sum of coefficients times terms). At the study's own walls all terms are 0, so that every
// digit is that of the run. Multiples of a load fall as the load grows; all else grows with it.

/**
 * The terms at some wall factors: products of powers of their logarithms.
 * @param {Preview} preview
 * @param {number[]} factors
 * @returns {number[]}
 */
export function termsAt({ powers }, factors) {
  const logs = factors.map(Math.log);
  return powers.map((row) => row.reduce((product, power, k) => product * logs[k] ** power, 1));
}

/**
 * How a utilisation or figure grows, and the part that governs it. The run's own part, which is the
 * first, stays unless another is larger by more than the stated error.
 * @param {Follow} follow
 * @param {number[]} terms
 * @returns {{ ratio: number, part: FollowPart }}
 */
export function grown({ parts, error }, terms) {
  /** @type {(part: FollowPart) => number} */
  const at = (part) => part.share * Math.exp(part.terms.reduce((sum, c, k) => sum + c * terms[k], 0));
  const ratios = parts.map(at);
  const ratio = Math.max(...ratios);
  const own = ratios[0] >= ratio * (1 - error / 100 - 1e-9);
  return { ratio, part: parts[own ? 0 : ratios.indexOf(ratio)] };
}

/**
 * Whether walls and load are those of the run.
 * @param {ViewState} state
 * @returns {boolean}
 */
export function isNeutral({ walls, load }) {
  return load === 1 && walls.every((factor) => factor === 1);
}

/**
 * The multiples of the load of a limit, low end first, and where it is; null where it does not follow.
 * @param {PreviewLimit} limit
 * @param {number[]} terms
 * @param {number} load
 * @returns {{ range: number[], place: string, error: number } | null}
 */
export function limitAt({ range, follow }, terms, load) {
  if (!follow) return null;
  const { ratio, part } = grown(follow, terms);
  return { range: range.map((end) => end / ratio / load), place: part.place, error: follow.error };
}

/**
 * The limit of all cases that comes first, with its case; those that do not follow are left out.
 * @param {Preview} preview
 * @param {number[]} terms
 * @param {number} load
 * @returns {GoverningLimit | null}
 */
export function governingAt(preview, terms, load) {
  /** @type {GoverningLimit | null} */
  let first = null;
  for (const one of preview.cases)
    for (const limit of one.limits) {
      const at = limitAt(limit, terms, load);
      if (at && (!first || at.range[0] < first.range[0])) first = { ...at, limit, title: one.title };
    }
  return first;
}
