//! The light against published rows, and against a second implementation.

mod direction;
mod evenings;
mod forecast;
mod illuminance;
mod moonlight;
