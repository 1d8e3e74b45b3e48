//! The headers file of the site, as a static host would read it.
//!
//! Lines of paths, each followed by indented `Name: value` lines; a path may end in `*`. Lines that start
//! with `#` are remarks.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

/// Rules in the order of the file; later ones add to earlier ones.
#[derive(Debug, Clone, Default)]
pub struct Headers {
    rules: Vec<Rule>,
}

#[derive(Debug, Clone)]
struct Rule {
    pattern: String,
    headers: Vec<(String, String)>,
}

impl Headers {
    /// Reads the file.
    ///
    /// # Errors
    /// It is missing, or a line is neither a path nor a header.
    pub fn read(file: &Path) -> Result<Self> {
        Self::parse(&fs::read_to_string(file).with_context(|| file.display().to_string())?)
    }

    fn parse(text: &str) -> Result<Self> {
        let mut rules: Vec<Rule> = Vec::new();
        for line in text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#')) {
            if line.starts_with('/') {
                rules.push(Rule { pattern: line.trim().to_owned(), headers: Vec::new() });
                continue;
            }
            let rule = rules.last_mut().with_context(|| format!("a header before any path: {line}"))?;
            let (name, value) = line.split_once(':').with_context(|| format!("no header: {line}"))?;
            rule.headers.push((name.trim().to_owned(), value.trim().to_owned()));
        }
        Ok(Self { rules })
    }

    /// The headers of a path that starts with `/`.
    pub fn of<'a>(&'a self, path: &'a str) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.rules
            .iter()
            .filter(move |rule| match rule.pattern.strip_suffix('*') {
                Some(start) => path.starts_with(start),
                None => path == rule.pattern,
            })
            .flat_map(|rule| rule.headers.iter().map(|(name, value)| (name.as_str(), value.as_str())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_gets_the_headers_of_every_rule_that_fits() {
        let read = Headers::parse("# remark\n/*\n  A: 1; b: 2\n\n/x.js\n  C: 3\n").unwrap();
        assert_eq!(read.of("/y").collect::<Vec<_>>(), [("A", "1; b: 2")]);
        assert_eq!(read.of("/x.js").collect::<Vec<_>>(), [("A", "1; b: 2"), ("C", "3")]);
        assert!(Headers::parse("  A: 1").is_err());
        assert!(Headers::parse("/*\n  nonsense").is_err());
    }
}
