// Photos of plants that were taken on this phone and are not on the laptop's disk yet.
//
// A photo goes in here as bytes, with its hash, before anything is sent, and leaves only when the
// laptop has answered that all of it is kept. It is sent in pieces; the laptop says how much it has,
// so a link that breaks costs one piece. Forms go first: a photo waits for its plant.

import { FORMAT, result, write } from './outbox.js';
import { sha256 } from './sha256.js';
import { uuid7 } from './uuid.js';

/**
 * @typedef {{id: string, of: string, shows: string, author: string, made: string, bytes: number,
 *   sha256: string, view?: boolean, why?: string[], waits?: string}} Photo
 * @typedef {{state: 'more' | 'kept' | 'plant' | 'waiting' | 'damaged' | 'refused', have: number,
 *   to: string, why: string[]}} Standing
 */

/** The most that the laptop takes of one, bytes. */
export const MOST_BYTES = 25000000;

// One piece, bytes; the laptop takes no larger one.
const PIECE = 262144;

// A piece on a weak link takes longer than a form.
const PATIENCE_MS = 20000;

// Long side of a view, pixels.
const VIEW_SIDE = 1600;

const BOTH = ['photos', 'bytes'];

// All, the oldest first: their ids begin with the time.
/** @param {IDBDatabase} db @returns {Promise<Photo[]>} */
export const all = db => result(db.transaction('photos').objectStore('photos').getAll());

/** @param {IDBDatabase} db @param {string} id @returns {Promise<ArrayBuffer | undefined>} */
export const bytesOf = (db, id) => result(db.transaction('bytes').objectStore('bytes').get(id));

/** @param {IDBDatabase} db @param {Photo} photo @param {ArrayBuffer} bytes */
export const put = (db, photo, bytes) => write(db, BOTH, (photos, stored) => {
  photos.put(photo);
  stored.put(bytes, photo.id);
});

/** @param {IDBDatabase} db @param {string} id */
export const drop = (db, id) => write(db, BOTH, (photos, stored) => {
  photos.delete(id);
  stored.delete(id);
});

// Keeps a file on this phone; null when the same one waits already.
/** @param {IDBDatabase} db @param {Blob} file @param {{of: string, shows: string, author: string, view?: boolean}} about */
export const keep = async (db, file, about) => {
  const bytes = await file.arrayBuffer();
  /** @type {Photo} */
  const photo = {
    ...about, id: uuid7(Date.now()), made: new Date().toISOString(), bytes: bytes.byteLength, sha256: await sha256(bytes),
  };
  if ((await all(db)).some(one => one.of === photo.of && one.sha256 === photo.sha256 && one.shows === photo.shows)) return null;
  await put(db, photo, bytes);
  if (isHeif(bytes)) {
    const view = await viewOf(file);
    if (view) await keep(db, view, { ...about, of: photo.id, view: true });
  }
  return photo;
};

/** @param {ArrayBuffer} bytes */
const isHeif = bytes => String.fromCharCode(...new Uint8Array(bytes.slice(4, 8))) === 'ftyp';

// A JPEG of a picture that the laptop can't unpack; null where this browser can't either.
/** @param {Blob} file @returns {Promise<Blob | null>} */
const viewOf = async file => {
  try {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, VIEW_SIDE / Math.max(picture.width, picture.height));
    const canvas = document.createElement('canvas');
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return await new Promise(done => canvas.toBlob(done, 'image/jpeg', 0.85));
  } catch {
    return null;
  }
};

/** @param {Photo} photo @returns {Record<string, string>} */
const announced = photo => ({
  of: photo.of, shows: photo.shows, author: photo.author, made: photo.made, bytes: String(photo.bytes),
  sha256: photo.sha256, ...(photo.view ? { view: '1' } : {}),
});

/** @param {string} at @param {RequestInit} how @returns {Promise<Standing>} */
const ask = async (at, how) => {
  const response = await fetch(at, { ...how, redirect: 'error', signal: AbortSignal.timeout(PATIENCE_MS) });
  if (response.status === 403) throw new Error('This phone is not let in, or no longer: let it in at the laptop.');
  if (!response.ok) throw new Error('The laptop answers, but not as it should (' + response.status + ').');
  return response.json();
};

/** @param {IDBDatabase} db @param {Photo} photo @returns {Promise<Standing | null>} */
const sendOne = async (db, photo) => {
  const at = '/outbox/photos/' + photo.id + '?' + new URLSearchParams(announced(photo));
  /** @type {ArrayBuffer | undefined} */
  let bytes;
  let standing = await ask(at, {});
  while (standing.state === 'more') {
    bytes ??= await bytesOf(db, photo.id);
    // Thrown away meanwhile.
    if (!bytes) return null;
    standing = await ask(at + '&from=' + standing.have, {
      method: 'PUT', headers: { 'content-type': 'application/octet-stream' },
      body: bytes.slice(standing.have, standing.have + PIECE),
    });
  }
  if (standing.state === 'damaged' && bytes && await sha256(bytes) !== photo.sha256) {
    return { ...standing, state: 'refused', why: ['Its bytes were damaged on this phone. Take the photo again.'] };
  }
  return standing;
};

// Sends what waits, in its order. An error where the laptop does not answer, or not as it should.
/** @param {IDBDatabase} db @param {(photo: Photo) => void} tell  of one that is kept @returns {Promise<void>} */
export const send = async (db, tell) => {
  let trouble = '';
  for (const photo of await all(db)) {
    if (photo.why) continue;
    const standing = await sendOne(db, photo);
    if (!standing) continue;
    if (standing.state === 'kept') {
      await drop(db, photo.id);
      tell(photo);
    } else if (standing.state === 'refused') {
      await note(db, { ...photo, why: standing.why });
    } else if (standing.state === 'plant') {
      await note(db, { ...photo, waits: standing.why.join(' ') });
    } else {
      trouble = standing.why.join(' ');
    }
  }
  if (trouble) throw new Error(trouble);
};

// Notes what the laptop said, unless the photo was thrown away meanwhile.
/** @param {IDBDatabase} db @param {Photo} photo */
const note = (db, photo) => write(db, ['photos'], photos => {
  const found = photos.get(photo.id);
  found.onsuccess = () => {
    if (found.result) photos.put(photo);
  };
});

// A file of one photo, in the form of the outbox: the laptop takes it in as it takes unsent records.
/** @param {IDBDatabase} db @param {Photo} photo @returns {Promise<Blob>} */
export const file = async (db, photo) => {
  const bytes = await bytesOf(db, photo.id);
  const content = await new Promise((yes, no) => {
    const reader = new FileReader();
    reader.onload = () => yes(String(reader.result).split(',')[1] ?? '');
    reader.onerror = () => no(reader.error);
    reader.readAsDataURL(new Blob([bytes ?? new ArrayBuffer(0)]));
  });
  const { why, waits, ...plain } = photo;
  return new Blob([JSON.stringify({ format: FORMAT, items: [], photos: [{ ...plain, content }] })], { type: 'application/json' });
};
