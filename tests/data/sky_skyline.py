#!/usr/bin/env python3
"""Writes sky_skyline.csv: when sun and moon are behind invented skylines, by brute force from JPL's DE421.

    pip install skyfield==1.55 skyfield-data==7.0.0
    python3 sky_skyline.py

Every second (UT1) of a span 1801 points of the upper half of the disc (959.63" at one astronomical unit for the sun,
1737.4 km for the moon) are lifted one by one by Saemundsson's refraction, thinned with the height above the sea as ISO
2533 has it, and held against the profile, straight between its points. The body is hidden while none of them is above.
Most profiles are laid across the body's own way, so that it reappears in gaps or grazes a top.
"""
import csv

import numpy as np
from sky_events import EARTH, EPHEMERIS, EPOCH, HERE, SUN, TS
from skyfield.api import wgs84

MOON = EPHEMERIS["moon"]
AU_KM = 149597870.7


def refraction(altitude, elevation):
    h = np.maximum(altitude, -1.0)
    fading = np.clip(altitude + 2.0, 0.0, 1.0)
    lift = 1.02 / np.tan(np.radians(h + 10.3 / (h + 5.11))) / 60
    return np.maximum(lift, 0.0) * fading * (1 - 2.25577e-5 * elevation) ** 4.2559


class Way:
    def __init__(self, body, place, start_s, seconds):
        self.elevation = place[2]
        at_place = EARTH + wgs84.latlon(place[0], place[1], elevation_m=place[2])
        self.s = np.arange(0, seconds + 1)
        # Every 20 s and interpolated by cubics between, which is exact to 0.001".
        coarse = np.arange(-60, seconds + 80, 20)
        t = TS.ut1_jd(EPOCH + (start_s + coarse) / 86400)
        altitude, azimuth, distance = at_place.at(t).observe(SUN if body == "sun" else MOON).apparent().altaz()
        fine = lambda y: self.cubic(coarse, y)
        self.altitude = fine(altitude.degrees)
        self.azimuth = fine(np.unwrap(azimuth.degrees, period=360)) % 360
        radius = np.radians(959.63 / 3600) * AU_KM / distance.km if body == "sun" else np.arcsin(1737.4 / distance.km)
        self.radius = fine(np.degrees(radius))

    def cubic(self, x, y):
        i = (self.s - x[0]) // 20
        u = (self.s - x[i]) / 20
        a, b, c, d = (y[i + k] for k in (-1, 0, 1, 2))
        return (
            -u * (u - 1) * (u - 2) / 6 * a
            + (u + 1) * (u - 1) * (u - 2) / 2 * b
            - (u + 1) * u * (u - 2) / 2 * c
            + (u + 1) * u * (u - 1) / 6 * d
        )

    def apparent(self):
        return self.altitude + refraction(self.altitude, self.elevation)

    def at_altitude(self, altitude, falling=True):
        """The second at which the centre passes an apparent altitude."""
        h = self.apparent() - altitude
        i = np.nonzero((h[:-1] > 0) != (h[1:] > 0))[0]
        return int(i[-1] if falling else i[0])

    def hidden(self, profile):
        ring = np.array([[a + lap, h] for lap in (-360, 0, 360) for a, h in profile])
        height = self.apparent()
        shows = height > ring[:, 1].max()
        # Where nothing is clear from the heights alone.
        near = np.nonzero(~shows & (height > ring[:, 1].min() - 0.6))[0]
        altitude, radius = self.altitude[near], self.radius[near]
        for phi in np.linspace(0, np.pi, 1801):
            true = altitude + radius * np.sin(phi)
            across = radius * np.cos(phi) / np.cos(np.radians(altitude))
            apparent = true + refraction(true, self.elevation)
            shows[near] |= apparent > np.interp(self.azimuth[near] + across, ring[:, 0], ring[:, 1])
        turns = np.nonzero(np.diff(np.concatenate([[0], ~shows, [0]]).astype(int)))[0]
        return [(int(a), int(b)) for a, b in zip(turns[::2], turns[1::2])]


def level(*points, altitude=0.0):
    """Points with level parts on both sides all round."""
    return [(0, altitude), *points, (360, altitude)]


