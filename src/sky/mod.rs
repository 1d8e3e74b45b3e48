//! Where the sun stands, and every moment at which it crosses what was asked.

pub mod events;
pub mod place;
pub mod sun;
pub mod time;
