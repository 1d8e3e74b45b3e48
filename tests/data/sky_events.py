#!/usr/bin/env python3
"""Writes sky_events.csv and sky_positions.csv from JPL's DE421.

    pip install skyfield==1.55 skyfield-data==7.0.0
    python3 sky_events.py

Times are UT1 (`ts.ut1_jd`), as the crate reads its instants. Altitudes are geometric (no refraction) and
topocentric: `wgs84.latlon(...)`, `.at(t).observe(sun).apparent().altaz()`.

Events: for each window the altitude is sampled every 4 minutes, the extremes between samples are refined, and each
monotonic piece is searched for each level, so that a graze between two samples is not lost. Windows lie between 1950 and
2050; in high latitudes some are sought where the sun grazes a level. sky_windows.csv gives the place and the span
of each window by its row, from 0; sky_events.csv all events there are in them.
"""
import csv
import math
import pathlib
import random
import warnings

import numpy as np
import skyfield_data
from skyfield.api import Loader, load, wgs84

warnings.simplefilter("ignore")
HERE = pathlib.Path(__file__).parent
EPHEMERIS = Loader(skyfield_data.get_skyfield_data_path())("de421.bsp")
EARTH, SUN = EPHEMERIS["earth"], EPHEMERIS["sun"]
TS = load.timescale(builtin=True)
EPOCH = 2440587.5
LEVELS = [-18.0, -12.0, -6.0, -4.0, -0.8333, 6.0]

PLACES = [
    (0.0, 6.6, 0), (-0.2, -78.5, 2850), (5.6, -0.2, 60), (-12.0, -77.1, 150), (19.4, -99.1, 2240),
    (-23.5, -46.6, 760), (28.6, 77.2, 215), (-33.9, 151.2, 20), (38.7, -9.1, 90), (-43.5, 172.6, 10),
    (47.4, 8.5, 410), (50.0, 178.0, 0), (52.5, 13.4, 35), (-54.8, -68.3, 20), (59.9, 10.7, 20),
    (64.1, -21.9, 15), (-67.6, 62.9, 10), (69.6, 19.0, 10), (71.3, -156.8, 5), (78.2, 15.6, 25),
]


class Sky:
    """The sun's altitude and azimuth in degrees at a place; times in days from the window's start, UT1."""

    def __init__(self, place, start_ms):
        latitude, longitude, elevation = place
        self.at_place = EARTH + wgs84.latlon(latitude, longitude, elevation_m=elevation)
        self.start = start_ms / 86400000

    def altaz(self, days):
        days = np.atleast_1d(days)
        t = TS.ut1_jd(EPOCH + self.start + days)
        altitude, azimuth, _ = self.at_place.at(t).observe(SUN).apparent().altaz()
        return altitude.degrees, azimuth.degrees

    def altitude(self, days):
        return self.altaz(days)[0]


def golden(f, a, b, steps=40):
    """Vectorised search for the maximum of f in each [a, b]."""
    g = (math.sqrt(5) - 1) / 2
    c, d = b - g * (b - a), a + g * (b - a)
    for _ in range(steps):
        up = f(c) > f(d)
        a, b = np.where(up, a, c), np.where(up, d, b)
        c, d = b - g * (b - a), a + g * (b - a)
    return 0.5 * (a + b)


def bisect(f, a, b, rising, steps=34):
    """Vectorised bisection for the passage of f through nought in each [a, b]."""
    for _ in range(steps):
        middle = 0.5 * (a + b)
        past = (f(middle) >= 0) == rising
        a, b = np.where(past, a, middle), np.where(past, middle, b)
    return 0.5 * (a + b)


