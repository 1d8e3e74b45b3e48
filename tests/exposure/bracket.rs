//! Brackets against the counting rule n = ⌈(scene − sensor)/step⌉ + 1 (computed, common practice).

use duskbook::web::frames::{BracketsQuestion, brackets};
use proptest::prelude::*;

use super::close;

fn of(scene_stops: f64, sensor_stops: f64, step_stops: f64) -> BracketsQuestion {
    BracketsQuestion { scene_stops: Some(scene_stops), sensor_stops, step_stops, ..Default::default() }
}

#[test]
fn the_number_of_frames_is_the_table_s() {
    for (scene, sensor, step, frames) in [
        (20.0, 12.0, 2.0, 5),
        (15.0, 12.0, 2.0, 3),
        (14.0, 12.0, 1.0, 3),
        (12.0, 12.0, 1.0, 1),
        (8.0, 12.0, 1.0, 1),
    ] {
        let answer = brackets(&of(scene, sensor, step)).unwrap();
        assert_eq!(answer.frames, frames, "{scene}/{sensor}/{step}");
        assert_eq!(answer.offsets_stops.len(), frames as usize);
    }
    assert_eq!(brackets(&of(14.0, 12.0, 1.0)).unwrap().offsets_stops, [-1.0, 0.0, 1.0]);
    assert_eq!(brackets(&of(13.0, 12.0, 1.0 / 3.0)).unwrap().frames, 4);
}

/// By hand: the middle of EV 15 and EV −3 is EV 6; at f/8, ISO 100 that is 1 s, and two stops about it 1/4 s and 4 s.
#[test]
fn two_readings_give_the_settings_with_the_aperture_kept() {
    let q = BracketsQuestion {
        scene_stops: None,
        highlight_ev: Some(15.0),
        shadow_ev: Some(-3.0),
        aperture: Some(8.0),
        iso: Some(100.0),
        ..of(0.0, 14.0, 2.0)
    };
    let answer = brackets(&q).unwrap();
    let settings = answer.settings.unwrap();
    let times: Vec<&str> = settings.iter().map(|frame| frame.shutter_label.as_str()).collect();
    assert_eq!(times, ["1/4 s", "1 s", "4 s"]);
    assert!(settings.iter().all(|frame| frame.aperture_label == "f/8" && frame.residual_stops.abs() < 1e-9));
    assert_eq!(answer.may_clip, ["lamps"]);
    close(answer.span_stops, 18.0, 1e-9, "span");
    close(answer.scene_stops, 18.0, 1e-9, "scene");
}

#[test]
fn a_bad_bracket_names_its_field() {
    let field = |q: BracketsQuestion| brackets(&q).unwrap_err().field().to_owned();
    assert_eq!(field(of(-1.0, 12.0, 1.0)), "sceneStops");
    assert_eq!(field(of(20.0, 0.0, 1.0)), "sensorStops");
    assert_eq!(field(of(20.0, 12.0, 0.0)), "stepStops");
    assert_eq!(field(of(f64::NAN, 12.0, 1.0)), "sceneStops");
    assert_eq!(field(BracketsQuestion { scene_stops: None, ..of(0.0, 12.0, 1.0) }), "sceneStops");
    assert_eq!(field(BracketsQuestion { highlight_ev: Some(99.0), ..of(9.0, 12.0, 1.0) }), "highlightEv");
}

proptest! {
    #[test]
    fn a_bracket_spans_the_scene_with_no_frame_too_many(scene in 0.0..40.0f64, sensor in 1.0..30.0f64, step in 0.3..6.0f64) {
        let answer = brackets(&of(scene, sensor, step)).unwrap();
        prop_assert!(answer.span_stops >= scene - 1e-6);
        prop_assert!(answer.frames == 1 || answer.span_stops - step < scene + 1e-6);
        prop_assert!(answer.offsets_stops.iter().sum::<f64>().abs() < 1e-6);
    }
}
