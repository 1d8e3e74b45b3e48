//! One car past the lens. The rows are computed from the formula that they name; the trace is our own, in steps of a
//! millisecond through a camera of rotations.

use duskbook::web::motion::{TrafficTrailAnswer, TrafficTrailQuestion, traffic_trail};
use proptest::prelude::*;

use super::{camera, close, traced};
use crate::data::Worst;

const KMH: f64 = 1.0 / 3.6;

fn asked(focal_mm: f64, kmh: f64, distance_m: f64, heading_deg: f64, shutter_s: f64) -> TrafficTrailQuestion {
    TrafficTrailQuestion {
        focal_mm,
        format_mm: [36.0, 24.0],
        speed_m_s: kmh * KMH,
        distance_m,
        heading_deg,
        shutter_s,
        ..Default::default()
    }
}

fn trail(focal_mm: f64, kmh: f64, distance_m: f64, heading_deg: f64, shutter_s: f64) -> TrafficTrailAnswer {
    traffic_trail(&asked(focal_mm, kmh, distance_m, heading_deg, shutter_s)).unwrap()
}

/// Computed from f·v·t/(D − f): 24 mm, 50 km/h, 30 s, 100 m.
#[test]
fn a_long_time_across_draws_a_hundred_millimetres_and_crosses_the_frame_in_eleven_seconds() {
    let long = trail(24.0, 50.0, 100.0, 90.0, 30.0);
    close(long.trail_mm, 100.0, 0.05, "trail");
    close(long.travelled_m, 416.7, 0.05, "travelled");
    close(long.cross_s.unwrap(), 10.8, 0.05, "crossing");
    assert_eq!(long.frame_share, 1.0);
    // Straight across, the short formula is exact.
    close(long.small_shift_mm, long.trail_mm, 1e-9, "short formula");
}

/// Computed: 24 mm, 50 km/h, 4 s, 100 m, 45°.
#[test]
fn at_an_angle_the_short_formula_is_half_wrong() {
    let (away, nearer) = (trail(24.0, 50.0, 100.0, 45.0, 4.0), trail(24.0, 50.0, 100.0, 135.0, 4.0));
    for (found, expected, what) in [
        (away.small_shift_mm, 9.43, "formula, away"),
        (nearer.small_shift_mm, 9.43, "formula, nearer"),
        (away.trail_mm, 6.77, "receding"),
        (nearer.trail_mm, 15.53, "approaching"),
    ] {
        close(found, expected, 0.005, what);
    }
    close(away.frame_share, 6.77 / 36.0, 0.0002, "share");
}

/// The car is driven in milliseconds, in east, north and up, before a camera on any bearing; its image is followed until
/// the time is up, and until it has passed both sides of the frame.
#[test]
fn the_trail_and_the_crossing_are_those_of_a_traced_pinhole() {
    let (mut lengths, mut times) = (Worst::new(), Worst::new());
    for (focal_mm, kmh, distance_m, open_s) in [
        (24.0, 50.0, 100.0, 4.0),
        (85.0, 90.0, 300.0, 6.0),
        (14.0, 30.0, 12.0, 0.8),
        (200.0, 120.0, 900.0, 10.0),
    ] {
        for heading in [10.0, 45.0, 60.0, 80.0, 90.0, 100.0, 120.0, 135.0, 170.0, 225.0, 300.0_f64] {
            let row = format!("{focal_mm} mm {kmh} km/h {distance_m} m {heading}°");
            let answer = trail(focal_mm, kmh, distance_m, heading, open_s);
            let bearing = 37.0;
            let eye = camera(bearing, 0.0);
            let image_mm = 1.0 / (1.0 / focal_mm - 1.0 / (distance_m * 1e3));
            let course = f64::to_radians(bearing + heading);
            let start = f64::to_radians(bearing).sin_cos();
            let at = |s: f64| {
                let way = kmh * KMH * s;
                let east = distance_m * start.0 + way * course.sin();
                let north = distance_m * start.1 + way * course.cos();
                traced(&eye, image_mm, [east, north, 0.0]).map(|(right, _)| right)
            };
            // The way on the picture, added up step by step.
            let steps = (open_s * 1e3).round() as i32;
            let mut drawn = 0.0;
            for ms in 1..=steps {
                let [before, after] = [ms - 1, ms].map(|ms| at(f64::from(ms) * 1e-3));
                drawn += before.zip(after).map_or(0.0, |(a, b): (f64, f64)| (b - a).abs());
            }
            lengths.note((answer.trail_mm - drawn) / drawn, &row);

            // Both sides of the frame, within two minutes either way.
            let outside = |ms: &i32| at(f64::from(*ms) * 1e-3).is_none_or(|right| right.abs() > 18.0);
            let left = (0..120_000).find(outside);
            let came = (-120_000..0).rev().find(outside);
            match answer.cross_s {
                Some(cross_s) => {
                    let (left, came) = (left.expect("it leaves"), came.expect("it came"));
                    times.note(cross_s - f64::from(left - came) * 1e-3, &row);
                }
                None => assert!(left.is_none() || came.is_none(), "{row}: crosses in {left:?}, {came:?}"),
            }
        }
    }
    lengths.within("trail against a traced car, relative", 1e-9);
    // Each side is found to a step.
    times.within("crossing against a traced car, s", 0.002);
}

