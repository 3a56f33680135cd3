"""Chance of a specimen, apart from the program: ChaCha20's block function (RFC 8439, with a 64-bit counter
and a 64-bit nonce as in its original form) and FNV-1a with 64 bits (RFC 9923), in plain Python.

Prints the numbers that tests/specimen.rs pins. Run: python3 check_chance.py
"""

import struct

MASK = 0xFFFFFFFF


def rotated(x, n):
    return ((x << n) | (x >> (32 - n))) & MASK


def block(key, counter):
    state = list(struct.unpack("<4I", b"expand 32-byte k"))
    state += list(struct.unpack("<8I", key))
    state += [counter & MASK, counter >> 32, 0, 0]
    words = state[:]

    def quarter(a, b, c, d):
        for x, y, z, n in [(a, b, d, 16), (c, d, b, 12), (a, b, d, 8), (c, d, b, 7)]:
            words[x] = (words[x] + words[y]) & MASK
            words[z] = rotated(words[z] ^ words[x], n)

    for _ in range(10):
        for at in range(4):
            quarter(at, at + 4, at + 8, at + 12)
        for at in range(4):
            quarter(at, 4 + (at + 1) % 4, 8 + (at + 2) % 4, 12 + (at + 3) % 4)
    return [(a + b) & MASK for a, b in zip(words, state)]


def fnv(names):
    number = 0xCBF29CE484222325
    for name in names:
        for byte in name.encode() + b"\0":
            number = ((number ^ byte) * 0x100000001B3) & (2**64 - 1)
    return number


def chance(seed, taxon, what):
    key = b"a plant as it grew 1" + struct.pack("<IQ", seed, fnv([taxon, what]))
    words = block(key, 0)
    return ((words[0] | words[1] << 32) >> 11) / 2**53


if __name__ == "__main__":
    for asked in [
        (7, "andropogon_gerardi", "tiller_base"),
        (7, "andropogon_gerardi", "sheath_hairs"),
        (2**32 - 1, "panicum_virgatum", "is odd"),
    ]:
        print(*asked, chance(*asked))
