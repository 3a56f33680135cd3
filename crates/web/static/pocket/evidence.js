// What a scout saw on one plant. Beside it: `identify/src/evidence.rs`.
//
// Not here: reading values out of an address or a field, which is the page's.

/** @typedef {number[] | number | null} Reading  states by position, ascending; a measure; can't tell */
/** @typedef {{trait_index: number, reading: Reading}} Answer */
/** @typedef {Answer[]} Evidence  in the order in which traits were first answered */
/** @typedef {{leaf_stage: string, tools: string[]}} Situation  what can be looked at */

/**
 * The reading of a trait: null for *can't tell*, undefined where it was not answered.
 * @param {Evidence} evidence @param {number} at
 */
export const readingOf = (evidence, at) => evidence.find((a) => a.trait_index === at)?.reading;

/**
 * The evidence with one answer more. States add to states given before; of two measures the last
 * counts; *can't tell* never removes what was seen.
 * @param {Evidence} evidence @param {Answer} answer @returns {Evidence}
 */
export function withAnswer(evidence, answer) {
  const at = evidence.findIndex((a) => a.trait_index === answer.trait_index);
  if (at < 0) return [...evidence, answer];
  const before = evidence[at].reading;
  let reading = answer.reading;
  if (reading === null) reading = before;
  else if (Array.isArray(before) && Array.isArray(reading)) {
    reading = [...new Set([...before, ...reading])].sort((a, b) => a - b);
  }
  return evidence.map((a, n) => (n === at ? { ...a, reading } : a));
}
