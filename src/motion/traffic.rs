//! One car past the lens: how long a trail its lamps draw.
//!
//! The car starts on the axis, at the depth that the lens is focused on, and drives straight and level: at 90° across the
//! picture, at 0° straight away, at 180° straight at the lens. With the image v = f·D/(D − f) behind the lens,
//! both ends of the way s fall on v·s·sin θ/(D + s·cos θ); their distance is the trail, whether or not the
//! frame holds it. *Expected error*: the lens's distortion, some percent at the edge of a wide lens.

use crate::decimal::written;
use crate::error::{Bounds, Error, Result};
use crate::motion::OPEN;
use crate::motion::pinhole::NEAREST;
use crate::optics::lens::Lens;
use crate::trigonometry::Trigonometry;
use crate::units::Length;

/// A car's speed, metres a second.
pub const SPEED: Bounds = Bounds::new("speedMS", 0.0, 200.0, " m/s");
/// The depth of a car along the lens's axis, metres.
pub const DISTANCE: Bounds = Bounds::new("distanceM", 0.2, 100_000.0, " m");
/// A car's direction against the lens's axis: 0° away, 90° or −90° across, 180° at the lens.
pub const HEADING: Bounds = Bounds::new("headingDeg", -360.0, 360.0, "°");
/// A share of the frame's width that a trail is to span.
pub const SHARE: Bounds = Bounds::new("wantedShare", 0.001, 10.0, "");

/// A car on its way past a lens.
///
/// ```
/// use duskbook::motion::traffic::Pass;
/// use duskbook::optics::{format::Format, lens::Lens};
/// let lens = Lens::new(24.0, Format::new(36.0, 24.0).unwrap()).unwrap();
/// let pass = Pass::new(lens, 50.0 / 3.6, 100.0, 90.0).unwrap();
/// let trail = pass.trail(pass.way(30.0).unwrap());
/// assert!((trail.millimetres() - 100.0).abs() < 0.05); // 24 mm · 416.7 m / 100 m
/// assert!((pass.crossing_s().unwrap() - 10.8).abs() < 0.05);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pass {
    focal_mm: f64,
    width_mm: f64,
    speed: f64,
    depth_m: f64,
    /// Of the way, across the axis and along it.
    across: f64,
    along: f64,
}

impl Pass {
    /// Metres a second, metres along the axis, and degrees against it.
    ///
    /// # Errors
    /// A number out of range names its field; a distance within twice the focal length, where the lens would draw
    /// larger than life, names `distanceM`.
    pub fn new(lens: Lens, speed_ms: f64, distance_m: f64, heading_deg: f64) -> Result<Self> {
        let (focal_mm, depth_m) = (lens.focal().millimetres(), DISTANCE.check(distance_m)?);
        if depth_m * 1e3 <= 2.0 * focal_mm {
            let message = written(depth_m) + " m is within twice the focal length";
            return Err(Error::conflict(DISTANCE.field, message));
        }
        let (sin, cos) = HEADING.check(heading_deg)?.to_radians().sine_cosine();
        Ok(Self {
            focal_mm,
            width_mm: lens.format().width().millimetres(),
            speed: SPEED.check(speed_ms)?,
            depth_m,
            across: if sin.abs() < 1e-12 { 0.0 } else { sin.abs() },
            along: if cos.abs() < 1e-12 { 0.0 } else { cos },
        })
    }

    /// From the lens to its image, millimetres.
    fn image_mm(self) -> f64 {
        self.focal_mm * self.depth_m / (self.depth_m - self.focal_mm / 1e3)
    }

    /// The way driven while the shutter is open.
    ///
    /// # Errors
    /// A time outside 0 to a day: names `shutterS`.
    pub fn way(self, open_s: f64) -> Result<Length> {
        Ok(Length::from_metres(self.speed * OPEN.check(open_s)?))
    }

    /// The trail of a way from both its ends, whether or not the frame holds all of it. Where the car comes to the lens it is
    /// taken to [`NEAREST`] before it.
    pub fn trail(self, way: Length) -> Length {
        let way = way.metres();
        let seen =
            if self.along < 0.0 { way.min((self.depth_m - NEAREST.metres()) / -self.along) } else { way };
        let depth = self.depth_m + seen * self.along;
        Length::from_millimetres(self.image_mm() * seen * self.across / depth)
    }

