// The page that a phone carries out of reach: shows one part at a time, puts places, numbers and
// ids into its forms, and keeps account of what was saved here. Where it is stands in its address,
// behind #: reload and back lose nothing.

import { by, element, many, one, show } from './dom.js';
import { addChosen, addUnknown, dropColumn, lookAgain, nextFrame, wrongWith } from './frame.js';
import { showPlant, takePlant } from './plant.js';
import { uuid7 } from './uuid.js';
import { nextStops, nextUnknown, pointsOf, standing } from './visit.js';
import { way } from './way.js';

/** @typedef {import('./outbox.js').Item} Item */
/** @typedef {import('./visit.js').Data} Data */
/** @typedef {import('./visit.js').Point} Point */
/** @typedef {Item & {sent?: boolean}} Mine */

const text = (/** @type {string} */ id) => by(id)?.textContent || '';
/** @type {Data} */
const data = JSON.parse(text('visit-data'));

const KEPT = 'standbook visit ' + data.visit;
/** @type {Mine[]} */
let mine = [];
try {
  mine = JSON.parse(localStorage.getItem(KEPT) || '[]');
} catch {
  // Without it the page knows what the laptop told it, and what is saved from now on.
}
// What the laptop brought along needs no account here.
const known = new Set(data.points.flatMap(point => [point.id, ...point.frames, ...point.plants]));
mine = mine.filter(item => !known.has(item.id));

const remember = () => {
  try {
    localStorage.setItem(KEPT, JSON.stringify(mine));
  } catch {
    // The outbox keeps the records themselves.
  }
};

// A step is drawn at once and stands in the address a moment later: that takes a browser longer than
// the step itself.
/** @type {URLSearchParams | null} */
let ahead = null;
let drawn = '';

/** Where this page is. */
const where = () => new URLSearchParams(ahead || location.hash.slice(1));

/** @param {URLSearchParams} params */
const move = params => {
  ahead = params;
  arrive();
  setTimeout(() => {
    if (ahead !== params) return;
    ahead = null;
    location.hash = params.toString();
  }, 30);
};

/** Walks on within the page. @param {Record<string, string | null>} fields */
const go = fields => {
  const now = where();
  for (const name in fields) {
    if (fields[name] === null) now.delete(name);
    else now.set(name, String(fields[name]));
  }
  move(now);
};

const WALK = { walk: null, stage: null, tool: null, a: null, ask: null };

// Said until the next step.
let fresh = false;
/** @param {string} words */
const news = words => {
  const line = by('news');
  if (!line) return;
  line.textContent = words;
  show(line, words);
  fresh = words !== '';
};

/** @param {Point} point */
const title = point => {
  const plot = data.plots.find(([id]) => id === point.plot);
  return (plot ? plot[1] + ', ' : '') + 'point ' + point.label;
};

/** @param {number} n @param {string} noun */
const some = (n, noun) => n + ' ' + noun + (n === 1 ? '' : 's');

/** @param {Point[]} points @param {string | null} id */
const pointAt = (points, id) => points.find(point => point.id === id || (id && point.also.includes(id)));

/** The next stop with its forms. @param {Point[]} points @param {Point | undefined} here */
const showStop = (points, here) => {
  const box = by('stop');
  if (!box || !data.walk) return;
  const { next, spare, stands_for } = nextStops(data, points);
  const missed = here && here.missed;
  const stop = missed && spare ? spare : next || spare;
  show(box, stop);
  const done = points.filter(point => point.number !== null && !point.missed).length;
  const planned = data.walk.stops.filter(one => !one.spare).length;
  one(document, '#progress').textContent = data.walk.name + ': ' + some(done, 'point') + ' seen, ' + planned + ' planned.'
    + (stop ? '' : ' All points of the plan are done.');
  if (!stop) return;
  const last = here && !here.missed ? here : points.filter(point => !point.missed).at(-1);
  const from = standing(data, last);
  one(box, 'h2').textContent = 'Next: ' + stop.name;
  one(box, '.way').textContent = from ? way(from, stop.at) : 'Planned at ' + stop.at.map(d => d.toFixed(5)).join(', ');
  one(box, '.why').textContent = (stop === spare && stands_for ? 'It stands in for point ' + stands_for.number + ', which was not reached. ' : '')
    + (from && !from.fix ? 'Reckoned from where the last point was planned.' : '');
  for (const form of many(box, 'form')) {
    const number = one(form, '[name=number]');
    if (number.value === String(stop.number)) continue;
    number.value = stop.number;
    one(form, '[name=id]').value = uuid7(Date.now());
  }
  const plot = one(box, '[data-part=plot]');
  if (plot) {
    show(plot, !stop.plot);
    if (stop.plot) one(plot, 'select').value = stop.plot;
    else if (last) one(plot, 'select').value = last.plot;
  }
  one(box, '#arrive .buttons.big small').textContent = 'count at ' + (stop.spare ? 'spare ' : 'point ') + stop.number;
};

