//! The cubics of USNO Circular 171 (Janiczek and `DeYoung` 1987): log₁₀ of lux in x = altitude / 90°.

/// A cubic and the least altitude it is for, degrees.
pub(super) struct Stretch {
    pub from_deg: f64,
    pub cubic: [f64; 4],
}

const fn stretch(from_deg: f64, cubic: [f64; 4]) -> Stretch {
    Stretch { from_deg, cubic }
}

/// The sun, from the zenith down to the end of astronomical twilight.
pub(super) const SUN: [Stretch; 6] = [
    stretch(20.0, [3.74, 3.97, -4.07, 1.47]),
    stretch(5.0, [3.05, 13.28, -45.98, 64.33]),
    stretch(-0.8, [2.88, 22.26, -207.64, 1034.30]),
    stretch(-5.0, [2.88, 21.81, -258.11, -858.36]),
    stretch(-12.0, [2.70, 12.17, -431.69, -1899.83]),
    stretch(-18.0, [13.84, 262.72, 1447.42, 2797.93]),
];

/// The full moon at mean distance, from the zenith down to its setting.
pub(super) const MOON: [Stretch; 3] = [
    stretch(20.0, [-1.95, 4.06, -4.24, 1.56]),
    stretch(5.0, [-2.58, 12.58, -42.58, 59.06]),
    stretch(-0.8, [-2.79, 24.27, -252.95, 1321.29]),
];
