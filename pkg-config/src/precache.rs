//! The list of files that the page keeps for when there is no signal, and the version they make up.
//!
//! The service worker reads both from `precache.js`. The version is a digest of every name and every
//! content, so any change of any file is a new version and no change is none.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};
use serde::Serialize;

use crate::files;

/// The file that the service worker loads.
pub const FILE: &str = "precache.js";

/// Read by the host alone or by the service worker itself; the page never asks for them.
const NOT_KEPT: [&str; 3] = ["_headers", FILE, "worker.js"];

/// What the service worker is told.
#[derive(Serialize)]
struct Precache<'a> {
    version: &'a str,
    files: &'a [String],
}

/// Writes [`FILE`] for a finished site and returns the version.
///
/// # Errors
/// The site cannot be read or written.
pub fn write(site: &Path) -> Result<String> {
    let mut digest = Digest::default();
    let mut kept = Vec::new();
    for path in files::listed(site)? {
        if path == FILE {
            continue;
        }
        digest.add(path.as_bytes());
        digest.add(&fs::read(site.join(&path)).with_context(|| path.clone())?);
        if !NOT_KEPT.contains(&path.as_str()) {
            kept.push(path);
        }
    }
    let version = format!("{:016x}", digest.state);
    let list = serde_json::to_string(&Precache { version: &version, files: &kept })?;
    fs::write(site.join(FILE), format!("self.PRECACHE = {list};\n"))?;
    Ok(version)
}

/// FNV-1a in 64 bits (Fowler, Noll and Vo): tells versions apart, guards against nobody.
struct Digest {
    state: u64,
}

impl Default for Digest {
    fn default() -> Self {
        Self { state: 0xcbf2_9ce4_8422_2325 }
    }
}

impl Digest {
    /// Adds a block, with its length so that moving a boundary shows.
    fn add(&mut self, block: &[u8]) {
        for byte in (block.len() as u64).to_le_bytes().iter().chain(block) {
            self.state = (self.state ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_change_makes_another_version_and_no_change_makes_none() {
        let site = files::emptied(std::env::temp_dir().join("duskbook-precache")).unwrap();
        for (name, content) in [("index.html", "a"), ("app.js", "b"), ("_headers", "c"), ("worker.js", "d")] {
            fs::write(site.join(name), content).unwrap();
        }
        let first = write(&site).unwrap();
        assert_eq!(write(&site).unwrap(), first);
        let list = fs::read_to_string(site.join(FILE)).unwrap();
        assert_eq!(
            list,
            format!("self.PRECACHE = {{\"version\":\"{first}\",\"files\":[\"app.js\",\"index.html\"]}};\n")
        );
        fs::write(site.join("worker.js"), "e").unwrap();
        assert_ne!(write(&site).unwrap(), first);
        fs::remove_dir_all(site).unwrap();
    }
}
