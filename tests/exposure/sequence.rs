//! Runs of frames, reckoned by hand. That noise reduction about doubles the time is common practice.

use duskbook::web::frames::{FramesForQuestion, SequenceQuestion, frames_for, sequence};
use proptest::prelude::*;

use super::close;

fn of(frames: f64, shutter_s: f64, gap_s: f64, noise_reduction: bool) -> SequenceQuestion {
    SequenceQuestion { frames, shutter_s, gap_s, noise_reduction, start_ms: None, closes_ms: None }
}

#[test]
fn a_run_lasts_its_exposures_and_the_gaps_between() {
    let plain = sequence(&of(10.0, 30.0, 2.0, false)).unwrap();
    assert_eq!((plain.total_s, plain.last_start_s, plain.exposed_s), (318.0, 288.0, 300.0));
    let doubled = sequence(&of(10.0, 30.0, 2.0, true)).unwrap();
    assert_eq!((doubled.total_s, doubled.last_start_s, doubled.last_end_s), (618.0, 558.0, 588.0));
    assert_eq!((plain.period_s, doubled.period_s), (32.0, 62.0));
    let one = sequence(&of(1.0, 30.0, 2.0, true)).unwrap();
    assert_eq!((one.total_s, one.last_start_s), (60.0, 0.0));
}

#[test]
fn the_light_is_compared_with_the_end_of_the_last_exposure() {
    let start_ms = 1_900_000_000_000.0;
    let window = |seconds: f64| SequenceQuestion {
        start_ms: Some(start_ms),
        closes_ms: Some(start_ms + seconds * 1e3),
        ..of(10.0, 30.0, 2.0, true)
    };
    close(sequence(&window(600.0)).unwrap().spare_s.unwrap(), 12.0, 1e-6, "spare");
    close(sequence(&window(500.0)).unwrap().spare_s.unwrap(), -88.0, 1e-6, "short");
    assert_eq!(sequence(&of(10.0, 30.0, 2.0, true)).unwrap().spare_s, None);
}

/// By hand: 30 s and a 1 s gap fill an hour's trail with ⌈3570/31⌉ + 1 = 117 frames, an hour of exposure with 120.
#[test]
fn an_hour_is_filled_with_the_fewest_frames() {
    let hour = |of: &str| FramesForQuestion {
        total_s: 3600.0,
        of: of.to_owned(),
        shutter_s: 30.0,
        gap_s: 1.0,
        noise_reduction: false,
        frame_mb: Some(40.0),
        battery_min: Some(90.0),
    };
    let trail = frames_for(&hour("elapsed")).unwrap();
    assert_eq!((trail.run.frames, trail.run.last_end_s), (117, 3626.0));
    assert_eq!(trail.storage_mb, Some(4680.0));
    close(trail.batteries.unwrap(), 3626.0 / 5400.0, 1e-9, "batteries");
    let stack = frames_for(&hour("exposed")).unwrap();
    assert_eq!((stack.run.frames, stack.run.exposed_s), (120, 3600.0));
    assert_eq!(frames_for(&hour("both")).unwrap_err().field(), "of");
}

#[test]
fn a_bad_run_names_its_field() {
    let told = |q: SequenceQuestion| sequence(&q).unwrap_err();
    assert_eq!(told(of(0.0, 30.0, 1.0, false)).field(), "frames");
    assert_eq!(
        told(of(2.5, 30.0, 1.0, false)).to_string(),
        "frames: \"2.5\" cannot be read; expected a whole number"
    );
    assert_eq!(told(of(2.0, 0.0, 1.0, false)).field(), "shutterS");
    assert_eq!(told(of(2.0, 30.0, -1.0, false)).field(), "gapS");
    assert_eq!(told(of(f64::INFINITY, 30.0, 1.0, false)).code(), "not-a-number");
}

proptest! {
    #[test]
    fn one_frame_fewer_would_not_fill_the_time(total_s in 1.0..80_000.0f64, shutter_s in 1.0..600.0f64, gap_s in 0.0..60.0f64, noise_reduction: bool) {
        for of in ["elapsed", "exposed"] {
            let q = FramesForQuestion {
                total_s, of: of.to_owned(), shutter_s, gap_s, noise_reduction, frame_mb: None, battery_min: None,
            };
            let run = frames_for(&q).unwrap().run;
            let (filled, one) = match of {
                "elapsed" => (run.last_end_s, gap_s + shutter_s * if noise_reduction { 2.0 } else { 1.0 }),
                _ => (run.exposed_s, shutter_s),
            };
            prop_assert!(filled >= total_s - 1e-6);
            prop_assert!(run.frames == 1 || filled - one < total_s + 1e-6);
        }
    }
}
