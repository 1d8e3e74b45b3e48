//! The spot, the picture wanted there, and the run sheet.
//!
//! A [`spot`] is where the tripod stands and what the lens looks at; a [`shot`] is what the
//! picture may cost in aperture, time and noise. Both begin as forms, typed by hand or read from a
//! [`link`], in which any field may be missing or wrong; a check turns a form into the real thing or
//! lists everything that is wrong with it. [`coordinates`] reads positions as people paste them.
//!
//! With a date, spot and shot become a [`run_sheet`]: the evening or the morning ([`half_day`]) in [`row`]s that say
//! what happens when, how bright it is, and what to dial, with what it takes for granted ([`assumption`]) and what
//! keeps its pictures steady ([`steadiness`]); golden and blue [`hours`] are the photographer's own; a [`shift`] is what one reading changed on it. A [`window`] is the time in
//! which a picture's ranges can be held, a [`ramp`] the settings of a time-lapse. The [`almanac`] finds the dates worth it, and
//! [`in_frame`] when sun and moon stand in the picture.
//!
//! What was made of it is a [`frame`] in the [`log`], from which the light learns. A [`photo`] tells what a picture's file
//! says of it: [`container`] finds that in the file, [`exif`] reads it, and the [`camera_clock`] is put right. [`tones`]
//! counts its pixels, and [`edit`] says what bringing them together will cost.
//!
//! What leaves for other programs is written by [`exchange`] (spots: [`geojson`], [`gpx`], `geo:` links) and [`calendar`]
//! (the sheet, with alarms).

pub mod almanac;
pub mod assumption;
pub mod calendar;
pub mod camera_clock;
pub mod container;
pub mod coordinates;
pub mod edit;
pub mod exchange;
pub mod exif;
pub mod frame;
pub mod geojson;
pub mod gpx;
pub mod half_day;
pub mod hours;
pub mod in_frame;
pub mod link;
pub mod log;
pub mod photo;
pub mod ramp;
pub mod row;
pub mod run_sheet;
pub mod shift;
pub mod shot;
pub mod spot;
pub mod steadiness;
pub mod tones;
pub mod window;
