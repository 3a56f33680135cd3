"""Reads standbook.gpx and standbook.geojson with other libraries; fails loudly.

    v/bin/python check_written.py    (libraries as in make_files.py, and lxml 6.1.3)
"""
import json

import geojson
import gpxpy
from lxml import etree
from shapely.geometry import shape
from shapely.geometry.polygon import orient

with open("standbook.gpx", encoding="utf-8") as file:
    text = file.read()
gpx = gpxpy.parse(text)
names = [point.name for point in gpx.waypoints]
assert names == [str(i) for i in range(1, 13)] + ["S1", "S2", "S3", "S4"], names
assert gpx.version == "1.1" and gpx.name == 'July walk, "Hollow Oak" <east & west>'
assert len(gpx.routes) == 1 and len(gpx.routes[0].points) == 12
assert [t.name for t in gpx.tracks] == ["field", "keep out: track", "plot: east", "plot: west & rest"]
assert len(gpx.tracks[0].segments) == 3
for track in gpx.tracks:
    for segment in track.segments:
        a, b = segment.points[0], segment.points[-1]
        assert (a.latitude, a.longitude) == (b.latitude, b.longitude)

# The order of elements that the GPX 1.1 schema wants.
ns = "{http://www.topografix.com/GPX/1/1}"
root = etree.fromstring(text.encode())
assert root.tag == ns + "gpx" and root.get("creator")
order = ["metadata", "wpt", "rte", "trk"]
places = [order.index(child.tag.removeprefix(ns)) for child in root]
assert places == sorted(places)
for point in root.iter(ns + "wpt", ns + "rtept"):
    kinds = [child.tag.removeprefix(ns) for child in point]
    assert kinds in (["name"], ["name", "desc"]), kinds

with open("standbook.geojson", encoding="utf-8") as file:
    collection = geojson.load(file)
assert collection.is_valid, collection.errors()
roles = [feature.properties["role"] for feature in collection.features]
assert roles == ["field", "keep out", "plot", "plot"] + ["point"] * 16, roles
field, keep_out, *plots = [shape(f.geometry) for f in collection.features[:4]]
assert field.is_valid and keep_out.is_valid
for polygon in field.geoms:
    assert orient(polygon, 1.0).equals_exact(polygon, 0), "outer rings run counter-clockwise"
for feature in collection.features[4:]:
    point = shape(feature.geometry)
    assert field.contains(point) and not keep_out.contains(point)
    plot = {"east": plots[0], "west & rest": plots[1]}[feature.properties["plot"]]
    assert plot.contains(point)
    assert feature.properties["spare"] == (feature.properties["walk"] is None)
walks = sorted(f.properties["walk"] for f in collection.features[4:] if f.properties["walk"])
assert walks == list(range(1, 13))
json.dumps(collection)
print("read by gpxpy, lxml, geojson and shapely: sound")
