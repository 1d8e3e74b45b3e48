//! The house rules that a compiler does not check: who may know whom, how long a file may be, what lies at the
//! top, and that the page knows no other origin.

mod areas;
mod files;

use std::path::{Path, PathBuf};

/// A file of the checkout by its path from there, and its text.
struct Source {
    path: String,
    text: String,
}

/// Every text file with one of these endings under a directory of the checkout.
fn sources(directory: &str, endings: &[&str]) -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut waiting = vec![root.join(directory)];
    let mut found = Vec::new();
    while let Some(place) = waiting.pop() {
        for entry in place.read_dir().unwrap_or_else(|e| panic!("{}: {e}", place.display())) {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                if !path.ends_with("node_modules") {
                    waiting.push(path);
                }
            } else if endings.iter().any(|ending| path.extension().is_some_and(|e| e == *ending)) {
                found.push(read(root, &path));
            }
        }
    }
    assert!(!found.is_empty(), "no {endings:?} in {directory}");
    found
}

fn read(root: &Path, path: &PathBuf) -> Source {
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    Source { path: path.strip_prefix(root).expect("inside").display().to_string().replace('\\', "/"), text }
}
