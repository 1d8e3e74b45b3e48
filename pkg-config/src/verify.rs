//! Every check in its short form, from the cheap to the dear.

use std::process::Command;
use std::time::Instant;

use anyhow::{Result, bail, ensure};

use crate::budgets::Budgets;
use crate::engine::{Driver, Engine};
use crate::process::output_of;
use crate::workspace::Workspace;
use crate::{audit, boundary, figures, files, lighthouse, readers, site, size, tools};

type Check = dyn Fn(&Workspace) -> Result<String>;

/// One check: its name, and what it has to say when it passes.
struct Step {
    name: String,
    check: Box<Check>,
}

impl Step {
    fn new(name: impl Into<String>, check: impl Fn(&Workspace) -> Result<String> + 'static) -> Self {
        Self { name: name.into(), check: Box::new(check) }
    }
}

/// Runs all checks, prints a line for each, and goes on after a failure so that one run shows everything.
///
/// # Errors
/// A check failed.
pub fn all(workspace: &Workspace, quick: bool) -> Result<()> {
    let began = Instant::now();
    let steps = steps(quick);
    let mut failed = Vec::new();
    for step in &steps {
        let started = Instant::now();
        let outcome = (step.check)(workspace);
        let seconds = started.elapsed().as_secs_f64();
        match outcome {
            Ok(said) => println!("ok     {seconds:6.1} s  {}  {said}", step.name),
            Err(told) => {
                println!("FAILED {seconds:6.1} s  {}\n{told:#}", step.name);
                failed.push(step.name.as_str());
            }
        }
    }
    println!("{:.0} s in all", began.elapsed().as_secs_f64());
    if !failed.is_empty() {
        println!("failed: {}", failed.join(", "));
    }
    println!("{} passed, {} failed", steps.len() - failed.len(), failed.len());
    if quick {
        println!("Browsers were left out: run cargo verify without --quick before a change goes in.");
    }
    ensure!(failed.is_empty(), "{} checks failed", failed.len());
    Ok(())
}

fn steps(quick: bool) -> Vec<Step> {
    let mut steps = vec![
        Step::new("tools", move |w| tools::provide(w, !quick)),
        Step::new("format", |w| silent(w.cargo().args(["fmt", "--all", "--check"]))),
        Step::new("site", |w| site::build(w).map(|version| format!("version {version}"))),
        Step::new("size", |w| size::check(&w.dist(), &Budgets::read(w)?)),
        Step::new("types of the page", types),
        Step::new("lints", |w| lints(w, &["--workspace", "--all-targets"])),
        Step::new("lints of the boundary", |w| {
            lints(w, &["--package=duskbook", "--lib", "--test=boundary", "--target", site::TARGET])
        }),
        Step::new("native tests", |w| {
            tested(w.cargo().args(["test", "--workspace", "--lib", "--bins", "--test=areas"]))
        }),
        Step::new("examples in the documentation", |w| {
            tested(w.cargo().args(["test", "--package=duskbook", "--doc"]))
        }),
        Step::new("documentation", |w| {
            silent(w.cargo().args(["doc", "--workspace", "--no-deps"]).env("RUSTDOCFLAGS", "-D warnings"))
        }),
        Step::new("boundary in node", |w| tested(&mut boundary::in_node(w)?)),
        Step::new("the page's own modules in node", page_modules),
        Step::new("readers of other programs", readers::check),
        Step::new("what others wrote", audit::check),
        Step::new("figures", |w| figures::check(w, &Budgets::read(w)?)),
    ];
    if quick {
        return steps;
    }
    for engine in Engine::ALL {
        steps.push(Step::new(format!("boundary in {}", engine.name()), move |w| {
            let driver = Driver::start(w, engine)?;
            tested(&mut boundary::in_browser(w, engine, &driver)?)
        }));
    }
    for engine in Engine::ALL {
        steps.push(Step::new(format!("end to end in {}", engine.name()), move |w| end_to_end(w, engine)));
    }
    steps.push(Step::new("lighthouse", |w| lighthouse::check(w, &Budgets::read(w)?)));
    steps
}

/// The page's sources against the types of the calls, and the service worker's against a worker's own.
fn types(workspace: &Workspace) -> Result<String> {
    for project in ["page.json", "worker.json"] {
        let project = workspace.packaging().join("typescript").join(project);
        output_of(tools::checker(workspace, "tsc").arg("--project").arg(project))?;
    }
    Ok(String::new())
}

/// The lints over some targets, every warning an error.
fn lints(workspace: &Workspace, targets: &[&str]) -> Result<String> {
    silent(workspace.cargo().arg("clippy").args(targets).args(["--", "-D", "warnings"]))
}

/// One engine's end-to-end tests. What only Chromium can show is in the modules that begin with its name.
fn end_to_end(workspace: &Workspace, engine: Engine) -> Result<String> {
    let mut tests = workspace.cargo();
    tests.args(["test", "--package=duskbook-packager", "--test=e2e", "--", "--test-threads=1"]);
    if engine != Engine::Chromium {
        tests.args(["--skip", "chromium"]);
    }
    tested(tests.env("DUSKBOOK_ENGINE", engine.name()))
}

/// Modules of the page that need no browser.
fn page_modules(workspace: &Workspace) -> Result<String> {
    let folder = workspace.path("tests/page");
    let tests = files::listed(&folder)?.into_iter().filter(|file| file.ends_with(".test.mjs"));
    let mut node = Command::new("node");
    node.args(["--test", "--test-reporter=tap"]).args(tests.map(|file| folder.join(file)));
    match passed_in_node(&output_of(&mut node)?) {
        0 => bail!("no test ran"),
        count => Ok(format!("{count} tests")),
    }
}

/// The number of tests that passed, by the last lines of Node's report.
fn passed_in_node(printed: &str) -> usize {
    printed.lines().find_map(|line| line.strip_prefix("# pass ")?.trim().parse().ok()).unwrap_or_default()
}

/// A check that says nothing when it passes.
fn silent(command: &mut Command) -> Result<String> {
    output_of(command).map(|_| String::new())
}

/// A run of tests, which must contain some.
fn tested(command: &mut Command) -> Result<String> {
    match passed(&output_of(command)?) {
        0 => bail!("no test ran"),
        count => Ok(format!("{count} tests")),
    }
}

/// The number of tests that passed, over all the binaries of a run.
fn passed(printed: &str) -> usize {
    printed
        .lines()
        .filter_map(|line| {
            line.trim().strip_prefix("test result: ok. ")?.split_once(" passed")?.0.parse::<usize>().ok()
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn passed_tests_are_counted_over_binaries() {
        let printed = "test result: ok. 12 passed; 0 failed\nx\n  test result: ok. 3 passed; 0 failed\n";
        assert_eq!(passed(printed), 15);
        assert_eq!(passed("test result: FAILED. 1 passed; 1 failed"), 0);
    }

    #[test]
    fn passed_tests_of_node_are_counted() {
        assert_eq!(passed_in_node("ok 1 - a\n1..9\n# tests 9\n# pass 9\n# fail 0\n"), 9);
        assert_eq!(passed_in_node("not a report"), 0);
    }

    #[test]
    fn the_quick_form_has_no_step_that_needs_a_browser() {
        let names = |quick| steps(quick).into_iter().map(|step| step.name).collect::<Vec<_>>();
        let browsers: Vec<_> = names(false).into_iter().filter(|name| !names(true).contains(name)).collect();
        assert_eq!(browsers.len(), 2 * Engine::ALL.len() + 1, "{browsers:?}");
    }
}
