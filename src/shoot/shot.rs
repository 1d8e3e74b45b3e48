//! What the picture may cost: apertures, sensitivities, the time wanted, the filter carried.
//!
//! # The rule for what to dial
//! [`Shot::dial`] spends what harms the picture least, in this order:
//!
//! 1. **Smallest aperture and base ISO, and the time follows.** Depth and clean files first; on a tripod time costs
//!    nothing but patience (common practice).
//! 2. At the time wanted, or without one at the longest that the camera keeps by itself, **the time stays and
//!    the lens opens.** The wanted time is the picture: the trail of a car, the smoothness of water.
//! 3. With the lens wide open **the ISO rises.** Noise comes last, as it cannot be taken back.
//! 4. At the highest ISO **the time runs on**, past 30 s as a timed exposure.
//!
//! Before step 2 the light is too bright for the wanted time and the time is shorter than wanted; after step 3 it
//! is longer. Both are marked as limited: a darker filter, or a wider choice, would hold it.

use crate::decimal::written;
use crate::error::{Bounds, Error, Problems};
use crate::exposure::series::{Aperture, Dial, FNumber, Iso, Shutter, Speed, Time};
use crate::exposure::settings::{Fixed, Held, Limits, hold};
use crate::units::{Ev, Stops};

/// F-number of the widest opening to be used.
pub const APERTURE_MIN: Bounds = Bounds { field: "apertureMin", ..FNumber::RANGE };
/// F-number of the smallest opening to be used.
pub const APERTURE_MAX: Bounds = Bounds { field: "apertureMax", ..FNumber::RANGE };
/// Lowest speed to be used.
pub const ISO_MIN: Bounds = Bounds { field: "isoMin", ..Speed::RANGE };
/// Highest speed to be used.
pub const ISO_MAX: Bounds = Bounds { field: "isoMax", ..Speed::RANGE };
/// Exposure time that the picture needs.
pub const SHUTTER_WANTED: Bounds = Bounds { field: "shutterWantedS", ..Time::RANGE };
/// What the filters on the lens take.
pub const FILTER: Bounds = Bounds::new("filterStops", 0.0, 30.0, " stops");

/// A picture wanted, that passed its checks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shot {
    /// How far each dial may go.
    pub limits: Limits,
    /// The time that the picture needs; none when any will do.
    pub shutter_wanted: Option<Shutter>,
    /// What the filters on the lens take, never negative.
    pub filter: Stops,
}

impl Shot {
    /// What to dial for a brightness, by the rule of this module.
    ///
    /// `limited` is set when the exposure is off by more than rounding, and when the time wanted was not held.
    ///
    /// ```
    /// use duskbook::shoot::shot::ShotForm;
    /// use duskbook::units::Ev;
    /// let shot = ShotForm { shutter_wanted_s: Some(8.0), ..ShotForm::default() }.check().unwrap();
    /// let held = shot.dial(Ev::at_iso_100(4.0));
    /// // N² / t = 2⁴ at 8 s: N = √128, which is f/11.
    /// assert_eq!(held.settings.aperture.label(), "f/11");
    /// ```
    pub fn dial(&self, ev: Ev) -> Held {
        let Limits { widest, narrowest, longest, slowest, fastest, .. } = self.limits;
        let solved = |fixed| hold(ev, self.filter, fixed, &self.limits);
        let time = self.shutter_wanted.unwrap_or(longest);

        let mut held = solved(Fixed::ApertureIso(narrowest, slowest));
        if held.settings.shutter > time {
            held = [Fixed::ShutterIso(time, slowest), Fixed::ApertureShutter(widest, time)]
                .into_iter()
                .map(solved)
                .find(|held| !held.limited)
                .unwrap_or_else(|| solved(Fixed::ApertureIso(widest, fastest)));
        }
        let time_was_held = self.shutter_wanted.is_none_or(|wanted| held.settings.shutter == wanted);
        Held { limited: held.limited || !time_was_held, ..held }
    }
}

/// A shot as it is typed: any number may be missing or wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShotForm {
    /// F-number, the smaller one; [`APERTURE_MIN`].
    pub aperture_min: Option<f64>,
    /// F-number, the larger one; [`APERTURE_MAX`].
    pub aperture_max: Option<f64>,
    /// Arithmetic speed; [`ISO_MIN`].
    pub iso_min: Option<f64>,
    /// Arithmetic speed; [`ISO_MAX`].
    pub iso_max: Option<f64>,
    /// Seconds, none when any time will do; [`SHUTTER_WANTED`].
    pub shutter_wanted_s: Option<f64>,
    /// Stops; [`FILTER`].
    pub filter_stops: Option<f64>,
}

impl Default for ShotForm {
    /// An ordinary lens and sensor, any time, no filter.
    fn default() -> Self {
        Self {
            aperture_min: Some(4.0),
            aperture_max: Some(16.0),
            iso_min: Some(100.0),
            iso_max: Some(1600.0),
            shutter_wanted_s: None,
            filter_stops: Some(0.0),
        }
    }
}