def events(sky, length):
    """All crossings of LEVELS in `length` days: (day, level, rising, azimuth, degrees a second)."""
    grid = np.arange(0, length + 1e-9, 1 / 360)
    altitude = sky.altitude(grid)
    knots = [grid[0], grid[-1]]
    for sign in (1, -1):
        h = sign * altitude
        i = np.nonzero((h[1:-1] >= h[:-2]) & (h[1:-1] > h[2:]))[0] + 1
        if len(i):
            knots += golden(lambda x: sign * sky.altitude(x), grid[i - 1], grid[i + 1]).tolist()
    knots = np.array(sorted(knots))
    height = sky.altitude(knots)
    pieces = [
        (a, b, level, hb > ha)
        for a, b, ha, hb in zip(knots, knots[1:], height, height[1:])
        for level in LEVELS
        if (ha < level) != (hb < level)
    ]
    if not pieces:
        return []
    a, b, level, rising = (np.array(column) for column in zip(*pieces))
    at = bisect(lambda x: sky.altitude(x) - level, a, b, rising)
    azimuth = sky.altaz(at)[1]
    second = 1 / 86400
    rate = (sky.altitude(at + 5 * second) - sky.altitude(at - 5 * second)) / 10
    order = np.argsort(at)
    return [(at[i], level[i], rising[i], azimuth[i], rate[i]) for i in order]


def grazes(place, rng):
    """Starts of windows in which the sun's noon or midnight altitude passes a level, where there are any."""
    year = rng.randrange(1951, 2049)
    start = (year - 1970) * 365.25 * 86400000 // 86400000 * 86400000
    noon = -place[1] / 360 + 0.5
    sky = Sky(place, start)
    found = []
    for offset in (noon, noon + 0.5):
        days = np.arange(366) + offset
        altitude = sky.altitude(days)
        for level in LEVELS:
            for i in np.nonzero((altitude[1:] < level) != (altitude[:-1] < level))[0]:
                found.append(start + (int(i) - 3) * 86400000)
    return found


def main():
    rng = random.Random(20260)
    windows, found = [], []
    for place in PLACES:
        starts = [rng.randrange(-7304, 29200) * 86400000 + rng.randrange(86400000) for _ in range(16)]
        lengths = [rng.choice([1, 2, 3]) for _ in starts]
        near = grazes(place, rng) if abs(place[0]) > 45 else []
        rng.shuffle(near)
        starts += near[:10]
        lengths += [7] * len(near[:10])
        for start, length in sorted(zip(starts, lengths)):
            start_s = start / 1000
            for at, level, rising, azimuth, rate in events(Sky(place, start), length):
                kind = "rising" if rising else "falling"
                at_s = f"{start_s + at * 86400:.2f}"
                found.append([len(windows), kind, at_s, f"{level:g}", f"{azimuth:.3f}", f"{abs(rate):.2e}"])
            windows.append([*place, f"{start_s:.3f}", f"{start_s + length * 86400:.3f}"])
    write("sky_windows.csv", ["latitude", "longitude", "elevation_m", "start_s", "end_s"], windows)
    write("sky_events.csv", ["window", "kind", "at_s", "altitude", "azimuth", "rate"], found)

    positions = []
    for _ in range(1200):
        latitude = round(math.degrees(math.asin(rng.uniform(-1, 1))), 2)
        place = (latitude, round(rng.uniform(-180, 180), 2), rng.choice([0, 0, 500, 3000]))
        at_s = rng.randrange(-631_000_000, 2_524_000_000)
        altitude, azimuth = Sky(place, at_s * 1000).altaz(0.0)
        positions.append([at_s, *place, f"{altitude[0]:.6f}", f"{azimuth[0]:.6f}"])
    write("sky_positions.csv", ["at_s", "latitude", "longitude", "elevation_m", "altitude", "azimuth"], positions)


def write(name, header, rows):
    with open(HERE / name, "w", newline="") as out:
        out.write("# The sun by skyfield and DE421, times in UT1; made by sky_events.py.\n")
        csv.writer(out, lineterminator="\n").writerows([header, *rows])
    print(name, len(rows))


if __name__ == "__main__":
    main()
