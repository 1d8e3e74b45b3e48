mod bracket;
mod equivalent;
mod ev;
mod filter;
mod reciprocity;
mod sequence;
mod series;
mod settings;

/// Holds a number to what it should be.
fn close(found: f64, expected: f64, within: f64, what: &str) {
    assert!((found - expected).abs() <= within, "{what}: {found}, expected {expected}");
}
