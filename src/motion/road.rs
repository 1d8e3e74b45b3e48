//! A road as straight stretches between points, seen through the lens, and the trail of one car on it.
//!
//! Each stretch is cut in space, at the sides of the frame and just before the lens, and the ends of what is left are
//! projected. A straight line stays straight in the picture, so nothing is approximated but the road by its points.

use crate::error::{Bounds, Error, Result};
use crate::motion::pinhole::{ImagePoint, Pinhole, Point};
use crate::trigonometry::Trigonometry;

/// A coordinate of a road's point, metres.
pub const COORDINATE: Bounds = Bounds::new("pointsM", -100_000.0, 100_000.0, " m");

/// How far along the visible road a car is when the shutter opens.
pub const START: Bounds = Bounds::new("startShare", 0.0, 1.0, "");

/// How many points a road may have.
pub const POINTS: Bounds = Bounds::new("pointsM", 2.0, 100.0, " points");

/// A road in the direction of the traffic.
#[derive(Debug, Clone, PartialEq)]
pub struct Road {
    /// Each with the way to it from the first, metres.
    points: Vec<(f64, Point)>,
}

/// A stretch of road in the frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The way from the road's first point to where it comes into the frame, metres.
    pub from_m: f64,
    /// The way to where it leaves it.
    pub to_m: f64,
    /// Its image.
    pub line: Vec<ImagePoint>,
}

impl Stretch {
    /// The length of its image, millimetres.
    pub fn image_mm(&self) -> f64 {
        let mut length = 0.0;
        for leg in self.line.windows(2) {
            length += (leg[1].right_mm - leg[0].right_mm).hypotenuse(leg[1].up_mm - leg[0].up_mm);
        }
        length
    }
}

impl Road {
    /// From its points in the order of driving.
    ///
    /// # Errors
    /// Fewer points than two or more than a hundred, a coordinate out of range, or all points in one place: names
    /// `pointsM`.
    pub fn new(points: &[Point]) -> Result<Self> {
        POINTS.check(points.len() as f64)?;
        let mut placed: Vec<(f64, Point)> = Vec::with_capacity(points.len());
        for &point in points {
            for coordinate in [point.right_m, point.up_m, point.ahead_m] {
                COORDINATE.check(coordinate)?;
            }
            let way = placed.last().map_or(0.0, |(way, before)| way + before.metres_to(point));
            placed.push((way, point));
        }
        let road = Self { points: placed };
        if road.length_m() > 0.0 {
            Ok(road)
        } else {
            Err(Error::conflict(POINTS.field, "all points are in one place"))
        }
    }

    /// From the first point to the last, metres.
    pub fn length_m(&self) -> f64 {
        self.points.last().map_or(0.0, |&(way, _)| way)
    }

    /// What of the road between two ways from its first point falls into the frame, in the order of driving.
    pub fn seen(&self, eye: Pinhole, from_m: f64, to_m: f64) -> Vec<Stretch> {
        let mut found: Vec<Stretch> = Vec::new();
        for leg in self.points.windows(2) {
            let [(start, a), (end, b)] = [leg[0], leg[1]];
            let (from, to) = (from_m.max(start), to_m.min(end));
            if from >= to {
                continue;
            }
            let at = |way: f64| a.towards(b, (way - start) / (end - start));
            let Some((enters, leaves)) = eye.sees(at(from), at(to)) else { continue };
            let (from_m, to_m) = (from + (to - from) * enters, from + (to - from) * leaves);
            match found.last_mut() {
                Some(last) if from_m - last.to_m <= 1e-9 * end => last.to_m = to_m,
                _ => found.push(Stretch { from_m, to_m, line: vec![eye.project(at(from_m))] }),
            }
            if let Some(last) = found.last_mut() {
                last.line.push(eye.project(at(to_m)));
            }
        }
        found
    }

    /// Whether any of its points lies beside or behind the lens, and is not drawn.
    pub fn runs_behind(&self, eye: Pinhole) -> bool {
        self.points.iter().any(|&(_, point)| eye.is_behind(point))
    }
}
