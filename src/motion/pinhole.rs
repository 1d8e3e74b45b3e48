//! A camera as a pinhole: where a point before it falls on the picture, and what of a straight line it sees.

use crate::math::lerp;
use crate::optics::lens::Lens;
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Length};

/// Nothing nearer to the lens's plane is drawn: there the picture would grow without end.
pub const NEAREST: Length = Length::from_metres(0.1);

/// A point as seen from the lens: metres to the right of it, above it, and ahead, level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub right_m: f64,
    /// Above the lens.
    pub up_m: f64,
    /// Ahead, along the ground below the axis.
    pub ahead_m: f64,
}

impl Point {
    /// The point a share of the way to another.
    #[must_use]
    pub fn towards(self, other: Self, share: f64) -> Self {
        Self {
            right_m: lerp(self.right_m, other.right_m, share),
            up_m: lerp(self.up_m, other.up_m, share),
            ahead_m: lerp(self.ahead_m, other.ahead_m, share),
        }
    }

    /// How far it is to another, metres.
    pub fn metres_to(self, other: Self) -> f64 {
        let level = (other.right_m - self.right_m).hypotenuse(other.ahead_m - self.ahead_m);
        level.hypotenuse(other.up_m - self.up_m)
    }
}

/// A point of the picture, millimetres right of its middle and above it, as the scene was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ImagePoint {
    /// To the right of the middle.
    pub right_mm: f64,
    /// Above the middle.
    pub up_mm: f64,
}

/// A lens focused far away, its axis level or tilted, held level from side to side.
///
/// ```
/// use duskbook::motion::pinhole::{Pinhole, Point};
/// use duskbook::optics::{format::Format, lens::Lens};
/// use duskbook::units::Angle;
/// let lens = Lens::new(24.0, Format::new(36.0, 24.0).unwrap()).unwrap();
/// let eye = Pinhole::new(lens, Angle::ZERO);
/// let seen = eye.project(Point { right_m: 50.0, up_m: -5.0, ahead_m: 100.0 });
/// assert!((seen.right_mm - 12.0).abs() < 1e-12 && (seen.up_mm + 1.2).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pinhole {
    focal_mm: f64,
    half_mm: [f64; 2],
    sin: f64,
    cos: f64,
}

impl Pinhole {
    /// A lens with its axis so far above the level.
    pub fn new(lens: Lens, tilt: Angle) -> Self {
        let (sin, cos) = tilt.radians().sine_cosine();
        Self { focal_mm: lens.focal().millimetres(), half_mm: lens.format().half_sides_mm(), sin, cos }
    }

    /// To the right of the axis, above it, and along it, metres.
    fn about_axis(self, Point { right_m, up_m, ahead_m }: Point) -> [f64; 3] {
        [right_m, up_m * self.cos - ahead_m * self.sin, up_m * self.sin + ahead_m * self.cos]
    }

    /// Where a point falls; one beside or behind the lens as if it were [`NEAREST`] before it.
    pub fn project(self, point: Point) -> ImagePoint {
        let [right, up, along] = self.about_axis(point);
        let scale = self.focal_mm / along.max(NEAREST.metres());
        ImagePoint { right_mm: right * scale, up_mm: up * scale }
    }

    /// Whether a point lies behind [`NEAREST`].
    pub fn is_behind(self, point: Point) -> bool {
        self.about_axis(point)[2] < NEAREST.metres()
    }

    /// Which part of the line from `a` to `b` falls into the frame, as shares of the way; none when no part does.
    ///
    /// A point is in the frame when five linear functions of it are not negative, one for each side and one for
    /// [`NEAREST`]; along a line each has one sign on either side of one point.
    pub fn sees(self, a: Point, b: Point) -> Option<(f64, f64)> {
        let inside = |point: Point| {
            let [right, up, along] = self.about_axis(point);
            let [x, y] = [right, up].map(|across| across * self.focal_mm);
            let [wide, high] = self.half_mm.map(|half| half * along);
            [wide - x, wide + x, high - y, high + y, along - NEAREST.metres()]
        };
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (at_a, at_b) in inside(a).into_iter().zip(inside(b)) {
            if at_a < 0.0 && at_b < 0.0 {
                return None;
            }
            let change = at_a / (at_a - at_b);
            if at_a < 0.0 {
                from = from.max(change);
            } else if at_b < 0.0 {
                to = to.min(change);
            }
        }
        (from < to).then_some((from, to))
    }
}