/** @param {Point[]} points @param {Point | undefined} here */
const showWalk = (points, here) => {
  one(document, '#stand').textContent = here ? title(here) : 'Where do you stand?';
  show(one(document, '#at'), here && !here.missed);
  if (here) one(document, '#next-frame').textContent = 'frame ' + here.next;
  showStop(points, here);
  const rows = points.map(point => {
    const row = element('li', ''), link = element('a', '', { href: '#v=walk&at=' + point.id });
    const waits = mine.filter(item => !item.sent && (item.id === point.id || [point.id, ...point.also].includes(item.to.split('/')[2]))).length;
    const done = point.missed ? 'not reached: ' + point.missed
      : [point.frames.length && some(point.frames.length, 'frame'), point.plants.length && some(point.plants.length, 'plant')].filter(Boolean).join(', ') || 'nothing recorded yet';
    link.append(element('strong', title(point)), element('span', ' ' + done + (waits ? '; ' + waits + ' unsent' : ''), { class: 'quiet small' }));
    row.append(link);
    return row;
  });
  one(document, '#points').replaceChildren(...(rows.length ? rows : [element('li', 'None yet.')]));
};

/** @param {Point} here */
const showCount = here => {
  for (const form of many(document, '.count')) {
    const to = '/at/' + here.id + '/count';
    if (form.getAttribute('action') !== to) {
      // Another point: what was marked at the last one stays with it.
      form.setAttribute('action', to);
      nextFrame(form, here.next);
    }
  }
  const form = many(document, '[data-device]').find(box => !box.hidden);
  one(document, '[data-view=count] h1 > span:last-child').textContent = 'Frame ' + one(form, '[name=number]').value;
  for (const button of many(document, '[data-device-button]')) show(button, one(document, '[data-device=' + button.dataset.deviceButton + ']').hidden);
};

const draw = () => {
  const params = where();
  drawn = params.toString();
  const points = pointsOf(data, mine);
  const here = pointAt(points, params.get('at'));
  let view = params.get('v') || 'walk';
  if (view !== 'unsent' && (!here || here.missed)) view = 'walk';
  for (const section of many(document, '[data-view]')) show(section, section.dataset.view === view);
  for (const link of many(document, 'nav [data-go]')) link.setAttribute('aria-current', link.dataset.go === view ? 'page' : 'false');
  for (const words of many(document, '.at')) words.textContent = here ? title(here) : '';
  if (view === 'walk') showWalk(points, here);
  if (view === 'count' && here) showCount(here);
  if (view === 'plant' && here) showPlant(data, params, here.id, nextUnknown(inBook, mine));
};

const inBook = Number(one(document, '[data-next]')?.dataset.next || 1);

/** @param {string} words */
const wrong = words => {
  const box = one(document, '[data-view=count] [data-part=wrong]');
  box.textContent = words;
  show(box, words);
  if (words) box.scrollIntoView({ block: 'center' });
  return words;
};

