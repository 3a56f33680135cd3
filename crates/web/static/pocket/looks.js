// *Look next at*: the trait that tells most per second. Beside it: `identify/src/look_next.rs`.
import { readingOf } from "./evidence.js";
import { dot, plogp } from "./information.js";
import { sharesOf } from "./outcome.js";
import { weight } from "./table.js";

/** @typedef {import("./table.js").Table} Table */
/** @typedef {import("./evidence.js").Evidence} Evidence */
/** @typedef {import("./evidence.js").Situation} Situation */
/** @typedef {{trait_index: number, bits_name: number, bits_planted: number, bits_per_second: number}} Look */

/**
 * The traits that can be looked at now, best first; deciding ones before those that only support.
 * @param {Table} table @param {Float64Array} posterior @param {Evidence} evidence
 * @param {Situation} situation @param {number[]} parts
 */
export function looks(table, posterior, evidence, situation, parts) {
  const shares = sharesOf(posterior, parts);
  const decides = (/** @type {Look} */ l) => Number(table.traits[l.trait_index].decides);
  return table.traits
    .flatMap((_, at) =>
      canLook(table, at, evidence, situation) ? look(table, at, posterior, parts, shares, evidence) : [],
    )
    .filter((l) => l.bits_name + l.bits_planted > table.limits.worthless_bits)
    .sort((a, b) => decides(b) - decides(a) || b.bits_per_second - a.bits_per_second);
}

/**
 * Whether a trait can be looked at: not answered, visible at this stage, tools in hand, applying.
 * @param {Table} table @param {number} at @param {Evidence} evidence @param {Situation} situation
 */
export function canLook(table, at, evidence, situation) {
  const { needs, from_stage, until_stage } = table.traits[at];
  const stage = table.words.stage.indexOf(situation.leaf_stage);
  return (
    readingOf(evidence, at) === undefined &&
    from_stage <= stage &&
    stage <= until_stage &&
    needs.every((need) => situation.tools.includes(need)) &&
    applies(table, at, evidence)
  );
}

/**
 * Whether a trait applies to this plant, as far as answered.
 * @param {Table} table @param {number} at @param {Evidence} evidence
 */
function applies(table, at, evidence) {
  const limit = table.traits[at].applies_to;
  const seen = limit && readingOf(evidence, limit[0]);
  return !Array.isArray(seen) || seen.some((state) => limit?.[1].includes(state));
}

/**
 * @param {Table} table @param {number} at @param {Float64Array} posterior @param {number[]} parts
 * @param {number[]} shares @param {Evidence} evidence @returns {Look}
 */
function look(table, at, posterior, parts, shares, evidence) {
  const columns = table.traits[at];
  const within = dot(posterior, columns.row_entropy);
  let all = 0;
  let withinParts = 0;
  for (const column of columns.chances) {
    const joint = [0, 0, 0];
    for (let row = 0; row < column.length; row++) joint[parts[row]] += posterior[row] * column[row];
    all -= plogp(joint[0] + joint[1] + joint[2]);
    shares.forEach((share, h) => (withinParts -= share && share * plogp(joint[h] / share)));
  }
  // A further answer to traits that say partly the same will count less, and so is worth less.
  const told = evidence.filter((a) => a.reading !== null && columns.set?.[0].includes(a.trait_index));
  const bits = weight(columns, told.length + 1) / Math.LN2;
  const bits_name = Math.max((all - within) * bits, 0);
  const bits_planted = Math.max((all - withinParts) * bits, 0);
  const bits_per_second = (bits_name + bits_planted) / (columns.effort_s + table.limits.tap_s);
  return { trait_index: at, bits_name, bits_planted, bits_per_second };
}
