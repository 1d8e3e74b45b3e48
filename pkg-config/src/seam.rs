//! Where the library and its glue meet: the names of what the browser does for it, and how the glue loads it.
//!
//! The binding tells the names apart by sixteen digits that nothing else reads, once in each file; here they are counted. It
//! loads in every way that anyone ever asked for; here there are two. Together two kilobytes less in gzip.

use std::convert::Infallible;

use anyhow::{Context, Result, anyhow, ensure};
use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{ImportSection, Module};
use wasmparser::{ImportSectionReader, Parser};

/// Where the binding's own loading begins; it is the last part of the glue.
const LOADING: &str = "async function __wbg_load(";

/// By the bytes of the library, or by its address beside the glue; a host that names it as something else than wasm is
/// served all the same, only slower.
const OURS: &str = "
const initSync = ({ module }) =>
    wasm ?? __wbg_finalize_init(new WebAssembly.Instance(new WebAssembly.Module(module), __wbg_get_imports()));
async function loaded() {
    const answer = await fetch(new URL('duskbook_bg.wasm', import.meta.url));
    if (!answer.ok) throw new Error(`${answer.url}: ${answer.status}`);
    const imports = __wbg_get_imports();
    const { instance } = answer.headers.get('Content-Type') === 'application/wasm'
        ? await WebAssembly.instantiateStreaming(answer, imports)
        : await WebAssembly.instantiate(await answer.arrayBuffer(), imports);
    return __wbg_finalize_init(instance);
}
let loading;
const init = () => (loading ??= loaded());
export { initSync, init as default };
";

/// The same library and the same glue, meeting at short names.
///
/// # Errors
/// The bytes are no wasm, or the glue does not offer each import once and load the library at its end.
pub fn shortened(wasm: &[u8], glue: &str) -> Result<(Vec<u8>, String)> {
    let mut module = Module::new();
    let mut seam = Seam { names: Vec::new() };
    seam.parse_core_module(&mut module, Parser::new(0), wasm)
        .map_err(|refused| anyhow!("the imports cannot be renamed: {refused}"))?;
    let (glue, _) = glue.split_once(LOADING).context("the glue loads the library in another way")?;
    let mut glue = format!("{glue}{OURS}");
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
        let (glue, bare) = (format!("{glue}{LOADING}module) {{}}"), glue);
        let (wasm_after, glue_after) = shortened(&wasm, &glue).unwrap();
        let offers = "{\n  i1: function() { return 34; },\n  i0: function() { return 12; },\n}";
        assert_eq!(glue_after, format!("{offers}{OURS}"));
        let mut names = Vec::new();
        for payload in Parser::new(0).parse_all(&wasm_after) {
            if let Payload::ImportSection(imports) = payload.unwrap() {
                names.extend(imports.into_imports().map(|import| import.unwrap().name.to_owned()));
            }
        }
        assert_eq!(names, ["i0", "i1"]);
        assert!(shortened(&wasm, bare).is_err());
        assert!(shortened(&wasm, LOADING).is_err());
        assert!(shortened(b"no wasm", &glue).is_err());
    }
}