/** What a button on the sheet does, besides saving. @param {HTMLFormElement} form @param {string} pressed */
const takeSheet = (form, pressed) => {
  const number = nextUnknown(inBook, mine) + many(form, '[name^="num."]').filter(field => !one(form, '[name="new.' + field.name.slice(4) + '"]').readOnly).length;
  if (pressed === 'look') lookAgain(form);
  else if (pressed === 'add') wrong(addChosen(form));
  else if (pressed === 'unknown') wrong(addUnknown(form, number));
  else if (pressed.startsWith('drop.')) dropColumn(form, Number(pressed.slice(5)));
  one(form, '[data-next]').textContent = nextUnknown(inBook, mine) + many(form, '[name^="new."]').filter(field => !field.readOnly).length;
};

/** What is wrong with a place's form. @param {HTMLFormElement} form @param {string} reason */
const wrongPlace = (form, reason) => {
  const value = (/** @type {string} */ name) => (one(form, '[name=' + name + ']')?.value || '').trim();
  if (!value('scout')) return 'Your name is missing. Type it.';
  if (form.matches('.new-point') && !value('label')) return 'The label of the point is missing. Type it.';
  const plot = one(form, 'select[name=plot]');
  if (plot && !plot.value) return 'The plot is missing. Choose the one you stand in.';
  if (reason === 'other' && !value('other')) return 'The reason is missing. Press one, or type what keeps you from it.';
  const fix = ['latitude', 'longitude'].map(value);
  const sane = (/** @type {string} */ words, /** @type {number} */ most) => Math.abs(Number(words.replace(',', '.'))) <= most;
  if (fix.some(Boolean) && !(fix.every(Boolean) && sane(fix[0], 90) && sane(fix[1], 180))) return 'A fix needs latitude and longitude in degrees. Type both, or clear both.';
  const radius = value('uncertainty_m');
  if (radius && !(Number(radius.replace(',', '.')) > 0)) return 'The uncertainty is a number of metres above 0. Mend it, or clear it.';
  return '';
};

// Before the outbox takes a form: what the laptop would refuse is said here, and what only the
// laptop's pages do is done here.
document.addEventListener('submit', event => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  const button = /** @type {HTMLButtonElement | null} */ (event.submitter);
  if (form.closest('#unsent')) return;
  const pressed = button && button.name === 'do' ? button.value : 'save';
  const stop = () => {
    event.preventDefault();
    event.stopImmediatePropagation();
  };
  news('');
  if (form.matches('.looks, .stage')) {
    stop();
    const next = takePlant(form, button, where());
    if (next) move(next);
  } else if (form.matches('.count')) {
    if (!/^(save|none)$/.test(pressed)) {
      stop();
      takeSheet(form, pressed);
    } else if (wrong(wrongWith(form, pressed))) stop();
  } else if (form.matches('#arrive, #cannot, .new-point')) {
    if (form.id === 'cannot') {
      one(form, '[name=scout]').value = one(document, '#arrive [name=scout]').value;
      one(form, '[name=plot]').value = one(document, '#arrive [name=plot]')?.value || data.plots[0]?.[0] || '';
    }
    const words = wrongPlace(form, button && button.name === 'reason' ? button.value : '');
    if (!words) return;
    stop();
    news(words);
    by('news')?.scrollIntoView({ block: 'center' });
  } else if (form.matches('.save') && !one(form, '[name=scout]').value.trim()) stop();
}, true);

document.addEventListener('kept', event => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  /** @type {Item} */
  const item = /** @type {CustomEvent} */ (event).detail;
  event.preventDefault();
  mine.push(item);
  remember();
  const name = new URLSearchParams(item.fields).get('scout');
  for (const field of many(document, '[name=scout]')) field.value = name;
  if (form.matches('.count')) {
    const number = Number(one(form, '[name=number]').value);
    nextFrame(form, number + 1);
    news('Frame ' + number + ' is saved on this phone. Flip the frame over here, or walk on: another point tells more about the field.');
    go({ v: 'walk' });
  } else if (form.matches('.save')) {
    news('The plant is saved on this phone.');
    go({ v: 'walk', ...WALK });
  } else if (form.matches('#cannot')) {
    news('It is recorded as not reached.');
    go({ v: 'walk', at: item.id });
  } else {
    for (const field of many(form, '[name=latitude], [name=longitude], [name=uncertainty_m]')) field.value = '';
    const label = one(form, '.new-point [name=label]');
    if (label && /^\d+$/.test(label.value)) label.value = Number(label.value) + 1;
    one(form, '[name=id]').value = uuid7(Date.now());
    go({ v: form.matches('#arrive') ? 'count' : 'walk', at: item.id });
  }
  draw();
});

