//! A frame of the log: what was dialled, when, for what, and the brightness that it amounts to.
//!
//! The settings of a frame suit one brightness, N²/t at ISO 100 ([`Settings::ev`]). Glass in front of the lens let less of the
//! scene through, and compensation made the picture lighter than mid-tone, so the scene that a meter would have called
//! mid-tone is
//!
//! ```text
//! EV100 = EV of the settings + what the filters took + compensation
//! ```
//!
//! *Expected error*: what the dials are off, 0.1 stop, and for a frame that is taken for a reading the third of a stop by which a
//! picture's mid-tone is judged by eye (common practice, no source). A number that names a dial's mark, as engraved or
//! exact, counts as the mark: 1/60 is 1/64 s. Not modelled: what the lens loses at close range and in its glass.

use crate::error::{Bounds, Error, Problems, Result};
use crate::exposure::series::{Aperture, Iso, Shutter};
use crate::exposure::settings::Settings;
use crate::light::reading::Reading;
use crate::light::scene::Intent;
use crate::shoot::shot::FILTER;
use crate::shoot::spot::{FOCAL_LENGTH, NAME, NOTES, checked_text};
use crate::units::{Ev, Instant, Stops};

/// Length of the word that a record goes by; it may be empty before the page has given one.
pub const ID: Bounds = Bounds { field: "id", ..NAME };
/// The same for its spot.
pub const SPOT_ID: Bounds = Bounds { field: "spotId", ..NAME };
/// Length of the name that the spot had.
pub const SPOT_NAME: Bounds = Bounds { field: "spotName", ..NAME };
/// How much lighter than mid-tone the picture was meant to be.
pub const COMPENSATION: Bounds = Bounds::new("compensationStops", -10.0, 10.0, " stops");
/// Length of what was written down for the white balance.
pub const WHITE_BALANCE: Bounds = Bounds { field: "whiteBalance", ..NAME };
/// Length of the note.
pub const NOTE: Bounds = Bounds { field: "note", ..NOTES };
/// Stars given; 0 is none given.
pub const RATING: Bounds = Bounds::new("rating", 0.0, 5.0, "");

/// Where a frame's numbers may come from.
const SOURCES: [&str; 3] = ["photo", "desk", "hand"];

/// A frame as the log keeps it; any field may be wrong.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FrameForm {
    /// The record's own word; [`ID`].
    pub id: String,
    /// The record of its spot, if that was kept; [`SPOT_ID`].
    pub spot_id: Option<String>,
    /// The spot's name at the time; [`SPOT_NAME`].
    pub spot_name: String,
    /// When, milliseconds since 1970 UTC.
    pub at_ms: f64,
    /// F-number, as engraved or exact.
    pub aperture: f64,
    /// Seconds, as engraved or exact.
    pub shutter_s: f64,
    /// ISO speed, as engraved or exact.
    pub iso: f64,
    /// What the filters on the lens took; [`FILTER`].
    pub filter_stops: f64,
    /// How much lighter than mid-tone it was meant to be; [`COMPENSATION`].
    pub compensation_stops: f64,
    /// Focal length as engraved, millimetres; [`FOCAL_LENGTH`].
    pub focal_mm: Option<f64>,
    /// As it was set: `5000 K`, `daylight`; [`WHITE_BALANCE`].
    pub white_balance: String,
    /// What it was exposed for; [`Intent::from_word`].
    pub intent: String,
    /// Anything else; [`NOTE`].
    pub note: String,
    /// Whole stars; [`RATING`].
    pub rating: f64,
    /// Whether the forecast is to learn from it.
    pub reading: bool,
    /// `photo`, `desk` or `hand`.
    pub source: String,
}

/// A frame that passed its checks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// When.
    pub at: Instant,
    /// What was dialled.
    pub settings: Settings,
    /// What the filters took.
    pub filter: Stops,
    /// How much lighter than mid-tone it was meant to be.
    pub compensation: Stops,
    /// What it was exposed for.
    pub intent: Intent,
}

impl Frame {
    /// The brightness that it has at mid-tone.
    ///
    /// ```
    /// use duskbook::shoot::frame::FrameForm;
    /// // f/8 and 30 s at ISO 100 suit EV 1; three stops of glass and a picture meant one stop lighter: EV 5.
    /// let form = FrameForm {
    ///     aperture: 8.0, shutter_s: 30.0, iso: 100.0, filter_stops: 3.0, compensation_stops: 1.0,
    ///     intent: "frame".into(), source: "hand".into(), ..FrameForm::default()
    /// };
    /// assert_eq!(form.check().unwrap().ev().value(), 5.0);
    /// ```
    pub fn ev(&self) -> Ev {
        self.settings.ev() + self.filter + self.compensation
    }

