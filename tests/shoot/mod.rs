//! Run sheets as a whole: hand-checked, mirrored, polar, and at any place and date; files for other programs.

mod exchange;
mod run_sheet;
mod steadiness;
