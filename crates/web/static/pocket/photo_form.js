// The form for photos of a plant: what is chosen is kept on this phone at once, then sent.

import { open } from './outbox.js';
import { row } from './photo_list.js';
import { MOST_BYTES, all, keep } from './photos.js';
import { flush } from './save.js';

/** @param {IDBDatabase} db @param {HTMLFormElement} form */
const start = (db, form) => {
  // On the page for out of reach the plant changes while the form stays.
  const plant = () => form.dataset.photos ?? '';
  const said = form.querySelector('.photo-said'), list = form.querySelector('.photo-list');
  const button = form.querySelector('.buttons'), around = form.parentElement;
  // Before its plant is saved a photo can only wait here.
  form.hidden = false;
  form.classList.add('live');
  if (around instanceof HTMLDetailsElement) around.hidden = false;
  if (button instanceof HTMLElement) button.hidden = true;
  form.addEventListener('submit', event => event.preventDefault());

  /** @param {string} words */
  const say = words => {
    if (!(said instanceof HTMLElement)) return;
    said.hidden = false;
    said.textContent = words;
  };
  /** @type {Map<string, string>}  photos that waited when last looked at, and what they show */
  let waited = new Map(), of = plant();
  const show = async () => {
    if (of !== plant()) {
      of = plant();
      waited = new Map();
      for (const mark of form.querySelectorAll('[data-here]')) mark.setAttribute('data-here', '0');
      if (said instanceof HTMLElement) said.hidden = true;
    }
    const photos = (await all(db)).filter(photo => photo.of === of);
    const sent = [...waited].filter(([id]) => !photos.some(photo => photo.id === id));
    waited = new Map(photos.map(photo => [photo.id, photo.shows]));
    if (list instanceof HTMLElement) {
      list.hidden = !photos.length;
      list.replaceChildren(...photos.map(photo => row(db, photo, false)));
    }
    for (const mark of form.querySelectorAll('[data-here]')) {
      const part = mark.parentElement?.querySelector('input')?.value;
      if (!(mark instanceof HTMLElement)) continue;
      const here = Number(mark.dataset.here) + sent.filter(([, shows]) => shows === part).length;
      const more = photos.filter(photo => photo.shows === part).length;
      mark.dataset.here = String(here);
      mark.textContent = [here ? here + ' here' : '', more ? more + ' on this phone' : ''].filter(Boolean).join(', ')
        || ('asked' in mark.dataset ? 'missing' : '');
    }
    if (sent.length && !photos.length) say('On the laptop now. It shows when this page is opened anew.');
  };
  document.addEventListener('unsent', show);
  form.addEventListener('another', show);
  show();

  form.addEventListener('change', async event => {
    const input = event.target;
    if (!(input instanceof HTMLInputElement) || input.type !== 'file' || !input.files?.length) return;
    const files = [...input.files], name = document.querySelector('input[name=scout]');
    const author = name instanceof HTMLInputElement ? name.value.trim() : '';
    const shows = String(new FormData(form).get('shows') ?? 'other');
    say('Keeping it on this phone ...');
    let kept = 0, words = '';
    for (const file of files) {
      if (file.size > MOST_BYTES) {
        words += ' ' + file.name + ' has more than ' + MOST_BYTES / 1e6 + ' million bytes: make a smaller copy and choose that.';
        continue;
      }
      try {
        if (await keep(db, file, { of: plant(), shows, author })) kept++;
        else words += ' ' + file.name + ' waits here already.';
      } catch (error) {
        // Nothing is lost: the photo is still in the form, and its button sends it where its plant is saved.
        const saved = !around?.matches('.photos-now');
        if (saved && button instanceof HTMLElement) button.hidden = false;
        if (saved) form.addEventListener('submit', () => form.submit());
        say('This phone has no room to keep ' + file.name + ' (' + error + '). '
          + (saved ? 'Send it to the laptop by the button instead.' : 'Save the plant, and add the photo on the page that follows.') + words);
        return;
      }
    }
    input.value = '';
    say((kept ? kept + (kept > 1 ? ' photos are' : ' photo is') + ' safe on this phone.' : '') + words);
    next(form);
    await show();
    flush();
  });
};

// What is missing still is chosen next.
/** @param {HTMLFormElement} form */
const next = form => {
  for (const box of form.querySelectorAll('input[name=shows]')) {
    const mark = box.parentElement?.querySelector('[data-here]');
    const taken = box instanceof HTMLInputElement && box.checked;
    if (taken || !(box instanceof HTMLInputElement) || !(mark instanceof HTMLElement)) continue;
    if ('asked' in mark.dataset && mark.textContent === 'missing') {
      box.checked = true;
      return;
    }
  }
};

try {
  const db = await open();
  for (const form of document.querySelectorAll('form[data-photos]')) {
    if (form instanceof HTMLFormElement) start(db, form);
  }
} catch (error) {
  // No store on this phone (a private window): the form is sent as without a script.
  document.documentElement.dataset.photos = 'no: ' + error;
}

