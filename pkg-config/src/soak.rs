//! The long forms of the checks that have one: run once for each change of the part they cover.

use std::time::Instant;

use anyhow::Result;

use crate::process::run;
use crate::workspace::Workspace;

/// Invented inputs that each property is tried with; the short form uses 256.
const CASES: &str = "1000000";

/// Runs every long check, its output on the terminal.
///
/// # Errors
/// One fails.
pub fn all(workspace: &Workspace) -> Result<()> {
    let began = Instant::now();
    // Optimised, yet with the checks of arithmetic left in. Properties that fix their own number keep to it.
    run(workspace
        .cargo()
        .args(["test", "--profile=soak", "--package=duskbook", "--lib", "--test=areas"])
        .env("PROPTEST_CASES", CASES))?;
    println!("{CASES} cases of every property in {:.0} s", began.elapsed().as_secs_f64());
    Ok(())
}
