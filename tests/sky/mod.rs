//! The sky against JPL's ephemeris, other libraries and itself.

mod events;
mod positions;
mod properties;
mod terms;
