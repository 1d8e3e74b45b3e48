//! Which declinations are in the frame, from where the lens points.
//!
//! The sine of a point's declination is the cosine of its way to the north pole: linear in the direction. Along a side
//! of the frame it has one turning point at most, so its least and greatest over the frame stand at a corner, at such a
//! point of a side, or at a pole inside; nothing is searched. Refraction is left out: it lifts what is low by half a
//! degree at most.

use crate::error::Result;
use crate::optics::lens::Lens;
use crate::sky::place::LATITUDE;
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Bearing};

/// The sky in a frame held level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StarFrame {
    /// Of the middle.
    pub middle: Angle,
    /// The southernmost declination.
    pub least: Angle,
    /// The northernmost.
    pub most: Angle,
    /// Whether the north pole of the sky is in it.
    pub north_pole: bool,
    /// Whether the south pole is.
    pub south_pole: bool,
}

impl StarFrame {
    /// From a latitude in degrees, with the lens's axis along a bearing and at an altitude.
    ///
    /// # Errors
    /// A latitude outside −90° to 90°: names `latitudeDeg`.
    ///
    /// ```
    /// use duskbook::motion::star_frame::StarFrame;
    /// use duskbook::optics::{format::Format, lens::Lens};
    /// use duskbook::units::{Angle, Bearing};
    /// let lens = Lens::new(24.0, Format::new(36.0, 24.0).unwrap()).unwrap();
    /// let north = Bearing::from_degrees(0.0);
    /// let frame = StarFrame::new(lens, 50.0, north, Angle::from_degrees(50.0)).unwrap();
    /// assert!(frame.north_pole && frame.most.degrees() == 90.0);
    /// // The corner is as far from the middle as half the diagonal: atan(21.63/24).
    /// assert!((90.0 - frame.least.degrees() - 42.03).abs() < 0.01);
    /// ```
    pub fn new(lens: Lens, latitude_deg: f64, bearing: Bearing, altitude: Angle) -> Result<Self> {
        let (sin_lat, cos_lat) = LATITUDE.check(latitude_deg)?.to_radians().sine_cosine();
        let (sin_alt, cos_alt) = altitude.radians().sine_cosine();
        let (sin_az, cos_az) = bearing.radians().sine_cosine();
        // The north pole as the camera has it: to the right, up, and along the axis.
        let pole = [
            -sin_az * cos_lat,
            cos_alt * sin_lat - cos_az * sin_alt * cos_lat,
            cos_az * cos_alt * cos_lat + sin_alt * sin_lat,
        ];
        let focal = lens.focal().millimetres();
        let half = lens.format().half_sides_mm();
        let sine = |x: f64, y: f64| {
            let along = pole[0] * x + pole[1] * y + pole[2] * focal;
            along / (x * x + y * y + focal * focal).sqrt()
        };
        // Along x with y held, (p₀x + b)/√(x² + c²) turns at x = p₀c²/b.
        let turning = |p: f64, held: f64, q: f64| {
            let b = q * held + pole[2] * focal;
            (b != 0.0).then(|| p * (held * held + focal * focal) / b)
        };
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut note = |x: f64, y: f64| {
            let sine = sine(x, y);
            least = least.min(sine);
            most = most.max(sine);
        };
        for sign in [-1.0, 1.0] {
            let [x, y] = half.map(|half| sign * half);
            note(x, y);
            note(x, -y);
            if let Some(at) = turning(pole[0], y, pole[1]).filter(|at| at.abs() < half[0]) {
                note(at, y);
            }
            if let Some(at) = turning(pole[1], x, pole[0]).filter(|at| at.abs() < half[1]) {
                note(x, at);
            }
        }
        let is_inside = |sign: f64| {
            let along = sign * pole[2];
            let within = |side: usize| (focal * pole[side]).abs() <= half[side] * along;
            along > 0.0 && within(0) && within(1)
        };
        let (north_pole, south_pole) = (is_inside(1.0), is_inside(-1.0));
        let angle = |sine: f64| Angle::from_radians(sine.clamp(-1.0, 1.0).arc_sine());
        Ok(Self {
            middle: angle(pole[2]),
            least: angle(if south_pole { -1.0 } else { least }),
            most: angle(if north_pole { 1.0 } else { most }),
            north_pole,
            south_pole,
        })
    }

    /// The declination in it whose stars move fastest: the one nearest to the sky's equator.
    pub fn fastest(self) -> Angle {
        let (least, most) = (self.least.degrees(), self.most.degrees());
        Angle::from_degrees(if least > 0.0 {
            least
        } else if most < 0.0 {
            most
        } else {
            0.0
        })
    }
}
