//! Equivalent exposures, and what the camera does by itself.

use duskbook::exposure::series::{Aperture, Iso, Shutter};
use duskbook::web::exposure::{
    AperturePriorityQuestion, EquivalentRow, EquivalentsQuestion, TestFrameQuestion, aperture_priority,
    equivalents, test_frame,
};
use proptest::prelude::*;

use super::close;

fn metered(aperture: f64, shutter_s: f64, iso: f64) -> EquivalentsQuestion {
    EquivalentsQuestion { aperture, shutter_s, iso, ..EquivalentsQuestion::default() }
}

fn exposure(row: &EquivalentRow, iso: f64) -> f64 {
    (row.shutter_s * iso / row.aperture.powi(2)).log2()
}

/// f/22 and f/11 are exactly 2^4.5 and 2^3.5 (ISO 517's principle); their labels are 0.081 stop off.
#[test]
fn apertures_are_taken_as_exact_stops_and_not_by_their_labels() {
    let answer = equivalents(&metered(22.0, 1.0, 100.0)).unwrap();
    assert_eq!(answer.ev100, 9.0);
    let f11 = answer.rows.iter().find(|row| row.aperture_label == "f/11").unwrap();
    assert_eq!((f11.shutter_s, f11.shutter_label.as_str(), f11.residual_stops), (0.25, "1/4 s", 0.0));
    close(f11.aperture, 11.3137, 0.0001, "f/11");
    // Three stops; by the labels it would be 2 log2(22/8) = 2.919.
    let f8 = answer.rows.iter().find(|row| row.aperture_label == "f/8").unwrap();
    assert_eq!(f8.shutter_s, 0.125);
}

/// Common practice, no source: settings taken as the light fell.
#[test]
fn an_evening_s_settings_are_read_at_their_exposure_values() {
    for (aperture, shutter_s, iso, by_hand) in
        [(22.0, 1.0 / 3.0, 100.0, 10.585), (22.0, 3.0, 50.0, 8.415), (11.0, 1.6, 250.0, 4.989)]
    {
        close(equivalents(&metered(aperture, shutter_s, iso)).unwrap().ev100, by_hand, 0.0005, "EV100");
    }
}

#[test]
fn rows_keep_to_the_lens_and_say_what_gives() {
    let q = EquivalentsQuestion {
        min_aperture: Some(2.8),
        max_aperture: Some(22.0),
        hold_iso: Some(200.0),
        iso_limit: Some(160.0),
        ..metered(8.0, 8.0, 100.0)
    };
    let rows = equivalents(&q).unwrap().rows;
    assert_eq!(
        (rows[0].aperture_label.as_str(), rows[rows.len() - 1].aperture_label.as_str()),
        ("f/2.8", "f/22")
    );
    assert_eq!(rows.len(), 19);
    assert!(rows.iter().all(|row| row.costs.contains(&"iso-above-limit")));
    for row in &rows {
        assert_eq!(row.costs.contains(&"timed"), row.shutter_s > 32.0 + 1e-9, "{row:?}");
    }
    let f22 = &rows[rows.len() - 1];
    assert_eq!((f22.shutter_label.as_str(), f22.costs.len()), ("30 s", 1), "{f22:?}");
}

/// Computed: 43.27 mm / 1500 is 28.8 µm, an Airy disc of f/21.5 at 550 nm; half the format, half the f-number.
#[test]
fn stops_that_diffraction_softens_are_marked_for_a_format() {
    let marked = |format_mm| {
        let rows = equivalents(&EquivalentsQuestion { format_mm, ..metered(8.0, 1.0, 100.0) }).unwrap().rows;
        rows.into_iter().find(|row| row.costs.contains(&"diffraction")).map(|row| row.aperture_label)
    };
    assert_eq!(marked(Some([36.0, 24.0])).as_deref(), Some("f/22"));
    assert_eq!(marked(Some([18.0, 12.0])).as_deref(), Some("f/11"));
    assert_eq!(marked(None), None);
    let q = EquivalentsQuestion { format_mm: Some([36.0, 0.0]), ..metered(8.0, 1.0, 100.0) };
    assert_eq!(equivalents(&q).unwrap_err().field(), "formatMm");
}

