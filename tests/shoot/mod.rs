//! Run sheets as a whole: hand-checked, mirrored, polar, and at any place and date. Windows and ramps. The log's table.

mod log;
mod ramp;
mod run_sheet;
mod steadiness;
mod window;
