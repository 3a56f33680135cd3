// What is recorded in a visit, as far as this phone knows: what the page brought along, and what
// was saved here since. Beside it: `web/src/away.rs` and `count/walk.rs`.

/** @typedef {import('./outbox.js').Item} Item */
/** @typedef {import('./way.js').Corner} Corner */
/** @typedef {{number: number, walk: number | null, spare: boolean, short: string, name: string, at: Corner, plot: string | null}} Stop */
/**
 * @typedef {{id: string, also: string[], plot: string, label: string, fix: Corner | null, number: number | null,
 *   missed: string, frames: string[], next: number, plants: string[]}} Point
 */
/** @typedef {{plan: string, name: string, stops: Stop[]}} Walk */
/** @typedef {{visit: string, walk: Walk | null, plots: [string, string][], points: Point[], mix: string[], words: any}} Data */

/** The points of a visit with what was saved on this phone. @param {Data} data @param {Item[]} mine */
export const pointsOf = (data, mine) => {
  /** @type {Point[]} */
  const points = data.points.map(point => ({ ...point, also: [], frames: [...point.frames], plants: [...point.plants] }));
  const at = (/** @type {string} */ id) => points.find(point => point.id === id || point.also.includes(id));
  for (const { id, to, fields } of mine) {
    const field = new URLSearchParams(fields), get = (/** @type {string} */ name) => field.get(name) || '';
    const number = Number(get('number')), place = to.split('/')[2];
    if (to === '/points' || to.endsWith('/walk')) {
      if (at(id)) continue;
      const stop = to === '/points' ? undefined : data.walk?.stops.find(one => one.number === number);
      const there = stop && points.find(point => point.number === number);
      const missed = get('do') === 'cannot' ? (get('reason') === 'other' ? get('other') : get('reason')) : '';
      const fix = get('latitude') && get('longitude') ? [get('latitude'), get('longitude')].map(text => Number(text.replace(',', '.'))) : null;
      // Two scouts may both have been there, or somebody got there after all: one point.
      if (there) {
        there.also.push(id);
        if (!missed) Object.assign(there, { missed, fix: fix || there.fix });
      } else points.push({
        id, also: [], plot: get('plot') || stop?.plot || data.plots[0][0], label: stop?.short || get('label'),
        fix: /** @type {Corner | null} */ (fix), number: stop ? number : null, missed, frames: [], next: 1, plants: [],
      });
      continue;
    }
    const point = at(place);
    if (!point) continue;
    const list = to.endsWith('/plant') ? point.plants : point.frames;
    if (list.includes(id)) continue;
    list.push(id);
    if (list === point.frames) point.next = Math.max(point.next, number + 1);
  }
  return points;
};

/**
 * The stop to walk to, and the spare that is owed with the stop it stands in for.
 * @param {Data} data @param {Point[]} points
 * @returns {{next?: Stop, spare?: Stop, stands_for?: Stop}}
 */
export const nextStops = (data, points) => {
  const stops = data.walk?.stops || [];
  const of = (/** @type {Stop} */ stop) => points.find(point => point.number === stop.number);
  const free = (/** @type {Stop} */ stop) => !of(stop);
  const reached = (/** @type {Stop} */ stop) => of(stop)?.missed === '';
  const missed = stops.filter(stop => !stop.spare && of(stop)?.missed);
  const stands_for = missed[stops.filter(stop => stop.spare && reached(stop)).length];
  const spares = stops.filter(stop => stop.spare && free(stop)).sort((a, b) => a.number - b.number);
  return {
    next: stops.find(stop => !stop.spare && free(stop)),
    spare: stands_for && (spares.find(stop => stop.plot === stands_for.plot) || spares[0]),
    stands_for,
  };
};

/** Where somebody at a point is: its fix, or where it was planned. @param {Data} data @param {Point | undefined} point */
export const standing = (data, point) => {
  if (!point || point.missed) return null;
  if (point.fix) return { at: point.fix, fix: true };
  const stop = data.walk?.stops.find(one => one.number === point.number);
  return stop ? { at: stop.at, fix: false } : null;
};

/** The number that a new unknown gets. @param {number} inBook @param {Item[]} mine */
export const nextUnknown = (inBook, mine) => {
  let next = inBook;
  for (const { fields } of mine) {
    for (const [name, value] of new URLSearchParams(fields)) {
      if (/^num\.|^unknown_number$/.test(name)) next = Math.max(next, Number(value) + 1);
    }
  }
  return next;
};
