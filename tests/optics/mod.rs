mod diffraction;
mod focus;
mod format;
mod properties;
mod thin_lens;
mod view;

/// Holds a number to what it should be.
fn close(found: f64, expected: f64, within: f64, what: &str) {
    assert!((found - expected).abs() <= within, "{what}: {found}, expected {expected}");
}
