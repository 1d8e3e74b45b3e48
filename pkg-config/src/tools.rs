//! The programs that the checks need: found, installed where that can be done, or named exactly.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::process::{find, output_of};
use crate::workspace::Workspace;

/// Programs and the Debian packages that bring them.
const FROM_THE_SYSTEM: [(&str, &str); 8] = [
    ("node", "nodejs"),
    ("npm", "npm"),
    (PYTHON, "python3-venv"),
    ("chromium", "chromium"),
    ("chromedriver", "chromium-driver"),
    ("firefox-esr", "firefox-esr"),
    ("WebKitWebDriver", "webkit2gtk-driver"),
    ("Xvfb", "xvfb"),
];

/// Python that can make a folder of packages of its own, which Debian's plain one cannot.
const PYTHON: &str = "python3 with ensurepip";

/// Parts of the Rust toolchain that a minimal installation lacks, with the verbs they bring.
const COMPONENTS: [(&str, &str); 2] = [("fmt", "rustfmt"), ("clippy", "clippy")];

/// Of the system's programs, what the checks without browsers need.
const WITHOUT_BROWSERS: [&str; 3] = ["node", "npm", PYTHON];

/// Firefox's driver, which Debian does not carry.
const GECKODRIVER: &str = "0.37.1";

/// Makes every program available; returns what was done, for the log.
///
/// # Errors
/// Something is missing and cannot be installed here: names what to install.
pub fn provide(workspace: &Workspace, browsers: bool) -> Result<String> {
    let mut done = Vec::new();
    let components: Vec<&str> = COMPONENTS
        .into_iter()
        .filter(|(verb, _)| output_of(workspace.cargo().args([verb, "--version"])).is_err())
        .map(|(_, component)| component)
        .collect();
    if !components.is_empty() {
        output_of(Command::new("rustup").args(["component", "add"]).args(&components))?;
        done.push(components.join(" "));
    }
    let missing = missing_packages(browsers, |program| match program {
        PYTHON => output_of(Command::new("python3").args(["-c", "import ensurepip, venv"])).is_ok(),
        program => find(program).is_some(),
    });
    if !missing.is_empty() {
        install_packages(&missing)?;
        done.push(missing.join(" "));
    }
    if browsers && geckodriver(workspace).is_none() {
        let root = workspace.path(".tools");
        output_of(
            workspace
                .cargo()
                .args(["install", "geckodriver", "--locked", "--version", GECKODRIVER, "--root"])
                .arg(root),
        )?;
        done.push(format!("geckodriver {GECKODRIVER}"));
    }
    if !checkers_are_current(workspace) {
        output_of(
            Command::new("npm")
                .args(["ci", "--ignore-scripts", "--no-audit", "--no-fund"])
                .current_dir(workspace.packaging()),
        )?;
        done.push("checkers from npm".into());
    }
    Ok(if done.is_empty() { "nothing was missing".into() } else { format!("installed {}", done.join(", ")) })
}

/// Firefox's driver, from the system or installed beside the checkout.
pub fn geckodriver(workspace: &Workspace) -> Option<PathBuf> {
    let ours = workspace.path(".tools/bin/geckodriver");
    find("geckodriver").or_else(|| ours.is_file().then_some(ours))
}

/// WebKitGTK's small browser, which its library's package keeps out of the search path.
pub fn minibrowser() -> Option<PathBuf> {
    let libraries = fs::read_dir("/usr/lib").ok()?.flatten();
    libraries.map(|library| library.path().join("webkit2gtk-4.1/MiniBrowser")).find(|file| file.is_file())
}

/// A checker's program, as npm installs it.
pub fn checker(workspace: &Workspace, name: &str) -> Command {
    let mut command = Command::new(workspace.packaging().join("node_modules/.bin").join(name));
    command.current_dir(workspace.root());
    command
}

/// Debian packages of the programs that `present` does not find.
fn missing_packages(browsers: bool, present: impl Fn(&str) -> bool) -> Vec<&'static str> {
    FROM_THE_SYSTEM
        .into_iter()
        .filter(|(program, _)| (browsers || WITHOUT_BROWSERS.contains(program)) && !present(program))
        .map(|(_, package)| package)
        .collect()
}

fn install_packages(packages: &[&str]) -> Result<()> {
    let list = packages.join(" ");
    let is_root = || output_of(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    if find("apt-get").is_none() || !is_root() {
        bail!("the checks need programs that are missing here; on Debian: apt-get install {list}");
    }
    let apt = |arguments: &[&str]| {
        output_of(Command::new("apt-get").args(arguments).env("DEBIAN_FRONTEND", "noninteractive"))
    };
    apt(&["update"])?;
    let install = [&["install", "--yes", "--no-install-recommends"], packages].concat();
    apt(&install).with_context(|| format!("apt-get could not install {list}"))?;
    Ok(())
}

/// Whether npm installed what the lock file now says: npm keeps its own copy of the lock, written last.
fn checkers_are_current(workspace: &Workspace) -> bool {
    let changed = |file| fs::metadata(workspace.packaging().join(file)).and_then(|m| m.modified());
    match (changed("package-lock.json"), changed("node_modules/.package-lock.json")) {
        (Ok(wanted), Ok(installed)) => installed >= wanted,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exactly_the_packages_of_missing_programs_are_asked_for() {
        assert!(missing_packages(true, |_| true).is_empty());
        assert_eq!(missing_packages(true, |program| program != "chromedriver"), ["chromium-driver"]);
        assert_eq!(missing_packages(false, |_| false), ["nodejs", "npm", "python3-venv"]);
        assert_eq!(missing_packages(true, |_| false).len(), FROM_THE_SYSTEM.len());
    }
}
