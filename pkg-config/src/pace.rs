//! How slow this machine is for the work of a page.

use std::fs;

use anyhow::{Context, Result};

use crate::budgets::Budgets;
use crate::files;
use crate::process::{find, output_of};
use crate::workspace::Workspace;

/// Page work that is always the same: `beat(name)`.
const BEAT: &str = include_str!("beat.js");

/// Beats for about a second.
const BEATS: usize = 200;

/// How many times as long as on the machine that the limits are meant for a page takes here now, by the clock; 1 on a faster one.
/// The lower quartile of some beats tells: other programs lengthen some of them, and nothing shortens one.
///
/// # Errors
/// Chromium is missing or does not start.
pub fn slower(workspace: &Workspace, budgets: &Budgets) -> Result<f64> {
    let page = files::emptied(workspace.target().join("pace"))?.join("index.html");
    let script = format!(
        "{BEAT}; const all = Array.from({{ length: {BEATS} }}, () => {{
            const began = performance.now(); beat('beat'); return performance.now() - began;
        }}).sort((a, b) => a - b); document.body.textContent = all[{BEATS} / 4];"
    );
    fs::write(&page, format!("<!doctype html><body><script>{script}</script>"))?;
    let told = output_of(
        std::process::Command::new(find("chromium").context("chromium is missing")?)
            .args(["--headless=new", "--no-sandbox", "--disable-gpu", "--dump-dom"])
            .arg(format!("file://{}", page.display())),
    )?;
    let quartile = told.rsplit("<body>").next().and_then(|rest| rest.split('<').next());
    let quartile: f64 =
        quartile.and_then(|ms| ms.trim().parse().ok()).with_context(|| format!("no beat: {told}"))?;
    Ok((quartile / budgets.machine.beat_ms).max(1.0))
}
