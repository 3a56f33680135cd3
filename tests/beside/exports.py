"""Reads what leaves a book by other people's libraries, and counts beside SQL of the book itself.

In: the book and the folder that `exports.rs` filled. Out: nothing, or the first thing that differs.
python-dwca-reader reads the archive, metapype judges its description (rules of EML 2.2.0), shapely and
geopandas read GeoJSON and well-known text, gpxpy reads GPX, pandas the tables and SQLite, Pillow pictures.
"""
import json
import sqlite3
import sys
import warnings
import zipfile
from io import BytesIO, StringIO
from pathlib import Path

import geopandas
import gpxpy
import pandas
from dwca.darwincore.utils import qualname
from dwca.read import DwCAReader
from metapype.eml import validate
from metapype.model import metapype_io
from PIL import Image
from shapely import wkt
from shapely.geometry import Point, shape

# What a reader only warns of, such as a column of two types, a person has to mend by hand.
warnings.simplefilter("error", UserWarning)
book = sqlite3.connect(f"file:{sys.argv[1]}?mode=ro", uri=True)
folder = Path(sys.argv[2])
# Names of taxa, which the book does not hold.
book.execute("ATTACH ? AS key", [f"file:{folder / 'analysis.sqlite'}?mode=ro"])
DWC = "http://rs.tdwg.org/dwc/terms/"


def sql(query):
    return book.execute(query).fetchone()[0]


def same(what, here, there):
    assert here == there, f"{what}: {here} in the book, {there} by the other reader"


def current(table, where="1"):
    return sql(f"SELECT count(*) FROM {table} b JOIN current_record c ON c.id = b.id WHERE {where}")


# What each tally counts as, worked out here from the book's tables and no code of ours: the unknown's
# latest opinion, or the taxon tallied. A frame holds each thing once.
IN_FRAMES = """
    WITH root AS (SELECT id, root FROM record),
    genera AS (SELECT id AS taxon, substr(scientific_name, 1, instr(scientific_name, ' ') - 1) AS genus FROM key.taxa),
    latest AS (
        SELECT r.root AS unknown, o.taxon, o.qualifier, o.genus,
               row_number() OVER (PARTITION BY r.root ORDER BY c.born_at DESC, c.id DESC) AS at
        FROM opinion o JOIN current_record c ON c.id = o.id
        JOIN root r ON r.id = o.about JOIN unknown u ON u.id = r.id),
    things AS (
        SELECT DISTINCT c.root AS frame, coalesce(t.taxon, ur.root) AS thing, ur.root AS unknown,
               coalesce(t.taxon, iif(l.qualifier IS 'aff', NULL, l.taxon)) AS counts_as,
               -- What is sure of the genus only leaves open which species of it.
               coalesce(l.genus, iif(l.qualifier IS 'cf', (SELECT genus FROM genera g WHERE g.taxon = l.taxon), NULL)) AS genus,
               ur.root IS NOT NULL AND (l.at IS NULL OR l.qualifier IS 'aff') AS open
        FROM tally t JOIN current_record c ON c.id = t.frame
        LEFT JOIN root ur ON ur.id = t.unknown
        LEFT JOIN latest l ON l.unknown = ur.root AND l.at = 1)
"""


