"""Files as other programs write them, and what stands in them.

Prints one JSON object: seed, versions, and cases. A case has the name of a file, what it holds
(`points`, `frames`, `determinations`, `dates`), its bytes (`content`, one character U+0000 to U+00FF
a byte), and the rows that went into it. crates/import/tests/elsewhere.rs reads the files by Standbook
and compares row by row.

pandas writes CSV, gpxpy GPX, shapely with json GeoJSON, simplekml KML.
"""

import io
import json
import random
import sys
from importlib.metadata import version

import gpxpy.gpx
import pandas as pd
import shapely
import simplekml

seed = int(sys.argv[1])
rng = random.Random(seed)
cases = []


def case(kind, name, content, rows, **more):
    if isinstance(content, str):
        content = content.encode("utf-8")
    cases.append(
        {"kind": kind, "file": name, "content": content.decode("latin-1"), "rows": rows, **more}
    )


def written(frame, encoding="utf-8", **how):
    """The bytes of a file that pandas writes."""
    out = io.BytesIO()
    frame.to_csv(out, index=False, encoding=encoding, **how)
    return out.getvalue()


def points(n):
    # In and around the field of the test's book: 40.10 to 40.12 N, 96.52 to 96.50 W.
    return [
        {
            "label": str(at + 1),
            "latitude": round(rng.uniform(40.1001, 40.1199), 7),
            "longitude": round(rng.uniform(-96.5199, -96.5001), 7),
            "uncertainty_m": round(rng.uniform(0.5, 12), 1),
            "plot": rng.choice(["North strip", "South strip"]),
            "scout": rng.choice(["A. Fenn", "Joña Müller-Reyes", 'B. "Bee" Rowan, jr.']),
        }
        for at in range(n)
    ]


rows = points(12)
table = pd.DataFrame(rows)
case("points", "comma.csv", written(table), rows)
case("points", "mark.csv", written(table, encoding="utf-8-sig"), rows)
case("points", "semicolon.csv", written(table, sep=";", decimal=","), rows)
case("points", "tab.csv", written(table, sep="\t", lineterminator="\r\n"), rows)
case("points", "old.csv", written(table, encoding="cp1252", sep=";"), rows)
case("points", "utf16.csv", written(table, encoding="utf-16", sep="\t"), rows)
case("points", "exponent.csv", written(table, float_format="%.10e"), rows)
case("points", "quoted.csv", written(table, quoting=1), rows)
case("points", "shuffled.csv", written(table[sorted(table.columns, reverse=True)]), rows)

gpx = gpxpy.gpx.GPX()
for row in rows:
    gpx.waypoints.append(
        gpxpy.gpx.GPXWaypoint(row["latitude"], row["longitude"], name=row["label"], elevation=401.5)
    )
case("points", "receiver.gpx", gpx.to_xml(version="1.1"), rows, places_only=True)
case("points", "old receiver.gpx", gpx.to_xml(version="1.0"), rows, places_only=True)

features = [
    {
        "type": "Feature",
        "properties": {"name": row["label"]},
        "geometry": shapely.geometry.mapping(shapely.Point(row["longitude"], row["latitude"])),
    }
    for row in rows
]
case(
    "points",
    "map.geojson",
    json.dumps({"type": "FeatureCollection", "features": features}),
    rows,
    places_only=True,
)

kml = simplekml.Kml()
for row in rows:
    kml.newpoint(name=row["label"], coords=[(row["longitude"], row["latitude"])])
case("points", "globe.kml", kml.kml(), rows, places_only=True)

NAMES = ["switchgrass", "Andropogon gerardi", "SORGHASTRUM NUTANS", "little bluestem"]
IDS = {
    "switchgrass": "panicum_virgatum",
    "Andropogon gerardi": "andropogon_gerardi",
    "SORGHASTRUM NUTANS": "sorghastrum_nutans",
    "little bluestem": "schizachyrium_scoparium",
}
cells = []
for point in ("1", "2", "3"):
    for frame in (1, 2):
        for name in rng.sample(NAMES, rng.randint(1, 4)):
            for cell in sorted(rng.sample(range(1, 26), rng.randint(1, 9))):
                cells.append({"point": point, "frame": frame, "cell": cell, "taxon": name})
cells.append({"point": "3", "frame": 3, "cell": None, "taxon": None})
table = pd.DataFrame(cells)
# A column of whole numbers with a gap is one of floats to pandas, unless it is told otherwise.
table["cell"] = table["cell"].astype("Int64")
expected = [{**row, "taxon": IDS.get(row["taxon"])} for row in cells]
case("frames", "long.csv", written(table), expected)
case("frames", "long semicolon.csv", written(table, sep=";", encoding="utf-8-sig"), expected)

counts = [
    {"point": point, "frame": 1, "area_m2": 0.25, **{name: rng.choice([0, 0, 1, 3, 17]) for name in NAMES}}
    for point in ("1", "2", "3")
]
wide = pd.DataFrame(counts)
expected = [
    {"point": row["point"], "frame": 1, "taxon": IDS[name], "count": row[name]}
    for row in counts
    for name in NAMES
    if row[name]
]
case("counts", "wide.csv", written(wide), expected)
case("counts", "wide comma.csv", written(wide, sep=";", decimal=","), expected)
melted = wide.melt(id_vars=["point", "frame", "area_m2"], var_name="taxon", value_name="count")
case("counts", "melted.csv", written(melted), expected)

days = pd.to_datetime([f"2026-{rng.randint(1, 12):02}-{rng.randint(1, 28):02}" for _ in range(20)])
iso = [day.strftime("%Y-%m-%d") for day in days]
case("dates", "iso", "\n".join(iso), iso)
case("dates", "month-first", "\n".join(day.strftime("%m/%d/%Y") for day in days), iso)
case("dates", "day-first", "\n".join(day.strftime("%d.%m.%Y") for day in days), iso)
# The origin that pandas' own documentation gives for days of spreadsheets.
case("dates", "serial", "\n".join(str((day - pd.Timestamp("1899-12-30")).days) for day in days), iso)

packages = ["pandas", "gpxpy", "shapely", "simplekml"]
print(json.dumps({"seed": seed, "versions": {name: version(name) for name in packages}, "cases": cases}, indent=1))
