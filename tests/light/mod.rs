//! The light against published rows, and against a second implementation.

mod city;
mod direction;
mod evenings;
mod forecast;
mod illuminance;
mod moonlight;
mod three_settings;
