//! Trees of files: listed, copied.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow};

/// Every file under a directory, by its path from there with `/` between names, in order.
///
/// # Errors
/// Something there cannot be read, or has a name that is no text.
pub fn listed(directory: &Path) -> Result<Vec<String>> {
    let mut found = Vec::new();
    walk(directory, "", &mut found)?;
    found.sort();
    Ok(found)
}

fn walk(directory: &Path, prefix: &str, found: &mut Vec<String>) -> Result<()> {
    for entry in fs::read_dir(directory).with_context(|| directory.display().to_string())? {
        let entry = entry?;
        let name =
            entry.file_name().into_string().map_err(|name| anyhow!("a file named {}", name.display()))?;
        let path = format!("{prefix}{name}");
        if entry.file_type()?.is_dir() {
            walk(&entry.path(), &format!("{path}/"), found)?;
        } else {
            found.push(path);
        }
    }
    Ok(())
}

/// The folders in a directory, whole paths in order; none when it is not there.
///
/// # Errors
/// It cannot be read.
pub fn folders(directory: &Path) -> Result<Vec<String>> {
    if !directory.is_dir() {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for entry in fs::read_dir(directory).with_context(|| directory.display().to_string())? {
        let path = entry?.path();
        if path.is_dir() {
            found.push(path.display().to_string());
        }
    }
    found.sort();
    Ok(found)
}

/// Copies every file of a directory into another, which is made if missing.
///
/// # Errors
/// A file cannot be read or written.
pub fn copy(from: &Path, to: &Path) -> Result<()> {
    for path in listed(from)? {
        copy_one(&from.join(&path), &to.join(&path))?;
    }
    Ok(())
}

/// Copies one file, making the directory it goes to.
///
/// # Errors
/// It cannot be read or written.
pub fn copy_one(from: &Path, to: &Path) -> Result<()> {
    if let Some(parent) = to.parent() {
        fs::create_dir_all(parent)?;
    }
    fs::copy(from, to).with_context(|| format!("{} to {}", from.display(), to.display()))?;
    Ok(())
}

/// An empty directory for one run, under cargo's own.
///
/// # Errors
/// It cannot be made.
pub fn emptied(directory: PathBuf) -> Result<PathBuf> {
    if directory.exists() {
        fs::remove_dir_all(&directory)?;
    }
    fs::create_dir_all(&directory).with_context(|| directory.display().to_string())?;
    Ok(directory)
}
