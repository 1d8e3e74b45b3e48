//! What moves while the shutter is open: cars on their road, and the stars.
//!
//! # What is modelled
//! The camera is a pinhole with its image at a distance v behind it: a point X to the right, Y up and Z along the axis
//! falls on vX/Z, vY/Z. Both ends of a trail are projected; a straight road stays straight in the picture, so what is
//! drawn between is exact as well. [`traffic`] is one car past the lens, [`road`] a road of straight stretches seen by a
//! [`pinhole`], [`flow`] how many cars come, [`brightness`] why a longer time does not brighten a trail. [`stars`] turn
//! with the sky; [`star_frame`] says which of them are in the frame.
//!
//! # The short formula
//! Image shift = f·s·sin θ / (D − f), s the way driven and D the depth along the axis, is in the handbooks and holds for small shifts only:
//! at 24 mm a car at 50 km/h, 100 m off and at 45°, makes 9.43 mm in 4 s by it, and 6.77 mm driving away or 15.53 mm
//! coming nearer by both ends. Where it is told here, it is told beside the exact length.
//!
//! # What is not
//! The lens's own distortion, which bends lines by some percent on wide lenses; a car that brakes; the size of a lamp and
//! its glare. The sky is taken without refraction, which lifts a star at the horizon by half a degree.
//!
//! # Sources
//! Sidereal day 86 164.09 s (from memory; IAU/IERS give it). The 500 rule: common practice, no source. NPF: F. Michaud,
//! Société Astronomique du Havre, read in a public copy.

pub mod brightness;
pub mod flow;
pub mod pinhole;
pub mod road;
pub mod star_frame;
pub mod stars;
pub mod traffic;

use crate::error::Bounds;

/// How long the shutter is open for what moves: from not at all to a day, seconds.
pub const OPEN: Bounds = Bounds::new("shutterS", 0.0, 86_400.0, " s");
