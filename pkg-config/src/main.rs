//! Builds, serves and checks the field book.
fn main() {}