#[test]
fn a_car_at_the_lens_or_past_it_is_a_value() {
    let at_lens = trail(24.0, 50.0, 100.0, 180.0, 60.0);
    assert_eq!((at_lens.trail_mm, at_lens.frame_share, at_lens.cross_s), (0.0, 0.0, None));
    close(at_lens.arrives_s.unwrap(), 7.2, 1e-9, "arrival");
    let past = trail(24.0, 50.0, 100.0, 135.0, 60.0);
    assert!(past.trail_mm.is_finite() && past.frame_share == 1.0, "{past:?}");
    close(past.arrives_s.unwrap(), 100.0 * 2.0_f64.sqrt() / (50.0 * KMH), 1e-9, "beside the lens");
    // Once past, nothing more is drawn.
    assert_eq!(past.trail_mm, trail(24.0, 50.0, 100.0, 135.0, 600.0).trail_mm);
    let away = trail(24.0, 50.0, 100.0, 0.0, 86_400.0);
    assert_eq!((away.trail_mm, away.arrives_s), (0.0, None));
}

#[test]
fn no_time_and_no_speed_draw_a_point() {
    let shut = trail(24.0, 50.0, 100.0, 90.0, 0.0);
    assert_eq!((shut.trail_mm, shut.frame_share, shut.travelled_m), (0.0, 0.0, 0.0));
    let q = TrafficTrailQuestion {
        pitch_um: Some(4.0),
        wanted_share: Some(0.5),
        than_shutter_s: Some(1.0),
        ..asked(24.0, 0.0, 100.0, 90.0, 10.0)
    };
    let still = traffic_trail(&q).unwrap();
    assert_eq!((still.trail_mm, still.cross_s, still.wanted_s, still.dwell_s), (0.0, None, None, None));
    assert_eq!((still.trail_stops, still.against_ambient_stops), (None, None));
    // Nor does the lamp of a car that comes straight on pass a point; what stands still is told all the same.
    let q = TrafficTrailQuestion { than_shutter_s: Some(5.0), ..asked(24.0, 50.0, 100.0, 180.0, 10.0) };
    let at_lens = traffic_trail(&q).unwrap();
    assert_eq!((at_lens.trail_stops, at_lens.against_ambient_stops), (None, None));
    close(at_lens.ambient_stops.unwrap(), 1.0, 1e-12, "what stands still");
}

#[test]
fn a_bad_number_names_its_field() {
    let field = |q: TrafficTrailQuestion| traffic_trail(&q).unwrap_err().field().to_owned();
    assert_eq!(field(asked(0.0, 50.0, 100.0, 90.0, 1.0)), "focalMm");
    assert_eq!(field(asked(24.0, -1.0, 100.0, 90.0, 1.0)), "speedMS");
    assert_eq!(field(asked(24.0, 50.0, 0.0, 90.0, 1.0)), "distanceM");
    assert_eq!(field(asked(24.0, 50.0, f64::INFINITY, 90.0, 1.0)), "distanceM");
    assert_eq!(field(asked(24.0, 50.0, 100.0, 720.0, 1.0)), "headingDeg");
    assert_eq!(field(asked(24.0, 50.0, 100.0, 90.0, -1.0)), "shutterS");
    assert_eq!(field(asked(24.0, 50.0, 100.0, 90.0, 1e9)), "shutterS");
    let plain = asked(24.0, 50.0, 100.0, 90.0, 1.0);
    assert_eq!(field(TrafficTrailQuestion { format_mm: [0.0, 24.0], ..plain.clone() }), "formatMm");
    assert_eq!(field(TrafficTrailQuestion { wanted_share: Some(0.0), ..plain.clone() }), "wantedShare");
    assert_eq!(field(TrafficTrailQuestion { pitch_um: Some(0.0), ..plain.clone() }), "pitchUm");
    assert_eq!(field(TrafficTrailQuestion { than_shutter_s: Some(0.0), ..plain.clone() }), "thanShutterS");
    let opened = TrafficTrailQuestion { than_shutter_s: Some(1.0), than_iso: Some(0.0), ..plain };
    assert_eq!(field(opened), "thanIso");
}

