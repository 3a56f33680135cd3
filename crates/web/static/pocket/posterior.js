// From answers to how likely each taxon is: adding columns. Beside it: `identify/src/posterior.rs`,
// which says why.
import { readingOf } from "./evidence.js";
import { sum } from "./information.js";
import { binOf, weight } from "./table.js";

/** @typedef {import("./table.js").Table} Table */
/** @typedef {import("./evidence.js").Answer} Answer */
/** @typedef {import("./evidence.js").Evidence} Evidence */
/**
 * What one answer adds to every row: its tempered natural log-likelihood.
 * @typedef {{answer: Answer, implied: boolean, log_likelihood: Float64Array}} Contribution
 */

/**
 * What every answer adds, implied ones last. Answers that say nothing are left out.
 * @param {Table} table @param {Evidence} evidence @returns {Contribution[]}
 */
export function contributions(table, evidence) {
  const given = evidence.filter((a) => a.reading !== null);
  const all = [...given, ...impliedBy(table, evidence)];
  return all.map((answer, n) => {
    const columns = table.traits[answer.trait_index];
    const m = all.filter((a) => columns.set?.[0].includes(a.trait_index)).length;
    const times = weight(columns, m);
    return {
      answer,
      implied: n >= given.length,
      log_likelihood: readingColumn(table, answer).map((ll) => ll * times),
    };
  });
}

/**
 * Probabilities of the rows, each contribution taken by itself: what settles is held to it.
 * @param {Table} table @param {Contribution[]} contributions
 */
export const posteriorOf = (table, contributions) => normalise(added(table, contributions, 1));

/**
 * Probabilities of the rows as they are stated: what is said comes true about as often as it says.
 * @param {Table} table @param {Contribution[]} contributions
 */
export function stated(table, contributions) {
  const earned = 1 + table.modelling.agreement / Math.max(contributions.length, table.limits.fewest);
  return normalise(added(table, contributions, earned));
}

/**
 * Logs of the rows, with contributions added so many times over to the priors.
 * @param {Table} table @param {Contribution[]} contributions @param {number} times
 */
export function added(table, contributions, times) {
  const log = table.log_prior.slice();
  for (const { log_likelihood: ll } of contributions) {
    for (let row = 0; row < log.length; row++) log[row] += times * ll[row];
  }
  return log;
}

/** Logs as probabilities. @param {Float64Array} log */
function normalise(log) {
  const top = Math.max(...log);
  // Every row impossible: nothing was learnt.
  if (top === -Infinity) return log.fill(1 / log.length);
  const chances = log.map((l) => Math.exp(l - top));
  const total = sum(chances);
  return chances.map((p) => p / total);
}

/** @param {Table} table @param {Answer} answer */
function readingColumn(table, { trait_index, reading }) {
  const { columns, chances, bins } = table.traits[trait_index];
  if (typeof reading === "number" && bins) return columns[binOf(bins, reading)];
  if (!Array.isArray(reading)) return new Float64Array(table.rows.length);
  if (reading.length === 1) return columns[reading[0]];
  // Half the mean of the chances (one of the states is right), half their geometric mean (all are).
  const both = table.modelling.both;
  const n = reading.length;
  const mean = new Float64Array(table.rows.length);
  const logs = mean.slice();
  for (const state of reading) {
    for (let row = 0; row < mean.length; row++) {
      mean[row] += chances[state][row] / n;
      logs[row] += columns[state][row] / n;
    }
  }
  return mean.map((p, row) => Math.log((1 - both) * p + both * Math.exp(logs[row])));
}

/**
 * Answers that others imply: who describes a ligule's edge has seen a ligule.
 * @param {Table} table @param {Evidence} evidence
 */
function impliedBy(table, evidence) {
  /** @type {{trait_index: number, reading: number[]}[]} */
  const implied = [];
  for (const { trait_index, reading } of evidence) {
    const limit = table.traits[trait_index].applies_to;
    if (reading === null || !limit) continue;
    const [other, states] = limit;
    if (readingOf(evidence, other) != null || !states.length) continue;
    const known = implied.find((a) => a.trait_index === other);
    // Two dependants narrow the same answer down to what both allow.
    const both = known?.reading.filter((s) => states.includes(s));
    if (!known) implied.push({ trait_index: other, reading: states });
    else if (both?.length) known.reading = both;
  }
  return implied;
}
