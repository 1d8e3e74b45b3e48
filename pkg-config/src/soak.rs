//! The long forms of the checks that have one: run once for each change of the part they cover.

use std::time::Instant;

use anyhow::Result;

use crate::process::run;
use crate::workspace::Workspace;

/// Invented inputs a property is tried with here; a hundredth of a percent of that in the short form.
const CASES: &str = "1000000";

/// Runs every long check, its output on the terminal.
///
/// # Errors
/// One fails.
pub fn all(workspace: &Workspace) -> Result<()> {
    let began = Instant::now();
    // Every property test, optimised: their names end in the word.
    run(workspace
        .cargo()
        .args(["test", "--release", "--package=duskbook", "--lib", "--test=areas", "property"])
        .env("PROPTEST_CASES", CASES))?;
    println!("{CASES} cases of every property in {:.0} s", began.elapsed().as_secs_f64());
    Ok(())
}
