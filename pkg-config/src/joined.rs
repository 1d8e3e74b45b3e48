//! Scripts and style sheets that are fetched together, in one file each.
//!
//! Compressed one by one, a hundred small files cost a third more than the same text in one. The modules that the page
//! starts with become one module, in the order in which a browser would run them, and so do those of a worker;
//! the style sheets of the page become one sheet. The sources run as they are; the packager alone does this.
//!
//! Names keep apart by the number of their module. What the wasm's glue offers is still imported: it is a module of
//! its own for whoever else loads it.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::fmt::Write;
use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail, ensure};
use oxc_allocator::Allocator;
use oxc_ast::AstKind;
use oxc_parser::Parser;
use oxc_semantic::SemanticBuilder;
use oxc_span::{GetSpan, SourceType, Span};
use oxc_syntax::module_record::{ExportExportName, ExportImportName, ImportImportName, ModuleRecord};

use crate::precache::ADDRESS;

/// Modules that others import by their own names.
const APART: &str = "wasm/duskbook.js";

/// What that asks for by its own address.
const LIBRARY: &str = "duskbook_bg.wasm";

/// The page, whose script and sheets are named in it.
const PAGE: &str = "index.html";

/// The script that the page starts with, and the one sheet that stays.
const ENTRY: &str = "app.js";
const SHEET: &str = "app.css";

/// Scripts of workers that import modules.
const WORKERS: [&str; 1] = ["lib/photo-worker.js"];

/// Joins what a finished site fetches together, and takes away what nothing asks for any more.
///
/// # Errors
/// A file is missing, is no module, or does what cannot be joined; the message says which and what.
pub fn join(site: &Path) -> Result<()> {
    let mut inside = BTreeSet::new();
    let mut whole = Vec::new();
    for entry in [ENTRY].iter().chain(&WORKERS) {
        let mut modules =
            Modules { site, entry, begun: Vec::new(), read: Vec::new(), outside: BTreeSet::new() };
        modules.add(entry)?;
        inside.extend(modules.read.iter().map(|module| module.path.clone()));
        whole.push((entry, modules.text(entry)));
    }
    let sheets = join_page(site, &inside)?;
    for path in inside.iter().chain(&sheets) {
        let path = site.join(path);
        fs::remove_file(&path).with_context(|| path.display().to_string())?;
        // A folder that is left empty goes too, and one that is not stays.
        if let Some(folder) = path.parent() {
            let _ = fs::remove_dir(folder);
        }
    }
    for (entry, text) in whole {
        let path = site.join(entry);
        fs::create_dir_all(path.parent().context("an entry has a folder")?)?;
        fs::write(path, text)?;
    }
    let glue = site.join(APART);
    let text = fs::read_to_string(&glue).context(APART)?;
    ensure!(text.matches(LIBRARY).count() == 1, "{APART} does not ask for {LIBRARY} once");
    fs::write(glue, text.replace(LIBRARY, &format!("{LIBRARY}{ADDRESS}")))?;
    Ok(())
}

/// Has the page ask for the joined files alone, writes the joined sheet, and returns the sheets that are in it.
fn join_page(site: &Path, inside: &BTreeSet<String>) -> Result<Vec<String>> {
    let page = site.join(PAGE);
    let (mut kept, mut sheet, mut joined) = (String::new(), String::new(), Vec::new());
    for line in fs::read_to_string(&page)?.lines() {
        let file =
            line.split_once("href=\"").and_then(|(_, rest)| rest.split_once('"')).map(|(file, _)| file);
        match file {
            Some(file) if line.contains("rel=\"modulepreload\"") && inside.contains(file) => continue,
            Some(file) if line.contains("rel=\"stylesheet\"") => {
                let text = fs::read_to_string(site.join(file)).with_context(|| file.to_owned())?;
                ensure!(!text.contains("url(") && !text.contains("@import"), "{file} names another file");
                let media = line.split_once("media=\"").and_then(|(_, rest)| rest.split_once('"'));
                match media {
                    Some((media, _)) => write!(sheet, "@media {media} {{\n{text}}}\n")?,
                    None => sheet.push_str(&text),
                }
                if file != SHEET {
                    joined.push(file.to_owned());
                    continue;
                }
            }
            _ => {}
        }
        let mut line = line.to_owned();
        for file in [ENTRY, SHEET, APART, &format!("wasm/{LIBRARY}")] {
            line = line.replace(&format!("\"{file}\""), &format!("\"{file}{ADDRESS}\""));
        }
        kept.push_str(&line);
        kept.push('\n');
    }
    fs::write(page, kept)?;
    fs::write(site.join(SHEET), sheet)?;
    Ok(joined)
}

