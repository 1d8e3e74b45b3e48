//! Speed against the peers, held to the budgets.
//!
//! Ratios within one process, so that they mean the same on any machine. The programs that measure print
//! a line `figure NAME VALUE` each; a budget without its figure fails like one that is passed.

use std::collections::BTreeMap;
use std::process::Command;

use anyhow::{Context, Result, ensure};

use crate::budgets::Budgets;
use crate::process::output_of;
use crate::workspace::Workspace;

/// Measures natively and in Node, and checks every figure; the site must be built.
///
/// # Errors
/// A program fails, or a figure is missing or past its limit.
pub fn check(workspace: &Workspace, budgets: &Budgets) -> Result<String> {
    let native =
        output_of(workspace.cargo().args(["bench", "--quiet", "--package=duskbook", "--bench=figures"]))?;
    let node = output_of(Command::new("node").arg(workspace.path("tests/figures/peer.mjs")))?;
    let measured = figures(&format!("{native}\n{node}"))?;
    let mut said = Vec::new();
    let mut kept = true;
    for (name, limit) in &budgets.figures {
        let value = measured.get(name).copied().unwrap_or(f64::NAN);
        kept &= limit.holds(value);
        said.push(format!("{name} {value:.3} ({limit})"));
    }
    let said = said.join("; ");
    ensure!(kept, "past its limit, or never measured: {said}");
    Ok(said)
}

fn figures(printed: &str) -> Result<BTreeMap<String, f64>> {
    let lines = printed.lines().filter_map(|line| line.strip_prefix("figure "));
    lines
        .map(|line| {
            let (name, value) = line.split_once(' ').with_context(|| format!("no figure: {line}"))?;
            Ok((name.to_owned(), value.trim().parse().with_context(|| format!("no number: {line}"))?))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_read_among_other_lines_and_a_bad_one_is_an_error() {
        let read = figures("warm up\nfigure a-b 0.25\nfigure c 3\n").unwrap();
        assert_eq!(read, BTreeMap::from([("a-b".to_owned(), 0.25), ("c".to_owned(), 3.0)]));
        assert!(figures("figure a").is_err());
        assert!(figures("figure a quick").is_err());
    }
}
