// The way from one place to another in words. Beside it: `web/src/count/walk.rs`.

/** @typedef {[number, number]} Corner  degrees north, degrees east */

const WINDS = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
const FOOT = 0.3048, MILE = 5280 * FOOT;

/**
 * Metres east and north, by the length of a degree on WGS 84 at the middle of the two (series of
 * the ellipsoid, memory): within a field good to centimetres.
 * @param {Corner} from @param {Corner} to
 */
const metres = (from, to) => {
  const phi = ((from[0] + to[0]) * Math.PI) / 360;
  const north = 111132.954 - 559.822 * Math.cos(2 * phi) + 1.175 * Math.cos(4 * phi);
  const east = 111412.84 * Math.cos(phi) - 93.5 * Math.cos(3 * phi) + 0.118 * Math.cos(5 * phi);
  return [(to[1] - from[1]) * east, (to[0] - from[0]) * north];
};

/** As one walks it: tens of metres, and feet beside. @param {number} m */
const distance = m => {
  const round = (/** @type {number} */ v) => (v < 20 ? Math.round(v) : Math.round(v / 10) * 10);
  if (m < 1000) return round(m) + " m (" + round(m / FOOT) + " ft)";
  const miles = m / MILE;
  return (m / 1000).toFixed(1) + " km (" + miles.toFixed(miles < 0.995 ? 2 : miles < 9.95 ? 1 : 0) + " mi)";
};

/** @param {{at: Corner, fix: boolean}} from @param {Corner} to */
export const way = (from, to) => {
  const [east, north] = metres(from.at, to), far = Math.hypot(east, north);
  if (far < 5) return "right here";
  const eighth = Math.round(((Math.atan2(east, north) * 4) / Math.PI + 8) % 8) % 8;
  return (from.fix ? "" : "about ") + distance(far) + " to the " + WINDS[eighth];
};
