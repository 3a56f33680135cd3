// The walk of a plant on the page for out of reach: which look is shown, what is said so far, what
// is saved. Beside it: `web/src/plant/show.rs` and `verdict.rs`, whose words these are.

import { by, element, many, one, show } from './dom.js';
import { withAnswer } from './evidence.js';
import { strength } from './information.js';
import { canLook, looks } from './looks.js';
import { assess, partsOf } from './outcome.js';
import { ifSeen, reasons, spoke, wouldChange } from './reasons.js';
import { read } from './table.js';
import { uuid7 } from './uuid.js';

/** @typedef {import('./evidence.js').Evidence} Evidence */
/** @typedef {import('./evidence.js').Reading} Reading */
/** @typedef {import('./outcome.js').Assessment} Assessment */
/** @typedef {import('./visit.js').Data} Data */

const table = read(by('key-table')?.textContent || '');
const CANNOT = 'cannot_tell';
/** @type {any}  the words of the key */
let words;

/** A share as whole percent. @param {number} share */
const percent = share => {
  const whole = Math.round(share * 100);
  return whole <= 0 && share > 0 ? 'under 1 %' : whole >= 100 && share < 1 ? 'over 99 %' : whole + ' %';
};

/** @param {number} row */
const nameOf = row => (row === table.outside ? 'not in this key' : words.taxa[table.rows[row].id][0]);

/** @param {{id: string, rows: number[]}} outcome */
const outcomeWords = ({ id, rows }) => words.outcomes[id] + (rows.length ? ': ' + rows.map(nameOf).join(', ') : '');

/** @param {number} at @param {Reading} reading */
const seen = (at, reading) => {
  const { id, states, unit } = table.traits[at];
  if (reading === null) return "can't tell";
  if (!Array.isArray(reading)) return reading + ' ' + unit;
  return reading.map(state => words.traits[id].states[states[state]]).join(' and ');
};

/** @param {{trait_index: number, reading: Reading}} answer */
const answered = ({ trait_index, reading }) => words.traits[table.traits[trait_index].id].name + ': ' + seen(trait_index, reading);

/** What stands in the address. @param {URLSearchParams} params */
const evidenceOf = params => {
  /** @type {Evidence} */
  let evidence = [];
  for (const pair of params.getAll('a')) {
    const [id, value] = pair.split(':');
    const trait_index = table.traits.findIndex(trait => trait.id === id);
    if (trait_index < 0 || !value) continue;
    const { states, bins } = table.traits[trait_index];
    /** @type {Reading} */
    const reading = value === CANNOT ? null : bins ? Number(value) : value.split('|').map(state => states.indexOf(state)).sort((a, b) => a - b);
    if (Array.isArray(reading) ? !reading.includes(-1) : reading === null || reading > 0) evidence = withAnswer(evidence, { trait_index, reading });
  }
  return evidence;
};

/** @param {{trait_index: number, reading: Reading}} answer */
const field = ({ trait_index, reading }) => {
  const { id, states } = table.traits[trait_index];
  return id + ':' + (reading === null ? CANNOT : Array.isArray(reading) ? reading.map(state => states[state]).join('|') : reading);
};

/** How many times likelier, without more precision than there is. @param {number} times */
const timesWords = times => {
  const names = ['twice', 'three times', 'four times', 'five times', 'six times', 'seven times', 'eight times', 'nine times', 'ten times'];
  if (times < 1.75) return 'half as much again';
  if (times < 10.5) return names[Math.max(2, Math.min(10, Math.round(times))) - 2];
  return times < 50 ? 'about ' + Math.round(times / 5) * 5 + ' times' : 'more than fifty times';
};

/** @param {import('./reasons.js').Rivals} rivals */
const rivalWords = rivals => {
  if (!rivals) return 'in its rivals together';
  if ('group' in rivals) return 'in its rivals, mostly ' + words.groups[rivals.group].toLowerCase();
  return rivals.row === table.outside ? 'in grasses outside this key' : 'in ' + nameOf(rivals.row);
};

