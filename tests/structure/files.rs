//! Names at the top, depth of folders, lengths of files, and addresses in the page.

use std::path::Path;

use super::sources;

/// What the top of the checkout holds, apart from names that start with a dot and what git ignores.
const TOP: [&str; 8] =
    ["Cargo.lock", "Cargo.toml", "DEVELOPERS.md", "README.md", "pkg-config", "src", "tests", "www"];

/// Built or installed, never committed.
const IGNORED: [&str; 2] = ["dist", "target"];

/// Lines past which a file holds two nouns.
const LONGEST: usize = 700;

#[test]
fn the_top_holds_the_agreed_names() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found: Vec<String> = root
        .read_dir()
        .expect("the checkout")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| !name.starts_with('.') && !IGNORED.contains(&name.as_str()))
        .collect();
    found.sort_unstable();
    assert_eq!(found, TOP);
}

#[test]
fn folders_are_two_levels_deep_at_most() {
    for (directory, endings) in
        [("src", ["rs"].as_slice()), ("tests", &["rs", "mjs", "py", "csv"]), ("www", &["js", "css", "html"])]
    {
        for source in sources(directory, endings) {
            assert!(source.path.split('/').count() <= 3, "{} lies too deep", source.path);
        }
    }
}

#[test]
fn no_file_is_longer_than_one_noun() {
    for directory in ["src", "tests", "pkg-config/src", "www"] {
        for source in sources(directory, &["rs", "js", "css"]) {
            let length = source.text.lines().count();
            // Tables of coefficients are as long as their theory.
            assert!(
                length <= LONGEST || source.path.ends_with("_terms.rs"),
                "{}: {length} lines",
                source.path
            );
        }
    }
}

#[test]
fn no_file_is_named_after_nothing() {
    for directory in ["src", "tests", "pkg-config/src", "www"] {
        for source in sources(directory, &["rs", "js"]) {
            let name = source.path.rsplit('/').next().and_then(|file| file.split('.').next());
            let vague = ["utils", "util", "common", "helpers", "helper", "types", "misc"];
            assert!(!name.is_some_and(|name| vague.contains(&name)), "{}", source.path);
        }
    }
}

/// What the standard library has for every double and the page would pay for in kilobytes, and what stands in for it.
const DEAR: [(&str, &str); 12] = [
    (".sin()", "trigonometry: sine"),
    (".cos()", "trigonometry: cosine"),
    (".sin_cos()", "trigonometry: sine_cosine"),
    (".tan()", "trigonometry: tangent"),
    (".asin()", "trigonometry: arc_sine"),
    (".acos()", "trigonometry: arc_cosine"),
    (".hypot(", "trigonometry: hypotenuse"),
    (".ln_1p(", "log2 or ln of the sum"),
    (".powf(", "math::power"),
    (".rem_euclid(360.0)", "math::wrapped"),
    (".rem_euclid(TAU)", "math::wrapped"),
    (".join(", "a loop that pushes: two copies of a generic joiner are two kilobytes"),
];

#[test]
fn nothing_that_goes_to_the_page_calls_for_what_is_dear() {
    for source in sources("src", &["rs"]) {
        let code = source.text.split("#[cfg(test)]").next().unwrap_or_default();
        for line in code.lines().filter(|line| !line.trim_start().starts_with("//")) {
            for (dear, instead) in DEAR {
                assert!(!line.contains(dear), "{}: `{dear}` is dear; {instead}", source.path);
            }
        }
    }
}

#[test]
fn the_page_knows_no_other_origin() {
    for source in sources("www", &["js", "css", "html"]) {
        for (at, _) in source.text.match_indices("://") {
            let scheme = source.text[..at].rsplit(|c: char| !c.is_ascii_alphabetic()).next();
            let rest = &source.text[at + 3..];
            // A namespace is a name; nothing is fetched from it.
            let is_namespace = rest.starts_with("www.w3.org/");
            assert!(
                !matches!(scheme, Some("http" | "https" | "ws" | "wss")) || is_namespace,
                "{}: {}",
                source.path,
                &rest[..rest.len().min(40)]
            );
        }
    }
}

/// What makes elements or code of text, or an address of a text.
const OF_TEXT: [&str; 10] = [
    "innerHTML",
    "outerHTML",
    "insertAdjacentHTML",
    "createContextualFragment",
    "setHTML",
    "document.write",
    "eval(",
    "new Function",
    "'text/html'",
    "setAttribute('on",
];

#[test]
fn the_page_makes_nothing_of_text() {
    for source in sources("www", &["js", "html"]) {
        for maker in OF_TEXT {
            assert!(!source.text.contains(maker), "{} has {maker}", source.path);
        }
    }
}
