// The compiled table, read from the text that a phone gets. Beside it: `identify/src/phone.rs`.
//
// In: the text. Out: a Table, or a PhoneFault with a sentence. No page and no network here, nor in
// any module of the engine.
import { plogp, sum } from "./information.js";

const FORMAT = "standbook phone table 2";

/** @typedef {{id: string, role: string | null, group: string | null}} Row */
/** @typedef {{lowest: number, highest: number, n: number}} Bins  of a measure, in its unit */
/** @typedef {[number[], number]} Together  traits that say partly the same, and their overlap */
/**
 * One trait. `columns[state][row]` is the natural log of the chance that this state is reported,
 * `chances` the chance, `row_entropy` the entropy of a row in nats. Stages are positions in
 * `words.stage`.
 * @typedef {object} TraitColumns
 * @property {string} id
 * @property {string} class
 * @property {string[]} states  empty for a measure
 * @property {Bins | null} bins
 * @property {string | null} unit
 * @property {number} effort_s
 * @property {string[]} needs
 * @property {number} from_stage
 * @property {number} until_stage
 * @property {boolean} decides
 * @property {[number, number[]] | null} applies_to
 * @property {Together | undefined} set  the set that it belongs to
 * @property {Float64Array[]} columns
 * @property {Float64Array[]} chances
 * @property {Float64Array} row_entropy
 */
/**
 * @typedef {object} Table
 * @property {string} key_id
 * @property {string} fingerprint
 * @property {Row[]} rows
 * @property {number} outside  the row of *not in this key*; -1 where there is none
 * @property {Float64Array} log_prior
 * @property {TraitColumns[]} traits
 * @property {{both: number, agreement: number}} modelling
 * @property {typeof LIMITS} limits  what the engine has as constants
 * @property {typeof WORDS} words
 */

/** A text that is no table for the phone; the message says how to mend it. */
export class PhoneFault extends Error {}

// What every field must be, by example: 1 is a whole number from 0, 0.5 any number, [x] a list of
// x, undefined anything at all; a field with `?` may be missing or null.
const any = undefined;
const LIMITS = {
  settled: 0.5, leaning: 0.5, split: 0.5, split_names: 1, outside: 0.5, stands_for_all: 0.5,
  tap_s: 0.5, worthless_bits: 0.5, fewest: 0.5, strength: [0.5],
};
const WORDS = { class: [""], digits: "", need: [""], role: [""], stage: [""], strength: [""] };
const TRAIT = {
  id: "", class: any, states: [""], "bins?": { lowest: 0.5, highest: 0.5, n: 1 }, "unit?": "",
  effort_s: 1, needs: [any], from_stage: any, until_stage: any, decides: true,
  "applies_to?": { 0: 1, 1: [1] }, columns: "",
};
const WIRE = {
  step_nats: 0.5, key_id: "", fingerprint: "", rows: [{ id: "", role: any, "group?": "" }],
  log_prior: [any], traits: [TRAIT], together: [{ 0: [1], 1: 0.5 }],
  modelling: { both: 0.5, agreement: 0.5 }, limits: LIMITS, words: WORDS,
};

/**
 * Where a value is not like its example; empty where it is.
 * @param {any} value @param {any} like @param {string} name @returns {string}
 */
function misfit(value, like, name) {
  if (typeof like !== "object") {
    const whole = like !== 1 || (Number.isInteger(value) && value >= 0);
    const same = like === any ? value !== any : typeof value === typeof like;
    return same && whole ? "" : name;
  }
  const list = Array.isArray(like);
  if (list ? !Array.isArray(value) : typeof value !== "object" || !value) return name;
  for (const key in list ? value : like) {
    const field = key.replace("?", "");
    if (field !== key && value[field] == null) continue;
    const bad = misfit(value[field], like[list ? 0 : key], `${name}.${field}`);
    if (bad) return bad;
  }
  return "";
}

/** @param {string} what @returns {never} */
function refuse(what) {
  throw new PhoneFault(`${what}; fetch the key again`);
}

/**
 * The table of a text.
 * @param {string} text @returns {Table}
 */
