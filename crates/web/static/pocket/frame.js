// Reading frames where no page can be fetched: what the laptop does on the page of a frame.
// Beside it: `web/src/count/sheet.rs` and `draft.rs`, whose fields these are.

import { element, many, one } from './dom.js';
import { uuid7 } from './uuid.js';

// The same frame's form, empty, for the next laying.
/** @param {HTMLFormElement} form @param {number} number */
export const nextFrame = (form, number) => {
  for (const box of form.querySelectorAll('input')) {
    if (box.name === 'c' || box.name === 'none') {
      box.checked = false;
      if (box.name === 'c' && box.parentElement) box.parentElement.className = '';
      box.classList.remove('f');
    }
    if (/^p\./.test(box.name)) box.value = '';
    if (/^[fm]\.|^second$/.test(box.name)) box.remove();
    if (box.name === 'id') box.value = uuid7(Date.now());
    if (box.name === 'number') box.value = String(number);
    // An unknown that is on its way already keeps its words.
    if (/^new\./.test(box.name)) box.readOnly = true;
  }
  const pick = one(form, '.pick');
  if (pick) pick.checked = true;
  form.classList.remove('second');
  for (const words of many(form, '.second-time:not(.if-second)')) words.remove();
};

/** @param {string} name @param {string} value */
const hidden = (name, value) => element('input', '', { type: 'hidden', name, value });

/** The columns, in their order. @param {HTMLFormElement} form @returns {HTMLElement[]} */
const columns = form => many(form, '[name=col]').map(col => col.parentElement);

/** What is entered in a column: cells, or plants. @param {HTMLElement} column @returns {string} */
const entered = column => {
  const plants = one(column, '[name^="p."]');
  return plants ? plants.value.trim() : many(column, '[name=c]:checked').map(box => box.value.split('.')[1]).join('.');
};

// What is marked now is what the first look found.
/** @param {HTMLFormElement} form */
export const lookAgain = form => {
  form.append(hidden('second', '1'));
  columns(form).forEach((column, at) => {
    if (entered(column)) column.append(hidden('f.' + at, entered(column)));
    for (const box of many(column, '[name=c]:checked')) box.classList.add('f');
  });
  form.classList.add('second');
};

/** @param {string} words */
const escaped = words => words.replace(/[&<>"]/g, sign => '&#' + sign.charCodeAt(0) + ';');

// One more column, shown; nothing where it is there already.
/** @param {HTMLFormElement} form @param {string} kind @param {Record<string, string>} fill */
const addColumn = (form, kind, fill) => {
  const blank = one(form, '[data-column=' + kind + ']'), all = columns(form);
  let html = blank.innerHTML.replaceAll('__column__', String(all.length));
  for (const from in fill) html = html.replaceAll(from, escaped(fill[from]));
  const made = element('template', '');
  made.innerHTML = html;
  const column = one(/** @type {HTMLTemplateElement} */ (made).content, 'div');
  const last = all[all.length - 1];
  if (last) last.after(column);
  else blank.before(column);
  const pick = one(column, '.pick');
  if (pick) pick.checked = true;
  return column;
};

// What is chosen in the list.
/** @param {HTMLFormElement} form @returns {string} what is wrong, or nothing */
export const addChosen = form => {
  const list = one(form, '[name=more]'), chosen = list.selectedOptions[0];
  if (!list.value) return 'Choose in the list what stands here.';
  const there = many(form, '[name=col]').find(col => col.value === list.value);
  if (there) (one(there.parentElement, '.pick') || {}).checked = true;
  else addColumn(form, 'book', { __code__: list.value, __name__: chosen.textContent });
  list.value = '';
  return '';
};

// A plant without a name yet.
/** @param {HTMLFormElement} form @param {number} number @returns {string} what is wrong, or nothing */
export const addUnknown = (form, number) => {
  const words = one(form, '[name=describe]');
  if (!words.value.trim()) return 'Say what the unknown looks like, so that it can be found again.';
  const id = one(form, '[data-column=new]').dataset.id;
  const column = addColumn(form, 'new', { [id]: uuid7(Date.now()), __number__: String(number) });
  one(column, '[name^="new."]').value = words.value;
  words.value = '';
  return '';
};

// Takes a column out again; the later ones move up.
/** @param {HTMLFormElement} form @param {number} at */
export const dropColumn = (form, at) => {
  columns(form)[at].remove();
  columns(form).forEach((column, now) => {
    for (const field of many(column, '[name=c], [name=show], [name^="p."], [name^="f."], [name=do]')) {
      if (/^[pf]\./.test(field.name)) field.name = field.name.slice(0, 2) + now;
      else field.value = field.value.replace(/\d+/, String(now));
    }
  });
  const pick = one(form, '.pick');
  if (pick) pick.checked = true;
};

// What the laptop would refuse, said before it is saved.
/** @param {HTMLFormElement} form @param {string} pressed @returns {string} */
export const wrongWith = (form, pressed) => {
  const grid = one(form, '.cells'), all = columns(form);
  const some = all.some(column => entered(column) && entered(column) !== '0');
  if (!one(form, '[name=scout]').value.trim()) return 'Your name is missing. Type it.';
  if (!/^[1-9]\d*$/.test(one(form, '[name=number]').value.trim())) return 'The number of the frame is missing: a whole number from 1 up.';
  if (one(form, '[name=describe]').value.trim()) return 'You described an unknown without adding it. Add it, or clear the words.';
  if (one(form, '[name=more]').value) return 'You chose something in the list without adding it. Add it, or choose nothing.';
  for (const size of many(form, '[name=area], [name=length], [name=spacing]')) {
    if (!(Number(size.value.replace(',', '.')) > 0)) return 'A measure of what you laid is missing. Type it, above 0.';
  }
  for (const plants of many(form, '[name^="p."]')) {
    if (!/^\d*$/.test(plants.value.trim())) return '\u201c' + plants.value + '\u201d is no number of plants. Use a whole number from 0 up.';
  }
  for (const words of many(form, '[name^="new."]')) {
    const column = words.closest('.taxon, .mix-row');
    if (!words.readOnly && !entered(column)) return 'The new unknown is marked nowhere. Mark it, or take it out again.';
    if (!words.value.trim()) return 'The new unknown has no description. Say what it looks like, so that it can be found again.';
  }
  if (pressed === 'none') return some ? 'Something is marked, so \u201cLooked, none\u201d cannot be. Clear it, or save it.' : '';
  return some ? '' : (grid ? 'No cell is marked. Mark what is there' : 'No plant is entered. Enter what is there') + ', or press \u201cLooked, none\u201d.';
};
