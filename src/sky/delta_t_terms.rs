//! The lag of the turning Earth behind uniform time.

// Made by tests/data/sky_terms.py from tests/data/sky_terms.csv: do not edit.

/// The first year of [`DELTA_T`] and the years from one value to the next.
pub(super) const YEARS: (f64, f64) = (1895.0, 5.0);

/// TT − UT1 at the start of each of those years, seconds.
#[rustfmt::skip]
pub(super) const DELTA_T: [f64; 43] = [
    -5.02, -1.98, 4.92, 11.14, 17.48, 21.62, 23.79, 24.42, 24.16, 24.42,
    27.05, 28.93, 30.41, 33.07, 35.09, 39.93, 45.48, 50.54, 54.34, 56.86,
    60.79, 63.83, 64.69, 66.07, 67.64, 69.36, 69.14, 69.08, 69.26, 69.72,
    70.45, 71.44, 72.70, 74.23, 76.02, 78.08, 80.40, 82.98, 85.83, 88.94,
    92.30, 95.93, 99.81,
];