export function read(text) {
  const not = (/** @type {unknown} */ why) => refuse(`this is not a table for the phone (${why})`);
  /** @type {any} */
  let wire;
  try {
    wire = JSON.parse(text);
  } catch (error) {
    not(error);
  }
  const form = wire?.format;
  if (typeof form !== "string") not("no `format`");
  if (form !== FORMAT) refuse(`the table has the form \`${form}\`, not \`${FORMAT}\``);
  const bad = misfit(wire, WIRE, "table");
  if (bad) not(`\`${bad}\` is missing or of another kind`);

  const inRange = (/** @type {string} */ what, /** @type {boolean} */ good) =>
    good || refuse(`\`${what}\` is out of range`);
  const upTo = (/** @type {number} */ most, /** @type {number} */ x) => x >= 0 && x <= most;
  const { rows, log_prior, traits, together, modelling, step_nats, words } = wire;
  /** @type {number[]} */
  const n = traits.map((/** @type {any} */ t) => t.bins?.n ?? t.states.length);
  const known = (/** @type {number} */ at) => at < n.length;
  inRange("step_nats", step_nats > 0 && step_nats < 1);
  inRange("log_prior", log_prior.length === rows.length);
  for (const { bins: b, applies_to: limit } of traits) {
    inRange("bins", !b || (0 < b.lowest && b.lowest < b.highest && b.n > 0 && b.n <= 1000));
    const shown = (/** @type {number} */ state) => state < n[limit[0]];
    inRange("applies_to", !limit || (known(limit[0]) && limit[1].every(shown)));
  }
  for (const [set, overlap] of together) inRange("together", set.every(known) && upTo(1, overlap));
  inRange("both", upTo(1, modelling.both));
  inRange("agreement", upTo(100, modelling.agreement));

  traits.forEach((/** @type {any} */ one, /** @type {number} */ at) => {
    decode(one, n[at], rows.length, step_nats, words.digits);
    word("class of traits", one.class, words.class);
    for (const need of one.needs) word("tool", need, words.need);
    one.from_stage = word("leaf stage", one.from_stage, words.stage);
    one.until_stage = word("leaf stage", one.until_stage ?? words.stage.at(-1), words.stage);
    one.set = together.find((/** @type {Together} */ set) => set[0].includes(at));
  });
  for (const { role } of rows) word("role", role ?? words.role[0], words.role);
  // JSON has no minus infinity: that is null.
  wire.log_prior = Float64Array.from(log_prior, (p) => p ?? -Infinity);
  wire.outside = rows.at(-1)?.id === "not_in_key" ? rows.length - 1 : -1;
  return wire;
}

/**
 * The position of a word.
 * @param {string} what @param {any} found @param {string[]} all
 */
function word(what, found, all) {
  const at = all.indexOf(found);
  if (at >= 0) return at;
  const short = `\`${JSON.stringify(found)?.slice(0, 40)}\``;
  throw new PhoneFault(`${short} is not a ${what} that this version knows; update the program`);
}

/**
 * Turns a trait's digits into its columns, in place.
 * @param {any} one @param {number} nStates @param {number} nRows @param {number} step
 * @param {string} digits
 */
function decode(one, nStates, nRows, step, digits) {
  const wanted = 2 * nStates * nRows;
  const cells = Array.from(/** @type {string} */ (one.columns), (digit) => digits.indexOf(digit));
  if (cells.length !== wanted || cells.includes(-1)) {
    refuse(`the cells of \`${one.id}\` are not ${wanted} digits`);
  }
  one.columns = Array.from({ length: nStates }, (_, state) =>
    Float64Array.from({ length: nRows }, (_, row) => {
      const at = 2 * (state * nRows + row);
      return -step * (cells[at] * digits.length + cells[at + 1]);
    }),
  );
  one.chances = one.columns.map((/** @type {Float64Array} */ column) => column.map(Math.exp));
  one.row_entropy = Float64Array.from(
    { length: nRows },
    (_, row) => -sum(one.chances.map((/** @type {Float64Array} */ column) => plogp(column[row]))),
  );
}

/**
 * How much one answer weighs when `m` traits of its set are answered, itself among them, 0 to 1.
 * @param {TraitColumns} columns @param {number} m
 */
export const weight = ({ set }, m) => (set ? 1 / (1 + (m - 1) * set[1]) : 1);

/**
 * The bin of a measure; values outside fall into the first or last.
 * @param {Bins} bins @param {number} value
 */
export function binOf({ lowest, highest, n }, value) {
  const bin = Math.floor((Math.log(value / lowest) / Math.log(highest / lowest)) * n);
  return bin > 0 ? Math.min(bin, n - 1) : 0;
}
