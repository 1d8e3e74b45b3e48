//! A brightness held: nothing is lost on the way, limits are kept, the residual tells the truth.

use duskbook::exposure::series::{Aperture, Iso, Shutter};
use duskbook::exposure::settings::{Fixed, Held, Limits, Settings, hold};
use duskbook::units::{Ev, Stops};
use duskbook::web::exposure::{HoldQuestion, hold_exposure};
use proptest::prelude::*;

/// Half of a third: the most that snapping may leave.
const SNAP: f64 = 1.0 / 6.0 + 1e-9;

fn by_time(ev: f64, aperture: &str, iso: &str) -> Held {
    let fixed = Fixed::ApertureIso(Aperture::parse(aperture).unwrap(), Iso::parse(iso).unwrap());
    hold(Ev::at_iso_100(ev), Stops::ZERO, fixed, &Limits::default())
}

#[test]
fn past_thirty_seconds_the_time_is_kept_by_hand_and_exact() {
    let held = by_time(-1.4, "f/8", "100");
    assert!(held.timed && !held.limited);
    assert!((held.settings.shutter.exact() - 2f64.powf(7.4)).abs() < 1e-9);
    assert!(held.residual.count().abs() < 1e-12);
    let held = by_time(0.9, "f/8", "100");
    assert_eq!((held.timed, held.settings.shutter.label().as_str()), (false, "30 s"));
}

#[test]
fn a_dial_at_its_end_says_what_is_missing() {
    let held = by_time(20.0, "f/2", "100");
    assert_eq!((held.limited, held.settings.shutter.label().as_str()), (true, "1/8000 s"));
    assert!((held.residual.count() - 5.0).abs() < 1e-12, "too light by {:?}", held.residual);

    let (shutter, iso) = (Shutter::parse("1/60").unwrap(), Iso::parse("100").unwrap());
    let limits = Limits {
        widest: Aperture::parse("2.8").unwrap(),
        narrowest: Aperture::parse("22").unwrap(),
        ..Limits::default()
    };
    let dark = hold(Ev::at_iso_100(4.0), Stops::ZERO, Fixed::ShutterIso(shutter, iso), &limits);
    assert_eq!((dark.limited, dark.settings.aperture.label().as_str()), (true, "f/2.8"));
    assert!((dark.residual.count() + 5.0).abs() < 1e-12, "too dark by {:?}", dark.residual);

    let fixed = Fixed::ApertureShutter(Aperture::parse("64").unwrap(), shutter);
    let black = hold(Ev::at_iso_100(-6.0), Stops::ZERO, fixed, &limits);
    assert_eq!((black.limited, black.settings.iso.label().as_str()), (true, "ISO 102400"));
}

#[test]
fn a_filter_is_held_like_a_darker_scene() {
    let fixed = Fixed::ApertureIso(Aperture::parse("8").unwrap(), Iso::parse("100").unwrap());
    let through = hold(Ev::at_iso_100(9.0), Stops::new(3.0), fixed, &Limits::default());
    assert_eq!(through, Held { loss: Stops::new(3.0), ..by_time(6.0, "f/8", "100") });
}

#[test]
fn half_way_between_two_marks_every_dial_goes_to_the_darker_one() {
    let (aperture, shutter, iso) =
        (Aperture::parse("8").unwrap(), Shutter::parse("1/8").unwrap(), Iso::parse("800").unwrap());
    for fixed in [
        Fixed::ApertureIso(aperture, iso),
        Fixed::ShutterIso(shutter, iso),
        Fixed::ApertureShutter(aperture, shutter),
    ] {
        // f/8, 1/8 s, ISO 800 suit EV 6; half stops lie between two thirds, as computed and a hair to either side.
        for (ev, hair) in
            [4.5, 5.5, 6.5, 7.5].into_iter().flat_map(|ev| [-1e-12, 0.0, 1e-12].map(|h| (ev, h)))
        {
            let held = hold(Ev::at_iso_100(ev + hair), Stops::ZERO, fixed, &Limits::default());
            assert!((held.residual.count() + 1.0 / 6.0).abs() < 1e-9, "EV {ev} {held:?}");
        }
    }
}

/// Ten steps one way and ten back: the lens closes a third, time follows; time runs on a third, ISO follows.
#[test]
fn a_third_of_a_stop_is_never_lost_over_ten_steps() {
    let held = |ev: f64, fixed| hold(Ev::at_iso_100(ev), Stops::ZERO, fixed, &Limits::default());
    let start = by_time(8.0, "f/4", "1600").settings;
    let mut settings = start;
    for thirds in [1; 10].into_iter().chain([-1; 10]) {
        let Settings { aperture, iso, .. } = settings;
        let slower = held(settings.ev().value(), Fixed::ApertureIso(aperture.step(thirds), iso));
        assert!(slower.residual.count().abs() < 1e-9, "{slower:?}");
        let Settings { aperture, shutter, .. } = slower.settings;
        let lower = held(settings.ev().value(), Fixed::ApertureShutter(aperture, shutter.step(thirds)));
        assert!(lower.residual.count().abs() < 1e-9, "{lower:?}");
        settings = lower.settings;
    }
    assert_eq!(settings, start);
    for n in -3..=20 {
        let mark = Iso::third(n).unwrap();
        let there = (0..10).fold(mark, |at, _| at.step(1));
        assert_eq!(there.index(), Some(n + 10));
        assert_eq!((0..10).fold(there, |at, _| at.step(-1)), mark);
    }
}

