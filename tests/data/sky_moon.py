#!/usr/bin/env python3
"""Writes the sky_moon_*.csv tables from JPL's DE421.

    pip install skyfield==1.55 skyfield-data==7.0.0
    python3 sky_moon.py

Times are UT1 (`ts.ut1_jd`), as the crate reads its instants. Altitudes are geometric (no refraction) and
topocentric: `wgs84.latlon(...)`, `.at(t).observe(moon).apparent().altaz()`. The distance is that of the moment,
without light-time, which would add what the Earth moves while the light comes.

Rise and set: the altitude of the centre is -34' less the semidiameter, arcsin(1737.4 km / distance); that is the
almanac offices' geocentric zenith distance of 90 degrees 34' + semidiameter - parallax. The difference is sampled every
4 minutes, its extremes refined, and each monotonic piece searched, as sky_events.py does for the sun.
sky_moon_windows.csv gives the place and the span of each window by its row, from 0; sky_moon_events.csv all events
there are in them. Some windows of high latitudes are sought where the moon grazes the horizon.

Illuminated fraction: (1 + cos(phase angle)) / 2 with the angle at the moon between the Earth's middle and the sun.
Principal phases: geocentric apparent ecliptic longitudes of date differ by a multiple of 90 degrees.
"""
import csv
import math
import random

import numpy as np
from sky_events import EARTH, EPHEMERIS, EPOCH, HERE, PLACES, SUN, TS, bisect, golden
from skyfield import almanac
from skyfield.api import wgs84


MOON = EPHEMERIS["moon"]
RADIUS_KM = 1737.4
SECOND = 1 / 86400


class Sky:
    """The moon at a place; times in days from the window's start, UT1."""

    def __init__(self, place, start_s):
        latitude, longitude, elevation = place
        self.at_place = EARTH + wgs84.latlon(latitude, longitude, elevation_m=elevation)
        self.start = start_s / 86400

    def time(self, days):
        return TS.ut1_jd(EPOCH + self.start + np.atleast_1d(days))

    def place(self, days):
        altitude, azimuth, distance = self.at_place.at(self.time(days)).observe(MOON).apparent().altaz()
        return altitude.degrees, azimuth.degrees, distance.km

    def limb(self, days):
        """How far the upper limb stands above -34', degrees."""
        altitude, _, distance = self.place(days)
        return altitude + np.degrees(np.arcsin(RADIUS_KM / distance)) + 34 / 60


def events(sky, length):
    """All rises and sets in `length` days: (day, rising, azimuth, degrees a second)."""
    grid = np.arange(0, length + 1e-9, 1 / 360)
    limb = sky.limb(grid)
    knots = [grid[0], grid[-1]]
    for sign in (1, -1):
        h = sign * limb
        i = np.nonzero((h[1:-1] >= h[:-2]) & (h[1:-1] > h[2:]))[0] + 1
        # Only turns near the horizon can hide a pair of events.
        i = i[np.abs(h[i]) < 1.0]
        if len(i):
            knots += golden(lambda x: sign * sky.limb(x), grid[i - 1], grid[i + 1]).tolist()
    knots = np.array(sorted(set(knots + grid.tolist())))
    height = sky.limb(knots)
    i = np.nonzero((height[:-1] < 0) != (height[1:] < 0))[0]
    if not len(i):
        return []
    rising = height[i + 1] > height[i]
    at = bisect(sky.limb, knots[i], knots[i + 1], rising, 26)
    rate = (sky.limb(at + 5 * SECOND) - sky.limb(at - 5 * SECOND)) / 10
    return list(zip(at, rising, sky.place(at)[1], rate))


def grazes(place, rng):
    """Starts of windows in which the moon at its highest or lowest passes the horizon, where there are any."""
    start = rng.randrange(-6900, 28800) * 86400
    sky = Sky(place, start)
    grid = np.arange(0, 60, 1 / 48)
    limb = sky.limb(grid)
    found = []
    for sign in (1, -1):
        h = sign * limb
        i = np.nonzero((h[1:-1] >= h[:-2]) & (h[1:-1] > h[2:]))[0] + 1
        top = limb[i]
        for j in np.nonzero((top[1:] < 0) != (top[:-1] < 0))[0]:
            found.append(start + int(grid[i[j]] - 2) * 86400)
    return found


def write(name, header, rows):
    with open(HERE / name, "w", newline="") as out:
        out.write("# The moon by skyfield and DE421, times in UT1; made by sky_moon.py.\n")
        csv.writer(out, lineterminator="\n").writerows([header, *rows])
    print(name, len(rows))


def main():
    rng = random.Random(20261)
    windows, found = [], []
    for place in PLACES:
        starts = [rng.randrange(-7300, 29200) * 86400 + rng.randrange(86400) for _ in range(18)]
        lengths = [rng.choice([4, 5, 6]) for _ in starts]
        near = grazes(place, rng) if abs(place[0]) > 58 else []
        rng.shuffle(near)
        starts += near[:6]
        lengths += [6] * len(near[:6])
        for start, length in sorted(zip(starts, lengths)):
            for at, rising, azimuth, rate in events(Sky(place, start), length):
                kind = "rise" if rising else "set"
                at_s = f"{start + at * 86400:.2f}"
                found.append([len(windows), kind, at_s, f"{azimuth:.3f}", f"{abs(rate):.2e}"])
            windows.append([*place, start, start + length * 86400])
    write("sky_moon_windows.csv", ["latitude", "longitude", "elevation_m", "start_s", "end_s"], windows)
    write("sky_moon_events.csv", ["window", "kind", "at_s", "azimuth", "rate"], found)

    positions = []
    for _ in range(1200):
        latitude = round(math.degrees(math.asin(rng.uniform(-1, 1))), 2)
        place = (latitude, round(rng.uniform(-180, 180), 2), rng.choice([0, 0, 500, 3000]))
        at_s = rng.randrange(-631_000_000, 2_524_000_000)
        sky = Sky(place, at_s)
        altitude, azimuth, _ = (x[0] for x in sky.place(0.0))
        t = sky.time(0.0)
        distance = (MOON - sky.at_place).at(t).distance().km[0]
        lit = almanac.fraction_illuminated(EPHEMERIS, "moon", t)[0]
        positions.append(
            [at_s, *place, f"{altitude:.6f}", f"{azimuth:.6f}", f"{distance:.2f}", f"{lit:.6f}"]
        )
    header = ["at_s", "latitude", "longitude", "elevation_m", "altitude", "azimuth", "distance_km", "lit"]
    write("sky_moon_positions.csv", header, positions)

    phases = []
    for year in range(1950, 2051, 10):
        t0, t1 = TS.utc(year, 1, 1), TS.utc(year + 1, 1, 1)
        times, kinds = almanac.find_discrete(t0, t1, almanac.moon_phases(EPHEMERIS))
        for t, kind in zip(times, kinds):
            phases.append([f"{(t.ut1 - EPOCH) * 86400:.1f}", int(kind)])
    write("sky_moon_phases.csv", ["at_s", "quarter"], phases)


if __name__ == "__main__":
    main()
