//! Where things are: the checkout, what cargo builds into, and what is installed beside it.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result};

use crate::process::output_of;

/// The directories that every verb needs.
#[derive(Debug, Clone)]
pub struct Workspace {
    root: PathBuf,
    target: PathBuf,
}

impl Workspace {
    /// The checkout that this program was built from.
    ///
    /// # Errors
    /// Cargo cannot describe it.
    pub fn find() -> Result<Self> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().context("pkg-config has no parent")?;
        let described = output_of(cargo(root).args(["metadata", "--no-deps", "--format-version=1"]))?;
        let described: serde_json::Value = serde_json::from_str(&described)?;
        let target = described["target_directory"].as_str().context("cargo names no target directory")?;
        Ok(Self { root: root.to_owned(), target: target.into() })
    }

    /// The checkout.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// A file or directory of the checkout, by its path from there.
    pub fn path(&self, from_root: &str) -> PathBuf {
        self.root.join(from_root)
    }

    /// Packaging files: manifest, icons, headers, budgets, the checkers' package list.
    pub fn packaging(&self) -> PathBuf {
        self.path("pkg-config")
    }

    /// The finished site.
    pub fn dist(&self) -> PathBuf {
        self.path("dist")
    }

    /// The site as its sources stand, for whoever works on the page: no file is joined with others or shortened.
    pub fn apart(&self) -> PathBuf {
        self.target.join("apart")
    }

    /// Where cargo keeps the sources of the libraries, a folder for each registry.
    ///
    /// # Errors
    /// Neither `CARGO_HOME` nor a home says where.
    pub fn registry(&self) -> Result<PathBuf> {
        let home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
        let home = home.or_else(|| std::env::home_dir().map(|home| home.join(".cargo")));
        Ok(home.context("CARGO_HOME is not set, and there is no home")?.join("registry/src"))
    }

    /// Types of the page's calls. Beside the checkout's own `target` even where cargo builds elsewhere, since
    /// the page's sources name them by path.
    pub fn types(&self) -> PathBuf {
        self.path("target/types")
    }

    /// Where cargo builds.
    pub fn target(&self) -> &Path {
        &self.target
    }

    /// Cargo, to be run in the checkout.
    pub fn cargo(&self) -> Command {
        cargo(&self.root)
    }
}

fn cargo(root: &Path) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root);
    command
}
