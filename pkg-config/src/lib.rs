//! Builds, serves and checks the field book.
//!
//! | verb | what it does |
//! |---|---|
//! | `cargo site` | writes `dist/`: plain files for any static host |
//! | `cargo serve` | the same, then serves it on this machine |
//! | `cargo verify` | every check in its short form; `--quick` leaves the browsers out |
//! | `cargo soak` | the long forms of the checks that have one |
//! | `cargo figures` | speed against the peers, held to `budgets.toml` |
//!
//! Each module is one noun of that work. The library exists for the end-to-end tests, which serve the site
//! themselves so that they can take the server away.

pub mod audit;
pub mod bare;
pub mod boundary;
pub mod budgets;
pub mod engine;
pub mod figures;
pub mod files;
pub mod headers;
pub mod icons;
pub mod joined;
pub mod lighthouse;
pub mod ordered;
pub mod pace;
pub mod pictures;
pub mod precache;
pub mod process;
pub mod readers;
pub mod seam;
pub mod server;
pub mod site;
pub mod size;
pub mod soak;
pub mod tools;
pub mod verify;
pub mod workspace;
