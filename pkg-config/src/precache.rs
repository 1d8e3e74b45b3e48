//! The list of files that the page keeps for when there is no signal, and the version they make up.
//!
//! The service worker carries both in its first line, so that no host can give it a list of another version. The
//! version is a digest of every name and every content, so any change of any file is a new version and no change is none;
//! the page carries it too, and so knows a worker of another, and the addresses in page and scripts end in it (`?v=…`), so that a worker of
//! another gives files of this one or none. A second sum is over the bytes of all kept files in a row: by it
//! the worker knows that what it was given is this version, whole.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};
use serde::Serialize;

use crate::files;

/// The service worker, which keeps everything but itself.
const WORKER: &str = "worker.js";

/// How its first line begins.
const HEAD: &str = "self.PRECACHE = ";

/// The page, and where it carries the version.
const PAGE: &str = "index.html";
const STAMP: &str = "data-version=\"";

/// How an address says of which version its file is: 16 digits, or none yet, and a closing quote follow.
pub(crate) const ADDRESS: &str = "?v=";

/// Read by the host alone or by the browser alone; the page never asks for them.
const NOT_KEPT: [&str; 2] = ["_headers", WORKER];

/// What the service worker is told.
#[derive(Serialize)]
struct Precache<'a> {
    version: &'a str,
    check: u32,
    files: &'a [String],
}

/// Writes version and list into a finished site, in place of those that are there, and returns the version.
///
/// # Errors
/// The site cannot be read or written.
pub fn write(site: &Path) -> Result<String> {
    let text = |name: &str| fs::read_to_string(site.join(name)).with_context(|| name.to_owned());
    let worker = text(WORKER)?;
    let worker = match worker.split_once('\n') {
        Some((head, rest)) if head.starts_with(HEAD) => rest,
        _ => &worker,
    };
    let (mut digest, mut kept, mut bare) = (Digest::default(), Vec::new(), Vec::new());
    for path in files::listed(site)? {
        digest.add(path.as_bytes());
        match path.as_str() {
            WORKER => digest.add(worker.as_bytes()),
            name if name == PAGE || Path::new(name).extension().is_some_and(|kind| kind == "js") => {
                let text = stamped(&text(name)?, "");
                digest.add(text.as_bytes());
                bare.push((path.clone(), text));
            }
            _ => digest.add(&fs::read(site.join(&path)).with_context(|| path.clone())?),
        }
        if !NOT_KEPT.contains(&path.as_str()) {
            kept.push(path);
        }
    }
    let version = format!("{:016x}", digest.state);
    for (path, text) in bare {
        fs::write(site.join(path), stamped(&text, &version))?;
    }
    let mut check = 0x811c_9dc5;
    for path in &kept {
        check = sum(check, &fs::read(site.join(path))?);
    }
    let list = serde_json::to_string(&Precache { version: &version, check, files: &kept })?;
    fs::write(site.join(WORKER), format!("{HEAD}{list};\n{worker}"))?;
    Ok(version)
}

/// A page or a script with a version in its stamps, if it has any.
fn stamped(text: &str, version: &str) -> String {
    let page = match text.split_once(STAMP).and_then(|(before, rest)| Some((before, rest.split_once('"')?.1)))
    {
        Some((before, after)) => format!("{before}{STAMP}{version}\"{after}"),
        None => text.to_owned(),
    };
    let mut parts = page.split(ADDRESS);
    let mut whole = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let digits = part.bytes().take_while(u8::is_ascii_hexdigit).count();
        let (old, rest) = part.split_at(digits);
        let is_stamp = matches!(digits, 0 | 16) && rest.starts_with(['"', '\'', '`']);
        whole.push_str(ADDRESS);
        whole.push_str(if is_stamp { version } else { old });
        whole.push_str(rest);
    }
    whole
}

/// FNV-1a in 32 bits over some more bytes, as the service worker reckons it: one mixture of versions in four thousand million
/// would pass.
fn sum(state: u32, block: &[u8]) -> u32 {
    block.iter().fold(state, |state, byte| (state ^ u32::from(*byte)).wrapping_mul(0x0100_0193))
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
        let page = "<html data-version=\"\"><script src=\"app.js?v=\">";
        for (name, content) in
            [(PAGE, page), ("app.js", "'b?v='+`?v=1`"), ("_headers", "c"), (WORKER, "d\ne")]
        {
            fs::write(site.join(name), content).unwrap();
        }
        let first = write(&site).unwrap();
        let told = fs::read_to_string(site.join(WORKER)).unwrap();
        assert_eq!(write(&site).unwrap(), first);
        assert_eq!(fs::read_to_string(site.join(WORKER)).unwrap(), told);
        let page = fs::read_to_string(site.join(PAGE)).unwrap();
        assert_eq!(page, format!("<html data-version=\"{first}\"><script src=\"app.js?v={first}\">"));
        let script = fs::read_to_string(site.join("app.js")).unwrap();
        assert_eq!(script, format!("'b?v={first}'+`?v=1`"));
        let check = sum(sum(0x811c_9dc5, script.as_bytes()), page.as_bytes());
        assert_eq!(
            told,
            format!(
                "self.PRECACHE = {{\"version\":\"{first}\",\"check\":{check},\"files\":[\"app.js\",\"index.html\"]}};\nd\ne"
            )
        );
        for name in [WORKER, "_headers", "app.js"] {
            let before = write(&site).unwrap();
            let file = site.join(name);
            fs::write(&file, fs::read_to_string(&file).unwrap() + "f").unwrap();
            assert_ne!(write(&site).unwrap(), before, "{name}");
        }
        fs::remove_dir_all(site).unwrap();
    }

    /// The offset basis and "foobar" of the published test vectors of FNV-1a (Fowler, Noll, Vo and Eastlake; from memory).
    #[test]
    fn the_sum_is_the_published_one() {
        assert_eq!(sum(0x811c_9dc5, b""), 0x811c_9dc5);
        assert_eq!(sum(0x811c_9dc5, b"foobar"), 0xbf9c_f968);
        assert_eq!(sum(sum(0x811c_9dc5, b"foo"), b"bar"), 0xbf9c_f968);
    }
}
