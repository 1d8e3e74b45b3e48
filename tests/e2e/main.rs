//! The built page in real browsers, against a server that can be taken away.
//!
//! `DUSKBOOK_ENGINE` names the browser engine. Tests of the modules `chromium…` need Chromium itself: its
//! protocol, or its zone data; `cargo verify` leaves those out elsewhere. Tests run one at a time. The site
//! protocol, or its zone data; `cargo verify` leaves those modules out elsewhere. Tests run one at a time. The site
//! must have been built.

#![allow(missing_docs, clippy::expect_used, clippy::unwrap_used, clippy::panic)]

mod access;
mod backup;
mod chromium;
mod chromium_hands;
mod chromium_night;
mod chromium_speed;
mod evening;
mod exposure;
mod first_minute;
mod handed;
mod horizon;
mod hostile;
mod inputs;
mod keeping;
mod kills;
mod lens;
mod log;
mod motion;
mod offline;
mod page;
mod policy;
mod processes;
mod stage;
mod sunset;
mod timer;
mod trace;
mod update;
mod zones;
