//! The built page in real browsers, against a server that can be taken away.
//!
//! `DUSKBOOK_ENGINE` names the browser engine. Tests of the module `chromium` need Chromium itself: its
//! protocol, or its zone data; `cargo verify` leaves that module out elsewhere. Tests run one at a time. The site
//! must have been built.

#![allow(missing_docs, clippy::expect_used, clippy::unwrap_used, clippy::panic)]

mod access;
mod backup;
mod chromium;
mod evening;
mod exposure;
mod horizon;
mod hostile;
mod inputs;
mod lens;
mod log;
mod motion;
mod offline;
mod page;
mod processes;
mod stage;
mod sunset;
mod timer;
mod update;
mod zones;
