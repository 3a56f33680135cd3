// On every page: what is saved goes through the outbox, and what is unsent is always in sight.

import { by, element } from './dom.js';
import { nextFrame } from './frame.js';
import { all, drop, open, put, result, send, text } from './outbox.js';

/** @typedef {import('./outbox.js').Item} Item */

/** @type {IDBDatabase | null} */
let db = null;
let sending = false, sendingPhotos = false, photosAgain = false, trouble = '', clock = '';

/** @type {Map<string, string>}  forms that went to the laptop from this page, and where theirs lead */
const gone = new Map();

/** @param {string} made */
export const age = made => {
  const minutes = Math.max(0, Math.round((Date.now() - Date.parse(made)) / 60000));
  if (minutes < 1) return 'just now';
  if (minutes < 120) return minutes + ' min ago';
  return minutes < 2880 ? Math.round(minutes / 60) + ' h ago' : Math.round(minutes / 1440) + ' days ago';
};

// Whether this page is the one for out of reach.
const apart = () => by('unsent')?.hasAttribute('data-apart');

// The strip at the top of every page, and the list on the outbox's own.
const show = async () => {
  if (!db) return;
  const items = await all(db), strip = by('unsent-strip'), list = by('unsent'), photos = await photosHere();
  if (strip) {
    const both = [...items, ...photos], oldest = both.map(one => one.made).sort()[0];
    strip.hidden = !both.length && !clock;
    const mend = both.filter(one => one.why).length;
    strip.replaceChildren(...(both.length ? [
      element('a', both.length + ' unsent', { href: '/outbox', 'data-go': 'unsent' }),
      element('span', (photos.length ? ' (' + photos.length + (photos.length > 1 ? ' photos)' : ' photo)') : '') + ', the oldest saved ' + age(oldest) + (mend ? '; ' + mend + ' to mend' : '')
        + '. They are safe on this phone.' + (trouble && !apart() ? ' ' + trouble : '')),
    ] : []), clock && both.length ? ' ' + clock : clock);
  }
  if (list) list.replaceChildren(...rows(items));
  document.dispatchEvent(new CustomEvent('unsent', { detail: items.map(item => item.id) }));
};

// Photos that wait. What is known of them beyond that is in photos.js, which pages without photos do not load.
/** @returns {Promise<{made: string, why?: string[]}[]>} */
const photosHere = async () => db ? result(db.transaction('photos').objectStore('photos').getAll()) : [];

/** @param {Item[]} items */
const rows = items => {
  if (!items.length) return [element('p', 'No record waits on this phone: all that were saved are on the laptop.')];
  const file = element('a', 'Save them to a file', {
    class: 'button', download: 'unsent-' + new Date().toISOString().slice(0, 10) + '.json',
    href: URL.createObjectURL(new Blob([text(items)], { type: 'application/json' })),
  });
  const now = element('button', 'Send now', { type: 'button' });
  now.onclick = () => flush(true);
  const buttons = element('div', '', { class: 'buttons' });
  buttons.append(now, file);
  const list = element('ul', '', { class: 'rows' });
  for (const item of items) {
    const row = element('li', '');
    row.append(
      element('strong', what(item)),
      element('span', ' saved ' + age(item.made) + '. ' + (item.why ? item.why.join(' ') : 'Waits for the laptop.')),
    );
    if (item.why) row.append(opener(item), thrower(item));
    list.append(row);
  }
  return [buttons, list];
};

/** @param {Item} item */
const what = item => {
  const fields = new URLSearchParams(item.fields);
  if (item.to.endsWith('/count')) return 'Frame ' + fields.get('number');
  if (item.to.endsWith('/voucher')) return 'Specimen ' + fields.get('number');
  if (item.to.endsWith('/come-back')) return 'Plant to come back to';
  return item.to.endsWith('/plant') ? 'Plant' : 'Point ' + (fields.get('label') || fields.get('number'));
};

// Its page at the laptop, filled in, with what is wrong on top.
/** @param {Item} item */
const opener = item => {
  const form = element('form', '', { method: 'post', action: item.to });
  // A page that can't be fetched again stays open.
  if (apart()) form.setAttribute('target', '_blank');
  for (const [name, value] of new URLSearchParams(item.fields)) form.append(element('input', '', { type: 'hidden', name, value }));
  form.append(element('button', 'Open and mend'));
  return form;
};

// Undone by pressing again, as long as the page is open.
/** @param {Item} item */
const thrower = item => {
  const button = element('button', 'Throw away', { class: 'second', type: 'button' });
  let away = false;
  button.onclick = async () => {
    if (!db) return;
    away = !away;
    await (away ? drop(db, item.id) : put(db, item));
    button.textContent = away ? 'Thrown away. Take it back' : 'Throw away';
  };
  return button;
};

