//! The long forms of the checks that have one: run once for each change of the part they cover.

use std::thread;
use std::time::{Instant, UNIX_EPOCH};

use anyhow::{Result, anyhow};

use crate::engine::Engine;
use crate::process::{output_of, run};
use crate::workspace::Workspace;
use crate::{site, tools};

/// Invented inputs that each property is tried with; the short form uses 256.
const CASES: &str = "1000000";

/// Seconds that a timer runs in each engine; the short form takes 30.
const TIMER: &str = "1800";

/// Seconds for which photographs are damaged; the short form takes one.
const FUZZ: &str = "1800";

/// How often a browser is killed after the page has called something kept; the short form does so 5 times.
const KILLS: &str = "100";

/// End-to-end tests that bring a clock of their own, or measure by the clock.
const BY_THEIR_OWN_CLOCK: [&str; 6] =
    ["chromium_", "kills", "timer", "log::a_frame_of_any_hour", "log::an_evening", "log::two_tabs"];

/// Runs every long check, its output on the terminal.
///
/// # Errors
/// One fails.
pub fn all(workspace: &Workspace) -> Result<()> {
    for (what, check) in [
        (format!("{CASES} cases of every property"), properties as fn(&Workspace) -> Result<()>),
        (format!("photographs damaged for {FUZZ} s"), photographs),
        (format!("{CASES} damaged files for the page's own reader"), files_of_records),
        (format!("timers of {TIMER} s in every engine"), timers),
        (format!("{KILLS} kills in every engine with a profile"), kills),
        ("the page at other times of day".into(), times_of_day),
    ] {
        let began = Instant::now();
        check(workspace)?;
        println!("{what}: {:.0} s", began.elapsed().as_secs_f64());
    }
    Ok(())
}

/// Optimised, yet with the checks of arithmetic left in. Properties that fix their own number keep to it.
fn properties(workspace: &Workspace) -> Result<()> {
    run(workspace
        .cargo()
        .args(["test", "--profile=soak", "--package=duskbook", "--lib", "--test=areas"])
        .env("PROPTEST_CASES", CASES))
}

/// Damaged photographs, those that came to something new damaged again; another seed each time. The corpus and what
/// broke stay in the folder that the test names.
fn photographs(workspace: &Workspace) -> Result<()> {
    let seed = UNIX_EPOCH.elapsed()?.as_secs().to_string();
    run(workspace
        .cargo()
        .args(["test", "--profile=soak", "--package=duskbook", "--test=areas", "--"])
        .args(["--nocapture", "photographs_hold_out"])
        .env("DUSKBOOK_FUZZ_S", FUZZ)
        .env("DUSKBOOK_FUZZ_SEED", seed))
}

/// Backups, `GeoJSON` and GPX, which the browser reads first: damaged and given to the page's reader in Chromium.
fn files_of_records(workspace: &Workspace) -> Result<()> {
    tools::provide(workspace, true)?;
    site::build(workspace)?;
    let seed = UNIX_EPOCH.elapsed()?.as_secs() % 1_000_000;
    run(workspace
        .cargo()
        .args(["test", "--package=duskbook-packager", "--test=e2e", "--", "--nocapture", "damaged_files"])
        .env("DUSKBOOK_FUZZ_CASES", CASES)
        .env("DUSKBOOK_FUZZ_SEED", seed.to_string()))
}

/// All engines at once: a timer waits most of its time.
fn timers(workspace: &Workspace) -> Result<()> {
    in_every_engine(workspace, "keep_to_the_clock", ("DUSKBOOK_TIMER_S", TIMER))
}

/// Records that the page called kept, looked for after the browser was killed at that moment.
fn kills(workspace: &Workspace) -> Result<()> {
    in_every_engine(workspace, "outlives_a_kill", ("DUSKBOOK_KILLS", KILLS))
}

/// What depends on the time of day: the end-to-end tests by a page's clock that is some hours on.
fn times_of_day(workspace: &Workspace) -> Result<()> {
    tools::provide(workspace, true)?;
    site::build(workspace)?;
    for hours in (3..24).step_by(3) {
        let mut tests = workspace.cargo();
        tests.args(["test", "--package=duskbook-packager", "--test=e2e", "--", "--test-threads=1"]);
        tests.args(BY_THEIR_OWN_CLOCK.iter().flat_map(|name| ["--skip", name]));
        tests.env("DUSKBOOK_HOURS_ON", hours.to_string());
        run(&mut tests)?;
        println!("{hours} hours on");
    }
    Ok(())
}

/// Runs one end-to-end test in all engines at once, at the length that its variable says.
fn in_every_engine(workspace: &Workspace, test: &str, (variable, length): (&str, &str)) -> Result<()> {
    tools::provide(workspace, true)?;
    site::build(workspace)?;
    let tests = ["test", "--package=duskbook-packager", "--test=e2e"];
    run(workspace.cargo().args(tests).arg("--no-run"))?;
    let outcomes = thread::scope(|scope| {
        let started = Engine::ALL.map(|engine| {
            let mut check = workspace.cargo();
            check.args(tests).args(["--", "--nocapture", test]);
            check.env("DUSKBOOK_ENGINE", engine.name()).env(variable, length);
            scope.spawn(move || output_of(&mut check))
        });
        started.map(|engine| engine.join().unwrap_or_else(|_| Err(anyhow!("a check broke off"))))
    });
    for outcome in outcomes {
        println!("{}", outcome?);
    }
    Ok(())
}
