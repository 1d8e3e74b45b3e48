//! The icon: drawn once as SVG, kept as PNG for the systems that want it.
//!
//! The PNG files are committed, so that building the site needs no drawing program; this redraws them with
//! Chromium after a change of the drawing.

use std::fs;

use anyhow::{Context, Result};

use crate::process::{find, output_of};
use crate::workspace::Workspace;

/// The drawing. It fills its square and keeps what matters within the inner 80 %, so that a system may cut it to
/// any shape (W3C Web App Manifest, "maskable").
const DRAWING: &str = "icon.svg";

/// Files and their edges in pixels.
const SIZES: [(&str, u32); 3] = [("icon-192.png", 192), ("icon-512.png", 512), ("apple-touch-icon.png", 180)];

/// Redraws every PNG.
///
/// # Errors
/// No Chromium, or it fails.
pub fn draw(workspace: &Workspace) -> Result<()> {
    let chromium = find("chromium").context("drawing the icons needs chromium")?;
    let icons = workspace.packaging().join("icons");
    let page = workspace.target().join("icon.html");
    let svg = fs::read_to_string(icons.join(DRAWING))?;
    for (file, edge) in SIZES {
        let style = format!("body{{margin:0}}svg{{display:block;width:{edge}px;height:{edge}px}}");
        fs::write(&page, format!("<!doctype html><style>{style}</style>{svg}"))?;
        output_of(std::process::Command::new(&chromium).args([
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            &format!("--window-size={edge},{edge}"),
            &format!("--screenshot={}", icons.join(file).display()),
            &format!("file://{}", page.display()),
        ]))?;
    }
    Ok(())
}
