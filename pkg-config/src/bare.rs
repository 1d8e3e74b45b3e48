//! What goes over the line, without what only readers need.
//!
//! Of each script spaces and comments go, local names become short, and what a shorter expression says is said by it.
//! Style sheets, the page and the headers lose comments, the first two and the manifest indentation too. The sources run as
//! they are; the packager alone does this, and leaves a map of every script beside its other products.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, ensure};
use oxc_allocator::Allocator;
use oxc_codegen::{Codegen, CodegenOptions};
use oxc_compat::EngineTargets;
use oxc_minifier::{CompressOptions, MangleOptions, Minifier, MinifierOptions};
use oxc_parser::Parser;
use oxc_span::SourceType;
use serde_json::Value;

use crate::files;

/// The oldest language that scripts may be written in shorter: iOS 16 is the floor of the page.
const LANGUAGE: &str = "es2022";

/// For the host: response headers, with comments that it skips.
const HEADERS: &str = "_headers";

/// Makes every script, style sheet and page below a folder short; maps of the scripts go to another.
///
/// # Errors
/// A file cannot be read or written, or a script is none.
pub fn strip(folder: &Path, maps: &Path) -> Result<()> {
    for file in files::listed(folder)? {
        let path = folder.join(&file);
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        let shorter: fn(&str) -> String = match ending {
            "js" => {
                let (code, map) = short_script(&file, &fs::read_to_string(&path)?)?;
                fs::write(&path, code)?;
                let map_at = maps.join(file + ".map");
                fs::create_dir_all(map_at.parent().context("a map has a folder")?)?;
                fs::write(map_at, map)?;
                continue;
            }
            "webmanifest" => {
                let manifest: Value =
                    serde_json::from_slice(&fs::read(&path)?).with_context(|| file.clone())?;
                fs::write(path, manifest.to_string())?;
                continue;
            }
            "css" => short_style,
            "html" => short_page,
            _ if file == HEADERS => short_headers,
            _ => continue,
        };
        fs::write(&path, shorter(&fs::read_to_string(&path)?))?;
    }
    Ok(())
}

/// A script in fewer bytes, and its source map.
fn short_script(name: &str, source: &str) -> Result<(String, String)> {
    let allocator = Allocator::default();
    let parse = |kind| Parser::new(&allocator, source, kind).parse();
    let mut read = parse(SourceType::mjs());
    // Without import or export it is a plain script, whose outer names others may see.
    let is_module = read.module_record.has_module_syntax;
    if !is_module {
        read = parse(SourceType::cjs());
    }
    ensure!(read.errors.is_empty(), "{name}: {:?}", read.errors);
    let mut program = read.program;
    let target = EngineTargets::from_target(LANGUAGE).map_err(anyhow::Error::msg)?;
    let options = MinifierOptions {
        mangle: Some(MangleOptions { top_level: is_module, ..MangleOptions::default() }),
        compress: Some(CompressOptions { target, ..CompressOptions::smallest() }),
    };
    let scoping = Minifier::new(options).minify(&allocator, &mut program).scoping;
    let options = CodegenOptions { source_map_path: Some(name.into()), ..CodegenOptions::minify() };
    let written = Codegen::new().with_options(options).with_scoping(scoping).build(&program);
    let map = written.map.with_context(|| format!("{name} has no map"))?;
    Ok((written.code, map.to_json_string()))
}

/// A style sheet without comments, and without spaces where none is needed; text in quotes stays whole.
fn short_style(source: &str) -> String {
    let mut kept = String::with_capacity(source.len());
    let mut rest = source;
    while let Some(first) = rest.chars().next() {
        let (length, is_space) = match first {
            '"' | '\'' => (rest[1..].find(first).map_or(rest.len(), |end| end + 2), false),
            '/' if rest.starts_with("/*") => (rest[2..].find("*/").map_or(rest.len(), |end| end + 4), true),
            _ => (first.len_utf8(), first.is_whitespace()),
        };
        let (token, after) = rest.split_at(length);
        rest = after;
        if is_space {
            if !kept.ends_with([' ', '{', '}', ';', ',', ':']) {
                kept.push(' ');
            }
            continue;
        }
        if ["{", "}", ";", ","].contains(&token) && kept.ends_with(' ') {
            kept.pop();
        }
        if token == "}" && kept.ends_with(';') {
            kept.pop();
        }
        kept.push_str(token);
    }
    kept
}

/// Response headers without comments.
fn short_headers(source: &str) -> String {
    let kept: Vec<&str> = source.lines().filter(|line| !line.starts_with('#')).collect();
    kept.join("\n") + "\n"
}

/// A page without comments, empty lines and indentation.
fn short_page(source: &str) -> String {
    let mut kept = String::with_capacity(source.len());
    let mut parts = source.split("<!--");
    kept.extend(parts.next());
    kept.extend(parts.filter_map(|part| part.split_once("-->")).map(|(_, after)| after));
    let lines: Vec<&str> = kept.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn script(source: &str) -> String {
        short_script("a.js", source).unwrap().0
    }

    #[test]
    fn a_module_keeps_what_it_offers_and_text_stays() {
        let short = script(
            "// @ts-check\nimport { el } from './el.js';\n/** Adds. @param {number} first */\n\
             export function added(first) { const second = /** @type {number} */ (el(first)); return first + second + `\n // kept\n`; }\n",
        );
        assert!(
            short.contains("./el.js") && short.contains("added(") && short.contains("\n // kept\n"),
            "{short}"
        );
        assert!(!short.contains("@type") && !short.contains("second") && short.len() < 120, "{short}");
    }

    #[test]
    fn a_plain_script_keeps_its_outer_names_and_a_faulty_one_is_refused() {
        let short =
            script("const outer = 1;\nfunction answer(question) { return question + outer + outer; }\n");
        assert!(
            short.contains("outer") && short.contains("answer") && !short.contains("question"),
            "{short}"
        );
        assert!(short_script("a.js", "const = 1;").is_err());
    }

    #[test]
    fn a_map_leads_back_to_the_source() {
        let map = short_script("lib/a.js", "export const a = 1;\n").unwrap().1;
        assert!(map.contains("lib/a.js") && map.contains("export const a = 1;"), "{map}");
    }

    #[test]
    fn a_style_keeps_its_meaning() {
        let source = "/* one */\n@import url('a  b.css');\n.a .b > .c,\n.d :hover {\n  margin: 0 calc(1rem + 2px);\n  content: ' ; } ';\n}\n\
            @media (min-width: 30rem) and (hover: none) {\n  a { color: red; }\n}\n";
        let expected = "@import url('a  b.css');.a .b > .c,.d :hover{margin:0 calc(1rem + 2px);content:' ; } '}\
            @media (min-width:30rem) and (hover:none){a{color:red}}";
        assert_eq!(short_style(source).trim(), expected);
    }

    #[test]
    fn a_page_loses_comments_and_indentation() {
        let source = "<p>\n  <b>a</b>\n  <!-- no\n more -->\n  c\n</p>\n";
        assert_eq!(short_page(source), "<p>\n<b>a</b>\nc\n</p>");
    }
}
