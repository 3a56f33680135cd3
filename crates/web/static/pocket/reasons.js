// For and Against: which answers speak for a name, and what would change it. Beside it:
// `identify/src/reasons.rs`.
import { withAnswer } from "./evidence.js";
import { decibansFromLn, dot, sum } from "./information.js";
import { assess, groupsOf } from "./outcome.js";
import { posteriorOf } from "./posterior.js";

/** @typedef {import("./table.js").Table} Table */
/** @typedef {import("./evidence.js").Evidence} Evidence */
/** @typedef {import("./outcome.js").Outcome} Outcome */
/** @typedef {import("./outcome.js").Assessment} Assessment */
/** @typedef {import("./posterior.js").Contribution} Contribution */
/** @typedef {Contribution & {decibans: number}} Reason */
/** @typedef {{row: number} | {group: string} | null} Rivals  one name, one group, or nobody stands out */
/** @typedef {Contribution & {times: number, rivals: Rivals}} Spoke */
/** @typedef {{trait_index: number, state: number, then: Outcome, chance: number}} WouldChange */

/**
 * Every answer's say for `row` against `rival` in decibans, strongest first.
 * @param {Assessment} assessment @param {number} row @param {number} rival @returns {Reason[]}
 */
export function reasons({ contributions }, row, rival) {
  return contributions
    .map((one) => ({
      ...one,
      decibans: decibansFromLn(one.log_likelihood[row] - one.log_likelihood[rival]),
    }))
    .sort((a, b) => Math.abs(b.decibans) - Math.abs(a.decibans));
}

/**
 * The outcome after each state of a trait, were it seen next.
 * @param {Table} table @param {Evidence} evidence @param {number} trait_index @param {number[]} parts
 */
export function ifSeen(table, evidence, trait_index, parts) {
  return table.traits[trait_index].states.map((_, state) => {
    const more = withAnswer(evidence, { trait_index, reading: [state] });
    return assess(table, more, parts).outcome;
  });
}

/**
 * Every answer's say for a name against its rivals together, loudest first. `times` is how many
 * times likelier the answer is under the name, rivals weighed by what they have without it.
 * @param {Table} table @param {Assessment} assessment @param {number} row @returns {Spoke[]}
 */
export function spoke(table, { contributions }, row) {
  return contributions
    .map((one) => {
      const shares = posteriorOf(table, contributions.filter((c) => c !== one));
      shares[row] = 0;
      const total = sum(shares);
      const among = dot(shares, one.log_likelihood.map(Math.exp)) / total;
      const times = Math.exp(one.log_likelihood[row]) / among;
      return { ...one, times, rivals: rivals(table, shares, total) };
    })
    .sort((a, b) => Math.abs(Math.log(b.times)) - Math.abs(Math.log(a.times)));
}

/** @param {Table} table @param {Float64Array} shares @param {number} total @returns {Rivals} */
function rivals(table, shares, total) {
  const most = (/** @type {number} */ p) => p >= table.limits.stands_for_all * total;
  const row = shares.findIndex(most);
  if (row >= 0) return { row };
  const group = groupsOf(table, shares)[0];
  return group && most(group[1]) ? { group: group[0] } : null;
}

/**
 * Of the looks proposed, the states that would lead to another name or settle the one that leads;
 * likeliest first, at most one a trait. Measures have no states to name.
 * @param {Table} table @param {Evidence} evidence @param {Assessment} now
 * @param {import("./looks.js").Look[]} looks @param {number[]} parts
 */
export function wouldChange(table, evidence, now, looks, parts) {
  // Settled and leaning name one row.
  const named = (/** @type {Outcome} */ { id, rows }) => (rows.length === 1 ? id + rows : "");
  const before = named(now.outcome);
  /** @type {WouldChange[]} */
  const all = [];
  for (const { trait_index } of looks) {
    /** @type {WouldChange | undefined} */
    let best;
    ifSeen(table, evidence, trait_index, parts).forEach((then, state) => {
      const chance = dot(now.posterior, table.traits[trait_index].chances[state]);
      const after = named(then);
      if (after && after !== before && !(best && best.chance > chance)) {
        best = { trait_index, state, then, chance };
      }
    });
    if (best) all.push(best);
  }
  return all.sort((a, b) => b.chance - a.chance);
}
