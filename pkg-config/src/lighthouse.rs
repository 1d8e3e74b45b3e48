//! The page's scores by Lighthouse, held to the budgets.

use std::fs;

use anyhow::{Context, Result, bail};

use crate::budgets::Budgets;
use crate::pace;
use crate::process::{find, output_of};
use crate::server::Server;
use crate::tools;
use crate::workspace::Workspace;

/// Another program on the machine can only lower a score, or break a run; so the best of some is the page's.
const RUNS: usize = 7;

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
        let slowed = PHONE / pace::slower(workspace, budgets)?;
        let scores = match scores(workspace, &server.address(), budgets, slowed) {
            Ok(scores) => scores,
            Err(broken) => {
                said.push(format!("{broken:#}"));
                continue;
            }
        };
        let line: Vec<String> =
            scores.iter().map(|(category, score)| format!("{category} {score}")).collect();
        said.push(format!("slowed {slowed:.1} times: {}", line.join(", ")));
        if scores.iter().all(|(category, score)| *score >= budgets.lighthouse[category]) {
            return Ok(said.join("; "));
        }
    }
    bail!("below {:?}: {}", budgets.lighthouse, said.join("; "))
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
