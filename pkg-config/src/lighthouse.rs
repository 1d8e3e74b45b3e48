//! The page's scores by Lighthouse, held to the budgets.

use std::fs;

use anyhow::{Context, Result, bail};

use crate::budgets::Budgets;
use crate::pace;
use crate::process::{find, output_of};
use crate::server::Server;
use crate::tools;
use crate::workspace::Workspace;

/// Another program on the machine can only lower a score, or break a run; so the best of some that count is the page's.
const RUNS: usize = 10;

/// A run counts when the machine was not much quicker after it than what it was slowed for: times as slow as before, at least.
const STEADY: f64 = 0.85;

/// How much slower than this machine it takes a phone to be. On a machine that is slow itself it is less.
const PHONE: f64 = 4.0;

/// Runs it against the built site, until a run meets every limit.
///
/// # Errors
/// No run met them, or none could be made.
pub fn check(workspace: &Workspace, budgets: &Budgets) -> Result<String> {
    let server = Server::start(&workspace.dist(), 0)?;
    let mut said = Vec::new();
    for _ in 0..RUNS {
        let (line, good) = match run(workspace, &server.address(), budgets) {
            Ok(told) => told,
            Err(broken) => (broken.to_string().lines().next().unwrap_or_default().to_owned(), false),
        };
        said.push(line);
        if good {
            return Ok(said.join("; "));
        }
    }
    bail!("below {:?}: {}", budgets.lighthouse, said.join("; "))
}

/// One run: what it said, and whether it counts and meets every limit.
fn run(workspace: &Workspace, address: &str, budgets: &Budgets) -> Result<(String, bool)> {
    let before = pace::slower(workspace, budgets)?;
    let scores = scores(workspace, address, budgets, PHONE / before)?;
    let steady = pace::slower(workspace, budgets)? >= STEADY * before;
    let line: Vec<String> = scores.iter().map(|(category, score)| format!("{category} {score}")).collect();
    let apart = if steady { "" } else { " (does not count: the machine quickened)" };
    let good = scores.iter().all(|(category, score)| *score >= budgets.lighthouse[category]);
    Ok((format!("slowed {:.1} times: {}{apart}", PHONE / before, line.join(", ")), steady && good))
}

fn scores(
    workspace: &Workspace,
    address: &str,
    budgets: &Budgets,
    slowed: f64,
) -> Result<Vec<(String, f64)>> {
    let report = workspace.target().join("lighthouse.json");
    let categories: Vec<&str> = budgets.lighthouse.keys().map(String::as_str).collect();
    output_of(
        tools::checker(workspace, "lighthouse")
            .args([
                address,
                "--quiet",
                "--output=json",
                "--chrome-flags=--headless=new --no-sandbox --disable-gpu",
            ])
            .arg(format!("--throttling.cpuSlowdownMultiplier={slowed:.2}"))
            .arg(format!("--only-categories={}", categories.join(",")))
            .arg(format!("--output-path={}", report.display()))
            .env("CHROME_PATH", find("chromium").context("chromium is missing")?),
    )?;
    let report: serde_json::Value = serde_json::from_str(&fs::read_to_string(report)?)?;
    categories
        .into_iter()
        .map(|category| {
            let score = report["categories"][category]["score"].as_f64();
            Ok((category.to_owned(), score.with_context(|| format!("no score for {category}"))?))
        })
        .collect()
}
