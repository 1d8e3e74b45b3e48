"""Frames of a log as another library writes them: Python's csv and datetime, seeds fixed.

    python shoot_frames.py

writes shoot_frames.csv and, by the json module, the same values as shoot_frames.json.
"""

import csv
import datetime
import json
import random

ROWS = 100
PIECES = ["", "a", ",", '"', '""', "\n", "\r\n", ";", "\t", "à", "雨", "😀", " ", "'", "lamps on", "1/60"]
COLUMNS = ["id", "spotId", "spotName", "at", "aperture", "shutterS", "iso", "filterStops", "compensationStops", "focalMm",
           "whiteBalance", "intent", "rating", "reading", "source", "note"]

random.seed(5)


def text(first=""):
    return first + "".join(random.choice(PIECES) for _ in range(random.randrange(6)))


def frame(number):
    # Letters first: what begins like a formula is marked by the log's own rule, which no csv library has.
    at_ms = random.randrange(-2_208_988_800_000, 4_102_444_800_000)
    return {
        "id": f"f{number}", "spotId": random.choice([None, "s1"]), "spotName": text("Heron "), "atMs": at_ms,
        "aperture": random.uniform(0.5, 512), "shutterS": 2 ** random.uniform(-13, 12), "iso": random.uniform(1, 1e5),
        "filterStops": random.uniform(0, 30), "compensationStops": random.uniform(-10, 10),
        "focalMm": random.choice([None, random.uniform(2, 3000)]), "whiteBalance": text("k"),
        "intent": random.choice(["sky", "frame", "shadows", "highlights"]), "rating": random.randrange(6),
        "reading": False, "source": random.choice(["photo", "desk", "hand"]), "note": text("n"),
    }


def cell(row, column):
    if column == "at":
        at = datetime.datetime(1970, 1, 1) + datetime.timedelta(milliseconds=row["atMs"])
        return at.isoformat(timespec="milliseconds") + "Z"
    value = row[column]
    return "" if value is None else ("yes" if value else "no") if column == "reading" else value


rows = [frame(number) for number in range(ROWS)]
with open("shoot_frames.csv", "w", encoding="utf-8", newline="") as file:
    writer = csv.writer(file)
    writer.writerow(COLUMNS)
    writer.writerows([cell(row, column) for column in COLUMNS] for row in rows)
with open("shoot_frames.json", "w", encoding="utf-8", newline="\n") as file:
    # Numbers as texts: some readers of JSON lose their last bit.
    plain = [{key: str(value) if type(value) in (int, float) else value for key, value in row.items()} for row in rows]
    json.dump(plain, file, ensure_ascii=False, indent=0)
