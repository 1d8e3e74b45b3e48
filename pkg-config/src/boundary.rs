//! The crate's tests across its JavaScript boundary: once in Node, once in each browser.

use std::path::PathBuf;
use std::process::Command;

use anyhow::Result;

use crate::engine::{Driver, Engine};
use crate::process::output_of;
use crate::site::TARGET;
use crate::workspace::Workspace;

/// How the test runner names an engine's driver in its environment.
const fn remote(engine: Engine) -> &'static str {
    match engine {
        Engine::Chromium => "CHROMEDRIVER_REMOTE",
        Engine::Firefox => "GECKODRIVER_REMOTE",
        Engine::WebKit => "SAFARIDRIVER_REMOTE",
    }
}

/// The tests in Node, ready to run.
///
/// # Errors
/// The runner does not build.
pub fn in_node(workspace: &Workspace) -> Result<Command> {
    let mut tests = workspace.cargo();
    tests
        .args(["test", "--package=duskbook", "--test=boundary", "--target", TARGET])
        .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", runner(workspace)?)
        // Seconds, for a busy machine.
        .env("WASM_BINDGEN_TEST_TIMEOUT", "120");
    Ok(tests)
}

/// The tests in a browser, ready to run while its driver lives.
///
/// # Errors
/// The runner does not build.
pub fn in_browser(workspace: &Workspace, engine: Engine, driver: &Driver) -> Result<Command> {
    let mut tests = in_node(workspace)?;
    tests.env("WASM_BINDGEN_USE_BROWSER", "1").env(remote(engine), driver.address());
    Ok(tests)
}

fn runner(workspace: &Workspace) -> Result<PathBuf> {
    output_of(workspace.cargo().args([
        "build",
        "--package=duskbook-packager",
        "--bin=wasm-runner",
        "--features=runner",
    ]))?;
    Ok(workspace.target().join("debug/wasm-runner"))
}