    /// The same by f·s·sin θ/(D − f), for small shifts only.
    pub fn small_shift(self, way: Length) -> Length {
        Length::from_millimetres(self.image_mm() * way.metres() * self.across / self.depth_m)
    }

    /// How fast the image of a lamp moves at the start, millimetres a second.
    pub fn image_speed_mm_s(self) -> f64 {
        self.image_mm() * self.speed * self.across / self.depth_m
    }

    /// The width of the frame, millimetres.
    pub const fn frame_mm(self) -> f64 {
        self.width_mm
    }

    /// The way from the axis, positive with the car, after which the image stands `image_mm` aside; none where it
    /// never gets there.
    fn way_to(self, image_mm: f64) -> Option<f64> {
        let gain = self.image_mm() * self.across - image_mm * self.along;
        let way = image_mm * self.depth_m / gain;
        let depth = self.depth_m + way * self.along;
        (gain * self.depth_m > 1e-12 && depth >= NEAREST.metres()).then_some(way)
    }

    /// From one side of the frame to the other on the same road, seconds; none where the car never passes one of the
    /// sides, because it comes out of the distance or goes there, or stands.
    pub fn crossing_s(self) -> Option<f64> {
        let half = self.width_mm / 2.0;
        let way = self.way_to(half)? - self.way_to(-half)?;
        self.within_a_day(way)
    }

    /// The time for a trail of so much of the frame's width, seconds; none where no time gives it.
    ///
    /// # Errors
    /// A share out of [`SHARE`].
    pub fn time_for(self, share: f64) -> Result<Option<f64>> {
        let image_mm = SHARE.check(share)? * self.width_mm;
        Ok(self.way_to(image_mm).and_then(|way| self.within_a_day(way)))
    }

    fn within_a_day(self, way_m: f64) -> Option<f64> {
        Some(way_m / self.speed).filter(|&s| OPEN.contains(s))
    }

    /// When a car that comes nearer is beside the lens, or at it, seconds; none for one that does not.
    pub fn arrives_s(self) -> Option<f64> {
        (self.along < 0.0).then(|| self.depth_m / -self.along).and_then(|way| self.within_a_day(way))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::optics::format::Format;

    fn pass(speed: f64, distance: f64, heading: f64) -> Result<Pass> {
        let lens = Lens::new(24.0, Format::new(36.0, 24.0).unwrap()).unwrap();
        Pass::new(lens, speed, distance, heading)
    }

    #[test]
    fn a_car_straight_at_the_lens_draws_a_point_and_says_when_it_arrives() {
        for heading in [180.0, -180.0] {
            let at = pass(10.0, 100.0, heading).unwrap();
            assert_eq!(at.trail(at.way(30.0).unwrap()).millimetres(), 0.0);
            assert_eq!((at.crossing_s(), at.time_for(0.5).unwrap()), (None, None));
            assert_eq!(at.arrives_s(), Some(10.0));
        }
        assert_eq!(pass(10.0, 100.0, 0.0).unwrap().arrives_s(), None);
        assert_eq!(pass(10.0, 100.0, 90.0).unwrap().arrives_s(), None);
    }

    #[test]
    fn a_car_that_stands_draws_a_point() {
        let still = pass(0.0, 100.0, 90.0).unwrap();
        assert_eq!(still.trail(still.way(86_400.0).unwrap()).millimetres(), 0.0);
        assert_eq!((still.crossing_s(), still.time_for(1.0).unwrap(), still.arrives_s()), (None, None, None));
    }

    #[test]
    fn nearer_than_twice_the_focal_length_there_is_no_such_picture() {
        let lens = Lens::new(400.0, Format::new(36.0, 24.0).unwrap()).unwrap();
        let refused = Pass::new(lens, 10.0, 0.8, 90.0).unwrap_err();
        assert_eq!(refused.to_string(), "distanceM: 0.8 m is within twice the focal length");
    }
}