    /// What the forecast learns from it; the same sum.
    ///
    /// # Errors
    /// A brightness that no evening has: names `reading`.
    pub fn reading(&self) -> Result<Reading> {
        let &Self { at, settings, filter, compensation, intent } = self;
        Reading::of_frame(at, settings, filter, compensation, intent)
            .map_err(|refused| refused.in_field("reading"))
    }
}

impl FrameForm {
    /// The frame, when every field is right.
    ///
    /// # Errors
    /// Everything that is wrong, each by its field's name at the boundary; `reading` when it is taken for one and no
    /// evening is as bright or dark.
    pub fn check(&self) -> std::result::Result<Frame, Problems> {
        let mut problems = Problems::default();
        for (text, length) in [
            (self.id.as_str(), ID),
            (self.spot_id.as_deref().unwrap_or_default(), SPOT_ID),
            (&self.spot_name, SPOT_NAME),
            (&self.white_balance, WHITE_BALANCE),
            (&self.note, NOTE),
        ] {
            problems.note(checked_text(text, length));
        }
        let at = problems.note(Instant::from_epoch_ms(self.at_ms));
        let aperture = problems.note(Aperture::marked(self.aperture));
        let shutter = problems.note(Shutter::marked(self.shutter_s));
        let iso = problems.note(Iso::marked(self.iso));
        let filter = problems.note(FILTER.check(self.filter_stops));
        let compensation = problems.note(COMPENSATION.check(self.compensation_stops));
        problems.note(FOCAL_LENGTH.optional(self.focal_mm));
        problems.note(RATING.check(self.rating).and_then(|stars| {
            let whole = stars.fract() == 0.0;
            if whole { Ok(stars) } else { Err(Error::out_of_range("rating", stars, RATING)) }
        }));
        let intent = problems.note(Intent::from_word(&self.intent));
        let source = self.source.as_str();
        let known = SOURCES.contains(&source);
        problems.note(if known { Ok(()) } else { Err(Error::unknown("source", source, &SOURCES)) });
        let frame = || {
            Some(Frame {
                at: at?,
                settings: Settings { aperture: aperture?, shutter: shutter?, iso: iso? },
                filter: Stops::new(filter?),
                compensation: Stops::new(compensation?),
                intent: intent?,
            })
        };
        let frame = frame();
        if let Some(frame) = frame.filter(|_| self.reading) {
            problems.note(frame.reading());
        }
        frame.filter(|_| problems.list().is_empty()).ok_or(problems)
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A frame at an invented weir.
    pub(crate) fn weir() -> FrameForm {
        FrameForm {
            id: "a1".into(),
            spot_id: Some("s1".into()),
            spot_name: "Heron Weir".into(),
            at_ms: 1_930_938_127_123.0,
            aperture: Aperture::parse("11").unwrap().exact(),
            shutter_s: 0.125,
            iso: 100.0,
            filter_stops: 0.0,
            compensation_stops: 0.0,
            focal_mm: Some(35.0),
            white_balance: "5000 K".into(),
            intent: "frame".into(),
            note: String::new(),
            rating: 0.0,
            reading: false,
            source: "hand".into(),
        }
    }

    #[test]
    fn glass_and_compensation_are_given_back_to_the_scene() {
        let ev = |change: fn(&mut FrameForm)| {
            let mut form = weir();
            change(&mut form);
            form.check().unwrap().ev().value()
        };
        // N²/t: f/11 is 7 stops, 1/8 s is 3; by hand.
        assert_eq!(ev(|_| ()), 10.0);
        assert_eq!(ev(|f| f.filter_stops = 2.0), 12.0);
        // Meant darker than mid-tone, the scene's mid-tone is darker than the settings say.
        assert_eq!(ev(|f| f.compensation_stops = -1.0), 9.0);
        assert_eq!(ev(|f| f.iso = 200.0), 9.0);
        // As engraved or exact, one mark.
        assert_eq!(ev(|f| f.aperture = 11.0), 10.0);
        assert_eq!(ev(|f| f.shutter_s = 1.0 / 60.0), 13.0);
    }

    #[test]
    fn all_that_is_wrong_is_named_at_once() {
        let bad = FrameForm {
            aperture: 0.0,
            rating: 2.5,
            intent: "both".into(),
            source: "dream".into(),
            note: "x".repeat(2001),
            at_ms: f64::NAN,
            ..weir()
        };
        let problems = bad.check().unwrap_err();
        let fields: Vec<&str> = problems.list().iter().map(Error::field).collect();
        assert_eq!(fields, ["note", "atMs", "aperture", "rating", "intent", "source"]);
    }

    #[test]
    fn no_evening_is_as_bright_as_a_frame_at_the_sun() {
        let sun = FrameForm { aperture: 22.0, shutter_s: 1.0 / 8000.0, iso: 50.0, ..weir() };
        assert!(sun.check().is_ok_and(|frame| frame.ev().value() == 23.0 && frame.reading().is_err()));
        let refused = FrameForm { reading: true, ..sun }.check().unwrap_err();
        assert_eq!(refused.list()[0].field(), "reading");
    }
}
