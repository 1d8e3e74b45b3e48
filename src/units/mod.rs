//! Quantities with their units: angles, lengths, instants and amounts of light.
//!
//! Each is a small `Copy` type. A number enters with its unit named (`Length::from_metres(3.0)`) and leaves with
//! it named (`.metres()`); there is no other way in or out. Arithmetic exists where it means something:
//! the difference of two exposure values is a number of [`Stops`], and two exposure values have no sum.
//!
//! ```compile_fail
//! use duskbook::units::Ev;
//! let meaningless = Ev::at_iso_100(10.0) + Ev::at_iso_100(3.0);
//! ```

mod angle;
mod civil;
mod length;
mod light;
mod time;

pub use angle::{ALTITUDE, Angle, BEARING, Bearing};
pub use civil::{civil_date, civil_day};
pub(crate) use civil::{clock_s, midnight_ms, offset_s};
pub use length::Length;
pub use light::{Ev, Illuminance, Luminance, Stops};
pub(crate) use time::DAY_MS;
pub use time::{AT_MS, Instant, SPAN_DAYS, Span, YEAR};
