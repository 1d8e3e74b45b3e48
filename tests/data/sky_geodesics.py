#!/usr/bin/env python3
"""Writes sky_geodesics.csv: shortest ways on WGS 84 by Karney's algorithm.

    pip install geographiclib==2.1
    python3 sky_geodesics.py
"""
import csv
import pathlib
import random

from geographiclib.geodesic import Geodesic

rng = random.Random(1984)
EARTH = Geodesic.WGS84
rows = []
for _ in range(500):
    latitude = rng.choice([rng.uniform(-90, 90), rng.uniform(-66, 66), 0.0, 90.0, -90.0])
    longitude, azimuth = rng.uniform(-180, 180), rng.choice([rng.uniform(0, 360), 0.0, 90.0])
    distance = 10 ** rng.uniform(0, 7.28)
    to = EARTH.Direct(latitude, longitude, azimuth, distance)
    pair = [round(latitude, 9), round(longitude, 9), round(to["lat2"], 9), round(to["lon2"], 9)]
    way = EARTH.Inverse(*pair)
    rows.append([*pair, f"{way['azi1'] % 360:.10f}", f"{way['s12']:.6f}"])

with open(pathlib.Path(__file__).parent / "sky_geodesics.csv", "w", newline="") as out:
    out.write("# Shortest ways on WGS 84 by geographiclib; made by sky_geodesics.py.\n")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["latitude", "longitude", "to_latitude", "to_longitude", "bearing", "distance_m"])
    writer.writerows(rows)
