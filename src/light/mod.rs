//! How bright the scene will be, minute by minute, and how sure that is.
//!
//! Two lights make a picture at dusk: the sky, which falls eleven stops between sunset and night, and the lamps,
//! which stay. The model adds them,
//!
//! ```text
//! S  = log₂(E(h) / π / 0.125) + D(0, Δ) + κ [D(h, Δ) − D(0, Δ)] + o − c        the sky
//! EV = log₂(2^S + 2^F)                                                          sky and lamps
//! ```
//!
//! with h the sun's geometric altitude and Δ the turn of the lens from the sun. Four things are known or chosen: the
//! [`illuminance`] E of level ground, the [`direction`] table D of the low sky, the loss c to cloud, and 0.125 cd/m², which
//! is EV 0. Three are not: the offset o of framing and metering, the shape κ (how closely the sky follows D), and
//! the floor F that the lamps hold up. A [`scene`] says what is usual for them and how widely it strays; a
//! [`reading`] narrows that, by the [`fit`]. A [`forecast`] is always for one intent and always comes with the
//! band that should hold four evenings in five. The moon's light is added to S as that of an even sky.
//! When S = F, moonlight left out, with the sky's own offset whatever the intent, the two
//! [`reading`] narrows that, by the [`fit`], and what of it belongs to the spot is its [`lesson`] for another evening. A [`forecast`] is always for one intent and always comes with the
//! band that should hold four evenings in five. When S = F, with the sky's own offset whatever the intent, the two
//! lights balance.
//!
//! Below −12° the formula's D goes over into its mean over Δ, and from −18° on E and D stay: the night has one
//! brightness, however far the sun goes round.
//!
//! # Not modelled
//! The direction of moonlight ([`moonlight`] spreads it evenly), cloud that changes, that an overcast hides where the sun
//! went (the sunward sky keeps its glow, less the cloud's loss), lamps that switch on, sunlit high cloud, and the sky
//! with the sun more than 10° up, where the forecast reads too bright.

pub mod backdrop;
pub mod belief;
pub mod direction;
mod direction_terms;
pub mod fit;
pub mod forecast;
pub mod illuminance;
mod illuminance_terms;
pub mod lesson;
pub mod moonlight;
pub mod normal;
pub mod reading;
pub mod scene;
