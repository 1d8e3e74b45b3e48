//! What a meter or a test frame said at a moment.

use super::scene::Intent;
use crate::error::{Bounds, Result};
use crate::units::{Ev, Instant};

/// Brightness that a reading of an evening may have, EV at ISO 100.
pub const READING_EV: Bounds = Bounds::new("ev", -12.0, 22.0, " EV");

/// A brightness read at the spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When.
    pub at: Instant,
    /// How bright.
    pub ev: Ev,
    /// What it was read from.
    pub intent: Intent,
}

impl Reading {
    /// From the moment, the EV at ISO 100, and what was read.
    ///
    /// # Errors
    /// An EV outside −12 to 22, or no number: names `ev`.
    pub fn new(at: Instant, ev: f64, intent: Intent) -> Result<Self> {
        Ok(Self { at, ev: Ev::at_iso_100(READING_EV.check(ev)?), intent })
    }
}
