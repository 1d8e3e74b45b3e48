//! The finished site: the page as it stands, the wasm with its glue, manifest, icons and headers.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use wasm_bindgen_cli_support::Bindgen;

use crate::process::{output_of, run};
use crate::workspace::Workspace;
use crate::{bare, files, icons, joined, ordered, precache, seam};

/// Where the page runs.
pub const TARGET: &str = "wasm32-unknown-unknown";

/// Loops stay as they are written: the other form is 1 000 bytes more in gzip.
const FLAGS: [&str; 1] = ["-Cllvm-args=-disable-lsr"];

/// Packaging files that go out as they are.
const AS_IS: [&str; 2] = ["_headers", "manifest.webmanifest"];

/// Builds the crate and writes the site; returns its version. The same with the sources as they stand lies in
/// [`Workspace::apart`].
///
/// # Errors
/// The wasm target cannot be added, the crate does not build, or a file cannot be written.
pub fn build(workspace: &Workspace) -> Result<String> {
    let wasm = build_wasm(workspace)?;
    let apart = files::emptied(workspace.apart())?;
    files::copy(&workspace.path("www"), &apart)?;
    for file in AS_IS {
        files::copy_one(&workspace.packaging().join(file), &apart.join(file))?;
    }
    let icons = workspace.packaging().join("icons");
    files::copy_one(&icons.join("icon.svg"), &apart.join("icons/icon.svg"))?;
    icons::paint(&icons, &apart.join("icons"))?;
    bind(workspace, &wasm, &apart.join("wasm"))?;

    let dist = files::emptied(workspace.dist())?;
    files::copy(&apart, &dist)?;
    joined::join(&dist)?;
    bare::strip(&dist, &files::emptied(workspace.target().join("maps"))?)?;
    precache::write(&apart)?;
    precache::write(&dist)
}

/// The crate for the browser, as the compiler leaves it.
fn build_wasm(workspace: &Workspace) -> Result<PathBuf> {
    add_target()?;
    let build = ["build", "--quiet", "--release", "--package=duskbook", "--lib", "--target", TARGET];
    let mut flags: Vec<String> = FLAGS.map(str::to_owned).into();
    // Messages of the libraries name their files: by package, not by where this machine keeps them.
    for home in files::folders(&workspace.registry()?)? {
        flags.push(format!("--remap-path-prefix={home}/="));
    }
    let flags = format!("target.{TARGET}.rustflags = {}", serde_json::to_string(&flags)?);
    run(workspace.cargo().args(build).args(["--config", &flags]))?;
    Ok(workspace.target().join(TARGET).join("release/duskbook.wasm"))
}

/// Adds the wasm target when this toolchain lacks it.
fn add_target() -> Result<()> {
    let library = output_of(std::process::Command::new("rustc").args([
        "--print",
        "target-libdir",
        "--target",
        TARGET,
    ]))?;
    if Path::new(library.trim()).is_dir() {
        return Ok(());
    }
    run(std::process::Command::new("rustup").args(["target", "add", TARGET])).with_context(|| {
        format!("this toolchain has no {TARGET}; without rustup, install it as the system does")
    })
}

/// Writes the glue and the bound wasm to one place and the types of both to another.
fn bind(workspace: &Workspace, wasm: &Path, to: &Path) -> Result<()> {
    let bound = files::emptied(workspace.target().join("bound"))?;
    Bindgen::new()
        .input_path(wasm)
        .web(true)?
        .typescript(true)
        .omit_default_module_path(false)
        .remove_name_section(true)
        .remove_producers_section(true)
        .generate(&bound)?;
    let (glue, library) = ("duskbook.js", "duskbook_bg.wasm");
    let read = (fs::read(bound.join(library))?, fs::read_to_string(bound.join(glue))?);
    let (wasm, text) = seam::shortened(&read.0, &read.1)?;
    fs::create_dir_all(to)?;
    fs::write(to.join(library), ordered::ordered(&wasm)?)?;
    fs::write(to.join(glue), text)?;
    // Where the page's imports of `wasm/duskbook.js` look for types, its root laid over the page's.
    let types = files::emptied(workspace.types())?;
    files::copy_one(&bound.join("duskbook.d.ts"), &types.join("wasm/duskbook.d.ts"))?;
    fs::write(types.join("duskbook.d.ts"), "export * from './wasm/duskbook.js';\n")?;
    Ok(())
}