impl ShotForm {
    /// The shot, when every field is right.
    ///
    /// # Errors
    /// Everything that is wrong or missing, each by its field's name at the boundary. A range upside down is marked
    /// at its upper end.
    pub fn check(&self) -> Result<Shot, Problems> {
        let mut problems = Problems::default();
        let aperture = |bounds: Bounds, value| Aperture::marked(bounds.required(value)?);
        let iso = |bounds: Bounds, value| Iso::marked(bounds.required(value)?);
        let widest = problems.note(aperture(APERTURE_MIN, self.aperture_min));
        let narrowest = problems.note(aperture(APERTURE_MAX, self.aperture_max));
        let slowest = problems.note(iso(ISO_MIN, self.iso_min));
        let fastest = problems.note(iso(ISO_MAX, self.iso_max));
        let wanted = self.shutter_wanted_s.map(|s| SHUTTER_WANTED.check(s).and_then(Shutter::marked));
        let shutter_wanted = problems.note(wanted.transpose());
        let filter = problems.note(FILTER.required(self.filter_stops));
        problems.note(in_order(APERTURE_MIN, self.aperture_min, APERTURE_MAX, self.aperture_max));
        problems.note(in_order(ISO_MIN, self.iso_min, ISO_MAX, self.iso_max));
        if !problems.list().is_empty() {
            return Err(problems);
        }
        let shot = || {
            let limits = Limits {
                widest: widest?,
                narrowest: narrowest?,
                slowest: slowest?,
                fastest: fastest?,
                ..Limits::default()
            };
            Some(Shot { limits, shutter_wanted: shutter_wanted?, filter: Stops::new(filter?) })
        };
        shot().ok_or(problems)
    }
}

/// That the lower end of a range is not above the upper one. A missing end is another problem.
fn in_order(
    least: Bounds,
    least_given: Option<f64>,
    most: Bounds,
    most_given: Option<f64>,
) -> crate::error::Result<()> {
    match (least_given, most_given) {
        (Some(low), Some(high)) if low > high => Err(Error::conflict(
            most.field,
            format!("{} is below the {} of {}", written(high), written(low), least.field),
        )),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dialled(form: ShotForm, ev: f64) -> (String, Held) {
        let held = form.check().unwrap().dial(Ev::at_iso_100(ev));
        let Held { settings, .. } = held;
        let told = [settings.aperture.label(), settings.shutter.label(), settings.iso.label()].join(", ");
        (told, held)
    }

    #[test]
    fn without_a_time_wanted_each_step_of_the_rule_takes_over_from_the_one_before() {
        // By hand: N² / t · 100 / S = 2^EV, f/16 is 8 stops, f/4 is 4, 30 s is 5, ISO 1600 is 4.
        for (ev, expected, timed) in [
            (12.0, "f/16, 1/15 s, ISO 100", false),
            (4.0, "f/16, 15 s, ISO 100", false),
            (3.0, "f/16, 30 s, ISO 100", false),
            (2.0, "f/11, 30 s, ISO 100", false),
            (-1.0, "f/4, 30 s, ISO 100", false),
            (-2.0, "f/4, 30 s, ISO 200", false),
            (-5.0, "f/4, 30 s, ISO 1600", false),
            (-6.0, "f/4, 1 min 4 s, ISO 1600", true),
        ] {
            let (told, held) = dialled(ShotForm::default(), ev);
            assert_eq!((told.as_str(), held.timed, held.limited), (expected, timed, false), "EV {ev}");
            assert!(held.residual.count().abs() < 1e-9, "EV {ev}");
        }
    }

    #[test]
    fn the_time_wanted_is_held_while_aperture_and_iso_allow() {
        let form = ShotForm { shutter_wanted_s: Some(8.0), ..ShotForm::default() };
        for (ev, expected, limited) in [
            (6.0, "f/16, 4 s, ISO 100", true),
            (5.0, "f/16, 8 s, ISO 100", false),
            (3.0, "f/8, 8 s, ISO 100", false),
            (1.0, "f/4, 8 s, ISO 100", false),
            (-1.0, "f/4, 8 s, ISO 400", false),
            (-3.0, "f/4, 8 s, ISO 1600", false),
            (-4.0, "f/4, 15 s, ISO 1600", true),
        ] {
            let (told, held) = dialled(form, ev);
            assert_eq!((told.as_str(), held.limited), (expected, limited), "EV {ev}");
        }
    }

    #[test]
    fn a_filter_is_taken_off_before_anything_is_solved() {
        let filtered = ShotForm { filter_stops: Some(6.0), ..ShotForm::default() };
        assert_eq!(dialled(filtered, 10.0).0, dialled(ShotForm::default(), 4.0).0);
    }

    #[test]
    fn light_too_bright_for_the_shortest_time_is_told_by_its_residual() {
        let bright = ShotForm { aperture_max: Some(4.0), ..ShotForm::default() };
        let (told, held) = dialled(bright, 20.0);
        assert_eq!((told.as_str(), held.limited), ("f/4, 1/8000 s, ISO 100", true));
        assert!((held.residual.count() - 3.0).abs() < 1e-9);
    }

    #[test]
    fn the_light_falls_without_a_jump_from_step_to_step() {
        for wanted in [None, Some(2.0), Some(60.0)] {
            let shot = ShotForm { shutter_wanted_s: wanted, ..ShotForm::default() }.check().unwrap();
            for tenth in -120..180 {
                let ev = Ev::at_iso_100(f64::from(tenth) / 10.0);
                let held = shot.dial(ev);
                assert!(held.residual.count().abs() <= 1.0 / 6.0 + 1e-6, "EV {} {held:?}", ev.value());
                assert!(((ev - held.settings.ev()) - held.residual).count().abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_range_upside_down_and_every_other_problem_are_marked() {
        let form = ShotForm {
            aperture_min: Some(22.0),
            iso_max: Some(50.0),
            shutter_wanted_s: Some(0.0),
            filter_stops: None,
            ..ShotForm::default()
        };
        let told: Vec<String> = form.check().unwrap_err().list().iter().map(ToString::to_string).collect();
        assert_eq!(
            told,
            [
                "shutterWantedS: 0 is outside 0.000015625 s to 86400 s",
                "filterStops: nothing given; expected a number",
                "apertureMax: 16 is below the 22 of apertureMin",
                "isoMax: 50 is below the 100 of isoMin",
            ]
        );
    }
}