/// By hand from EV 6: at 1 s each stop of aperture is a stop of speed, at f/8 each stop of speed half the time.
#[test]
fn any_dial_may_be_kept() {
    let labels = |q: EquivalentsQuestion, first: &str| {
        let rows = equivalents(&q).unwrap().rows;
        let row =
            rows.into_iter().find(|row| [&row.aperture_label, &row.iso_label].iter().any(|l| *l == first));
        row.map(|row| (row.aperture_label, row.shutter_label, row.iso_label)).unwrap()
    };
    let own = |a: &str, t: &str, s: &str| (a.to_owned(), t.to_owned(), s.to_owned());
    let time = EquivalentsQuestion { hold_shutter_s: Some(1.0), ..metered(8.0, 1.0, 100.0) };
    assert_eq!(labels(time, "f/16"), own("f/16", "1 s", "ISO 400"));
    let aperture = EquivalentsQuestion { hold_aperture: Some(8.0), ..metered(8.0, 1.0, 100.0) };
    assert_eq!(labels(aperture, "ISO 1600"), own("f/8", "1/15 s", "ISO 1600"));

    let time = EquivalentsQuestion { hold_shutter_s: Some(1.0), ..metered(8.0, 1.0, 100.0) };
    let rows = equivalents(&time).unwrap().rows;
    // Wider than f/5.6 would need less than ISO 50.
    assert_eq!((rows[0].aperture_label.as_str(), rows[0].iso), ("f/5.6", 50.0));
    let aperture =
        EquivalentsQuestion { hold_aperture: Some(8.0), iso_limit: Some(800.0), ..metered(8.0, 1.0, 100.0) };
    let rows = equivalents(&aperture).unwrap().rows;
    assert_eq!(rows.len(), 34);
    for row in &rows {
        assert_eq!(row.costs.contains(&"iso-above-limit"), row.iso > 800.0, "{row:?}");
    }
}

#[test]
fn compensation_and_the_meter_s_offset_lighten_the_picture() {
    let plain = equivalents(&metered(8.0, 1.0, 100.0)).unwrap();
    let lighter = EquivalentsQuestion { compensation_stops: Some(1.0), ..metered(8.0, 1.0, 100.0) };
    let offset = EquivalentsQuestion { meter_offset_stops: Some(1.0), ..metered(8.0, 1.0, 100.0) };
    let (lighter, offset) = (equivalents(&lighter).unwrap(), equivalents(&offset).unwrap());
    let time =
        |rows: &[EquivalentRow]| rows.iter().find(|row| row.aperture_label == "f/8").map(|row| row.shutter_s);
    assert_eq!(time(&plain.rows), Some(1.0));
    assert_eq!((time(&lighter.rows), lighter.ev100), (Some(2.0), plain.ev100));
    assert_eq!((time(&offset.rows), offset.ev100), (Some(2.0), plain.ev100 - 1.0));
}

#[test]
fn an_automatic_time_ends_at_the_longest_and_says_by_how_much() {
    let q = AperturePriorityQuestion { ev100: -1.0, aperture: 8.0, iso: 100.0, ..Default::default() };
    let answer = aperture_priority(&q).unwrap();
    assert_eq!(answer.gives_up, Some("time"));
    assert_eq!(answer.setting.shutter_label, "30 s");
    close(answer.setting.residual_stops, -2.0, 1e-9, "shortfall");

    let through = AperturePriorityQuestion {
        ev100: 4.0,
        filter_stops: Some(10.0),
        aperture: 2.0,
        iso: 100.0,
        meter_low_ev: Some(-3.0),
        ..Default::default()
    };
    assert_eq!(aperture_priority(&through).unwrap().gives_up, Some("meter"));
    let fine = AperturePriorityQuestion { filter_stops: None, compensation_stops: Some(1.0), ..through };
    let fine = aperture_priority(&fine).unwrap();
    assert_eq!((fine.gives_up, fine.setting.shutter_label.as_str()), (None, "0.5 s"));
}

/// By hand: from ISO 6400 to 100 six stops, from f/4 to f/8 two, a 3-stop filter: 2 s × 2^11.
#[test]
fn a_short_test_frame_leads_to_the_long_time() {
    let q = TestFrameQuestion {
        aperture: 4.0,
        shutter_s: 2.0,
        iso: 6400.0,
        to_aperture: Some(8.0),
        to_iso: 100.0,
        filter_stops: Some(3.0),
        longest_shutter_s: None,
    };
    let long = test_frame(&q).unwrap();
    close(long.shutter_s, 4096.0, 1e-6, "seconds");
    assert!(long.timed);
    assert_eq!(long.shutter_label, "1 h 8 min 16 s");
}