/** @param {string[]} lines */
const list = lines => lines.map(line => element('li', line));

/**
 * What the answers say so far.
 * @param {ParentNode} box @param {Assessment} said @param {string[]} changes @param {string[]} mix
 */
const showVerdict = (box, said, changes, mix) => {
  const say = (/** @type {string} */ name, /** @type {string | HTMLElement[]} */ what) => {
    const slot = one(box, '[data-say=' + name + ']');
    if (Array.isArray(what)) slot.replaceChildren(...what);
    else slot.textContent = what;
  };
  const part = (/** @type {string} */ name, /** @type {unknown} */ yes) => show(one(box, '[data-say=' + name + ']'), yes);
  const counts = { planted: 'Planted here', something_else: 'Something else', undecided: 'Undecided' };
  const taxa = said.ranking.map(([row]) => row).filter(row => row !== table.outside);
  const [leading] = taxa, rival = said.ranking.map(([row]) => row).find(row => row !== leading) ?? leading;
  const loud = spoke(table, said, leading).filter(one => !one.implied);
  const phrase = (/** @type {typeof loud[0]} */ one) => answered(one.answer).replace(':', '');
  const pro = loud.filter(one => one.times >= 1.5).slice(0, 3), contra = loud.filter(one => one.times <= 1 / 1.5).slice(0, 2);
  say('counts_as', counts[said.counts_as]);
  /** @type {HTMLElement} */ (box).className = 'verdict verdict-' + said.counts_as;
  say('planted_even', percent(said.planted_from_even));
  say('outcome', words.outcomes[said.outcome.id]);
  say('named', said.outcome.rows.length ? ': ' + said.outcome.rows.map(nameOf).join(', ') : '');
  const [group] = said.groups;
  say('group', group ? 'group: ' + words.groups[group[0]] + ' ' + percent(group[1]) : '');
  part('not_in_mix', table.rows[leading].role === 'planted' && !mix.includes(table.rows[leading].id));
  part('rests_on_colour', said.posterior[leading] >= table.limits.leaning && !/settled|leaning|not_in/.test(said.outcome.id));
  say('why', 'Why' + (pro.length ? '? Most by ' + phrase(pro[0]) : ''));
  say('spoke', list(pro.map(one => phrase(one) + ': ' + timesWords(one.times) + ' likelier in ' + nameOf(leading) + ' than ' + rivalWords(one.rivals))));
  part('against', contra.length);
  say('spoke_against', list(contra.map(one => phrase(one) + ': ' + timesWords(1 / one.times) + ' likelier ' + rivalWords(one.rivals) + ' than in ' + nameOf(leading))));
  part('change', changes.length);
  say('would_change', list(changes));
  ['planted', 'other', 'not_in_key'].forEach((name, at) => say(name, percent(said.shares[at])));
  say('names', said.ranking.slice(0, 4).map(([row, share]) => {
    const line = element('tr', ''), name = element('td', nameOf(row) + ' ');
    name.append(element('i', row === table.outside ? '' : words.taxa[table.rows[row].id][1], { class: 'quiet' }));
    line.append(name, element('td', percent(share), { class: 'n' }));
    return line;
  }));
  say('held_against', nameOf(leading) + ', held against ' + nameOf(rival) + ':');
  const held = reasons(said, leading, rival);
  for (const [name, sign] of /** @type {[string, number][]} */ ([['pro', 1], ['contra', -1]])) {
    const lines = held.filter(one => one.decibans * sign > 0.1).map(one => answered(one.answer)
      + (one.implied ? ' (follows from another answer)' : '') + ': ' + strength(table, one.decibans)
      + (sign > 0 ? ' for (' : ' against (') + Math.abs(one.decibans).toFixed(1) + ' decibans)');
    say(name, lines.length ? list(lines) : [element('li', 'Nothing yet.')]);
  }
};

