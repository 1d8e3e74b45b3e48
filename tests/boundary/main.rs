//! The crate through its JavaScript boundary, as a page calls it. The same tests run in Node and in each browser.

#![cfg(target_arch = "wasm32")]
#![allow(missing_docs, clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod calls;
mod degenerate;
mod evenings;
mod exchange;
mod heaven;
mod log;
mod motion;
mod optics;
mod photos;
mod refusals;
mod shapes;
mod zones;
