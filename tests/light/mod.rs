//! The light against published rows, and against a second implementation.

mod direction;
mod forecast;
mod illuminance;
