//! The one direction of knowledge: `units → {sky, exposure, optics} → {light, motion} → shoot → web`.

use super::sources;

/// Every area with those it may use. `error` and `math` are under all of them.
const MAY_USE: [(&str, &[&str]); 8] = [
    ("units", &[]),
    ("sky", &["units"]),
    ("exposure", &["units"]),
    ("optics", &["units"]),
    ("light", &["units", "sky", "exposure", "optics"]),
    ("motion", &["units", "sky", "exposure", "optics"]),
    ("shoot", &["units", "sky", "exposure", "optics", "light", "motion"]),
    ("web", &["units", "sky", "exposure", "optics", "light", "motion", "shoot"]),
];

/// The area of a path such as `src/sky/sun.rs`; none for files at the top of `src`.
fn area(path: &str) -> Option<&str> {
    path.strip_prefix("src/")?.split_once('/').map(|(area, _)| area)
}

/// Areas that a line of code names through `crate::`, one at a time or in braces.
fn named(line: &str) -> Vec<&str> {
    let mut names = Vec::new();
    for rest in line.split("crate::").skip(1) {
        let list = match rest.strip_prefix('{') {
            Some(list) => list.split(['}', ';']).next().unwrap_or_default(),
            None => rest.split([',', ';']).next().unwrap_or_default(),
        };
        for item in list.split(',') {
            names.extend(item.trim().split(|c: char| !c.is_alphanumeric() && c != '_').next());
        }
    }
    names
}

#[test]
fn an_area_uses_only_those_before_it() {
    for source in sources("src", &["rs"]) {
        let Some(own) = area(&source.path) else { continue };
        let (_, may_use) = MAY_USE
            .iter()
            .find(|(area, _)| *area == own)
            .unwrap_or_else(|| panic!("{}: {own} is no area", source.path));
        let code = source.text.lines().filter(|line| !line.trim_start().starts_with("//"));
        for (area, line) in code.flat_map(|line| named(line).into_iter().map(move |name| (name, line))) {
            let is_area = MAY_USE.iter().any(|(known, _)| *known == area);
            assert!(
                !is_area || area == own || may_use.contains(&area),
                "{}: {own} may not use {area}: {line}",
                source.path
            );
        }
    }
}

#[test]
fn the_reader_of_imports_sees_every_form() {
    assert_eq!(named("use crate::sky::sun::position;"), ["sky"]);
    assert_eq!(named("use crate::{units::Angle, light};"), ["units", "light"]);
    assert_eq!(named("let x = crate::exposure::ev(crate::math::lerp(a, b));"), ["exposure", "math"]);
    assert!(named("use std::fmt;").is_empty());
}

#[test]
fn only_the_web_area_knows_javascript() {
    for source in sources("src", &["rs"]) {
        if area(&source.path) == Some("web") {
            continue;
        }
        for name in ["wasm_bindgen", "js_sys", "web_sys", "tsify"] {
            assert!(!source.text.contains(name), "{} names {name}", source.path);
        }
    }
}

#[test]
fn only_core_js_imports_the_wasm() {
    for source in sources("www", &["js"]) {
        let imports = source.text.lines().any(|line| {
            let line = line.trim_start();
            // Types in remarks are no imports.
            (line.contains("from '") || line.contains("import('"))
                && line.contains("/wasm/")
                && !line.starts_with(['*', '/'])
        });
        assert_eq!(imports, source.path == "www/core.js", "{}", source.path);
    }
}
