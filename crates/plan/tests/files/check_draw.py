"""Draws five balanced points a second time, without any code of this project.

Run once by hand, `python check_draw.py` with shapely 2.2.0; the points it prints are pinned in
src/draw_tests.rs, and the four words in src/chance.rs. Everything is written again from its
definition: ChaCha20 (RFC 8439, 64-bit counter and stream), the Halton sequence, the plane that
touches the ellipsoid. Only point in polygon and distance come from shapely.
"""
import struct
from math import atan2, cos, degrees, hypot, radians, sin, sqrt
from fractions import Fraction
from shapely.geometry import Point, Polygon

OUTER = [(40.0, -96.00000000000001), (40.000180070733414, -95.99648685749885),
         (40.00108069402784, -95.99660391763156), (40.000990668496975, -95.99824340797916),
         (40.00234159967768, -95.99836048180312), (40.00216148712631, -96.00023421626982)]
HOLE = [(40.001621115065404, -95.9996486783648), (40.00171117277011, -95.99894603370969),
        (40.00198136054792, -95.99918024520974)]
TRACK = [(40.00054037043741, -96.0005855268273), (40.00072042748742, -95.99601840711318),
         (40.000774464674556, -95.99601840397457), (40.000594407626274, -96.00058552728886)]
SEED, EDGE_M, STREAM = 7, 8.0, 16
TAG = b"where to look in a field, v1"


def chacha20(key, counter, stream):
    start = list(struct.unpack("<4I", b"expand 32-byte k")) + list(struct.unpack("<8I", key))
    start += [counter & 0xFFFFFFFF, counter >> 32, stream & 0xFFFFFFFF, stream >> 32]
    x, mask = start[:], 0xFFFFFFFF

    def quarter(a, b, c, d):
        for p, q, r, n in ((a, b, d, 16), (c, d, b, 12), (a, b, d, 8), (c, d, b, 7)):
            x[p] = (x[p] + x[q]) & mask
            v = x[r] ^ x[p]
            x[r] = ((v << n) | (v >> (32 - n))) & mask

    for _ in range(10):
        for q in ((0, 4, 8, 12), (1, 5, 9, 13), (2, 6, 10, 14), (3, 7, 11, 15),
                  (0, 5, 10, 15), (1, 6, 11, 12), (2, 7, 8, 13), (3, 4, 9, 14)):
            quarter(*q)
    return [(a + b) & mask for a, b in zip(x, start)]


def words(seed, stream):
    counter = 0
    while True:
        yield from chacha20(struct.pack("<I", seed) + TAG, counter, stream)
        counter += 1


def mirrored(index, base):
    out, unit = Fraction(0), Fraction(1, base)
    while index:
        out += (index % base) * unit
        index, unit = index // base, unit / base
    return float(out)


A, F = 6378137.0, 1 / 298.257223563
E2 = F * (2 - F)


def centred(lat, lon):
    lat, lon = radians(lat), radians(lon)
    n = A / sqrt(1 - E2 * sin(lat) ** 2)
    return n * cos(lat) * cos(lon), n * cos(lat) * sin(lon), n * (1 - E2) * sin(lat)


corners = OUTER + HOLE
unit = [sum(f(radians(a), radians(b)) for a, b in corners)
        for f in (lambda a, b: cos(a) * cos(b), lambda a, b: cos(a) * sin(b), lambda a, b: sin(a))]
BASE = atan2(unit[2], hypot(unit[0], unit[1])), atan2(unit[1], unit[0])
ORIGIN = centred(degrees(BASE[0]), degrees(BASE[1]))
EAST = (-sin(BASE[1]), cos(BASE[1]), 0.0)
NORTH = (-sin(BASE[0]) * cos(BASE[1]), -sin(BASE[0]) * sin(BASE[1]), cos(BASE[0]))


def flat(corner):
    d = [p - q for p, q in zip(centred(*corner), ORIGIN)]
    return sum(p * q for p, q in zip(d, EAST)), sum(p * q for p, q in zip(d, NORTH))


def corner(target):
    """The way back by Newton's method on the way there, not by its formula."""
    lat, lon = degrees(BASE[0]), degrees(BASE[1])
    for _ in range(20):
        x, y = flat((lat, lon))
        lat += (target[1] - y) / 111000
        lon += (target[0] - x) / 85300
    return lat, lon


field = Polygon([flat(c) for c in OUTER], [[flat(c) for c in HOLE]])
track = Polygon([flat(c) for c in TRACK])


def allowed(p):
    p = Point(p)
    return (field.contains(p) and field.boundary.distance(p) >= EDGE_M
            and track.distance(p) >= EDGE_M)


west, south, east, north = field.bounds


def place(u, v):
    return west + mirrored(u, 2) * (east - west), south + mirrored(v, 3) * (north - south)


stream = words(SEED, STREAM)
while True:
    u, v = next(stream) >> 1, next(stream) >> 1
    if allowed(place(u, v)):
        break
found, step = [], 0
while len(found) < 5:
    at = place(u + step, v + step)
    if allowed(at):
        found.append(corner(at))
    step += 1
for lat, lon in found:
    print(f"[{lat:.12f}, {lon:.12f}],")
first = words(2026, 0)
print([next(first) for _ in range(4)])
