//! What goes out to other programs, read by libraries of others.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use anyhow::Result;

use crate::process::output_of;
use crate::workspace::Workspace;

/// Has the files written by a test and read by the script beside the reference data; returns what was read.
///
/// # Errors
/// The readers cannot be installed, or one reads something else than was written.
pub fn check(workspace: &Workspace) -> Result<String> {
    let python = installed(workspace)?;
    let tests = ["test", "--package=duskbook", "--test=areas", "files_for_other_readers"];
    output_of(workspace.cargo().args(tests))?;
    let script = workspace.path("tests/data/exchange_readers.py");
    let read = output_of(Command::new(python).arg(script).arg(workspace.target().join("tmp/exchange")))?;
    Ok(read.trim().to_owned())
}

/// The Python that has the pinned readers, installed anew when the list has changed.
fn installed(workspace: &Workspace) -> Result<PathBuf> {
    let list = workspace.packaging().join("requirements.txt");
    let wanted = fs::read_to_string(&list)?;
    let folder = workspace.target().join("readers");
    let (python, stamp) = (folder.join("bin/python"), folder.join("installed.txt"));
    if fs::read_to_string(&stamp).is_ok_and(|installed| installed == wanted) {
        return Ok(python);
    }
    output_of(Command::new("python3").args(["-m", "venv", "--clear"]).arg(&folder))?;
    let quietly = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-deps", "-r"];
    output_of(Command::new(&python).args(quietly).arg(&list))?;
    fs::write(&stamp, wanted)?;
    Ok(python)
}