// With `again` also what was refused: its point may have come in since.
/** @param {boolean} [again] */
export const flush = async (again = false) => {
  if (!db || sending) return;
  sending = true;
  try {
    await send(db, answer => {
      answer.kept.forEach(one => gone.set(one.id, one.to));
      clock = answer.clock || '';
    }, again);
    trouble = '';
    flushPhotos();
  } catch (error) {
    trouble = inWords(error);
  }
  sending = false;
  await show();
};

/** @param {unknown} error */
const inWords = error => error instanceof TypeError || error instanceof DOMException
  ? 'The laptop does not answer; they go to it by themselves once it does.' : String(error instanceof Error ? error.message : error);

// After the forms, and beside them: a form that is saved meanwhile does not wait for a photo.
const flushPhotos = async () => {
  if (!db || !(await photosHere()).some(photo => !photo.why)) return;
  // Their plant may just have been sent.
  photosAgain = sendingPhotos;
  if (sendingPhotos) return;
  sendingPhotos = true;
  try {
    // Fetched first, since some browsers never ask again for a module that once failed to load.
    const module = new URL('photos.js', import.meta.url);
    await fetch(module);
    await (await import(module.href)).send(db, show);
    trouble = '';
  } catch (error) {
    trouble = inWords(error);
  }
  sendingPhotos = false;
  await show();
  if (photosAgain) flushPhotos();
};

/** @param {HTMLFormElement} form @param {string} words */
const say = (form, words) => {
  let line = form.querySelector('.kept');
  if (!line) form.prepend(line = element('p', '', { class: 'done kept', role: 'status' }));
  line.textContent = words;
  line.scrollIntoView({ block: 'center' });
};

// As it would go without a script, button and all.
/** @param {HTMLFormElement} form @param {HTMLElement | null} button */
const submit = (form, button) => {
  if (button instanceof HTMLButtonElement) form.append(element('input', '', { type: 'hidden', name: button.name, value: button.value }));
  form.submit();
};

/** @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Item} item */
const keep = async (form, button, item) => {
  if (!db) return;
  say(form, 'Saving ...');
  gone.delete(item.id);
  try {
    await put(db, item);
    say(form, 'Saved on this phone. Sending ...');
  } catch (error) {
    say(form, 'This phone has no room to keep it (' + error + '). Sending it to the laptop instead.');
    submit(form, button);
    return;
  }
  // A page that shows by itself what comes next stays where it is.
  if (!form.dispatchEvent(new CustomEvent('kept', { bubbles: true, cancelable: true, detail: item }))) {
    form.removeAttribute('data-busy');
    form.querySelector('.kept')?.remove();
    await show();
    await flush();
    return;
  }
  while (sending) await new Promise(yes => setTimeout(yes, 50));
  await flush();
  form.removeAttribute('data-busy');
  // Sent now, or by a sending that was under way already.
  const to = gone.get(item.id);
  if (to) {
    location.assign(to);
    return;
  }
  const still = (await all(db)).find(one => one.id === item.id);
  if (still && still.why) {
    // The laptop's page says what is wrong beside the fields; this form stays in the outbox.
    submit(form, button);
    return;
  }
  const frame = form.matches('.count') && !form.querySelector('[name=supersedes], [name=repeats]');
  const number = Number(new URLSearchParams(item.fields).get('number')) + 1;
  say(form, 'Saved on this phone, not on the laptop yet. ' + trouble
    + (frame ? ' This is the next frame here, number ' + number + ': go on counting.' : ''));
  if (!frame) return;
  nextFrame(form, number);
  const title = document.querySelector('h1.where > span:last-child');
  if (title) title.textContent = 'Frame ' + number;
};

document.addEventListener('submit', event => {
  const form = event.target, button = event.submitter;
  if (!db || !(form instanceof HTMLFormElement) || !form.dataset.keep) return;
  const pressed = button instanceof HTMLButtonElement && button.name === 'do' ? button.value : 'save';
  if (!/^(save|none|here|cannot|correct|repeat)/.test(pressed)) return;
  event.preventDefault();
  // A nervous thumb.
  if (form.hasAttribute('data-busy')) return;
  form.setAttribute('data-busy', '');
  const data = new FormData(form);
  if (button instanceof HTMLButtonElement && button.name) data.append(button.name, button.value);
  const fields = new URLSearchParams();
  data.forEach((value, name) => fields.append(name, String(value)));
  keep(form, button, {
    id: String(data.get(form.dataset.keep)), to: new URL(form.action).pathname,
    fields: fields.toString(), made: new Date().toISOString(),
  });
});

const start = async () => {
  try {
    db = await open();
  } catch (error) {
    // No store on this phone (a private window): forms go to the laptop as they do without a script.
    document.documentElement.dataset.keeps = 'no: ' + error;
    return;
  }
  document.documentElement.dataset.keeps = 'yes';
  addEventListener('online', () => flush());
  document.addEventListener('visibilitychange', () => {
    if (!document.hidden) flush();
  });
  // Only while something waits: a timer of its own costs battery.
  setInterval(async () => {
    if (db && !document.hidden && [...await all(db), ...await photosHere()].some(one => !one.why)) flush();
  }, 30000);
  await show();
  await flush();
};

start();
