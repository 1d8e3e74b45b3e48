//! Other programs: run to the end, and believed only when they succeed.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::process::{Command, Output};

use anyhow::{Context, Result, bail};

/// Runs a program whose output goes to the terminal.
///
/// # Errors
/// It cannot be started, or it fails.
pub fn run(command: &mut Command) -> Result<()> {
    let status = command.status().with_context(|| format!("cannot start {}", named(command)))?;
    if status.success() { Ok(()) } else { bail!("{} failed: {status}", named(command)) }
}

/// Runs a program and returns what it printed.
///
/// # Errors
/// It cannot be started, or it fails: then with everything it said.
pub fn output_of(command: &mut Command) -> Result<String> {
    let Output { status, stdout, stderr } =
        command.output().with_context(|| format!("cannot start {}", named(command)))?;
    let said = String::from_utf8_lossy(&stdout).into_owned();
    if status.success() {
        return Ok(said);
    }
    bail!("{} failed: {status}\n{said}{}", named(command), String::from_utf8_lossy(&stderr))
}

/// A program's place on the search path.
pub fn find(program: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path).map(|directory| directory.join(program)).find(|file| file.is_file())
}

/// A command as a person would type it.
fn named(command: &Command) -> String {
    let mut line = command.get_program().to_string_lossy().into_owned();
    for argument in command.get_args() {
        // Writing to a string cannot fail.
        let _ = write!(line, " {}", argument.to_string_lossy());
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failing_program_is_told_with_what_it_said() {
        let told = output_of(Command::new("sh").args(["-c", "echo out; echo err >&2; exit 3"])).unwrap_err();
        let told = told.to_string();
        assert!(told.contains("exit status: 3") && told.contains("out\nerr"), "{told}");
    }

    #[test]
    fn programs_are_found_on_the_path() {
        assert!(find("sh").is_some());
        assert!(find("no-such-program-here").is_none());
    }
}
