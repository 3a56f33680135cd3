// Entropy and weight of evidence. Beside it: `identify/src/information.rs`.

/** `p ln p`, 0 at 0. @param {number} p */
export const plogp = (p) => (p > 0 ? p * Math.log(p) : 0);

/** The sum of products, as an expectation is made. @param {Float64Array} a @param {Float64Array} b */
export const dot = (a, b) => sum(a.map((x, at) => x * b[at]));

/** @param {ArrayLike<number>} a */
export function sum(a) {
  let total = 0;
  for (let at = 0; at < a.length; at++) total += a[at];
  return total;
}

/** Decibans of a difference of natural log-likelihoods. @param {number} difference */
export const decibansFromLn = (difference) => (difference * 10) / Math.LN10;

/**
 * How strongly evidence speaks, whichever way, as an adverb.
 * @param {import("./table.js").Table} table @param {number} decibans
 */
export function strength({ limits, words }, decibans) {
  return words.strength[limits.strength.filter((from) => Math.abs(decibans) >= from).length];
}
