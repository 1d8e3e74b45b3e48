//! What glass in front of the lens takes from the light.

use crate::error::Bounds;

/// What a stack of filters may take in all.
pub const STACK_STOPS: Bounds = Bounds::new("filterStops", 0.0, 30.0, " stops");
