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
//!
//! # The filter
//! It stays on through steps 1 and 2 and comes off before step 3, as there is no sense in buying back with
//! noise what glass has taken. Only where the wanted time would be lost without it, because a dark filter takes more
//! than the lens can give, it stays on while the ISO rises. Each setting says by [`Held::loss`] whether it is on.

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
    /// What the filters carried take, never negative.
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
        let held = self
            .at_base_iso(ev, self.filter)
            .or_else(|| match self.at_base_iso(ev, Stops::ZERO) {
                Some(bare) if self.misses_the_time(&bare) => self.wide_open(ev, self.filter).or(Some(bare)),
                bare => bare,
            })
            .or_else(|| self.wide_open(ev, Stops::ZERO))
            .unwrap_or_else(|| {
                let Limits { widest, fastest, .. } = self.limits;
                hold(ev, Stops::ZERO, Fixed::ApertureIso(widest, fastest), &self.limits)
            });
        Held { limited: held.limited || self.misses_the_time(&held), ..held }
    }

    /// What to dial for a brightness behind a filter that stays on: steps 1 to 3, and where they end the end that is nearest.
    #[inline(never)]
    pub(crate) fn through(&self, ev: Ev, loss: Stops) -> Held {
        self.at_base_iso(ev, loss).unwrap_or_else(|| {
            hold(ev, loss, Fixed::ApertureShutter(self.limits.widest, self.time()), &self.limits)
        })
    }

    /// The time wanted, or the longest that the camera keeps by itself.
    fn time(&self) -> Shutter {
        self.shutter_wanted.unwrap_or(self.limits.longest)
    }

    fn misses_the_time(&self, held: &Held) -> bool {
        self.shutter_wanted.is_some_and(|wanted| held.settings.shutter != wanted)
    }

    /// Steps 1 and 2: the smallest aperture, opened where the time would run on; none where it is too dark for that.
    fn at_base_iso(&self, ev: Ev, loss: Stops) -> Option<Held> {
        let Limits { narrowest, slowest, .. } = self.limits;
        let held = hold(ev, loss, Fixed::ApertureIso(narrowest, slowest), &self.limits);
        if held.settings.shutter <= self.time() {
            return Some(held);
        }
        let opened = hold(ev, loss, Fixed::ShutterIso(self.time(), slowest), &self.limits);
        (!opened.limited).then_some(opened)
    }

    /// Step 3: the lens wide open and the time held; none where no ISO does that.
    fn wide_open(&self, ev: Ev, loss: Stops) -> Option<Held> {
        let fixed = Fixed::ApertureShutter(self.limits.widest, self.time());
        Some(hold(ev, loss, fixed, &self.limits)).filter(|held| !held.limited)
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
    /// An ordinary lens and sensor, any time, no filter. The smallest opening is f/11: at f/16 the disc that diffraction
    /// makes of a point is 21 µm wide (2.44 λ N at 550 nm), four pixels of a common sensor.
    fn default() -> Self {
        Self {
            aperture_min: Some(4.0),
            aperture_max: Some(11.0),
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
pub(crate) fn in_order(
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

    /// Four stops of aperture and four of ISO.
    fn form() -> ShotForm {
        ShotForm { aperture_max: Some(16.0), ..ShotForm::default() }
    }

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
            let (told, held) = dialled(form(), ev);
            assert_eq!((told.as_str(), held.timed, held.limited), (expected, timed, false), "EV {ev}");
            assert!(held.residual.count().abs() < 1e-9, "EV {ev}");
        }
    }

    #[test]
    fn the_time_wanted_is_held_while_aperture_and_iso_allow() {
        let form = ShotForm { shutter_wanted_s: Some(8.0), ..form() };
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
    fn the_filter_comes_off_before_the_iso_rises() {
        // By hand as above, with the filter's stops on top while it is on.
        for (wanted, filter, ev, expected, on) in [
            (None, 6.0, 10.0, "f/16, 15 s, ISO 100", true),
            (None, 6.0, 5.0, "f/4, 30 s, ISO 100", true),
            (None, 6.0, 4.0, "f/16, 15 s, ISO 100", false),
            (None, 6.0, -2.0, "f/4, 30 s, ISO 200", false),
            (Some(8.0), 3.0, 9.0, "f/16, 4 s, ISO 100", true),
            (Some(8.0), 3.0, 4.0, "f/4, 8 s, ISO 100", true),
            (Some(8.0), 3.0, 3.0, "f/8, 8 s, ISO 100", false),
            (Some(8.0), 3.0, -1.0, "f/4, 8 s, ISO 400", false),
            (Some(8.0), 3.0, -4.0, "f/4, 15 s, ISO 1600", false),
        ] {
            let filtered = ShotForm { shutter_wanted_s: wanted, filter_stops: Some(filter), ..form() };
            let (told, held) = dialled(filtered, ev);
            assert_eq!((told.as_str(), held.loss > Stops::ZERO), (expected, on), "{wanted:?} at EV {ev}");
        }
    }

    #[test]
    fn a_filter_darker_than_the_lens_can_give_stays_on_while_it_holds_the_time_wanted() {
        let filtered = ShotForm { shutter_wanted_s: Some(8.0), filter_stops: Some(10.0), ..form() };
        for (ev, expected, on, limited) in [
            (11.0, "f/4, 8 s, ISO 100", true, false),
            (10.0, "f/4, 8 s, ISO 200", true, false),
            (7.0, "f/4, 8 s, ISO 1600", true, false),
            (6.0, "f/16, 4 s, ISO 100", false, true),
            (5.0, "f/16, 8 s, ISO 100", false, false),
        ] {
            let (told, held) = dialled(filtered, ev);
            assert_eq!(
                (told.as_str(), held.loss > Stops::ZERO, held.limited),
                (expected, on, limited),
                "EV {ev}"
            );
        }
    }

    #[test]
    fn once_off_the_filter_stays_off_as_the_light_falls() {
        for (wanted, filter) in [(None, 3.0), (Some(1.0), 6.0), (Some(8.0), 10.0), (Some(60.0), 15.0)] {
            let shot = ShotForm { shutter_wanted_s: wanted, filter_stops: Some(filter), ..form() };
            let shot = shot.check().unwrap();
            let on: Vec<bool> = (-180..=80)
                .map(|tenth| shot.dial(Ev::at_iso_100(-f64::from(tenth) / 10.0)).loss > Stops::ZERO)
                .collect();
            assert!(
                on[0] && !on[on.len() - 1] && on.is_sorted_by(|before, after| before >= after),
                "{wanted:?}"
            );
        }
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
        for (wanted, filter) in
            [(None, 0.0), (Some(2.0), 0.0), (Some(60.0), 0.0), (None, 3.0), (Some(2.0), 10.0)]
        {
            let shot =
                ShotForm { shutter_wanted_s: wanted, filter_stops: Some(filter), ..ShotForm::default() };
            let shot = shot.check().unwrap();
            for tenth in -120..180 {
                let ev = Ev::at_iso_100(f64::from(tenth) / 10.0);
                let held = shot.dial(ev);
                assert!(held.residual.count().abs() <= 1.0 / 6.0 + 1e-6, "EV {} {held:?}", ev.value());
                assert!(((ev - held.loss - held.settings.ev()) - held.residual).count().abs() < 1e-9);
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
                "shutterWantedS: 0 is outside 0.00001 s to 86400 s",
                "filterStops: nothing given; expected a number",
                "apertureMax: 11 is below the 22 of apertureMin",
                "isoMax: 50 is below the 100 of isoMin",
            ]
        );
    }
}