#[test]
fn a_bad_question_names_its_field() {
    let field = |q: EquivalentsQuestion| equivalents(&q).unwrap_err().field().to_owned();
    assert_eq!(field(metered(0.0, 1.0, 100.0)), "aperture");
    assert_eq!(field(metered(8.0, -1.0, 100.0)), "shutterS");
    assert_eq!(field(metered(8.0, 1.0, f64::NAN)), "iso");
    let held = |q| EquivalentsQuestion { hold_iso: Some(0.0), ..q };
    assert_eq!(field(held(metered(8.0, 1.0, 100.0))), "holdIso");
    let time = |q| EquivalentsQuestion { hold_shutter_s: Some(0.0), ..q };
    assert_eq!(field(time(metered(8.0, 1.0, 100.0))), "holdShutterS");
    assert_eq!(field(time(held(metered(8.0, 1.0, 100.0)))), "holdIso");
    let aperture = EquivalentsQuestion { hold_aperture: Some(-8.0), ..metered(8.0, 1.0, 100.0) };
    assert_eq!(field(aperture), "holdAperture");
    let crossed =
        EquivalentsQuestion { min_aperture: Some(16.0), max_aperture: Some(2.8), ..metered(8.0, 1.0, 100.0) };
    assert_eq!(
        equivalents(&crossed).unwrap_err().to_string(),
        "maxAperture: f/2.8 is wider than the least, f/16"
    );
}

proptest! {
    #[test]
    fn every_row_gives_the_metered_exposure_within_a_sixth(
        aperture in 0.7..128.0f64, log_time in -15.0..10.0f64, log_iso in 3.0..17.0f64, held in -3..=30i32,
    ) {
        let (shutter_s, iso) = (log_time.exp2(), log_iso.exp2());
        let hold_iso = Iso::third(held).unwrap().exact();
        let q = EquivalentsQuestion { hold_iso: Some(hold_iso), ..metered(aperture, shutter_s, iso) };
        let answer = equivalents(&q).unwrap();
        for row in &answer.rows {
            let given = exposure(row, hold_iso / 100.0) + answer.ev100;
            prop_assert!((given - row.residual_stops).abs() < 1e-9);
            prop_assert!(given.abs() <= 1.0 / 6.0 + 1e-6);
        }
    }

    #[test]
    fn a_kept_dial_stands_the_same_in_every_row(
        n in 0..=36i32, t in -39..=15i32, s in -3..=30i32, kept in 0..2usize,
    ) {
        let (aperture, shutter) = (Aperture::third(n).unwrap(), Shutter::third(t).unwrap());
        let q = metered(aperture.exact(), shutter.exact(), Iso::third(s).unwrap().nominal());
        let q = if kept == 0 {
            EquivalentsQuestion { hold_aperture: Some(q.aperture), ..q }
        } else {
            EquivalentsQuestion { hold_shutter_s: Some(q.shutter_s), ..q }
        };
        let answer = equivalents(&q).unwrap();
        for row in &answer.rows {
            prop_assert!(kept == 1 || row.aperture_label == aperture.label());
            prop_assert!(kept == 0 || row.shutter_label == shutter.label());
            let iso = Iso::marked(row.iso).unwrap().exact() / 100.0;
            prop_assert!((exposure(row, iso) + answer.ev100 - row.residual_stops).abs() < 1e-9);
            prop_assert!(row.residual_stops.abs() <= 1.0 / 6.0 + 1e-6);
        }
    }

    #[test]
    fn there_and_back_by_any_row_returns(n in 0..=36i32, t in -39..=15i32, s in -3..=30i32, pick in 0..37usize) {
        let (aperture, shutter) = (Aperture::third(n).unwrap(), Shutter::third(t).unwrap());
        let iso = Iso::third(s).unwrap();
        let there = equivalents(&metered(aperture.exact(), shutter.exact(), iso.nominal())).unwrap();
        let row = &there.rows[pick % there.rows.len()];
        let back = equivalents(&metered(row.aperture, row.shutter_s, iso.nominal())).unwrap();
        prop_assert!((back.ev100 - there.ev100).abs() < 1e-9);
        let home = back.rows.iter().find(|row| row.aperture_label == aperture.label()).unwrap();
        prop_assert!((home.shutter_s / shutter.exact() - 1.0).abs() < 1e-9);
    }
}