/** @param {HTMLFormElement} form @param {URLSearchParams} params @param {Evidence} evidence @param {Assessment} said */
const fillSave = (form, params, evidence, said) => {
  for (const old of many(form, '[data-walk]')) old.remove();
  const add = (/** @type {string} */ name, /** @type {string} */ value) => form.prepend(element('input', '', { type: 'hidden', name, value, 'data-walk': '' }));
  for (const name of ['walk', 'stage']) add(name, params.get(name) || '');
  for (const tool of params.getAll('tool')) add('tool', tool);
  for (const answer of [...evidence].reverse()) add('a', field(answer));
  const names = one(form, 'fieldset');
  for (const old of many(names, 'label')) old.remove();
  const [only] = said.outcome.rows.length === 1 ? said.outcome.rows : [];
  const choice = (/** @type {string} */ value, /** @type {string} */ name, /** @type {boolean} */ on) => {
    const label = element('label', ' ' + name, { class: 'choice' });
    const box = /** @type {HTMLInputElement} */ (element('input', '', { type: 'radio', name: 'taxon', value }));
    box.checked = on;
    label.prepend(box);
    names.append(label);
  };
  choice('none', 'no name yet', only === undefined);
  if (!evidence.some(answer => answer.reading !== null)) return;
  for (const [row] of said.ranking.slice(0, 4)) {
    if (row !== table.outside) choice(table.rows[row].id, nameOf(row), row === only);
  }
};

/** The traits that can be looked at besides. @param {Evidence} evidence @param {any} situation @param {number | undefined} shown */
const picks = (evidence, situation, shown) => words.classes.flatMap((/** @type {[string, string]} */ [id, name]) => {
  const traits = table.traits.filter((trait, at) => words.traits[trait.id].class === id && at !== shown && canLook(table, at, evidence, situation));
  if (!traits.length) return [];
  const box = element('div', '', { class: 'picks' });
  box.append(...traits.map(trait => element('button', words.traits[trait.id].name, { class: 'second', name: 'ask', value: trait.id })));
  return [element('h3', name), box];
});

/** Shows the walk that stands in the address. @param {Data} data @param {URLSearchParams} params @param {string} point @param {number} unknown */
export const showPlant = (data, params, point, unknown) => {
  words = data.words;
  const part = (/** @type {string} */ name) => one(document, '[data-part="' + name + '"]');
  const stage = params.get('stage');
  show(part('stage'), !stage);
  show(part('walk'), stage);
  if (!stage) return;
  const parts = partsOf(table, data.mix), evidence = evidenceOf(params);
  const situation = { leaf_stage: stage, tools: params.getAll('tool') };
  const said = assess(table, evidence, parts), next = looks(table, said.posterior, evidence, situation, parts);
  const any = said.contributions.length > 0;
  const changes = any ? wouldChange(table, evidence, said, next.slice(0, 6), parts).slice(0, 2) : [];
  show(part('verdict'), any);
  show(part('no-verdict'), !any);
  if (any) showVerdict(part('verdict'), said, changes.map(({ trait_index, state, then, chance }) => {
    const { id, states } = table.traits[trait_index];
    return words.traits[id].name + ': ' + words.traits[id].states[states[state]] + ' (to be expected in ' + percent(chance)
      + ' of such plants) would make it ' + outcomeWords(then);
  }), data.mix);

  const asked = table.traits.findIndex(trait => trait.id === params.get('ask'));
  const shown = asked >= 0 ? asked : next[0]?.trait_index;
  for (const look of many(document, '[data-trait]')) {
    const on = shown !== undefined && look.dataset.trait === table.traits[shown].id;
    show(look, on);
    if (!on) continue;
    one(look, '.which').textContent = asked >= 0 ? 'Look at' : 'Look next at';
    for (const box of many(look, '[type=checkbox]')) box.checked = false;
    const typed = one(look, '[inputmode]');
    if (typed) typed.value = '';
  }
  show(part('no-look'), shown === undefined);
  show(part('not-taken'), false);
  show(part('given'), evidence.length);
  one(part('given'), 'ul').replaceChildren(...evidence.map(answer => {
    const line = element('li', ''), { id } = table.traits[answer.trait_index], { name } = words.traits[id];
    const said = element('span', name + ': ');
    said.append(element('strong', seen(answer.trait_index, answer.reading)));
    line.append(said, element('button', 'Take back', { class: 'second', name: 'drop', value: id, 'aria-label': 'Take back ' + name }));
    return line;
  }));
  part('picks').replaceChildren(...picks(evidence, situation, shown));
  part('situation').textContent = [words.stages[stage], ...situation.tools.map(tool => words.tools[tool])].join(', ');
  const again = new URLSearchParams(params);
  again.delete('stage');
  part('change-situation').href = '#' + again;
  show(part('save'), evidence.length);
  const form = one(document, '.save');
  form.action = '/at/' + point + '/plant';
  one(form, '[name=unknown_id]').value ||= uuid7(Date.now());
  one(form, '[name=unknown_number]').value = unknown;
  one(form, '[name=unknown] [value=new]').textContent = 'new: unknown ' + unknown;
  fillSave(form, params, evidence, said);
  const photos = one(document, '[data-photos]'), walk = params.get('walk');
  if (photos.dataset.photos === walk) return;
  photos.dataset.photos = walk;
  photos.dispatchEvent(new Event('another'));
};

