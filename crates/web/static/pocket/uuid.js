// Ids of records made on this phone: UUIDv7 (RFC 9562, 5.7), by hand, since plain http has no
// crypto.randomUUID.

// Of a time in milliseconds since 1970.
/** @param {number} now @returns {string} */
export const uuid7 = now => {
  const b = crypto.getRandomValues(new Uint8Array(16));
  let left = now;
  for (let at = 5; at >= 0; at--) {
    b[at] = left % 256;
    left = Math.floor(left / 256);
  }
  b[6] = 0x70 | (b[6] & 0x0f);
  b[8] = 0x80 | (b[8] & 0x3f);
  const hex = Array.from(b, byte => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
};