def archive():
    # Its list is older than the standard's newest terms; those it has must be spelled as we spell them.
    for name in ["eventID", "occurrenceID", "scientificName", "identificationQualifier", "footprintWKT"]:
        same(name, DWC + name, qualname(name))
    with DwCAReader(folder / "archive.zip") as dwca:
        same("class of the core", DWC + "Event", dwca.descriptor.core.type)
        kinds = {kind.split("/")[-1]: kind for kind in dwca.descriptor.extensions_type}
        same("extensions", {"Occurrence", "Identification", "MeasurementOrFact"}, set(kinds))
        # The column by which files hang together is `id` or `coreid` to this reader.
        events, occurrences, names, facts = (
            dwca.pd_read(f"{name}.txt", dtype=str, keep_default_na=False)
            .rename(columns={"id": "eventID", "coreid": "eventID"})
            for name in ["event", "occurrence", "identification", "measurementorfact"])
        present = absent = 0
        for row in dwca:
            assert row.data[DWC + "eventID"] == row.id
            for one in row.extensions:
                if one.rowtype == kinds["Occurrence"]:
                    status = one.data[DWC + "occurrenceStatus"]
                    present += status == "present"
                    absent += status == "absent"
    of = events.eventType.value_counts()
    for kind, table in [("Seeding", "planting"), ("Visit", "visit"), ("Point", "point"), ("Frame", "frame")]:
        same(kind, current(table), of[kind])
    things = sql(IN_FRAMES + "SELECT count(*) FROM things")
    same("present", things + current("determination"), present)
    same("absent", sql(IN_FRAMES + """
        SELECT count(*) FROM current_record c JOIN frame f ON f.id = c.id
        JOIN place w ON w.point = f.point
        JOIN current_record p JOIN planting g ON g.id = p.id JOIN planting_mix m ON m.planting = g.id
        WHERE NOT EXISTS (SELECT 1 FROM things t WHERE t.frame = c.root AND t.open)
          AND NOT EXISTS (SELECT 1 FROM things t WHERE t.frame = c.root AND t.counts_as = m.taxon)
          AND NOT EXISTS (SELECT 1 FROM things t JOIN genera g ON g.genus = t.genus
                          WHERE t.frame = c.root AND g.taxon = m.taxon)
    """), absent)
    opinions = sql("""
        SELECT count(*) FROM opinion o JOIN current_record c ON c.id = o.id
        JOIN record r ON r.id = o.about JOIN determination d ON d.id = r.id""")
    again = sql(IN_FRAMES + """
        SELECT count(*) FROM (SELECT unknown FROM things WHERE unknown IS NOT NULL
            UNION ALL SELECT r.root FROM determination d JOIN current_record c ON c.id = d.id
            JOIN record r ON r.id = d.unknown) x
        JOIN record a ON a.root = x.unknown JOIN opinion o ON o.about = a.id
        JOIN current_record k ON k.id = o.id""")
    same("names", present + opinions + again, len(names))
    answers = sql("SELECT count(*) FROM answer a JOIN current_record c ON c.id = a.determination")
    same("facts of plants", answers + 3 * current("determination"), int((facts.occurrenceID != "").sum()))
    assert occurrences.occurrenceID.is_unique and events.eventID.is_unique
    assert set(occurrences.eventID) <= set(events.eventID) and set(names.occurrenceID) <= set(occurrences.occurrenceID)
    parents = set(events.parentEventID) - {""}
    assert parents <= set(events.eventID)
    positions = events[events.eventType == "Point"]
    for row in positions[positions.decimalLatitude != ""].itertuples():
        there = book.execute(
            "SELECT latitude, longitude FROM point p JOIN current_record c ON c.id = p.id WHERE c.root = ?",
            [row.eventID]).fetchone()
        same("place", there, (float(row.decimalLatitude), float(row.decimalLongitude)))
    for text in set(events.footprintWKT) - {""}:
        outline = wkt.loads(text)
        assert outline.is_valid and -180 <= outline.bounds[0] < outline.bounds[2] <= 180
    with zipfile.ZipFile(folder / "archive.zip") as zipped:
        same("damaged entry", None, zipped.testzip())
        eml = metapype_io.from_xml(zipped.read("eml.xml").decode())
    errors = []
    validate.tree(eml, errors)
    same("faults of eml.xml", [], errors)


def maps():
    text = (folder / "map.geojson").read_text()
    features = json.loads(text)["features"]
    roles = pandas.Series([f["properties"]["role"] for f in features]).value_counts()
    same("outlines", current("outline"), roles["field"] + roles["plot"] + roles.get("keep out", 0))
    same("points", current("point"), roles["point"])
    same("plants", current("determination"), roles["plant"])
    for feature in features:
        if feature["geometry"] and feature["geometry"]["type"] == "Polygon":
            outline = shape(feature["geometry"])
            # RFC 7946, 3.1.6: outer rings counter-clockwise.
            assert outline.is_valid and outline.exterior.is_ccw
    table = geopandas.read_file(folder / "map.geojson")
    same("features", len(features), len(table))
    same("datum", 4326, table.crs.to_epsg())
    points = table[(table.role == "point") & ~table.geometry.is_empty & table.geometry.notna()]
    same("places", current("point", "latitude IS NOT NULL"), len(points))
    # Longitude first: in the field, not on the other side of the globe.
    fields = table[table.role == "field"].geometry.union_all()
    assert points.geometry.within(fields.buffer(0.001)).all()

    gpx = gpxpy.parse((folder / "points.gpx").read_text())
    planned = sql("SELECT count(*) FROM plan_point p JOIN current_record c ON c.id = p.plan")
    same("waypoints", current("point", "latitude IS NOT NULL") + planned, len(gpx.waypoints))
    same("tracks", current("outline"), len(gpx.tracks))
    assert gpx.version == "1.1" and all(fields.buffer(0.001).contains(Point(w.longitude, w.latitude)) for w in gpx.waypoints)


TYPES = {
    "text": "string", "number": "float64", "whole number": "Int64", "true or false": "boolean",
    "date": "string", "instant": "string",
}


