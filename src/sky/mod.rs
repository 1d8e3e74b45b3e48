//! Where sun and moon stand, and every moment at which they cross what was asked.
//!
//! One chain, each link of which says what it leaves out:
//!
//! ```text
//! series → earth → sun, moon → track → observer → events, skyline
//! ```
//!
//! The published series of the Earth's and the moon's motion give the places of sun and moon; where many moments are asked
//! for, they are computed at nodes and interpolated between (`track`); an observer turns it into
//! directions; the geometry of the daily circle brackets every event (`events`). Altitudes are geometric unless they are
//! called apparent, and belong to the observer's own place on the ellipsoid, not to the middle of the Earth.
//!
//! Polar day and polar night are results: nothing found, and [`events::uncrossed`] says on which side the
//! sun stays. The [`skyline`] says when either is behind what stands around, the [`phase`] how the moon is lit, and the
//! [`declination`] how far a compass is off; a [`sighting`] is what a phone held along an edge of the skyline says of it.

pub mod declination;
mod declination_terms;
mod delta_t_terms;
mod earth;
pub mod events;
pub mod moon;
mod moon_terms;
mod nutation_terms;
mod observer;
pub mod phase;
pub mod place;
pub mod refraction;
mod series;
pub mod sighting;
pub mod skyline;
pub mod sun;
mod sun_terms;
pub mod track;
