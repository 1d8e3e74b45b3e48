//! The names by which the library asks its glue for what the browser does.
//!
//! The binding tells them apart by sixteen digits that nothing else reads, once in each file. Here they are counted:
//! a kilobyte less in gzip.

use std::convert::Infallible;

use anyhow::{Result, anyhow, ensure};
use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{ImportSection, Module};
use wasmparser::{ImportSectionReader, Parser};

/// The same library and the same glue, meeting at short names.
///
/// # Errors
/// The bytes are no wasm, or the glue does not offer each import once.
pub fn shortened(wasm: &[u8], glue: &str) -> Result<(Vec<u8>, String)> {
    let mut module = Module::new();
    let mut seam = Seam { names: Vec::new() };
    seam.parse_core_module(&mut module, Parser::new(0), wasm)
        .map_err(|refused| anyhow!("the imports cannot be renamed: {refused}"))?;
    let mut glue = glue.to_owned();
    for (number, name) in seam.names.iter().enumerate() {
        let offered = format!(" {name}: ");
        ensure!(glue.matches(&offered).count() == 1, "the glue does not offer {name} once");
        glue = glue.replace(&offered, &format!(" {}: ", short(number)));
    }
    Ok((module.finish(), glue))
}

/// What an import is called by its place.
fn short(number: usize) -> String {
    format!("i{number}")
}

/// Writes a module anew with its imports counted.
struct Seam {
    /// What they were called.
    names: Vec<String>,
}

impl Reencode for Seam {
    type Error = Infallible;

    fn parse_import_section(
        &mut self,
        imports: &mut ImportSection,
        section: ImportSectionReader<'_>,
    ) -> std::result::Result<(), Error> {
        for import in section.into_imports() {
            let import = import?;
            imports.import(import.module, &short(self.names.len()), self.entity_type(import.ty)?);
            self.names.push(import.name.to_owned());
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wasm_encoder::{EntityType, TypeSection, ValType};
    use wasmparser::Payload;

    #[test]
    fn library_and_glue_meet_at_the_same_short_names() {
        let mut types = TypeSection::new();
        types.ty().function([], [ValType::I32]);
        let mut imports = ImportSection::new();
        imports.import("./glue.js", "__wbg_new_12ab", EntityType::Function(0));
        imports.import("./glue.js", "__wbg_new_34cd", EntityType::Function(0));
        let mut module = Module::new();
        module.section(&types).section(&imports);
        let wasm = module.finish();
        let glue = "{\n  __wbg_new_34cd: function() { return 34; },\n  __wbg_new_12ab: function() { return 12; },\n}";
        let (wasm_after, glue_after) = shortened(&wasm, glue).unwrap();
        assert_eq!(glue_after, "{\n  i1: function() { return 34; },\n  i0: function() { return 12; },\n}");
        let mut names = Vec::new();
        for payload in Parser::new(0).parse_all(&wasm_after) {
            if let Payload::ImportSection(imports) = payload.unwrap() {
                names.extend(imports.into_imports().map(|import| import.unwrap().name.to_owned()));
            }
        }
        assert_eq!(names, ["i0", "i1"]);
        assert!(shortened(&wasm, "{}").is_err());
        assert!(shortened(b"no wasm", glue).is_err());
    }
}
