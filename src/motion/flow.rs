//! How many cars come while the shutter is open.
//!
//! Cars of a free-flowing road come independently of each other, q a second: their number in a time is Poisson's (usual in
//! traffic engineering for light flow; from memory). Platoons behind a traffic light, and a jam, are not that.
//!
//! A car leaves a trail when it is on the visible road, which takes T to drive, at any moment of the time t that the
//! shutter is open: q·(t + T) trails are expected, and none has the chance e^−q(t+T).
//!
//! The trails of a frame cover the road as random pieces, each as long as t on a scale of driving time; n frames lay
//! down n times as many. A gap begins behind a piece's end that no other covers, or at the start of the road, so that
//! at most e^−nqt · (1 + nqT) gaps are expected, which bounds the chance that there is one (coverage of a line by random
//! segments; P. Hall, 1988, from memory). Frames close upon each other do better than that.

use crate::error::{Bounds, Result};
use crate::math::root;

/// Cars a minute, both lanes together where both are in the picture.
pub const CARS: Bounds = Bounds::new("carsPerMin", 0.0, 600.0, " cars a minute");

/// The chance of a gap that a stack is allowed.
const GAP_CHANCE: f64 = 0.05;

/// More frames than this are none.
const MOST_FRAMES: f64 = 100_000.0;

/// Cars on a visible stretch of road while the shutter is open.
///
/// ```
/// use duskbook::motion::flow::Flow;
/// let flow = Flow::new(6.0, 10.0, 20.0).unwrap(); // one in ten seconds, on a road of ten, for twenty
/// assert!((flow.trails() - 3.0).abs() < 1e-12);
/// assert!((flow.empty_chance() - 0.0498).abs() < 1e-4); // e^−3
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flow {
    /// Cars that come in while the shutter is open, and in the time that the road takes.
    in_frame: f64,
    in_road: f64,
}

impl Flow {
    /// Cars a minute, the seconds that one takes for the visible road, and how long the shutter is open.
    ///
    /// # Errors
    /// A flow out of [`CARS`].
    pub fn new(cars_per_min: f64, road_s: f64, open_s: f64) -> Result<Self> {
        let per_second = CARS.check(cars_per_min)? / 60.0;
        Ok(Self { in_frame: per_second * open_s, in_road: per_second * road_s })
    }

    /// Trails to expect in a frame, whole or in part.
    pub fn trails(self) -> f64 {
        self.in_frame + self.in_road
    }

    /// The chance of a frame without any.
    pub fn empty_chance(self) -> f64 {
        (-self.trails()).exp()
    }

    /// The chance, at least, that trails cover the whole visible road in one frame.
    pub fn full_chance(self) -> f64 {
        (1.0 - self.gaps(1.0)).max(0.0)
    }

    /// Gaps to expect in a stack of so many frames, at most.
    fn gaps(self, frames: f64) -> f64 {
        (-frames * self.in_frame).exp() * (1.0 + frames * self.in_road)
    }

    /// Frames to stack so that the trails cover the whole visible road with a chance of 95 % or more; none where
    /// no hundred thousand would do.
    pub fn frames_for_unbroken(self) -> Option<u32> {
        if self.gaps(MOST_FRAMES) > GAP_CHANCE {
            return None;
        }
        // The logarithm grows up to one passing car at most and falls from there.
        let excess =
            |frames: f64| (1.0 + frames * self.in_road).ln() - frames * self.in_frame - GAP_CHANCE.ln();
        let least = root((1.0 / self.in_frame).min(MOST_FRAMES), MOST_FRAMES, 1e-6, excess);
        let frames = (least - 1e-5).ceil().max(1.0);
        Some(frames as u32)
    }
}