/// Common practice, no source: three settings that were taken as the light fell.
#[test]
fn a_metered_evening_comes_out_at_its_exposure_values() {
    let ev = |aperture: &str, seconds: f64, iso: &str| {
        let aperture = Aperture::parse(aperture).unwrap();
        let iso = Iso::parse(iso).unwrap();
        Settings { aperture, shutter: Shutter::exactly(seconds).unwrap(), iso }.ev().value()
    };
    let fall = [ev("f/22", 1.0 / 3.0, "100"), ev("f/22", 3.0, "50"), ev("f/11", 1.6, "250")];
    for (found, computed) in fall.into_iter().zip([10.585, 8.415, 4.989]) {
        assert!((found - computed).abs() < 0.001, "{found}, by hand {computed}");
    }
}

#[test]
fn a_bad_question_names_its_field_value_and_range() {
    let good = HoldQuestion {
        ev100: 5.0,
        aperture_n: Some(8.0),
        shutter_s: None,
        iso: Some(100.0),
        filter_stops: None,
        longest_shutter_s: None,
    };
    let told = |q: HoldQuestion| hold_exposure(&q).unwrap_err().to_string();
    let told_of_aperture = told(HoldQuestion { aperture_n: Some(0.0), ..good.clone() });
    assert_eq!(told_of_aperture, "apertureN: 0 is outside 0.5 to 512");
    assert_eq!(
        told(HoldQuestion { iso: Some(-100.0), ..good.clone() }),
        "iso: -100 is outside 0.5 to 6553600"
    );
    assert_eq!(told(HoldQuestion { ev100: f64::NAN, ..good.clone() }), "ev100: \"NaN\" is not a number");
    assert_eq!(
        told(HoldQuestion { filter_stops: Some(31.0), ..good.clone() }),
        "filterStops: 31 is outside 0 stops to 30 stops"
    );
    assert!(
        told(HoldQuestion { longest_shutter_s: Some(0.0), ..good.clone() })
            .starts_with("longestShutterS: 0 ")
    );
    assert!(told(HoldQuestion { iso: None, ..good.clone() }).contains("1 of aperture, time and ISO"));
    assert!(told(HoldQuestion { shutter_s: Some(1.0), ..good }).contains("3 of aperture, time and ISO"));
}

fn aperture() -> impl Strategy<Value = Aperture> {
    (0..=36).prop_map(|n| Aperture::third(n).unwrap())
}

fn shutter() -> impl Strategy<Value = Shutter> {
    (-39..=15).prop_map(|n| Shutter::third(n).unwrap())
}

fn iso() -> impl Strategy<Value = Iso> {
    (-3..=30).prop_map(|n| Iso::third(n).unwrap())
}

proptest! {
    #[test]
    fn the_residual_is_the_picture_against_the_scene_and_within_a_sixth(
        ev in -20.0..35.0f64, loss in 0.0..30.0f64, aperture in aperture(), shutter in shutter(), iso in iso(),
    ) {
        for fixed in [
            Fixed::ApertureIso(aperture, iso),
            Fixed::ShutterIso(shutter, iso),
            Fixed::ApertureShutter(aperture, shutter),
        ] {
            let held = hold(Ev::at_iso_100(ev), Stops::new(loss), fixed, &Limits::default());
            let Settings { aperture, shutter, iso } = held.settings;
            // The exposure given, from the numbers on the dials alone.
            let given = (shutter.exact() * iso.exact() / 100.0 / aperture.exact().powi(2)).log2();
            prop_assert!((given + ev - loss - held.residual.count()).abs() < 1e-9);
            prop_assert_eq!(held.limited, held.residual.count().abs() > SNAP);
            prop_assert_eq!(held.timed, shutter.exact() > 35.0);
        }
    }

    #[test]
    fn holding_what_was_held_changes_nothing(aperture in aperture(), shutter in shutter(), iso in iso()) {
        let settings = Settings { aperture, shutter, iso };
        for fixed in [
            Fixed::ApertureIso(aperture, iso),
            Fixed::ShutterIso(shutter, iso),
            Fixed::ApertureShutter(aperture, shutter),
        ] {
            let held = hold(settings.ev(), Stops::ZERO, fixed, &Limits::default());
            prop_assert_eq!(held.settings, settings);
        }
    }

    #[test]
    fn any_text_for_a_dial_is_read_or_refused(text in "\\PC*") {
        let _ = (Aperture::parse(&text), Shutter::parse(&text), Iso::parse(&text));
    }
}
