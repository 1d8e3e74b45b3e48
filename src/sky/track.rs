//! The way of the sun or the moon over months or years, computed at nodes and interpolated between them.
//!
//! A place takes some two hundred terms; between nodes it takes six products. The fastest motions of the sun's place that
//! have any size are the nutation's terms of 9 and 14 days, and of these six-point interpolation over two-day
//! steps misses less than 0.001″. The moon has nodes half a day apart, which misses 0.05″. Nodes stand at whole
//! steps from J2000, so that two tracks agree where they overlap.

use std::f64::consts::TAU;

use super::earth::Apparent;
use super::moon;
use super::place::Place;
use super::sun::{self, SunPosition};
use crate::math::nearest_zero;
use crate::units::{Instant, Span};

/// Nodes on either side of a time that its interpolation uses.
const SIDE: usize = 3;
/// Days beyond the span that are covered too, for events that are sought from just outside.
const MARGIN: f64 = 1.5;
/// Nodes computed in one run, in which the lag of the Earth is taken to grow evenly.
const RUN: usize = 100;

/// What has a way through the sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Body {
    /// The sun.
    Sun,
    /// The moon.
    Moon,
}

impl Body {
    /// Days from node to node.
    const fn step(self) -> f64 {
        match self {
            Self::Sun => 2.0,
            Self::Moon => 0.5,
        }
    }

    fn apparent(self, first: f64, step: f64, count: usize) -> Vec<Apparent> {
        match self {
            Self::Sun => sun::apparent(first, step, count),
            Self::Moon => moon::apparent(first, step, count),
        }
    }
}

/// Where a body is through a span of time.
#[derive(Debug, Clone)]
pub struct Track {
    body: Body,
    /// Days from node to node.
    step: f64,
    /// Count of steps from J2000 to the first node.
    first: f64,
    nodes: Vec<Apparent>,
}

impl Track {
    /// The sun's way through a span.
    pub fn over(span: Span) -> Self {
        Self::of(Body::Sun, span)
    }

    /// A body's way through a span.
    pub fn of(body: Body, span: Span) -> Self {
        let step = body.step();
        let first = ((span.start().days_from_j2000() - MARGIN) / step).floor() + 1.0 - SIDE as f64;
        let last = ((span.end().days_from_j2000() + MARGIN) / step).floor() + SIDE as f64;
        let count = (last - first) as usize + 1;
        let mut nodes: Vec<Apparent> = Vec::with_capacity(count);
        while nodes.len() < count {
            let run = RUN.min(count - nodes.len());
            nodes.append(&mut body.apparent((first + nodes.len() as f64) * step, step, run));
        }
        // The moon loses a turn in a month, which an interpolation must not see as a step.
        for i in 1..nodes.len() {
            let before = nodes[i - 1].equation_of_time;
            nodes[i].equation_of_time = before + nearest_zero(nodes[i].equation_of_time - before, TAU);
        }
        Self { body, step, first, nodes }
    }

    /// Where the body stands, seen from `place` at a moment of the span.
    ///
    /// Far cheaper than [`super::sun::position`] for many moments, and within 0.001″ of it; meaningless more than
    /// a day outside of the span.
    pub fn position(&self, place: &Place, at: Instant) -> SunPosition {
        let day = at.days_from_j2000();
        SunPosition::seen(place, day, self.at(day))
    }

    /// Whether this is the way of that body.
    pub fn is_of(&self, body: Body) -> bool {
        self.body == body
    }

    /// The body at a UT1 day counted from J2000.
    pub(super) fn at(&self, day: f64) -> Apparent {
        let place = day / self.step - self.first;
        let before = (place.floor().max(0.0) as usize).clamp(SIDE - 1, self.nodes.len() - SIDE - 1);
        let weights = weights(place - before as f64);
        let mut at = Apparent::default();
        for (node, weight) in self.nodes[before + 1 - SIDE..].iter().zip(weights) {
            at.equation_of_time += weight * node.equation_of_time;
            at.declination += weight * node.declination;
            at.parallax += weight * node.parallax;
        }
        at
    }
}

/// Lagrange's weights of the nodes at −2, −1, 0, 1, 2 and 3 for the value at `x`.
fn weights(x: f64) -> [f64; 2 * SIDE] {
    let [a, b, c, d, e, f] = [x + 2.0, x + 1.0, x, x - 1.0, x - 2.0, x - 3.0];
    let (ab, cd, ef) = (a * b, c * d, e * f);
    [
        b * cd * ef / -120.0,
        a * cd * ef / 24.0,
        ab * d * ef / -12.0,
        ab * c * ef / 12.0,
        ab * cd * f / -24.0,
        ab * cd * e / 120.0,
    ]
}
