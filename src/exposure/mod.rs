//! What was dialled and what it amounts to: exposure values, nominal series, settings, and the desk's sums.
//!
//! Everything here is counted in stops. A dial's mark is a whole number of thirds of a stop from the dial's
//! origin (f/1, one second, ISO 100), so the brightness that a setting suits is a plain sum:
//!
//! ```text
//! EV100 = aperture − time − speed          (each in stops from its origin)
//! ```
//!
//! The number engraved on a dial is only a name for that mark: f/11 is f/11.31, and "30 s" is often 32 s. What
//! is computed uses the mark, what is shown uses the name, and no third is lost on the way.
//!
//! Two conventions hold throughout. A *residual* is what the picture gets beyond what was wanted, positive when
//! it comes out brighter. A *loss* is what a filter takes, positive.
//!
//! | module | what it answers |
//! |---|---|
//! | [`ev`] | how bright is an exposure value |
//! | [`series`] | what is engraved on a dial and what it means exactly |
//! | [`settings`] | two dials fixed, what does the third show |
//! | [`equivalent`] | which other settings give the same picture |
//! | [`meter`] | what the camera's own meter and automatic time will do |
//! | [`filter`] | what glass in front of the lens takes, and which glass gives a time |
//! | [`reciprocity`] | how much longer film needs |
//! | [`bracket`] | how many frames span a scene's brightness |
//! | [`sequence`] | how long a run of frames lasts, and how many fill a time |

pub mod bracket;
pub mod equivalent;
pub mod ev;
pub mod filter;
pub mod meter;
pub mod reciprocity;
mod reciprocity_terms;
pub mod sequence;
pub mod series;
mod series_terms;
pub mod settings;