/// By hand, from what the handbooks say: a trail goes with ISO/N² and the dwell, the ambient with ISO/N² and the time.
#[test]
fn a_trail_goes_with_aperture_iso_and_speed_and_not_with_the_time() {
    let base = TrafficTrailQuestion {
        aperture: Some(8.0),
        iso: Some(100.0),
        than_shutter_s: Some(5.0),
        pitch_um: Some(5.0),
        ..asked(24.0, 50.0, 100.0, 90.0, 20.0)
    };
    let told = |q: TrafficTrailQuestion| {
        let answer = traffic_trail(&q).unwrap();
        [answer.trail_stops, answer.ambient_stops, answer.against_ambient_stops]
            .map(|stops| stops.unwrap().round())
    };
    assert_eq!(told(base.clone()), [0.0, 2.0, -2.0]);
    assert_eq!(told(TrafficTrailQuestion { than_aperture: Some(4.0), ..base.clone() }), [-2.0, 0.0, -2.0]);
    assert_eq!(told(TrafficTrailQuestion { than_iso: Some(400.0), ..base.clone() }), [-2.0, 0.0, -2.0]);
    assert_eq!(
        told(TrafficTrailQuestion { than_speed_m_s: Some(50.0 * KMH / 2.0), ..base.clone() }),
        [-1.0, 2.0, -3.0]
    );
    // 5 µm at 24 · 13.9 / 100 = 3.33 mm a second.
    close(traffic_trail(&base).unwrap().dwell_s.unwrap(), 0.0015, 1e-5, "dwell");
}

proptest! {
    #[test]
    fn a_trail_grows_with_time_speed_and_focal_length_and_shrinks_with_distance(
        focal in 8.0..600.0f64, kmh in 1.0..200.0f64, distance in 10.0..3000.0f64, heading in 1.0..89.0f64,
        open in 0.01..60.0f64, more in 1.01..3.0f64,
    ) {
        for heading in [heading, 90.0] {
            let length = |f: f64, v: f64, d: f64, t: f64| trail(f, v, d, heading, t).trail_mm;
            let here = length(focal, kmh, distance, open);
            prop_assert!(length(focal, kmh, distance, open * more) > here);
            prop_assert!(length(focal, kmh * more, distance, open) > here);
            prop_assert!(length(focal * more, kmh, distance, open) > here);
            prop_assert!(length(focal, kmh, distance * more, open) < here);
            // Turned from driving away towards across, it is longer.
            prop_assert!(heading == 90.0 || trail(focal, kmh, distance, heading + 1.0, open).trail_mm > here);
            // The same to the left.
            prop_assert!((trail(focal, kmh, distance, -heading, open).trail_mm - here).abs() < 1e-9 * here);
        }
    }

    #[test]
    fn a_trail_is_additive_in_time_and_its_time_comes_back(
        focal in 8.0..600.0f64, kmh in 1.0..200.0f64, distance in 10.0..3000.0f64, heading in 1.0..179.0f64,
        first in 0.01..20.0f64, second in 0.01..20.0f64, share in 0.01..2.0f64,
    ) {
        // Straight across, the second part starts as the first did.
        let across = |t: f64| trail(focal, kmh, distance, 90.0, t).trail_mm;
        prop_assert!((across(first) + across(second) - across(first + second)).abs() < 1e-9 * across(first + second));

        let q = TrafficTrailQuestion { wanted_share: Some(share), ..asked(focal, kmh, distance, heading, first) };
        let answer = traffic_trail(&q).unwrap();
        if let Some(wanted) = answer.wanted_s {
            let back = trail(focal, kmh, distance, heading, wanted).trail_mm;
            prop_assert!((back / (share * 36.0) - 1.0).abs() < 1e-6, "{back} for {share}");
        } else {
            // It never gets there, or only beside the lens.
            let most = trail(focal, kmh, distance, heading, 86_400.0).trail_mm;
            prop_assert!(most < share * 36.0 * 1.000_001, "{most}");
        }
        if let Some(cross) = answer.cross_s {
            // The half after the axis and the half before it, which is the way of the mirrored heading.
            let half = |heading: f64| {
                let q = TrafficTrailQuestion { wanted_share: Some(0.5), ..asked(focal, kmh, distance, heading, 1.0) };
                traffic_trail(&q).unwrap().wanted_s.unwrap()
            };
            prop_assert!((half(heading) + half(180.0 - heading) - cross).abs() < 1e-6 * cross);
        }
    }

    #[test]
    fn nothing_told_is_ever_no_number(
        focal in 1.0..5000.0f64, speed in 0.0..200.0f64, distance in 0.2..100_000.0f64, heading in -360.0..360.0f64,
        open in 0.0..86_400.0f64,
    ) {
        let q = TrafficTrailQuestion {
            focal_mm: focal, format_mm: [36.0, 24.0], speed_m_s: speed, distance_m: distance, heading_deg: heading,
            shutter_s: open, pitch_um: Some(4.0), wanted_share: Some(0.5), ..Default::default()
        };
        if let Ok(a) = traffic_trail(&q) {
            let told = [Some(a.trail_mm), Some(a.frame_share), Some(a.small_shift_mm), a.trail_px, a.cross_s, a.wanted_s, a.arrives_s];
            for number in told.into_iter().flatten() {
                prop_assert!(number.is_finite() && number >= 0.0, "{a:?}");
            }
            prop_assert!(a.frame_share <= 1.0);
        } else {
            prop_assert!(distance * 1e3 <= 2.0 * focal);
        }
    }
}
