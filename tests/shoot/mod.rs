//! Run sheets as a whole: hand-checked, mirrored, polar, and at any place and date. Windows and ramps. Photographs, their
//! times and tones. The log's table. Files for other programs. Dates worth going.

mod almanac;
mod camera_clock;
mod exchange;
mod log;
mod photo;
mod ramp;
mod run_sheet;
mod steadiness;
mod tones;
mod window;
