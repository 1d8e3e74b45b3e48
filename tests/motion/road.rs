//! A road through the lens, against a car driven along it in millimetres before a camera of rotations.

use duskbook::web::motion::{
    RoadTrailAnswer, RoadTrailQuestion, TrafficTrailQuestion, road_trail, traffic_trail,
};
use proptest::prelude::*;

use super::{camera, close, traced};
use crate::data::Worst;

/// A road that comes from far right, bends twice and goes out on the left, on falling ground.
fn bend() -> Vec<Vec<f64>> {
    [
        [90.0, 160.0, 4.0],
        [40.0, 120.0, 6.0],
        [-10.0, 110.0, 7.0],
        [-30.0, 70.0, 8.0],
        [5.0, 40.0, 9.0],
        [-60.0, 20.0, 9.0],
    ]
    .iter()
    .map(|point| point.to_vec())
    .collect()
}

fn asked(points_m: Vec<Vec<f64>>, shutter_s: f64) -> RoadTrailQuestion {
    RoadTrailQuestion {
        focal_mm: 35.0,
        format_mm: [36.0, 24.0],
        points_m,
        speed_m_s: 15.0,
        shutter_s,
        ..Default::default()
    }
}

fn told(points_m: Vec<Vec<f64>>, shutter_s: f64) -> RoadTrailAnswer {
    road_trail(&asked(points_m, shutter_s)).unwrap()
}

/// Where a traced car is in the frame: the ways between which it is, and the length of its image.
fn driven(q: &RoadTrailQuestion, from_m: f64, to_m: f64) -> (Option<f64>, f64, f64) {
    let eye = camera(0.0, q.tilt_deg.unwrap_or(0.0));
    let (mut enters, mut leaves, mut drawn) = (None, 0.0, 0.0);
    let mut before: Option<(f64, f64)> = None;
    let mut way = 0.0;
    for leg in q.points_m.windows(2) {
        let step = |axis: usize| leg[1][axis] - leg[0][axis];
        let length = (step(0).powi(2) + step(1).powi(2) + step(2).powi(2)).sqrt();
        // Millimetres of road.
        let steps = (length * 1e3).ceil() as i64;
        for k in 0..=steps {
            let share = k as f64 / steps as f64;
            let at = way + share * length;
            let [right, ahead, below] = [0, 1, 2].map(|axis| leg[0][axis] + share * step(axis));
            let spot = traced(&eye, q.focal_mm, [right, ahead, -below])
                .filter(|(x, y)| x.abs() <= q.format_mm[0] / 2.0 && y.abs() <= q.format_mm[1] / 2.0)
                .filter(|_| at >= from_m && at <= to_m);
            if spot.is_some() {
                enters = enters.or(Some(at));
                leaves = at;
            }
            drawn += before
                .zip(spot)
                .map_or(0.0, |((x, y), (u, v)): ((f64, f64), (f64, f64))| (u - x).hypot(v - y));
            before = spot;
        }
        way += length;
    }
    (enters, leaves, drawn)
}

#[test]
fn a_road_and_its_trail_are_those_of_a_traced_car() {
    let (mut lengths, mut times) = (Worst::new(), Worst::new());
    let back: Vec<Vec<f64>> = bend().into_iter().rev().collect();
    let through = vec![vec![3.0, -50.0, 2.0], vec![-20.0, 200.0, 2.0]];
    for (name, points) in [("bend", bend()), ("back", back), ("from behind", through)] {
        for (focal_mm, tilt_deg, shutter_s) in
            [(35.0, 0.0, 3.0), (24.0, -10.0, 6.0), (85.0, -4.0, 2.0), (50.0, 5.0, 4.0), (14.0, -30.0, 60.0)]
        {
            let q =
                RoadTrailQuestion { focal_mm, tilt_deg: Some(tilt_deg), ..asked(points.clone(), shutter_s) };
            let answer = road_trail(&q).unwrap();
            let row = format!("{name} {focal_mm} mm {tilt_deg}° {shutter_s} s");
            let (enters, leaves, road_mm) = driven(&q, 0.0, f64::INFINITY);
            let Some(enters) = enters else {
                assert!(
                    answer.road.is_empty() && answer.whole_s.is_none() && answer.road_share.is_none(),
                    "{row}"
                );
                continue;
            };
            times.note(answer.whole_s.unwrap() - (leaves - enters) / 15.0, &row);
            let (_, _, drawn) = driven(&q, enters, enters + 15.0 * shutter_s);
            lengths.note((answer.trail_mm - drawn) / drawn, &row);
            close(answer.road_share.unwrap(), drawn / road_mm, 2e-3, &row);
        }
    }
    // A millimetre of road at either end is up to a thousandth of a short, near trail.
    lengths.within("a road's trail against a traced car, relative", 2e-3);
    times.within("time in the frame against a traced car, s", 3e-4);
}

