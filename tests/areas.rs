//! Every native check against something outside the crate, a folder an area. One binary, so it links once.
#![cfg(not(target_arch = "wasm32"))]
#![allow(missing_docs, clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod data;
mod exposure;
mod light;
mod motion;
mod optics;
mod shoot;
mod sky;
mod structure;