/// The modules of one entry, each after those that it imports.
struct Modules<'a> {
    site: &'a Path,
    entry: &'a str,
    /// Those whose imports are being read, each imported by the one before.
    begun: Vec<String>,
    read: Vec<Module>,
    /// What is imported from [`APART`].
    outside: BTreeSet<String>,
}

/// A module whose text has its place among others.
struct Module {
    path: String,
    text: String,
    /// What its exports are called among all modules.
    exports: BTreeMap<String, String>,
}

impl Modules<'_> {
    /// Reads a module after all those that it imports.
    fn add(&mut self, path: &str) -> Result<()> {
        if path == APART || self.read.iter().any(|module| module.path == path) {
            return Ok(());
        }
        if let Some(first) = self.begun.iter().position(|begun| begun == path) {
            bail!("modules import each other in a circle: {} → {path}", self.begun[first..].join(" → "));
        }
        let source = fs::read_to_string(self.site.join(path)).with_context(|| path.to_owned())?;
        let allocator = Allocator::default();
        let parsed = Parser::new(&allocator, &source, SourceType::mjs()).parse();
        ensure!(parsed.errors.is_empty(), "{path}: {:?}", parsed.errors);
        let record = &parsed.module_record;
        let mut requested: Vec<(u32, &str)> = record
            .requested_modules
            .iter()
            .map(|(name, at)| (at[0].statement_span.start, name.as_str()))
            .collect();
        requested.sort_unstable();
        self.begun.push(path.into());
        for (_, name) in &requested {
            self.add(&beside(path, name))?;
        }
        self.begun.pop();

        let number = self.read.len();
        let mut edits = Vec::new();
        let mut exports = BTreeMap::new();
        let semantic = SemanticBuilder::new().build(&parsed.program).semantic;
        let (scoping, nodes) = (semantic.scoping(), semantic.nodes());
        // Where `{ a }` stands for `{ a: a }`.
        let short: HashSet<u32> = nodes
            .iter()
            .filter_map(|node| match node.kind() {
                AstKind::ObjectProperty(property) if property.shorthand => Some(property.span.start),
                AstKind::BindingProperty(property) if property.shorthand => Some(property.span.start),
                AstKind::AssignmentTargetPropertyIdentifier(property) => Some(property.span.start),
                _ => None,
            })
            .collect();
        let mut rename = |span: Span, from: &str, to: &str| {
            let text = if short.contains(&span.start) { format!("{from}: {to}") } else { to.to_owned() };
            edits.push((Span::new(span.start, span.start + from.len() as u32), text));
        };

        let mut imported = HashSet::new();
        for entry in &record.import_entries {
            let local = entry.local_name.name.as_str();
            let symbol = scoping.get_root_binding(local).context("an import is bound")?;
            imported.insert(symbol);
            let from = beside(path, &entry.module_request.name);
            for reference in scoping.get_resolved_references(symbol) {
                let span = semantic.reference_span(reference);
                match &entry.import_name {
                    ImportImportName::Name(name) => rename(span, local, &self.name(&from, &name.name)?),
                    ImportImportName::Default(_) => rename(span, local, &self.name(&from, "default")?),
                    ImportImportName::NamespaceObject => match nodes.parent_kind(reference.node_id()) {
                        AstKind::StaticMemberExpression(member) => {
                            let whole = &source[member.span.start as usize..member.span.end as usize];
                            rename(member.span(), whole, &self.name(&from, &member.property.name)?);
                        }
                        _ => bail!("{path}: {local} is handed on whole"),
                    },
                }
            }
        }
        for symbol in scoping.iter_bindings_in(scoping.root_scope_id()) {
            if imported.contains(&symbol) {
                continue;
            }
            let name = scoping.symbol_name(symbol);
            let unique = format!("{name}${number}");
            rename(scoping.symbol_span(symbol), name, &unique);
            for reference in scoping.get_resolved_references(symbol) {
                rename(semantic.reference_span(reference), name, &unique);
            }
        }

        for entry in record.local_export_entries.iter().chain(&record.indirect_export_entries) {
            let ExportExportName::Name(name) = &entry.export_name else { bail!("{path}: a default export") };
            let unique = match (&entry.module_request, &entry.import_name) {
                (None, _) => {
                    format!("{}${number}", entry.local_name.name().context("an export has a name")?)
                }
                (Some(from), ExportImportName::Name(other)) => {
                    let from = beside(path, &from.name);
                    if from == APART {
                        format!("{APART} {}", other.name)
                    } else {
                        self.name(&from, &other.name)?
                    }
                }
                _ => bail!("{path}: everything is exported on"),
            };
            exports.insert(name.name.to_string(), unique);
        }
        ensure!(record.star_export_entries.is_empty(), "{path}: everything is exported on");
        edits.extend(statements(record, &source));
        let text = placed(&edited(&source, edits), path, self.entry)?;
        self.read.push(Module { path: path.into(), text, exports });
        Ok(())
    }

    /// What an export of a module that is read is called among all.
    fn name(&mut self, path: &str, export: &str) -> Result<String> {
        let found = if path == APART {
            format!("{APART} {export}")
        } else {
            let module = self.read.iter().find(|module| module.path == path);
            let module = module.with_context(|| format!("{path} is imported before it is done"))?;
            module.exports.get(export).with_context(|| format!("{path} has no {export}"))?.clone()
        };
        Ok(if let Some((APART, name)) = found.split_once(' ') {
            self.outside.insert(name.into());
            format!("{name}$")
        } else {
            found
        })
    }

    /// The whole, to be written in the place of its entry.
    fn text(&self, entry: &str) -> String {
        let names: Vec<String> = self.outside.iter().map(|name| format!("{name} as {name}$")).collect();
        let up = "../".repeat(entry.matches('/').count());
        let up = if up.is_empty() { "./" } else { &up };
        let mut whole = format!("import {{ {} }} from '{up}{APART}{ADDRESS}';\n", names.join(", "));
        for module in &self.read {
            whole.push_str("\n// ");
            whole.push_str(&module.path);
            whole.push('\n');
            whole.push_str(&module.text);
        }
        whole
    }
}

