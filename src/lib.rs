//! Duskbook: a field book for photographs made at dusk, at night and at dawn.
//!
//! Everything serves one question: *standing there, with this light falling, what do I set, and when?* The
//! data flow one way:
//!
//! ```text
//! spot + date → sky → light → shot → run sheet
//! ```
//!
//! # Areas
//! | module | what it answers |
//! |---|---|
//! | [`units`] | angles, lengths, instants, amounts of light |
//! | [`sky`] | where sun and moon stand, when they cross what, and what hides them |
//! | [`exposure`] | which settings hold a brightness |
//! | [`optics`] | what the lens draws and on what |
//! | [`motion`] | how long a trail cars and stars draw |
//! | [`light`] | how bright the scene will be, minute by minute, and how sure that is |
//! | [`shoot`] | the spot, the picture wanted, and the run sheet that brings it home |
//! | [`web`] | the same answers for a page; the only place that knows of JavaScript |

#[cfg(test)]
mod damage;
mod decimal;
pub mod error;
pub mod exposure;
pub mod light;
mod math;
pub mod motion;
pub mod optics;
pub mod shoot;
pub mod sky;
mod trigonometry;
pub mod units;
pub mod web;

/// A third of the standard library's allocator in size, which is made for much more memory than the answers take.
#[cfg(target_arch = "wasm32")]
#[global_allocator]
static MEMORY: rlsf::SmallGlobalTlsf = rlsf::SmallGlobalTlsf::new();
