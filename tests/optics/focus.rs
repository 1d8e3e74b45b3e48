//! Depth of field, hyperfocal distances, and the focus for a scene.
//!
//! Formulae from the encyclopaedia articles "Depth of field" and "Hyperfocal distance"; rows marked computed follow
//! from them.

use duskbook::web::optics::{
    DepthOfFieldAnswer, DepthOfFieldQuestion, FocusForAnswer, FocusForQuestion, depth_of_field, focus_for,
};

use super::close;

fn depth(focal_mm: f64, aperture: f64, focus_m: f64) -> DepthOfFieldAnswer {
    depth_of_field(&DepthOfFieldQuestion { focal_mm, aperture, coc_mm: 0.03, focus_m }).unwrap()
}

fn scene(focal_mm: f64, near_m: f64, far_m: Option<f64>) -> FocusForQuestion {
    FocusForQuestion { focal_mm, coc_mm: 0.03, near_m, far_m, min_aperture: None, max_aperture: None }
}

fn focused(focal_mm: f64, near_m: f64, far_m: Option<f64>) -> FocusForAnswer {
    focus_for(&scene(focal_mm, near_m, far_m)).unwrap()
}

/// Encyclopaedia article "Hyperfocal distance": 50 mm, f/8, c 0.03 mm; H 10 467 mm, H − f 10 417.
#[test]
fn the_published_hyperfocal_distance() {
    let h = depth(50.0, 8.0, 5.0).hyperfocal_m;
    close(h, 10.467, 0.0005, "H");
    close(h - 0.05, 10.417, 0.0005, "H − f");
}

/// Computed: focused at H/2, from a little past a third of H to H − f. Texts round these to H/3 and H.
#[test]
fn at_half_the_hyperfocal_distance() {
    let h = depth(50.0, 8.0, 5.0).hyperfocal_m;
    let half = depth(50.0, 8.0, h / 2.0);
    close(half.near_m, 3.494, 0.0006, "near");
    close(half.far_m.unwrap(), 10.417, 0.0005, "far");
}

/// Computed.
#[test]
fn at_five_metres() {
    let five = depth(50.0, 8.0, 5.0);
    close(five.near_m, 3.389, 0.0005, "near");
    close(five.far_m.unwrap(), 9.527, 0.0005, "far");
}

/// Computed: 35 mm, 2 m to 20 m, c 0.03 mm. By depth alone f/10 holds it; there diffraction's 13 µm make 28 µm 31, so with
/// both counted it is f/11.
#[test]
fn the_focus_and_stop_for_a_scene() {
    let found = focused(35.0, 2.0, Some(20.0));
    close(found.focus_m, 3.636, 0.0005, "focus");
    close(found.aperture, 9.28, 0.005, "stop");
    assert_eq!((found.least_label.as_str(), found.dial.label.as_str()), ("f/10", "f/11"));
    assert!(found.holds && found.dial.blur_um <= 30.0);
}

/// Definition: to the sky the focus is the hyperfocal distance, and the near end half of it.
#[test]
fn to_the_sky_the_focus_is_the_hyperfocal_distance() {
    let found = focused(24.0, 2.0, None);
    close(found.focus_m, 4.0, 1e-12, "twice the near end");
    let back = depth(24.0, found.aperture, found.focus_m);
    assert_eq!(back.far_m, None);
    close(back.hyperfocal_m, 4.0, 1e-9, "H");
    close(back.near_m, 2.0, 1e-9, "near");
    assert_eq!((found.third_m, found.third_aperture), (None, None));
}

/// Computed: 2nF / (n + F) = n + (F − n)/3 only for F = 2n. "A third of the way in" is common practice, no source.
#[test]
fn a_third_of_the_way_in_is_right_where_far_is_twice_near() {
    let right = focused(50.0, 5.0, Some(10.0));
    close(right.third_m.unwrap(), right.focus_m, 1e-12, "focus");
    close(right.third_aperture.unwrap(), right.aperture, 1e-9, "stop");
    // 2 m to 20 m: 8 m in place of 3.64 m. By 1/n − 1/s the near end needs 0.375 for 0.225, ×1.66 with
    // the focal length counted: 1.46 stops.
    let deep = focused(35.0, 2.0, Some(20.0));
    close(deep.third_m.unwrap(), 8.0, 1e-12, "a third in");
    close(deep.third_stops.unwrap(), 1.46, 0.005, "stops it costs");
    // In a shallow scene the middle is right: 10 m to 11 m.
    let shallow = focused(50.0, 10.0, Some(11.0));
    close(shallow.focus_m, 10.476, 0.0005, "nearly the middle");
    close(shallow.third_m.unwrap(), 10.333, 0.0005, "a third in");
}

#[test]
fn what_cannot_be_is_refused_and_what_needs_nothing_is_a_value() {
    let refusal = |focal, near, far| focus_for(&scene(focal, near, far)).unwrap_err().to_string();
    assert_eq!(refusal(50.0, 5.0, Some(4.0)), "farM: 4 m is nearer than the near end, 5 m");
    assert_eq!(
        refusal(200.0, 0.2, None),
        "nearM: 0.2 m is not beyond the focal length, 0.2 m: no picture there"
    );
    assert_eq!(refusal(50.0, f64::NAN, None), "nearM: \"NaN\" is not a number");
    assert_eq!(refusal(50.0, 1.0, Some(2e6)), "farM: 2000000 is outside 0.01 m to 1000000 m");
    let crossed =
        FocusForQuestion { min_aperture: Some(8.0), max_aperture: Some(4.0), ..scene(50.0, 5.0, None) };
    assert_eq!(focus_for(&crossed).unwrap_err().to_string(), "maxAperture: f/4 is wider than the least, f/8");
    let refused = |focus_m| {
        depth_of_field(&DepthOfFieldQuestion { focal_mm: 50.0, aperture: 8.0, coc_mm: 0.03, focus_m })
    };
    assert_eq!(refused(0.05).unwrap_err().field(), "focusM");
    assert_eq!(refused(0.01).unwrap_err().code(), "conflict");

    let one = focused(50.0, 5.0, Some(5.0));
    assert_eq!((one.focus_m, one.aperture, one.dial.label.as_str(), one.holds), (5.0, 0.0, "f/1", true));
    // Beyond every hyperfocal distance: the widest will do.
    let far = focus_for(&FocusForQuestion { min_aperture: Some(2.8), ..scene(24.0, 5000.0, None) }).unwrap();
    assert_eq!((far.dial.label.as_str(), far.holds), ("f/2.8", true));
    assert!(far.aperture > 0.0 && far.aperture < 0.01);
}

/// Near enough to a long lens no stop is small enough: the sharpest is told in its place.
#[test]
fn a_scene_too_deep_for_any_stop_gets_the_sharpest() {
    let deep = focused(200.0, 3.0, None);
    assert!(!deep.holds && deep.dial.blur_um > 30.0);
    assert_eq!(deep.dial, deep.sharpest_dial);
    let lens = FocusForQuestion { max_aperture: Some(22.0), ..scene(200.0, 3.0, None) };
    let ended = focus_for(&lens).unwrap();
    assert_eq!((ended.dial.label.as_str(), ended.least_label.as_str(), ended.holds), ("f/22", "f/22", false));
    let least = deep.stops.iter().map(|stop| stop.blur_um).fold(f64::INFINITY, f64::min);
    assert!(deep.dial.blur_um <= least, "{} against {least}", deep.dial.blur_um);
}
