// What may be said of a plant: the answer the count needs, the group, the name. Beside it:
// `identify/src/outcome.rs`. A name is never forced.
import { added, contributions, posteriorOf, stated } from "./posterior.js";

/** @typedef {import("./table.js").Table} Table */
/** @typedef {import("./evidence.js").Evidence} Evidence */
/** @typedef {import("./posterior.js").Contribution} Contribution */
/** @typedef {"settled" | "leaning" | "split_between" | "not_in_this_key" | "too_little_seen"} OutcomeId */
/** @typedef {{id: OutcomeId, rows: number[]}} Outcome  the rows it names, best first */
/**
 * Everything said of one plant; see the fields of that name in Rust.
 * @typedef {object} Assessment
 * @property {[number, number][]} ranking  row and probability, best first
 * @property {Float64Array} posterior  in row order
 * @property {Contribution[]} contributions
 * @property {Outcome} outcome
 * @property {number[]} shares  planted, other, not in key: by part
 * @property {number} planted_from_even
 * @property {"planted" | "something_else" | "undecided"} counts_as
 * @property {[string, number][]} groups  best first
 */

/**
 * The part of every row in the count's question: 0 planted, 1 other, 2 not in key. What counts as
 * planted goes by its role, or by the mix of a planting.
 * @param {Table} table @param {string[] | null} mix  taxon ids; null goes by role
 */
export const partsOf = (table, mix) =>
  table.rows.map(({ id, role }, row) =>
    row === table.outside ? 2 : (mix ? mix.includes(id) : role === "planted") ? 0 : 1,
  );

/**
 * Says everything that may be said of a plant.
 * @param {Table} table @param {Evidence} evidence @param {number[]} parts
 * @returns {Assessment}
 */
export function assess(table, evidence, parts) {
  const all = contributions(table, evidence);
  const posterior = stated(table, all);
  /** @param {{trait_index: number}} a */
  const decides = (a) => table.traits[a.trait_index].decides;
  // Without colour, as stated and each look by itself: what settles must hold by that as well.
  const looks = contributions(table, evidence.filter(decides));
  const without = [stated(table, looks), posteriorOf(table, looks.filter((c) => decides(c.answer)))];
  /** @type {[number, number][]} */
  const ranking = Array.from(posterior, (p, row) => [row, p]);
  ranking.sort((a, b) => b[1] - a[1]);
  const shares = sharesOf(posterior, parts);
  const [before] = sharesOf(table.log_prior.map(Math.exp), parts);
  const even = fromEven(shares[0], before);
  // Readings of the same answers must agree: with and without colour, from names that start alike
  // and from an even start of *planted* against *something else*.
  const readings = [posterior, ...without].flatMap((one) => {
    const [after] = sharesOf(one, parts);
    return [after, fromEven(after, before)];
  });
  const { settled } = table.limits;
  return {
    ranking,
    posterior,
    contributions: all,
    outcome: outcomeOf(table, ranking, [posterior, ...without], [all, looks]),
    shares,
    planted_from_even: even,
    counts_as:
      Math.min(...readings) >= settled
        ? "planted"
        : Math.max(...readings) <= 1 - settled
          ? "something_else"
          : "undecided",
    groups: groupsOf(table, posterior),
  };
}

/** The planted share after an even start, by odds. @param {number} after @param {number} before */
function fromEven(after, before) {
  if (before <= 0 || before >= 1) return after;
  const yes = after / before;
  return yes / (yes + (1 - after) / (1 - before));
}

/** Shares of the parts. @param {Float64Array} posterior @param {number[]} parts */
export function sharesOf(posterior, parts) {
  const shares = [0, 0, 0];
  posterior.forEach((p, row) => (shares[parts[row]] += p));
  return shares;
}

/**
 * Colour can raise doubt but never lift an outcome: of the probabilities the lowest counts.
 * @param {Table} table @param {[number, number][]} ranking @param {Float64Array[]} posteriors
 * @param {Contribution[][]} sets  the looks, with and without colour @returns {Outcome}
 */
function outcomeOf(table, ranking, posteriors, sets) {
  const { settled, leaning, outside, split, split_names } = table.limits;
  /** @type {number[]} */
  const rows = [];
  const held = posteriors.map(() => 0);
  if (posteriors.every((p) => p[table.outside] >= outside)) return { id: "not_in_this_key", rows };
  const names = ranking.filter(([row]) => row !== table.outside);
  for (const [row] of names.slice(0, split_names)) {
    rows.push(row);
    posteriors.forEach((p, at) => (held[at] += p[row]));
    const sure = Math.min(...held);
    if (rows.length > 1) {
      if (sure >= split) return { id: "split_between", rows };
    } else if (sure >= settled && sets.every((looks) => firstWithoutAny(table, looks, row))) {
      return { id: "settled", rows };
    } else if (sure >= leaning) return { id: "leaning", rows };
  }
  return { id: "too_little_seen", rows: [] };
}

/**
 * Whether a name would still stand first without any one of the answers: one that hangs on a
 * single look is not settled, since that look may have been misread.
 * @param {Table} table @param {Contribution[]} contributions @param {number} name
 */
function firstWithoutAny(table, contributions, name) {
  const log = added(table, contributions, 1);
  return contributions.every(({ log_likelihood: ll }) =>
    log.every((total, row) => row === name || total - ll[row] < log[name] - ll[name]),
  );
}

/**
 * Groups with their shares, best first.
 * @param {Table} table @param {Float64Array} posterior @returns {[string, number][]}
 */
export function groupsOf(table, posterior) {
  /** @type {Map<string, number>} */
  const groups = new Map();
  table.rows.forEach(({ group }, row) => {
    if (group != null) groups.set(group, (groups.get(group) ?? 0) + posterior[row]);
  });
  return [...groups].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1));
}
