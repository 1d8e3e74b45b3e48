//! What the site weighs when it travels: every file in gzip, held to the budgets.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::Path;

use anyhow::{Result, ensure};
use flate2::{Compression, write::GzEncoder};

use crate::budgets::Budgets;
use crate::files;

/// A block in gzip at the highest level, as static hosts store it.
///
/// # Errors
/// Never in memory; the encoder's own signature.
pub fn gzip(block: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(block)?;
    encoder.finish()
}

/// Bytes in gzip by kind of file (what follows the last dot of the name).
///
/// # Errors
/// The site cannot be read.
pub fn by_kind(site: &Path) -> Result<BTreeMap<String, usize>> {
    let mut sizes = BTreeMap::new();
    for path in files::listed(site)? {
        let kind = path.rsplit('.').next().unwrap_or_default().to_owned();
        *sizes.entry(kind).or_default() += gzip(&fs::read(site.join(&path))?)?.len();
    }
    Ok(sizes)
}

/// Checks the site against the budgets and says what it weighs.
///
/// # Errors
/// A kind of file, or all of them, is over its budget.
pub fn check(site: &Path, budgets: &Budgets) -> Result<String> {
    let sizes = by_kind(site)?;
    let total: usize = sizes.values().sum();
    let kinds: Vec<String> = sizes.iter().map(|(kind, size)| format!("{kind} {size}")).collect();
    let said = format!("{total} bytes of {} in gzip: {}", budgets.size.total, kinds.join(", "));
    ensure!(total <= budgets.size.total, "over budget: {said}");
    for (kind, budget) in &budgets.size.kinds {
        let size = sizes.get(kind).copied().unwrap_or_default();
        ensure!(size <= *budget, "{kind} is over its budget of {budget}: {said}");
    }
    Ok(said)
}
