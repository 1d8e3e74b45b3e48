//! The crate through its JavaScript boundary. Runs in Node and, with `--cfg`-free feature detection, in browsers.
#![cfg(target_arch = "wasm32")]
