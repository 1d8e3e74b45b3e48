"""The model of the falling light, written a second time with numpy, to check the library's own against.

    python light_reference.py terms      > ../../src/light/direction_terms.rs
    python light_reference.py forecasts          (writes light_readings.csv and light_forecasts.csv)

Reads light_radiance.csv (made by light_radiance.py). Needs numpy only.
"""

import csv
import sys
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
TABLE = "light_radiance.csv"


# --- The direction table: the sky from 0° to 20° above the horizon, in stops over a uniform sky ----------


def direction_table():
    """Sun altitudes ascending, turns ascending, and stops[sun, turn], clear and hazy air averaged."""
    with open(HERE / TABLE) as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    suns = np.unique([float(row["sun_deg"]) for row in rows])
    turns = np.unique([float(row["turn_deg"]) for row in rows])
    views = [name for name in rows[0] if name[0] == "l"]
    heights = [float(name[1:]) for name in views]
    band = np.linspace(0.0, 20.0, 81)
    stops = np.zeros((len(suns), len(turns)))
    for row in rows:
        at = np.searchsorted(suns, float(row["sun_deg"])), np.searchsorted(turns, float(row["turn_deg"]))
        logs = np.log([float(row[name]) for name in views])
        radiance = np.exp(np.interp(band, heights, logs)).mean()
        stops[at] += 0.5 * np.log2(np.pi * radiance / float(row["irradiance"]))
    # Few photons reach the ground with the sun below −6°, and the sky then fades at one rate all over (Koomen et al. 1952):
    # the three deepest rows are held at their mean, −6° going halfway to it.
    deep = stops[:3].mean(axis=0)
    stops[0], stops[1], stops[2] = deep, deep, 0.5 * (stops[2] + deep)
    return suns, turns, stops


SUNS, TURNS, STOPS = direction_table()


def direction(sun, turn, glow):
    """The table where glow is 1, its mean over the turns where it is 0."""
    sun = np.clip(np.asarray(sun, float), SUNS[0], SUNS[-1])
    turn = abs((turn + 180.0) % 360.0 - 180.0)
    columns = np.array([np.interp(sun, SUNS, STOPS[:, k]) for k in range(len(TURNS))])
    k = int(np.clip(np.searchsorted(TURNS, turn) - 1, 0, len(TURNS) - 2))
    part = (turn - TURNS[k]) / (TURNS[k + 1] - TURNS[k])
    seen = columns[k] * (1.0 - part) + columns[k + 1] * part
    mean = np.trapezoid(columns, TURNS, axis=0) / 180.0
    return mean + glow * (seen - mean)


def print_terms():
    def listed(values, digits):
        return ", ".join(f"{value:.{digits}f}" for value in values)

    print("//! Brightness of the low sky by direction. Made by `tests/data/light_reference.py terms`; not to be edited.")
    print()
    print("/// Geometric altitudes of the sun, degrees, ascending.")
    print(f"pub(super) const SUN_DEG: [f64; {len(SUNS)}] =")
    print(f"    [{listed(SUNS, 1)}];")
    print()
    print("/// Turns of the lens from the sun's azimuth, degrees, ascending.")
    print(f"pub(super) const TURN_DEG: [f64; {len(TURNS)}] = [{listed(TURNS, 1)}];")
    print()
    print("/// Stops over a uniform sky of the same illuminance: a row for each altitude, a column for each turn.")
    print(f"pub(super) const STOPS: [[f64; {len(TURNS)}]; {len(SUNS)}] = [")
    for row in STOPS:
        print(f"    [{listed(row, 6)}],")
    print("];")


# --- Illuminance: Janiczek & DeYoung 1987, USNO Circular 171 ----------------------------------------------

CUBICS = [
    (20.0, 91.0, (3.74, 3.97, -4.07, 1.47)),
    (5.0, 20.0, (3.05, 13.28, -45.98, 64.33)),
    (-0.8, 5.0, (2.88, 22.26, -207.64, 1034.30)),
    (-5.0, -0.8, (2.88, 21.81, -258.11, -858.36)),
    (-12.0, -5.0, (2.70, 12.17, -431.69, -1899.83)),
    (-18.01, -12.0, (13.84, 262.72, 1447.42, 2797.93)),
]


def log10_illuminance(sun):
    sun = np.asarray(sun, float)
    out = np.full(sun.shape, np.nan)
    for low, high, c in CUBICS:
        x = sun / 90.0
        out = np.where((sun >= low) & (sun < high), c[0] + c[1] * x + c[2] * x**2 + c[3] * x**3, out)
    return out


# --- The model and its fit --------------------------------------------------------------------------------

SLOW_SD, SLOW_DEG, NOISE = 0.4, 3.0, 0.33


def model(sun, unknowns, turn):
    offset, shape, floor = unknowns
    glow = np.interp(sun, [-18.0, -12.0], [0.0, 1.0])
    level = direction(0.0, turn, glow)
    change = direction(sun, turn, glow) - level
    sky = log10_illuminance(sun) / np.log10(2.0) - np.log2(np.pi * 0.125) + level + shape * change + offset
    ev = np.logaddexp2(sky, floor)
    share = 1.0 / (1.0 + 2.0 ** (floor - sky))
    return ev, np.c_[share, share * change, 1.0 - share]