/** Takes a press on a look, or the stage: where the walk is then, or nothing. @param {HTMLFormElement} form @param {HTMLButtonElement | null} button @param {URLSearchParams} params */
export const takePlant = (form, button, params) => {
  const refuse = (/** @type {string} */ why) => {
    const line = one(form, '[data-part=not-taken]');
    line.textContent = why;
    show(line, true);
    return null;
  };
  if (form.matches('.stage')) {
    if (!button) return null;
    params.set('stage', button.value);
    params.delete('tool');
    for (const tool of many(form, '[name=tool]:checked')) params.append('tool', tool.value);
    if (!params.get('walk')) params.set('walk', uuid7(Date.now()));
    return params;
  }
  let evidence = evidenceOf(params);
  const look = many(form, '[data-trait]').find(one => !one.hidden);
  if (button && button.name === 'ask') {
    params.set('ask', button.value);
    return params;
  }
  if (button && button.name === 'drop') evidence = evidence.filter(answer => table.traits[answer.trait_index].id !== button.value);
  else if (look) {
    const trait_index = table.traits.findIndex(trait => trait.id === look.dataset.trait);
    const { id, bins, states } = table.traits[trait_index];
    /** @type {Reading} */
    let reading = null;
    if (button && button.name === 'a') {
      const value = button.value.split(':')[1];
      if (value !== CANNOT) reading = [states.indexOf(value)];
    } else if (bins) {
      const [unit, lowest, highest] = words.traits[id].measure;
      const typed = one(look, '[inputmode]').value.trim();
      reading = Number(typed.replace(',', '.'));
      if (!typed || !(reading >= lowest && reading <= highest)) {
        return refuse('\u201c' + typed + '\u201d is no measure of this: from ' + lowest + ' to ' + highest + ' ' + unit + '.');
      }
    } else {
      reading = many(look, '[type=checkbox]:checked').map(box => states.indexOf(box.value.split(':')[1]));
      if (!reading.length) {
        return refuse('Tick what you see, then take it.');
      }
    }
    evidence = withAnswer(evidence, { trait_index, reading });
  }
  params.delete('a');
  params.delete('ask');
  for (const answer of evidence) params.append('a', field(answer));
  return params;
};

// The first answer would otherwise wait for the browser to make the arithmetic fast.
assess(table, [], partsOf(table, null));
ifSeen(table, [], 0, partsOf(table, null));
