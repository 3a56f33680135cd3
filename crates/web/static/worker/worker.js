// What a phone keeps so that its pages can be opened when the laptop does not answer.
//
// Only what is meant for out of reach: a visit's pages, what they load, the table of the key. Nothing
// that is sent is touched. The first line of this file, VERSION and FIRST, is the laptop's.
/// <reference lib="webworker" />

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

// How long the laptop may be silent, for a page that is kept and for others; and how long it is
// taken to be away after that, so that not everything on a page waits anew.
const PATIENCE_MS = 3000, OTHERS_MS = 20000, AWAY_MS = 20000;

/** @param {string} path */
const isPage = path => /^\/visits\/[^/]+\/pocket$/.test(path);

// Named by their checksum: what is kept is what the laptop has.
/** @param {string} path */
const isAsset = path => path.startsWith('/assets/');

/** @param {string} path */
const isKept = path => isPage(path) || isAsset(path) || path === '/key/table.json';

let awayUntil = 0;

/** @param {number} ms @returns {Promise<null>} */
const pause = ms => new Promise(yes => setTimeout(yes, ms, null));

const first = async () => (await caches.open(VERSION)).addAll(FIRST);

const forget = async () => {
  for (const name of await caches.keys()) await caches.delete(name);
  await first();
};

/** @param {Cache} cache */
const pages = async cache => (await cache.keys()).map(one => new URL(one.url).pathname).filter(isPage);

// A page that an older program made wants that program's assets: they stay as long as it does.
const tidy = async () => {
  for (const name of await caches.keys()) {
    if (name !== VERSION && !(await pages(await caches.open(name))).length) await caches.delete(name);
  }
};

/** @param {string} path */
const drop = async path => {
  for (const name of await caches.keys()) await (await caches.open(name)).delete(path);
};

/** @param {string} path @param {Response} answer */
const put = async (path, answer) => {
  if (isPage(path)) await drop(path);
  await (await caches.open(VERSION)).put(path, answer);
  await tidy();
};

// From the laptop, and kept. A page that leads elsewhere or is gone (this phone was sent away, the
// visit is another book's) is kept no more.
/** @param {Request | string} request @param {string} path */
const fresh = async (request, path) => {
  const answer = await fetch(request);
  awayUntil = 0;
  if (answer.ok && !answer.redirected) await put(path, answer.clone());
  else if (isPage(path) && answer.status < 500) await drop(path);
  return answer;
};

/** @param {FetchEvent} event @param {string} path */
const kept = async (event, path) => {
  const old = await caches.match(path);
  if (old && isAsset(path)) return old;
  const coming = fresh(event.request, path);
  const late = coming.catch(() => null);
  event.waitUntil(late);
  const now = await Promise.race([late, pause(Date.now() < awayUntil ? 0 : PATIENCE_MS)]);
  if (now) return now;
  awayUntil = Date.now() + AWAY_MS;
  if (old) return old;
  return event.request.mode === 'navigate' ? away() : coming;
};

/** @param {Request} request */
const other = async request => {
  const late = fetch(request).catch(() => null);
  return await Promise.race([late, pause(OTHERS_MS)]) || away();
};

// Our own page, with the pages that are kept.
const away = async () => {
  const page = await caches.match('/away');
  if (!page) return Response.error();
  /** @type {string[]} */
  const rows = [];
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const path of await pages(cache)) {
      const text = await (await cache.match(path))?.text();
      const title = /<title>([^<]*)/.exec(text || '');
      rows.push('<li><a href="' + path + '"><strong>' + (title ? title[1] : path) + '</strong></a></li>');
    }
  }
  const html = (await page.text()).replace('<!--kept-->', () => rows.join(''));
  return new Response(html, { status: 503, headers: page.headers });
};

worker.addEventListener('install', event => event.waitUntil(first().then(() => worker.skipWaiting())));

worker.addEventListener('activate', event => event.waitUntil(tidy().then(() => worker.clients.claim())));

worker.addEventListener('fetch', event => {
  const { request } = event, { origin, pathname } = new URL(request.url);
  if (origin !== location.origin) return;
  // Its answer is the laptop's; what this phone kept goes either way.
  if (request.method === 'POST' && pathname === '/pair/leave') event.waitUntil(forget());
  if (request.method !== 'GET') return;
  if (isKept(pathname)) event.respondWith(kept(event, pathname));
  else if (request.mode === 'navigate') event.respondWith(other(request));
});

// From `layer.js`: a page that was loaded before this worker was there, and what it loaded.
worker.addEventListener('message', event => {
  /** @type {{keep?: string[], forget?: boolean}} */
  const { keep, forget: all } = event.data;
  if (all) event.waitUntil(forget());
  for (const path of new Set(keep || [])) {
    if (isKept(path)) event.waitUntil(caches.match(path).then(old => old || fresh(path, path)).catch(() => null));
  }
});