def slow(a, b):
    return SLOW_SD**2 * np.exp(-np.abs(a[:, None] - b[None, :]) / SLOW_DEG)


def fit(suns, evs, turn, mean, sd):
    prior = np.diag(sd**-2.0)
    unknowns, weights, noise = mean.copy(), np.ones(len(suns)), NOISE**2
    for step in range(40):
        ev, slopes = model(suns, unknowns, turn)
        inverse = np.linalg.inv(slow(suns, suns) + np.diag(noise / weights))
        normal = slopes.T @ inverse @ slopes + prior
        move = np.linalg.solve(
            normal + 1e-3 * np.diag(np.diag(normal)),
            slopes.T @ inverse @ (evs - ev) - prior @ (unknowns - mean),
        )
        unknowns = unknowns + np.clip(move, -1.0, 1.0)
        if step > 2 and len(suns) >= 3:
            z = (evs - model(suns, unknowns, turn)[0]) / np.sqrt(noise + SLOW_SD**2)
            weights = np.clip(5.0 / (4.0 + z * z), 1e-3, 1.0)
    ev, slopes = model(suns, unknowns, turn)
    inverse = np.linalg.inv(slow(suns, suns) + np.diag(noise / weights))
    return unknowns, np.linalg.inv(slopes.T @ inverse @ slopes + prior), inverse, slopes, evs - ev


def forecast(suns, turn, readings, mean, sd):
    mean, sd = np.array(mean), np.array(sd)
    if not readings:
        ev, slopes = model(suns, mean, turn)
        return ev, np.sqrt(SLOW_SD**2 + ((slopes * sd) ** 2).sum(axis=1))
    at, evs = np.array(readings).T
    unknowns, covariance, inverse, slopes, residuals = fit(at, evs, turn, mean, sd)
    ev, ahead = model(suns, unknowns, turn)
    known = slow(suns, at) @ inverse
    left = ahead - known @ slopes
    variance = (
        SLOW_SD**2
        - np.einsum("ij,ij->i", known, slow(suns, at))
        + np.einsum("ij,jk,ik->i", left, covariance, left)
    )
    return ev + known @ residuals, np.sqrt(np.maximum(variance, 1e-6))


# --- Cases ------------------------------------------------------------------------------------------------

ANY = ([-1.0, 0.6, 4.0], [1.5, 0.35, 1.2])
FRAME = ([-2.5, 0.6, 5.0], [2.0, 0.35, 1.5])
NO_LAMPS = ([-0.3, 0.6, -12.0], [0.8, 0.35, 0.5])
# name, turn, prior, readings as (altitude of the sun, EV at ISO 100)
CASES = [
    ("none toward the sun", 0.0, ANY, []),
    ("none across", 90.0, ANY, []),
    ("none away", 180.0, ANY, []),
    ("none, whole frame, between columns", -37.5, FRAME, []),
    ("one", 0.0, ANY, [(0.95, 12.4)]),
    ("two", 52.0, ANY, [(0.95, 10.9), (-1.15, 9.2)]),
    ("three", 90.0, ANY, [(0.95, 11.3), (-1.15, 9.9), (-3.25, 7.4)]),
    ("three, the second wild", 0.0, ANY, [(0.95, 11.3), (-1.15, 12.9), (-3.25, 8.4)]),
    ("six", 180.0, FRAME, [(0.95, 9.1), (-0.31, 8.2), (-1.57, 7.3), (-2.83, 6.3), (-4.09, 5.6), (-5.35, 5.1)]),
    ("evening and night", 330.0, FRAME, [(1.5, 10.2), (-2.0, 7.9), (-4.5, 6.6), (-9.0, 5.9), (-14.0, 5.7)]),
    ("twice at one altitude", 15.0, ANY, [(-3.0, 8.0), (-3.0, 8.5), (-5.1, 6.2)]),
    ("far from expected", 0.0, ANY, [(2.0, 4.0), (0.0, 2.2), (-2.0, 1.0), (-4.0, -1.5)]),
    ("none, the sky alone down to the night", 20.0, NO_LAMPS, []),
]


def write_forecasts():
    # Clear of the altitudes where two cubics meet, which either may claim.
    suns = np.arange(9.47, -18.0, -0.5)
    with open(HERE / "light_readings.csv", "w") as seen, open(HERE / "light_forecasts.csv", "w") as told:
        print("case,sun_deg,ev", file=seen)
        print("case,turn_deg,offset,offset_sd,shape,shape_sd,floor,floor_sd,sun_deg,ev,sd", file=told)
        for case, (name, turn, (mean, sd), readings) in enumerate(CASES):
            for sun, ev in readings:
                print(f"{case},{sun},{ev}", file=seen)
            prior = ",".join(f"{m},{s}" for m, s in zip(mean, sd))
            for sun, ev, spread in zip(suns, *forecast(suns, turn, readings, mean, sd)):
                print(f"{case},{turn},{prior},{sun:.2f},{ev:.10f},{spread:.10f}", file=told)
            print(case, name, len(readings))


if __name__ == "__main__":
    {"terms": print_terms, "forecasts": write_forecasts}[sys.argv[1]]()
