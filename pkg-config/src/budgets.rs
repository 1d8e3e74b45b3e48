//! Limits that a change must not pass, read from `budgets.toml`.

use std::collections::BTreeMap;
use std::fs;

use anyhow::{Context, Result};
use serde::Deserialize;

use crate::workspace::Workspace;

/// Everything in the file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Budgets {
    /// What the site may weigh.
    pub size: Size,
    /// Figures by name, each with the value that it must not pass.
    pub figures: BTreeMap<String, Limit>,
    /// What a slow phone may take, by name.
    pub speed: BTreeMap<String, Limit>,
    /// The machine that the times of `speed` are meant for.
    pub machine: Machine,
    /// Scores from 0 to 1 by category.
    pub lighthouse: BTreeMap<String, f64>,
}

/// Bytes in gzip.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Size {
    /// Of all files.
    pub total: usize,
    /// Of all files whose names end so.
    pub kinds: BTreeMap<String, usize>,
}

/// How fast a machine is, in milliseconds.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Machine {
    /// What certain work of a page takes.
    pub beat_ms: f64,
    /// What an empty page takes from a browser's start to its first line.
    pub empty_page_ms: f64,
}

/// One bound of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// No greater than this.
    AtMost(f64),
    /// No less than this.
    AtLeast(f64),
}

impl Limit {
    /// Whether a value keeps to it; what is no number does not.
    pub fn holds(self, value: f64) -> bool {
        match self {
            Self::AtMost(limit) => value <= limit,
            Self::AtLeast(limit) => value >= limit,
        }
    }
}

impl std::fmt::Display for Limit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::AtMost(limit) => write!(f, "at most {limit}"),
            Self::AtLeast(limit) => write!(f, "at least {limit}"),
        }
    }
}

impl Budgets {
    /// Reads the file.
    ///
    /// # Errors
    /// It is missing or malformed.
    pub fn read(workspace: &Workspace) -> Result<Self> {
        let file = workspace.packaging().join("budgets.toml");
        let text = fs::read_to_string(&file).with_context(|| file.display().to_string())?;
        toml::from_str(&text).with_context(|| file.display().to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_that_is_no_number_breaks_every_limit() {
        assert!(Limit::AtMost(1.0).holds(1.0) && !Limit::AtMost(1.0).holds(1.1));
        assert!(Limit::AtLeast(50.0).holds(50.0) && !Limit::AtLeast(50.0).holds(49.0));
        assert!(!Limit::AtMost(1.0).holds(f64::NAN) && !Limit::AtLeast(1.0).holds(f64::NAN));
    }

    #[test]
    fn the_file_of_this_checkout_is_read() {
        let budgets = Budgets::read(&Workspace::find().unwrap()).unwrap();
        assert!(budgets.size.kinds.values().sum::<usize>() >= budgets.size.total);
        assert!(budgets.machine.beat_ms > 0.0 && budgets.machine.empty_page_ms > 0.0);
        assert!(!budgets.figures.is_empty() && !budgets.speed.is_empty() && !budgets.lighthouse.is_empty());
    }
}