// Sent, or thrown away.
document.addEventListener('unsent', event => {
  const unsent = new Set(/** @type {CustomEvent} */ (event).detail);
  for (const item of mine) item.sent = !unsent.has(item.id);
  remember();
  if ((where().get('v') || 'walk') === 'walk') draw();
});

document.addEventListener('click', event => {
  const pressed = /** @type {HTMLElement} */ (event.target);
  const link = /** @type {HTMLElement | null} */ (pressed.closest('[data-go]'));
  if (link) {
    event.preventDefault();
    go({ v: link.dataset.go || 'walk' });
  }
  const device = /** @type {HTMLElement | null} */ (pressed.closest('[data-device-button]'));
  if (device) {
    for (const box of many(document, '[data-device]')) show(box, box.dataset.device === device.dataset.deviceButton);
    draw();
  }
});

// Out of reach, a page that is left can't be fetched again, unless a worker keeps it.
let leaving = false;
addEventListener('beforeunload', event => {
  if (!leaving && !navigator.serviceWorker?.controller) event.preventDefault();
});
by('leave')?.addEventListener('click', async () => {
  try {
    await fetch('/outbox', { method: 'HEAD', signal: AbortSignal.timeout(3000) });
  } catch {
    news('The laptop does not answer. Stay on this page: it could not be fetched again.');
    scrollTo(0, 0);
    return;
  }
  leaving = true;
  location.assign('/visits/' + data.visit);
});

// A position of this phone, where the browser gives one: on https, or by the cable.
const locate = one(document, '[data-part=locate]');
if (locate && isSecureContext && navigator.geolocation) {
  show(locate, true);
  one(locate, 'button').onclick = () => navigator.geolocation.getCurrentPosition(({ coords }) => {
    for (const [name, value] of [['latitude', coords.latitude.toFixed(6)], ['longitude', coords.longitude.toFixed(6)], ['uncertainty_m', Math.ceil(coords.accuracy)]]) {
      one(document, '#arrive [name=' + name + ']').value = value;
    }
    news('Fix taken, good to ' + Math.ceil(coords.accuracy) + ' m.');
  }, error => news('No fix: ' + error.message + ' Type it, or go without.'), { enableHighAccuracy: true, timeout: 20000 });
}

// It costs battery, so it is asked for; a browser lets go of it whenever the page is out of sight.
const awake = by('awake');
if (awake && navigator.wakeLock) {
  show(awake, true);
  /** @type {WakeLockSentinel | null} */
  let lock = null;
  awake.onclick = async () => {
    if (lock) await lock.release();
    else {
      try {
        lock = await navigator.wakeLock.request('screen');
        lock.onrelease = () => {
          lock = null;
          awake.setAttribute('aria-pressed', 'false');
        };
      } catch (error) {
        news('This phone does not keep its screen on: ' + error);
      }
    }
    awake.setAttribute('aria-pressed', String(Boolean(lock)));
  };
}

// Ids of the page as it was fetched may have been used: a browser may show it again.
for (const form of many(document, '[data-keep=id]')) one(form, '[name=id]').value = uuid7(Date.now());
const arrive = () => {
  if (!fresh) news('');
  fresh = false;
  draw();
  scrollTo(0, 0);
  const heading = many(document, '[data-view] h1').find(words => words.offsetParent);
  if (!heading) return;
  heading.tabIndex = -1;
  heading.focus({ preventScroll: true });
};
addEventListener('hashchange', () => {
  // Back, forward, or a link; the page's own steps are drawn already.
  if (where().toString() !== drawn) arrive();
});
const keeps = document.documentElement.dataset;
const told = setInterval(() => {
  if (!keeps.keeps) return;
  clearInterval(told);
  show(one(document, '#keeps-nothing'), keeps.keeps !== 'yes');
}, 200);
draw();
performance.mark('away ready');
document.documentElement.dataset.away = 'ready';
