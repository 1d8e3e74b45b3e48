//! The processes of a browser, from the kernel's own list.

use std::fs;
use std::process::Command;

use anyhow::{Context, Result, ensure};

pub struct Process {
    pub id: u32,
    /// Its program, cut to 15 letters.
    pub name: String,
    parent: u32,
}

impl Process {
    /// Reads a line such as `71 (WebKitWebProces) S 60 …`.
    fn read(line: &str) -> Option<Self> {
        let (id, rest) = line.split_once(" (")?;
        let (name, rest) = rest.rsplit_once(") ")?;
        let parent = rest.split(' ').nth(1)?;
        Some(Self { id: id.parse().ok()?, name: name.into(), parent: parent.parse().ok()? })
    }
}

/// Every process that this one started, and those that they started.
pub fn below(root: u32) -> Result<Vec<Process>> {
    let mut all: Vec<Process> = fs::read_dir("/proc")
        .context("no list of processes")?
        .flatten()
        .filter_map(|entry| Process::read(&fs::read_to_string(entry.path().join("stat")).ok()?))
        .collect();
    let mut family = vec![root];
    let mut found = Vec::new();
    loop {
        let (children, others): (Vec<_>, Vec<_>) =
            all.into_iter().partition(|process| family.contains(&process.parent));
        if children.is_empty() {
            return Ok(found);
        }
        family.extend(children.iter().map(|process| process.id));
        found.extend(children);
        all = others;
    }
}

/// Sends a signal to processes, to all at once if it can be; those that have gone meanwhile are no fault.
pub fn signal(name: &str, processes: &[Process]) -> Result<()> {
    let ids = processes.iter().map(|process| process.id.to_string());
    if Command::new("kill").arg(format!("-{name}")).args(ids).output()?.status.success() {
        return Ok(());
    }
    for process in processes {
        let sent = Command::new("kill").args([&format!("-{name}"), &process.id.to_string()]).output()?;
        let gone = !fs::exists(format!("/proc/{}", process.id))?;
        ensure!(sent.status.success() || gone, "cannot send {name} to {}", process.name);
    }
    Ok(())
}

#[test]
fn a_process_is_found_below_its_parent() {
    let mut child = Command::new("sleep").arg("60").spawn().unwrap();
    let found = below(std::process::id()).unwrap();
    assert!(found.iter().any(|process| process.id == child.id() && process.name == "sleep"));
    signal("KILL", &found.into_iter().filter(|process| process.id == child.id()).collect::<Vec<_>>())
        .unwrap();
    assert!(!child.wait().unwrap().success());
}