/// The path of a module that another imports.
fn beside(importer: &str, name: &str) -> String {
    let mut folders: Vec<&str> = importer.split('/').collect();
    folders.pop();
    for part in name.split('/') {
        match part {
            "." => {}
            ".." => drop(folders.pop()),
            other => folders.push(other),
        }
    }
    folders.join("/")
}

/// The statements of import and export, to be taken away.
fn statements(record: &ModuleRecord, source: &str) -> Vec<(Span, String)> {
    let requests = record.requested_modules.values().flatten().map(|request| request.statement_span);
    let exports = record.local_export_entries.iter().map(|entry| {
        let (from, word) = (entry.statement_span.start, "export ");
        let is_list = source[from as usize..].starts_with("export {");
        let end = if is_list { entry.statement_span.end } else { from + word.len() as u32 };
        Span::new(from, end)
    });
    requests.chain(exports).map(|span| (span, String::new())).collect()
}

/// The same text with the addresses that it forms from its own seen from the root, where the page's script is, and of its version.
fn placed(text: &str, path: &str, entry: &str) -> Result<String> {
    const BEGINS: &str = "new URL('";
    let moves = entry.contains('/') && text.contains("import.meta");
    ensure!(!moves, "{path} forms an address from its own, which in {entry} is another");
    let mut parts = text.split(BEGINS);
    let mut whole = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let (name, rest) = part.split_once('\'').unwrap_or((part, ""));
        let is_own = rest.starts_with(", import.meta.url");
        let name = if is_own { format!("./{}{ADDRESS}", beside(path, name)) } else { name.into() };
        let _ = write!(whole, "{BEGINS}{name}'{rest}");
    }
    Ok(whole)
}