#[test]
fn a_straight_road_across_is_a_pass() {
    let across = told(vec![vec![-500.0, 100.0, 0.0], vec![500.0, 100.0, 0.0]], 2.0);
    let pass = TrafficTrailQuestion {
        focal_mm: 35.0,
        format_mm: [36.0, 24.0],
        speed_m_s: 15.0,
        distance_m: 100.0,
        heading_deg: 90.0,
        shutter_s: 2.0,
        ..Default::default()
    };
    let pass = traffic_trail(&pass).unwrap();
    // The road's lens is focused far away, the pass's on the car: f/D apart.
    close(across.trail_mm / pass.trail_mm, 1.0, 4e-4, "trail");
    close(across.whole_s.unwrap() / pass.cross_s.unwrap(), 1.0, 4e-4, "crossing");
    close(across.frame_share, pass.frame_share, 4e-4, "share");
    // On the frame's horizon, from its left side.
    let line = &across.road[0].0;
    assert_eq!(line.len(), 4);
    for (found, expected) in line.iter().zip([0.0, 12.0, 36.0, 12.0]) {
        close(*found, expected, 1e-9, "an end");
    }
}

#[test]
fn a_point_below_the_lens_is_below_the_horizon() {
    // By hand: 5 m below at 50 m is 3.5 mm below the middle at 35 mm.
    let line = told(vec![vec![0.0, 50.0, 5.0], vec![10.0, 50.0, 5.0]], 1.0).road[0].0.clone();
    for (found, expected) in line.iter().zip([18.0, 15.5, 25.0, 15.5]) {
        close(*found, expected, 1e-9, "an end");
    }
}

#[test]
fn a_road_straight_at_the_lens_and_past_it_is_drawn_as_far_as_it_is_before_the_lens() {
    let at = told(vec![vec![0.0, 200.0, 0.0], vec![0.0, -50.0, 0.0]], 60.0);
    assert_eq!((at.trail_mm, at.road_share, at.runs_behind), (0.0, None, true));
    let beside = told(vec![vec![2.0, 200.0, 1.5], vec![2.0, -50.0, 1.5]], 60.0);
    assert!(beside.trail_mm > 10.0 && beside.trail_mm < 30.0 && beside.runs_behind, "{beside:?}");
    let behind = told(vec![vec![2.0, -5.0, 1.5], vec![2.0, -50.0, 1.5]], 60.0);
    assert_eq!((behind.road.len(), behind.whole_s, behind.expected_trails), (0, None, None));
    let still = RoadTrailQuestion { speed_m_s: 0.0, cars_per_min: Some(5.0), ..asked(bend(), 5.0) };
    let still = road_trail(&still).unwrap();
    assert_eq!((still.trail_mm, still.whole_s, still.empty_chance), (0.0, None, None));
}

#[test]
fn what_makes_no_road_is_refused() {
    let field = |points: Vec<Vec<f64>>| road_trail(&asked(points, 1.0)).unwrap_err();
    assert_eq!(field(vec![]).field(), "pointsM");
    assert_eq!(field(vec![vec![0.0, 1.0, 0.0]]).code(), "out-of-range");
    assert_eq!(field(vec![vec![0.0, 1.0], vec![0.0, 2.0]]).code(), "malformed");
    assert_eq!(field(vec![vec![0.0, 9.0, 0.0], vec![0.0, 9.0, 0.0]]).code(), "conflict");
    assert_eq!(field(vec![vec![0.0, f64::NAN, 0.0], vec![0.0, 9.0, 0.0]]).code(), "not-a-number");
    let tilted = RoadTrailQuestion { tilt_deg: Some(100.0), ..asked(bend(), 1.0) };
    assert_eq!(road_trail(&tilted).unwrap_err().field(), "tiltDeg");
}

proptest! {
    #[test]
    fn a_trail_on_a_road_is_additive_in_time(first in 0.05..8.0f64, second in 0.05..8.0f64, start in 0.0..0.7f64) {
        let part = |start_share: f64, shutter_s: f64| {
            let q = RoadTrailQuestion { start_share: Some(start_share), ..asked(bend(), shutter_s) };
            road_trail(&q).unwrap()
        };
        let whole_s = part(0.0, 1.0).whole_s.unwrap();
        let (a, b) = (part(start, first).trail_mm, part((start + first / whole_s).min(1.0), second).trail_mm);
        prop_assert!((a + b - part(start, first + second).trail_mm).abs() < 1e-9);
    }

    #[test]
    fn any_road_is_drawn_inside_the_frame(
        points in prop::collection::vec(prop::collection::vec(-300.0..300.0f64, 3), 2..8),
        tilt in -60.0..60.0f64, open in 0.0..60.0f64,
    ) {
        let q = RoadTrailQuestion { tilt_deg: Some(tilt), cars_per_min: Some(10.0), ..asked(points, open) };
        let answer = road_trail(&q).unwrap();
        for line in answer.road.iter().chain(&answer.trail) {
            for xy in line.0.chunks(2) {
                prop_assert!((-1e-6..=36.0 + 1e-6).contains(&xy[0]) && (-1e-6..=24.0 + 1e-6).contains(&xy[1]), "{xy:?}");
            }
        }
        prop_assert!(answer.trail_mm.is_finite() && answer.frame_share <= 1.0 + 1e-9);
        prop_assert!(answer.road_share.is_none_or(|share| (0.0..=1.0).contains(&share)));
    }
}
