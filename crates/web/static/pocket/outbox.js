// What was saved on this phone and is not on the laptop's disk yet.
//
// A form that is saved goes in here first, then to the laptop; it leaves only when the laptop has
// answered that this very form is kept. The laptop takes a form as often as it is sent and keeps it
// once, so whenever an answer is lost the form is simply sent again.

/**
 * @typedef {{id: string, to: string, fields: string, made: string, why?: string[], seq?: number}} Item
 * @typedef {{kept: {id: string, to: string}[], refused: {id: string, why: string[]}[],
 *   waiting: {id: string, why: string[]}[], clock: string | null}} Answer
 */

export const FORMAT = 'standbook outbox 1';

const STORE = 'outbox';

// One sending. Few, so that twenty phones at once each have their answer within a tenth of a second;
// the laptop takes 256 KB.
const MOST_ITEMS = 5, MOST_CHARS = 150000;

// Out of reach an answer may never come.
const PATIENCE_MS = 6000;

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export const result = request => new Promise((yes, no) => {
  request.onsuccess = () => yes(request.result);
  request.onerror = () => no(request.error);
});

/** @returns {Promise<IDBDatabase>} */
export const open = () => {
  const request = indexedDB.open('standbook', 2);
  request.onupgradeneeded = event => {
    if (event.oldVersion < 1) request.result.createObjectStore(STORE, { keyPath: 'id' });
    // Photos, and their bytes apart: a list of them must not read millions of bytes.
    request.result.createObjectStore('photos', { keyPath: 'id' });
    request.result.createObjectStore('bytes');
  };
  return result(request);
};

// Comes back when the phone says that it is on its flash, not before.
/** @param {IDBDatabase} db @param {string[]} names @param {(...stores: IDBObjectStore[]) => void} work @returns {Promise<void>} */
export const write = (db, names, work) => new Promise((yes, no) => {
  const change = db.transaction(names, 'readwrite', { durability: 'strict' });
  change.oncomplete = () => yes();
  change.onabort = () => no(change.error);
  work(...names.map(name => change.objectStore(name)));
});

// Numbered as they are saved: a phone's clock may be set back meanwhile, and an unknown must still go
// before the frame that counts it.
/** @param {IDBDatabase} db @param {Item} item */
export const put = async (db, item) => {
  const last = (await all(db)).at(-1);
  await write(db, [STORE], store => void store.put({ seq: (last?.seq ?? 0) + 1, ...item }));
};

/** @param {IDBDatabase} db @param {string} id */
export const drop = (db, id) => write(db, [STORE], store => void store.delete(id));

// All, in the order in which they were saved.
/** @param {IDBDatabase} db @returns {Promise<Item[]>} */
export const all = async db => {
  const items = await result(db.transaction(STORE).objectStore(STORE).getAll());
  return items.sort((a, b) => (a.seq ?? 0) - (b.seq ?? 0) || (a.made < b.made ? -1 : a.made > b.made ? 1 : a.id < b.id ? -1 : 1));
};

// As it is sent, and as a file of it is written.
/** @param {Item[]} items */
export const text = items => JSON.stringify({
  format: FORMAT,
  sent: new Date().toISOString(),
  items: items.map(({ id, to, fields, made }) => ({ id, to, fields, made })),
});

// Forgets a form, or notes why it was refused, unless it was saved anew while it was under way.
/** @param {IDBDatabase} db @param {Item} sent @param {string[] | null} why */
const settle = (db, sent, why) => write(db, [STORE], store => {
  const found = store.get(sent.id);
  found.onsuccess = () => {
    if (!found.result || found.result.fields !== sent.fields) return;
    if (why) store.put({ ...sent, why });
    else store.delete(sent.id);
  };
});

// Sends what waits, in its order; with `again` what was refused before as well. An error where the
// laptop does not answer, or not as it should.
/** @param {IDBDatabase} db @param {(answer: Answer) => void} tell @param {boolean} again @returns {Promise<void>} */
export const send = async (db, tell, again) => {
  let items = (await all(db)).filter(item => again || !item.why);
  while (items.length) {
    let chars = 0;
    let count = items.findIndex((item, at) => at === MOST_ITEMS || ((chars += item.fields.length) > MOST_CHARS && at > 0));
    if (count < 0) count = items.length;
    const batch = items.slice(0, count);
    items = items.slice(count);
    const response = await fetch('/outbox', {
      method: 'POST', headers: { 'content-type': 'application/json' }, body: text(batch),
      redirect: 'error', signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (response.status === 403) throw new Error('This phone is not let in, or no longer: let it in at the laptop.');
    if (!response.ok) throw new Error('The laptop answers, but not as it should (' + response.status + ').');
    /** @type {Answer} */
    const answer = await response.json();
    for (const item of batch) {
      if (answer.kept.some(one => one.id === item.id)) await settle(db, item, null);
      const refused = answer.refused.find(one => one.id === item.id);
      if (refused) await settle(db, item, refused.why);
    }
    tell(answer);
    if (answer.waiting.length) throw new Error(answer.waiting[0].why.join(' '));
  }
};