/// A text with pieces of it replaced; where two begin at one place the longer holds.
fn edited(source: &str, mut edits: Vec<(Span, String)>) -> String {
    edits.sort_by_key(|(span, _)| (span.start, u32::MAX - span.end));
    let (mut text, mut done) = (String::with_capacity(source.len()), 0);
    for (span, instead) in edits {
        let (from, to) = (span.start as usize, span.end as usize);
        if from >= done {
            text.push_str(&source[done..from]);
            text.push_str(&instead);
            done = to;
        }
    }
    text.push_str(&source[done..]);
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files;

    /// A site of these files; the folder's name keeps tests apart.
    fn site(name: &str, content: &[(&str, &str)]) -> std::path::PathBuf {
        let site = files::emptied(std::env::temp_dir().join(name)).unwrap();
        let others = [
            ("lib/photo-worker.js", "import { b } from './b.js';\npostMessage(b);\n"),
            ("lib/b.js", "export const b = 1;\n"),
            ("wasm/duskbook.js", "new URL('duskbook_bg.wasm')"),
        ];
        for (path, text) in others.iter().chain(content) {
            fs::create_dir_all(site.join(path).parent().unwrap()).unwrap();
            fs::write(site.join(path), text).unwrap();
        }
        site
    }

    #[test]
    fn modules_become_one_in_the_order_they_run_and_their_names_stay_apart() {
        let site = site(
            "duskbook-joined",
            &[
                (
                    "index.html",
                    "<link rel=\"stylesheet\" href=\"app.css\">\n<link rel=\"stylesheet\" href=\"b.css\" media=\"print\">\n<link rel=\"modulepreload\" href=\"lib/a.js\">\n<p>\n",
                ),
                ("app.css", "p{}\n"),
                ("b.css", "a{}\n"),
                (
                    "app.js",
                    "import * as all from './lib/a.js';\nimport { call } from './core.js';\nconst own = 1;\nexport function go(a) { return { own, a: all.a, call, at: all.a(a) }; }\n",
                ),
                (
                    "core.js",
                    "import init from './wasm/duskbook.js';\nexport {\n  call,\n  other,\n} from './wasm/duskbook.js';\nexport const ready = init();\n",
                ),
                (
                    "lib/a.js",
                    "const { own } = self;\nexport const a = own;\nexport class B { worker = new URL('./w.js', import.meta.url); }\n",
                ),
            ],
        );
        join(&site).unwrap();
        assert_eq!(
            fs::read_to_string(site.join("app.js")).unwrap(),
            "import { call as call$, default as default$ } from './wasm/duskbook.js?v=';\n\
             \n// lib/a.js\nconst { own: own$0 } = self;\nconst a$0 = own$0;\nclass B$0 { worker = new URL('./lib/w.js?v=', import.meta.url); }\n\
             \n// core.js\n\n\nconst ready$1 = default$();\n\
             \n// app.js\n\n\nconst own$2 = 1;\nfunction go$2(a) { return { own: own$2, a: a$0, call: call$, at: a$0(a) }; }\n"
        );
        assert_eq!(
            fs::read_to_string(site.join("index.html")).unwrap(),
            "<link rel=\"stylesheet\" href=\"app.css?v=\">\n<p>\n"
        );
        assert_eq!(fs::read_to_string(site.join("app.css")).unwrap(), "p{}\n@media print {\na{}\n}\n");
        assert_eq!(
            files::listed(&site).unwrap(),
            ["app.css", "app.js", "index.html", "lib/photo-worker.js", "wasm/duskbook.js"]
        );
        assert_eq!(fs::read_to_string(site.join(APART)).unwrap(), "new URL('duskbook_bg.wasm?v=')");
        fs::remove_dir_all(site).unwrap();
    }

    #[test]
    fn what_cannot_be_joined_is_refused_and_not_lost() {
        for (text, why) in [
            ("import * as all from './lib/a.js';\nconsole.log(all);\n", "handed on whole"),
            ("import { b } from './lib/a.js';\nconsole.log(b);\n", "has no b"),
            ("export * from './lib/a.js';\n", "exported on"),
            ("export default 1;\n", "default"),
            ("const = 1;\n", "app.js"),
            ("import './lib/c.js';\n", "in a circle: lib/c.js → lib/d.js → lib/c.js"),
            ("import './app.js';\n", "in a circle: app.js → app.js"),
        ] {
            let others = [
                ("lib/a.js", "export const a = 1;\n"),
                ("lib/c.js", "import './d.js';\n"),
                ("lib/d.js", "import './c.js';\n"),
            ];
            let site = site("duskbook-unjoined", &[&others[..], &[("app.js", text)]].concat());
            let refused = join(&site).unwrap_err();
            assert!(format!("{refused:#}").contains(why), "{text}: {refused:#}");
            assert!(site.join("lib/a.js").exists());
            fs::remove_dir_all(site).unwrap();
        }
    }

    #[test]
    fn a_worker_forms_no_address_from_its_own() {
        let own = "export const b = new URL('./w.js', import.meta.url);\n";
        let site = site("duskbook-unplaced", &[("app.js", "go();\n"), ("lib/b.js", own)]);
        let refused = join(&site).unwrap_err().to_string();
        assert!(refused.starts_with("lib/b.js forms an address"), "{refused}");
        fs::remove_dir_all(site).unwrap();
    }
}