def towers(way, altitude, widths, top, base=1.0):
    """Upright towers across the way from where it passes an altitude, with gaps between: widths in turn."""
    at = way.azimuth[way.at_altitude(altitude)]
    points = []
    for i, width in enumerate(widths):
        if i % 2 == 0:
            points += [(at, base), (at, top), (at + width, top), (at + width, base)]
        at += width
    return [(a, h) for a, h in points]


def main():
    rows = []

    def case(name, body, place, start_s, hours, profile, observer=0.0):
        way = Way(body, place, start_s, round(hours * 3600))
        points = profile(way) if callable(profile) else profile
        points = [(round(float(a), 4), round(float(h), 4)) for a, h in points]
        full = points
        if len(points) == 1:
            full = [(0, points[0][1]), (360, points[0][1])]
        hidden = way.hidden(full)
        text = " ".join(f"{a:g}/{h:g}" for a, h in points)
        spans = " ".join(f"{a}-{b}" for a, b in hidden)
        rows.append([name, body, *place, observer, start_s, start_s + round(hours * 3600), text, spans])
        print(name, body, spans)

    north, south, far = (51.2, -4.3, 40), (-33.4, 151.1, 10), (64.6, 17.2, 350)
    tropic, high = (9.8, 77.4, 20), (28.1, 86.2, 3500)
    day = 86400
    summer, autumn, winter = 1_940_000_000 // day * day, 1_947_800_000 // day * day, 1_955_300_000 // day * day
    ridge = [(0, 2), (60, 4.5), (110, 1), (150, 3), (200, 6.5), (240, 2), (265, 7), (300, 1.5), (330, 5), (360, 2)]
    for name, place, start in [("north", north, summer), ("north", north, winter), ("south", south, autumn),
                               ("far", far, summer), ("far", far, winter), ("tropic", tropic, autumn), ("high", high, winter)]:
        for body in ("sun", "moon"):
            case(f"ridge {name}", body, place, start, 36, ridge)
    case("flat", "sun", north, autumn, 24, [(0, 3.0)])
    case("flat", "moon", south, autumn, 24, [(0, 3.0)])
    gaps = lambda way: level(*towers(way, 6.0, [4, 0.7, 2, 0.1, 2, 3, 1], 12.0), altitude=1.0)
    for body, start in [("sun", autumn), ("sun", summer), ("moon", autumn + 3 * day)]:
        case("gaps", body, north, start + 10 * 3600, 24, gaps)
    case("gaps south", "sun", south, winter, 24, lambda way: level(
        *((a - 12.8, h) for a, h in towers(way, 6.0, [4, 0.6, 2, 0.05, 2, 3, 1], 12.0)), altitude=1.0))
    # A tower that the upper edge stays above until it has passed, goes behind for some seconds, for a minute.
    for over in (-0.2, -0.15, -0.05, 0.08):
        def top(way, over=over):
            i = way.at_altitude(5.0)
            limb = way.apparent()[i] + 0.262
            left, right = way.azimuth[i] - 3, way.azimuth[i] + 0.5
            return level((left, 0.0), (left, limb + over), (right, limb + over), (right, 0.0))
        case(f"graze {over:+}", "sun", north, summer + 12 * 3600, 12, top)
        case(f"graze {over:+}", "moon", north, autumn + 3 * day, 24, top)
    # The noon sun under, at and over a ridge.
    for over in (-0.32, -0.262, -0.2, 0.5):
        highest = lambda way, over=over: [(0, way.apparent().max() - over)]
        case(f"noon {over:+}", "sun", far, winter, 24, highest)
    case("never shows", "sun", north, winter, 48, [(0, 5), (120, 20), (180, 22), (240, 20), (300, 5), (360, 5)])
    case("never hides", "sun", (72.0, 20.0, 0), summer, 24, [(0, 0.0)])
    saw = lambda way: level(*[(200 + i, 5.0 * (i % 2)) for i in range(0, 101)])
    case("saw", "sun", north, autumn, 24, saw)
    case("saw", "moon", north, autumn + 3 * day, 24, saw)

    with open(HERE / "sky_skyline.csv", "w", newline="") as out:
        out.write("# Sun and moon behind skylines by skyfield and DE421, times in UT1; made by sky_skyline.py.\n")
        header = ["name", "body", "latitude", "longitude", "elevation_m", "observer_m", "start_s", "end_s", "profile", "hidden_s"]
        csv.writer(out, lineterminator="\n").writerows([header, *rows])
    print(len(rows))


if __name__ == "__main__":
    main()
