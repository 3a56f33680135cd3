// SHA-256 (FIPS 180-4), by hand: plain http, which is all that a phone in the field has, knows no
// crypto.subtle.

// Roots of the first primes: their fractions are the constants (4.2.2 and 5.3.3).
const K = new Uint32Array(64), H = new Uint32Array(8);
for (let n = 0, prime = 2; n < 64; prime++) {
  let divisor = 2;
  while (prime % divisor) divisor++;
  if (divisor < prime) continue;
  // In whole numbers: a root in floating point lacks the last bits.
  if (n < 8) H[n] = Number(root(BigInt(prime) << 64n, 2n) & 0xffffffffn);
  K[n++] = Number(root(BigInt(prime) << 96n, 3n) & 0xffffffffn);
}

// The whole part of the n-th root.
/** @param {bigint} of @param {bigint} n */
function root(of, n) {
  let low = 0n, high = 1n << 40n;
  while (high - low > 1n) {
    const middle = (low + high) / 2n;
    if (middle ** n > of) high = middle;
    else low = middle;
  }
  return low;
}

// Of bytes, as 64 hex digits.
/** @param {Uint8Array} bytes @returns {string} */
export const byHand = bytes => {
  const state = H.slice(), w = new Uint32Array(64);
  // The last one or two blocks: what is left, a 1, and the length in bits (5.1.1).
  const whole = bytes.length - bytes.length % 64, left = bytes.subarray(whole);
  const tail = new Uint8Array(left.length < 56 ? 64 : 128), end = new DataView(tail.buffer);
  tail.set(left);
  tail[left.length] = 0x80;
  end.setUint32(tail.length - 8, Math.floor(bytes.length / 0x20000000));
  end.setUint32(tail.length - 4, bytes.length << 3);
  const body = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 0; at < whole; at += 64) block(state, w, body, at);
  for (let at = 0; at < tail.length; at += 64) block(state, w, end, at);
  return Array.from(state, word => word.toString(16).padStart(8, '0')).join('');
};

/** @param {Uint32Array} state @param {Uint32Array} w @param {DataView} view @param {number} at */
const block = (state, w, view, at) => {
  for (let t = 0; t < 16; t++) w[t] = view.getUint32(at + 4 * t);
  for (let t = 16; t < 64; t++) {
    const x = w[t - 15], y = w[t - 2];
    w[t] = w[t - 16] + w[t - 7]
      + ((x >>> 7 | x << 25) ^ (x >>> 18 | x << 14) ^ x >>> 3)
      + ((y >>> 17 | y << 15) ^ (y >>> 19 | y << 13) ^ y >>> 10);
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let t = 0; t < 64; t++) {
    const one = h + ((e >>> 6 | e << 26) ^ (e >>> 11 | e << 21) ^ (e >>> 25 | e << 7)) + (e & f ^ ~e & g) + K[t] + w[t] | 0;
    const two = ((a >>> 2 | a << 30) ^ (a >>> 13 | a << 19) ^ (a >>> 22 | a << 10)) + (a & b ^ a & c ^ b & c) | 0;
    h = g; g = f; f = e; e = d + one | 0; d = c; c = b; b = a; a = one + two | 0;
  }
  [a, b, c, d, e, f, g, h].forEach((x, n) => state[n] += x);
};

// By the browser where it can, which is faster.
/** @param {ArrayBuffer} buffer @returns {Promise<string>} */
export const sha256 = async buffer => {
  if (!globalThis.crypto?.subtle) return byHand(new Uint8Array(buffer));
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', buffer));
  return Array.from(hash, byte => byte.toString(16).padStart(2, '0')).join('');
};
