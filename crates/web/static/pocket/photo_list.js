// Photos that wait on this phone, as a list: on the page of the outbox, and below a form for photos.

import { element } from './dom.js';
import { open } from './outbox.js';
import { all, bytesOf, drop, file, put } from './photos.js';
import { age, flush } from './save.js';

/** @typedef {import('./photos.js').Photo} Photo */

// Long side of a preview, pixels.
const PREVIEW = 96;

// Drawn, since the content policy lets no page show pictures that are not the server's.
/** @param {IDBDatabase} db @param {Photo} photo @param {HTMLCanvasElement} canvas */
const draw = async (db, photo, canvas) => {
  const bytes = await bytesOf(db, photo.id);
  if (!bytes) return;
  try {
    const picture = await createImageBitmap(new Blob([bytes]));
    const scale = Math.min(1, PREVIEW / Math.max(picture.width, picture.height));
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
  } catch {
    // Of a type that this browser can't show: the words beside it say what it is.
    canvas.remove();
  }
};

/** @param {number} bytes */
const size = bytes => bytes < 100000 ? Math.ceil(bytes / 1000) + ' thousand bytes' : (bytes / 1e6).toFixed(1) + ' million bytes';

/** @param {IDBDatabase} db @param {Photo} photo @param {boolean} whole  with all that can be done about it */
export const row = (db, photo, whole) => {
  const line = element('li', ''), words = element('span', '');
  const canvas = /** @type {HTMLCanvasElement} */ (element('canvas', '', { role: 'img', 'aria-label': 'Preview: ' + photo.shows, width: '1', height: '1' }));
  draw(db, photo, canvas);
  words.append(
    element('strong', photo.shows + (photo.view ? ', a copy that every browser shows' : '')),
    element('span', ' ' + size(photo.bytes) + ', kept ' + age(photo.made) + '. '
      + (photo.why ? photo.why.join(' ') : photo.waits ?? 'Waits for the laptop.')),
  );
  line.append(canvas, words);
  const buttons = element('span', '', { class: 'buttons' });
  if (whole) buttons.append(saver(db, photo));
  if (whole || photo.why) buttons.append(thrower(db, photo));
  line.append(buttons);
  return line;
};

// Photos are large: the file is written when it is asked for.
/** @param {IDBDatabase} db @param {Photo} photo */
const saver = (db, photo) => {
  const button = element('button', 'Save to a file', { class: 'second', type: 'button' });
  button.onclick = async () => {
    const link = /** @type {HTMLAnchorElement} */ (element('a', '', { download: 'unsent-photo-' + photo.id + '.json' }));
    link.href = URL.createObjectURL(await file(db, photo));
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  };
  return button;
};

// Undone by pressing again, as long as the page is open.
/** @param {IDBDatabase} db @param {Photo} photo */
const thrower = (db, photo) => {
  const button = element('button', 'Throw away', { class: 'second', type: 'button' });
  /** @type {ArrayBuffer | undefined} */
  let gone;
  button.onclick = async () => {
    if (gone) {
      await put(db, photo, gone);
      gone = undefined;
    } else {
      gone = await bytesOf(db, photo.id);
      await drop(db, photo.id);
    }
    button.textContent = gone ? 'Thrown away. Take it back' : 'Throw away';
  };
  return button;
};

const section = document.getElementById('unsent-photos');
if (section) {
  const db = await open(), list = element('ul', '', { class: 'rows photo-list' });
  /** @type {Map<string, HTMLElement>} */
  const rows = new Map();
  section.append(list);
  // What was thrown away stays in sight until the page is left; what was sent goes.
  const show = async () => {
    const photos = await all(db);
    for (const photo of photos) {
      if (!rows.has(photo.id)) rows.set(photo.id, row(db, photo, true));
    }
    for (const [id, line] of rows) {
      const waits = photos.some(photo => photo.id === id);
      if (!waits && !line.textContent?.includes('Take it back')) rows.delete(id);
    }
    list.replaceChildren(...rows.values());
    section.hidden = !rows.size;
  };
  document.addEventListener('unsent', show);
  await show();
  flush();
}
