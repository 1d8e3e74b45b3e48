//! The icons: drawn once as SVG, kept as PNG for the systems that want it.
//!
//! The PNG files are committed, so that building the site needs no drawing program; this redraws them with
//! Chromium after a change of the drawing.

use std::fs;

use anyhow::{Context, Result};

use crate::process::{find, output_of};
use crate::workspace::Workspace;

/// Drawing, file, and edge in pixels. A maskable icon fills its square and keeps the matter within the inner
/// 80 % (W3C Web App Manifest, "maskable").
const SIZES: [(&str, &str, u32); 4] = [
    ("icon.svg", "icon-192.png", 192),
    ("icon.svg", "icon-512.png", 512),
    ("icon-maskable.svg", "icon-maskable-512.png", 512),
    ("icon-maskable.svg", "apple-touch-icon.png", 180),
];

/// Redraws every PNG.
///
/// # Errors
/// No Chromium, or it fails.
pub fn draw(workspace: &Workspace) -> Result<()> {
    let chromium = find("chromium").context("drawing the icons needs chromium")?;
    let icons = workspace.packaging().join("icons");
    let page = workspace.target().join("icon.html");
    for (drawing, file, edge) in SIZES {
        let svg = fs::read_to_string(icons.join(drawing))?;
        let style = format!("body{{margin:0}}svg{{display:block;width:{edge}px;height:{edge}px}}");
        fs::write(&page, format!("<!doctype html><style>{style}</style>{svg}"))?;
        output_of(std::process::Command::new(&chromium).args([
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            "--default-background-color=00000000",
            &format!("--window-size={edge},{edge}"),
            &format!("--screenshot={}", icons.join(file).display()),
            &format!("file://{}", page.display()),
        ]))?;
    }
    Ok(())
}
