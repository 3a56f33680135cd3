// Which layer this phone is in: what it keeps, and what a reload out of reach would do. Said in the
// sentences of `phones/_layer.html`; on secure pages the worker is asked to keep this page.

const said = document.getElementById('layer');

/** @param {string} layer */
const say = layer => {
  for (const one of said ? said.querySelectorAll('[data-layer]') : []) {
    if (one instanceof HTMLElement) one.hidden = one.dataset.layer !== layer;
  }
  document.documentElement.dataset.layer = layer;
};

const loaded = () => performance.getEntriesByType('resource').map(one => new URL(one.name).pathname);

const start = async () => {
  if (!isSecureContext) return say('plain');
  try {
    await navigator.serviceWorker.register('/worker.js');
  } catch {
    // The certificate is not trusted, or the browser keeps nothing (a private window).
    return say('doubt');
  }
  say(/^(localhost|127\.0\.0\.1)$/.test(location.hostname) ? 'own' : 'trusted');
  const { active } = await navigator.serviceWorker.ready;
  // The page to be let in is shown to whom is sent away too: what was kept is not theirs any more.
  const forget = Boolean(document.querySelector('[data-forget]'));
  if (active) active.postMessage(forget ? { forget } : { keep: [location.pathname, ...loaded()] });
};

if (document.readyState === 'complete') start();
else addEventListener('load', start);