def tables():
    connection = sqlite3.connect(folder / "analysis.sqlite")
    with zipfile.ZipFile(folder / "tables.zip") as zipped:
        dictionary = pandas.read_csv(BytesIO(zipped.read("dictionary.csv")), dtype="string", keep_default_na=False)
        for name, columns in dictionary.groupby("table", sort=False):
            dtypes = {row.column: TYPES[row.type] for row in columns.itertuples()}
            text = zipped.read(f"{name}.csv").decode("utf-8")
            table = pandas.read_csv(StringIO(text), dtype=dtypes, keep_default_na=False, na_values=[""])
            assert "\n" not in text.replace("\r\n", "") or '"' in text, f"{name}: line ends"
            same(f"columns of {name}", list(columns.column), list(table.columns))
            for row in columns.itertuples():
                cells = table[row.column].dropna()
                if row.empty_means == "never empty":
                    same(f"empty cells of {name}.{row.column}", len(table), len(cells))
                if row.type == "date":
                    pandas.to_datetime(cells, format="%Y-%m-%d", errors="raise")
                if row.type == "instant":
                    pandas.to_datetime(cells, format="%Y-%m-%dT%H:%M:%S.%fZ", errors="raise")
                if row.allowed:
                    assert set(cells) <= set(row.allowed.split("; ")), f"{name}.{row.column}"
                if row.type == "text":
                    runs = cells[cells.str.match(r"^[=+\-@\t\r]")]
                    assert pandas.to_numeric(runs, errors="coerce").notna().all(), f"{name}.{row.column} runs"
            analysis = pandas.read_sql(f'SELECT * FROM "{name}"', connection)
            same(f"rows of {name}", len(table), len(analysis))
            same(f"columns of {name} in SQLite", list(table.columns), list(analysis.columns))
            for row in columns.itertuples():
                if row.type == "number" and len(table):
                    a, b = table[row.column], analysis[row.column].astype("float64")
                    assert ((a == b) | (a.isna() & b.isna())).all(), f"{name}.{row.column}"
                if row.type == "text" and len(table):
                    a = table[row.column].str.replace(r"^'", "", regex=True).fillna("")
                    b = analysis[row.column].astype("string").fillna("")
                    assert (a == b).all(), f"{name}.{row.column}"
        there = pandas.read_sql("SELECT * FROM dictionary WHERE type <> 'view'", connection)
        same("dictionary in SQLite", len(dictionary), len(there))
        plants = pandas.read_sql("SELECT * FROM plants", connection)
        same("plants", current("determination"), len(plants))
        readings = pandas.read_sql("SELECT * FROM cells_and_counts", connection)
        none = sql("""SELECT count(*) FROM frame f JOIN current_record c ON c.id = f.id
            WHERE f.repeats IS NULL AND NOT EXISTS (SELECT 1 FROM tally t WHERE t.frame = f.id)""")
        first = sql("""SELECT count(*) FROM tally t JOIN frame f ON f.id = t.frame
            JOIN current_record c ON c.id = f.id WHERE f.repeats IS NULL""")
        same("readings", none + first, len(readings))


def blurred():
    exact = geopandas.read_file(folder / "map.geojson")
    moved = geopandas.read_file(folder / "blurred.geojson")
    same("outlines that leave", 0, int(moved.role.isin(["field", "plot", "keep out"]).sum()))
    exact, moved = (t[t.role == "point"].set_index("id") for t in (exact, moved))
    same("points", len(exact), len(moved))
    metres = exact.to_crs(5070).geometry.distance(moved.to_crs(5070).geometry)
    radius = moved.uncertainty_m
    known = exact.geometry.notna() & ~exact.geometry.is_empty
    # Albers for the USA stretches by up to 1 in 100.
    assert (metres[known] <= radius[known] * 1.01).all() and (metres[known] > 0).all()
    with zipfile.ZipFile(folder / "blurred.zip") as zipped:
        text = " ".join(zipped.read(name).decode() for name in zipped.namelist())
        for name, in book.execute("SELECT DISTINCT author FROM record UNION SELECT owner FROM site WHERE owner <> ''"):
            assert name not in text, f"{name} left all the same"
        for latitude, in book.execute("SELECT latitude FROM point WHERE latitude IS NOT NULL"):
            assert str(latitude) not in text
        assert "scout 1" in text and "grid cell of 1000 m" in text


def pictures():
    dirty = Image.open(folder / "dirty.jpg")
    assert dirty.getexif().get_ifd(0x8825), "nothing to strip"
    with zipfile.ZipFile(folder / "archive.zip") as zipped:
        names = [name for name in zipped.namelist() if name.startswith("photos/")]
        same("pictures", 1, len(names))
        clean = Image.open(BytesIO(zipped.read(names[0])))
    same("what Pillow finds beside the picture", {0x0112: 6}, dict(clean.getexif()))
    assert "xmp" not in clean.info and "comment" not in clean.info
    same("pixels", dirty.tobytes(), clean.tobytes())


archive()
maps()
tables()
blurred()
pictures()
print("other readers read what leaves")
