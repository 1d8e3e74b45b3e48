//! Run sheets as a whole: hand-checked, mirrored, polar, and at any place and date.

mod run_sheet;
mod steadiness;
