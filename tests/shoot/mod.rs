//! Run sheets as a whole: hand-checked, mirrored, polar, and at any place and date. The log's table.

mod log;
mod run_sheet;
