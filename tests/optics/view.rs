//! Angles of view and what they cover.
//!
//! 50 mm from the encyclopaedia article "Angle of view"; the other rows computed from 2 atan(d / 2f).

use duskbook::web::optics::{ViewAnswer, ViewQuestion, view};

use super::close;

const FULL: [f64; 2] = [36.0, 24.0];

fn question(focal_mm: f64, distance_m: f64) -> ViewQuestion {
    ViewQuestion { focal_mm, format_mm: FULL, distance_m, ..Default::default() }
}

fn seen(focal_mm: f64, distance_m: f64) -> ViewAnswer {
    view(&question(focal_mm, distance_m)).unwrap()
}

#[test]
fn angles_are_those_of_the_table() {
    for (focal, across, up, corner, within) in [
        (50.0, 39.6, 27.0, 46.8, 0.05),
        (24.0, 73.74, 53.13, 84.06, 0.005),
        (14.0, 104.25, 81.20, 114.18, 0.005),
        (200.0, 10.29, 6.87, 12.35, 0.005),
    ] {
        let found = seen(focal, 100.0);
        close(found.horizontal_deg, across, within, "horizontal");
        close(found.vertical_deg, up, within, "vertical");
        close(found.diagonal_deg, corner, within, "diagonal");
    }
}

/// Computed. In focus at 100 m the width is W (u − f) / f = 149.964 m, which the table rounds to 150.0; focused
/// far away it is W u / f = 150.000 m.
#[test]
fn width_at_a_distance_by_both_formulae() {
    let found = seen(24.0, 100.0);
    close(found.width_m, 150.0, 0.05, "in focus");
    close(found.width_m, 36.0 * (100.0 - 0.024) / 24.0, 1e-9, "in focus, exactly");
    close(found.height_m, 24.0 * (100.0 - 0.024) / 24.0, 1e-9, "height");
    let far = view(&ViewQuestion { focus_m: Some(1e6), ..question(24.0, 100.0) }).unwrap();
    close(far.width_m, 150.0, 1e-5, "focused far away");
}

/// Definition: held upright, width and height change places.
#[test]
fn upright_is_the_same_turned() {
    let level = seen(24.0, 7.0);
    let upright = view(&ViewQuestion { format_mm: [24.0, 36.0], ..question(24.0, 7.0) }).unwrap();
    assert_eq!(
        (upright.horizontal_deg, upright.vertical_deg, upright.width_m, upright.height_m),
        (level.vertical_deg, level.horizontal_deg, level.height_m, level.width_m)
    );
}

/// Geometry: at life size the picture is twice the focal length behind the lens, and as large as its subject.
#[test]
fn close_up_the_angle_narrows() {
    let close_up = view(&ViewQuestion { focus_m: Some(0.1), ..question(50.0, 0.1) }).unwrap();
    close(close_up.width_m, 0.036, 1e-12, "life size");
    let half = 2.0 * (18.0_f64 / 100.0).atan().to_degrees();
    close(close_up.horizontal_deg, half, 1e-12, "twice as long");
}

/// Computed: 20 m by 60 m at 100 m through 24 mm, upright 100 m wide, and the longest lens for it.
#[test]
fn a_subject_takes_its_share() {
    let q = ViewQuestion { subject_m: Some([20.0, 60.0]), ..question(24.0, 100.0) };
    let [across, up] = view(&q).unwrap().subject_shares.unwrap();
    close(across, 20.0 / 149.964, 1e-9, "across");
    close(up, 60.0 / 99.976, 1e-9, "up");
    let longest = view(&q).unwrap().fitting_focal_mm.unwrap();
    let filled = view(&ViewQuestion { focal_mm: longest, ..q }).unwrap().subject_shares.unwrap();
    close(filled[0].max(filled[1]), 1.0, 1e-9, "filled");
}

/// Counted by hand from the angles above.
#[test]
fn panoramas_are_counted_by_angle() {
    let counted = |sweep_deg, rise_deg, overlap| {
        let q = ViewQuestion { sweep_deg: Some(sweep_deg), rise_deg, overlap, ..question(24.0, 100.0) };
        let found = view(&q).unwrap().panorama.unwrap();
        (found.columns, found.rows)
    };
    // 73.74 + 51.62 + 51.62 = 176.98, so a fourth for 180; all round 360 / 51.62 = 6.97.
    assert_eq!(counted(180.0, None, None), (4, 1));
    assert_eq!(counted(360.0, None, None), (7, 1));
    // 53.13 + 37.19 = 90.32
    assert_eq!(counted(60.0, Some(90.0), None), (1, 2));
    assert_eq!(counted(60.0, Some(91.0), None), (1, 3));
    assert_eq!(counted(73.0, None, Some(0.9)), (1, 1));
    // Without overlap, four right angles: 2 atan(36 / 2·18) = 90°.
    let q = ViewQuestion { sweep_deg: Some(360.0), overlap: Some(0.0), ..question(18.0, 100.0) };
    assert_eq!(view(&q).unwrap().panorama.unwrap().columns, 4);
}

#[test]
fn what_cannot_be_seen_is_refused_by_its_field() {
    let field = |q: &ViewQuestion| view(q).unwrap_err().field().to_owned();
    assert_eq!(field(&question(0.0, 10.0)), "focalMm");
    assert_eq!(field(&question(200.0, 0.2)), "distanceM");
    assert_eq!(field(&question(24.0, f64::NAN)), "distanceM");
    assert_eq!(field(&ViewQuestion { focus_m: Some(0.01), ..question(24.0, 10.0) }), "focusM");
    assert_eq!(field(&ViewQuestion { format_mm: [36.0, -1.0], ..question(24.0, 10.0) }), "formatMm");
    assert_eq!(field(&ViewQuestion { sweep_deg: Some(361.0), ..question(24.0, 10.0) }), "sweepDeg");
    let shared = ViewQuestion { sweep_deg: Some(90.0), overlap: Some(1.0), ..question(24.0, 10.0) };
    assert_eq!(field(&shared), "overlap");
    assert_eq!(field(&ViewQuestion { subject_m: Some([0.0, 1.0]), ..question(24.0, 10.0) }), "subjectM");
}
