"""Makes the files that other programs' libraries write. Places and names are invented.

    python -m venv v && v/bin/pip install shapely==2.2.0 geojson==3.3.0 simplekml==1.3.6 \
        fastkml==1.4.0 gpxpy==1.6.2 geographiclib==2.1
    v/bin/python make_files.py

Prints the areas by geographiclib that tests/files.rs expects.
"""
import datetime
import json
import math
import random

import geojson
import gpxpy.gpx
import simplekml
from fastkml import KML, Document, Folder, Placemark
from fastkml.enums import AltitudeMode  # noqa: F401 (shows that the library is the one meant)
from geographiclib.geodesic import Geodesic
from pygeoif.geometry import MultiPolygon as KmlMultiPolygon
from pygeoif.geometry import Polygon as KmlPolygon
from shapely.geometry import MultiPolygon, Polygon, mapping

# Longitude first here, as these libraries want it.
EAST = [(-97.41, 41.2), (-97.405, 41.2), (-97.405, 41.204), (-97.41, 41.204)]
POND = [(-97.409, 41.201), (-97.4075, 41.201), (-97.4075, 41.2025), (-97.409, 41.2025)]
WEST = [(-97.42, 41.2), (-97.415, 41.2), (-97.4175, 41.2045)]


def area(*rings):
    total = 0.0
    for index, ring in enumerate(rings):
        polygon = Geodesic.WGS84.Polygon()
        for lon, lat in ring:
            polygon.AddPoint(lat, lon)
        m2 = abs(polygon.Compute(False, True)[2])
        total += -m2 if index else m2
    return total


east, west = area(EAST, POND), area(WEST)
print(f"east less pond {east:.3f} m2, west {west:.3f} m2, both {east + west:.3f} m2")

fields = MultiPolygon([Polygon(EAST, [POND]), Polygon(WEST)])
with open("shapely.geojson", "w") as out:
    json.dump(mapping(fields), out)

features = [
    geojson.Feature(geometry=geojson.Polygon([EAST + EAST[:1], POND + POND[:1]]),
                    properties={"name": "East of the windmill", "acres": 41}),
    geojson.Feature(geometry=geojson.GeometryCollection([
        geojson.Polygon([WEST + WEST[:1]]), geojson.Point((-97.4175, 41.2045, 452.0))]),
        properties={"NAME": "Dry Fork west"}),
    geojson.Feature(geometry=geojson.LineString([(-97.42, 41.199), (-97.40, 41.199)]), id=7,
                    properties={}),
    geojson.Feature(geometry=None, properties={"name": "nowhere yet"}),
]
with open("geojson.geojson", "w") as out:
    geojson.dump(geojson.FeatureCollection(features), out, indent=1)

kml = simplekml.Kml(name="Hollow Oak farm")
folder = kml.newfolder(name="Fields").newfolder(name="Planted 2026")
folder.newpolygon(name="East of the windmill", outerboundaryis=EAST, innerboundaryis=[POND])
multi = folder.newmultigeometry(name="Both, Smith & Söhne")
multi.newpolygon(outerboundaryis=WEST)
multi.newpolygon(outerboundaryis=[(lon + 0.03, lat) for lon, lat in WEST])
kml.newpoint(name="gate", coords=[(-97.41, 41.2, 450)])
kml.newlinestring(name="drawn around", coords=WEST + [(-97.4199, 41.20005)])
kml.save("simplekml.kml")

ns = "{http://www.opengis.net/kml/2.2}"
document = Document(ns=ns, id="d", name="Hollow Oak farm", features=[
    Folder(ns=ns, id="f", name="Fields", features=[
        Placemark(ns=ns, id="p", name="Both", geometry=KmlMultiPolygon(
            ((EAST, (POND,)), (WEST, ())))),
        Placemark(ns=ns, id="q", name="Dry Fork west", geometry=KmlPolygon(WEST)),
    ])])
with open("fastkml.kml", "w") as out:
    out.write(KML(ns=ns, features=[document]).to_string(prettyprint=True))

gpx = gpxpy.gpx.GPX()
gpx.name = "Hollow Oak farm"
gpx.waypoints.append(gpxpy.gpx.GPXWaypoint(41.2, -97.41, elevation=450, name="gate <north>"))
route = gpxpy.gpx.GPXRoute(name="corners of west")
for lon, lat in WEST:
    route.points.append(gpxpy.gpx.GPXRoutePoint(lat, lon, name="corner"))
gpx.routes.append(route)
track = gpxpy.gpx.GPXTrack(name="walked round east")
chance = random.Random(1)
m_lat, m_lon = 111_069.0, 83_860.0
walk = []
for (lon, lat), (to_lon, to_lat) in zip(EAST, EAST[1:] + EAST[:1]):
    steps = int(math.hypot((to_lon - lon) * m_lon, (to_lat - lat) * m_lat) / 5)
    walk += [(lon + (to_lon - lon) * i / steps, lat + (to_lat - lat) * i / steps)
             for i in range(steps)]
clock = datetime.datetime(2026, 6, 2, 13, 0, tzinfo=datetime.timezone.utc)
half = len(walk) // 2
for part in (walk[:half], walk[half:]):
    segment = gpxpy.gpx.GPXTrackSegment()
    for lon, lat in part:
        clock += datetime.timedelta(seconds=4)
        segment.points.append(gpxpy.gpx.GPXTrackPoint(
            round(lat + chance.uniform(-2, 2) / m_lat, 7),
            round(lon + chance.uniform(-2, 2) / m_lon, 7), elevation=450.0, time=clock))
    track.segments.append(segment)
gpx.tracks.append(track)
with open("gpxpy.gpx", "w") as out:
    out.write(gpx.to_xml())
print(f"walked round {area(EAST):.3f} m2")
