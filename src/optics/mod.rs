//! What the lens draws and on what: formats, the view, what is sharp, and where the wave of light sets an end to it.
//!
//! A lens is ideal here: thin, without distortion, its stop at its centre, distances counted from it. Real lenses
//! differ by the distance between their principal planes (centimetres), and by focus breathing: angles and distances
//! beyond a metre or so hold to a few per cent of the engraved focal length, which itself is rounded. Fisheye
//! projections are not modelled.
//!
//! A [`lens`] on a [`format`](mod@format) has a [`view`]. What counts as sharp is a [`circle`]; [`focus`] is where that holds, and by the
//! [`thin_lens`] where its picture lies; [`diffraction`] is the blur that stopping down adds. The [`f_number`] here is the
//! literal ratio, that of the dials a mark on them.

pub mod circle;
pub mod diffraction;
pub mod f_number;
pub mod focus;
pub mod format;
pub mod lens;
pub mod thin_lens;
pub mod view;
