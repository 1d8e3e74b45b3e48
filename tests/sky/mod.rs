//! The sky against JPL's ephemeris, other libraries and itself.

mod declination;
mod events;
mod moon;
mod opinions;
mod positions;
mod properties;
mod skyline;
mod terms;
mod ways;
