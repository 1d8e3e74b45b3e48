//! Run sheets as a whole: hand-checked, mirrored, polar, and at any place and date. Windows and ramps.

mod ramp;
mod run_sheet;
mod steadiness;
mod window;
//! Run sheets as a whole, hand-checked, mirrored, polar, and at any place and date; photographs, their times and tones.

mod camera_clock;
mod photo;
mod run_sheet;
mod steadiness;
mod tones;
