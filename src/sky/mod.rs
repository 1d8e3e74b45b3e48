//! Where the sun stands, and every moment at which it crosses what was asked.

mod delta_t_terms;
mod earth;
pub mod events;
mod nutation_terms;
mod observer;
pub mod place;
pub mod refraction;
mod series;
pub mod sun;
mod sun_terms;
pub mod time;
pub mod track;
