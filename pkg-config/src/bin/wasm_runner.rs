//! Runs one test binary in Node or in a browser: what cargo calls for the wasm target.
//!
//! The runner of the `wasm-bindgen` project, as a library, so that its version is the lock file's.

fn main() -> anyhow::Result<()> {
    wasm_bindgen_cli::wasm_bindgen_test_runner::run_cli_with_args(std::env::args_os())
}
