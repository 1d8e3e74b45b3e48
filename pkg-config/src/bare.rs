//! Scripts and styles without the lines that only comment.
//!
//! They are a quarter of what would go over the line. Nothing else is touched, so the site runs as the sources do.

use std::fs;
use std::path::Path;

use anyhow::Result;

use crate::files;

/// Leaves out the comment lines of every script and style sheet below a folder.
///
/// # Errors
/// A file cannot be read or written.
pub fn strip(folder: &Path) -> Result<()> {
    for file in files::listed(folder)? {
        let path = folder.join(&file);
        if path.extension().is_some_and(|ending| ending == "js" || ending == "css") {
            fs::write(&path, without_comment_lines(&fs::read_to_string(&path)?))?;
        }
    }
    Ok(())
}

/// The source without blank lines and lines that hold nothing but a comment; text between backticks stays whole.
fn without_comment_lines(source: &str) -> String {
    let (mut kept, mut in_comment, mut in_text) = (String::with_capacity(source.len()), false, false);
    for line in source.lines() {
        let mut code = line;
        if !in_text && (in_comment || line.trim_start().starts_with("/*")) {
            let end = line.find("*/");
            in_comment = end.is_none();
            code = end.map_or("", |end| &line[end + 2..]);
        }
        let bare = code.trim();
        if !in_text && (bare.is_empty() || bare.starts_with("//")) {
            continue;
        }
        in_text ^= bare.matches('`').count() % 2 == 1;
        kept.push_str(code);
        kept.push('\n');
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comment_lines_go_and_code_and_text_stay() {
        let source = "// @ts-check\n/**\n * Adds.\n * @param {number} a\n */\nconst a = 1; // one\n\n/* x */ b();\n/* y\n */ d();\n\
            const t = `\n// not a comment\n\n/* nor this */\n`;\n  // gone\n/* gone */\nc('https://x');\n";
        let expected = "const a = 1; // one\n b();\n d();\nconst t = `\n// not a comment\n\n/* nor this */\n`;\nc('https://x');\n";
        assert_eq!(without_comment_lines(source), expected);
    }
}
