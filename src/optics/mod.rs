//! What the lens draws and on what: sensor and film formats.

pub mod format;
pub mod lens;
