//! Star trails and their limits, and the sky turned as a sphere.
//!
//! The NPF rule: F. Michaud, Société Astronomique du Havre, read in a public copy. The 500 rule: common practice, no
//! source. The sidereal rate and the trail: computed.

use std::f64::consts::TAU;

use duskbook::web::motion::{StarTrailAnswer, StarTrailQuestion, star_trail};
use proptest::prelude::*;

use super::{Vector, camera, close, traced, turned};
use crate::data::Worst;

fn asked(
    focal_mm: f64,
    aperture: f64,
    pitch_um: f64,
    declination_deg: f64,
    shutter_s: f64,
) -> StarTrailQuestion {
    StarTrailQuestion { focal_mm, aperture, pitch_um, declination_deg, shutter_s, ..Default::default() }
}

fn told(q: &StarTrailQuestion) -> StarTrailAnswer {
    star_trail(q).unwrap()
}

/// Computed: f · t · (2π/86 164.09) · cos δ at 24 mm, 20 s, δ 0; 15.041″ a second.
#[test]
fn the_sky_turns_fifteen_seconds_of_arc_a_second() {
    let star = told(&asked(24.0, 2.8, 5.94, 0.0, 20.0));
    close(star.trail_um, 35.0, 0.05, "trail");
    close(star.trail_px, 35.0 / 5.94, 0.01, "pixels");
    close(star.arc_deg * 3600.0 / 20.0, 15.041, 0.0005, "rate");
}

/// Michaud, read: N 2.8, f 24, p 5.94.
#[test]
fn npf_is_as_published() {
    let star = told(&asked(24.0, 2.8, 5.94, 0.0, 20.0));
    close(star.npf_simple_s, 11.51, 0.005, "simple");
    close(star.npf_full_s.unwrap(), 5.46, 0.005, "full");
    let thrice = told(&StarTrailQuestion { npf_k: Some(3.0), ..asked(24.0, 2.8, 5.94, 60.0, 20.0) });
    close(thrice.npf_full_s.unwrap(), 6.0 * 5.4624, 0.002, "k 3 at 60°");
}

/// Common practice, no source: 500 over the equivalent focal length; crops of the formats as computed by diagonal.
#[test]
fn five_hundred_over_the_equivalent_focal_length() {
    let limit =
        |format_mm| told(&StarTrailQuestion { format_mm, ..asked(20.0, 2.8, 4.0, 0.0, 1.0) }).limit_500_s;
    close(limit(None), 25.0, 1e-9, "36 × 24");
    close(limit(Some([23.5, 15.6])), 25.0 / 1.534, 0.01, "23.5 × 15.6");
    close(limit(Some([43.8, 32.9])), 25.0 / 0.790, 0.02, "43.8 × 32.9");
}

#[test]
fn at_a_pole_a_star_stands_and_no_limit_is_told() {
    for pole in [90.0, -90.0] {
        let star = told(&asked(24.0, 2.8, 5.94, pole, 86_400.0));
        assert_eq!((star.trail_um, star.npf_full_s), (0.0, None));
        assert!(star.limit_500_s.is_finite() && star.npf_simple_s.is_finite());
    }
    let beside = told(&asked(24.0, 2.8, 5.94, 89.999_999, 10.0));
    assert!(beside.npf_full_s.is_none() && beside.trail_um > 0.0, "{beside:?}");
    assert_eq!(told(&asked(24.0, 2.8, 5.94, 0.0, 0.0)).trail_um, 0.0);
}

/// By hand: 30° take 7180.3 s; with 120 s and gaps of 2 s that is 1 + ⌈7060.3/122⌉ = 59 frames.
#[test]
fn a_stack_draws_an_arc() {
    let q = StarTrailQuestion {
        wanted_arc_deg: Some(30.0),
        gap_s: Some(2.0),
        ..asked(24.0, 2.8, 5.0, 0.0, 120.0)
    };
    let star = told(&q);
    assert_eq!((star.stack_frames, star.stack_s), (Some(59), Some(58.0 * 122.0 + 120.0)));
    // Two seconds are 3.5 µm.
    close(star.gap_px.unwrap(), 0.7, 0.001, "gap");
    let refused = |q| star_trail(&q).unwrap_err().field().to_owned();
    assert_eq!(refused(StarTrailQuestion { wanted_arc_deg: Some(0.0), ..q.clone() }), "wantedArcDeg");
    assert_eq!(refused(StarTrailQuestion { gap_s: Some(-1.0), ..q.clone() }), "gapS");
    assert_eq!(refused(StarTrailQuestion { npf_k: Some(0.5), ..q.clone() }), "npfK");
    assert_eq!(refused(asked(24.0, 2.8, 5.0, 91.0, 1.0)), "declinationDeg");
    assert_eq!(refused(asked(24.0, 2.8, 0.0, 1.0, 1.0)), "pitchUm");
}

/// A star is turned about the pole by the sidereal rate, and followed in the middle of a camera that looks at the middle
/// of its way: on a flat picture, by a hundred steps.
#[test]
fn the_trail_is_that_of_a_turned_sphere() {
    let mut worst = Worst::new();
    for declination in [-80.0, -45.0, -10.0, 0.0, 23.0, 51.0, 70.0, 85.0_f64] {
        for (focal_mm, shutter_s) in [(14.0, 30.0), (24.0, 20.0), (50.0, 240.0), (200.0, 60.0)] {
            // Latitude 0: the pole is north on the horizon. The star starts half its way before the meridian.
            let pole: Vector = [0.0, 1.0, 0.0];
            let (sin, cos) = declination.to_radians().sin_cos();
            let meridian: Vector = [0.0, sin, cos];
            let altitude = 90.0 - declination.abs();
            let eye = camera(if declination < 0.0 { 180.0 } else { 0.0 }, altitude);
            let whole = TAU * shutter_s / 86_164.09;
            let at =
                |share: f64| traced(&eye, focal_mm, turned(meridian, pole, (share - 0.5) * whole)).unwrap();
            let drawn: f64 = (0..100)
                .map(|k| {
                    let [(x, y), (u, v)] = [k, k + 1].map(|k| at(f64::from(k) / 100.0));
                    (u - x).hypot(v - y)
                })
                .sum();
            let found = told(&asked(focal_mm, 2.8, 4.0, declination, shutter_s)).trail_um;
            worst.note(found / (drawn * 1e3) - 1.0, format!("{declination}° {focal_mm} mm {shutter_s} s"));
        }
    }
    // A flat picture stretches the ends of a trail of a degree by 2 · 10⁻⁵.
    worst.within("star trail against a turned sphere, relative", 4e-5);
}

proptest! {
    #[test]
    fn trails_grow_with_time_and_focal_length_and_shrink_to_the_poles(
        focal in 8.0..400.0f64, aperture in 1.0..16.0f64, pitch in 1.0..10.0f64, declination in 0.0..88.0f64,
        open in 0.1..3000.0f64, more in 1.01..3.0f64,
    ) {
        let q = asked(focal, aperture, pitch, declination, open);
        let here = told(&q);
        let longer = told(&StarTrailQuestion { shutter_s: open * more, ..q.clone() });
        prop_assert!((longer.trail_um / here.trail_um - more).abs() < 1e-9);
        let nearer = told(&StarTrailQuestion { focal_mm: focal * more, ..q.clone() });
        prop_assert!(nearer.trail_um > here.trail_um && nearer.limit_500_s < here.limit_500_s);
        prop_assert!(nearer.npf_simple_s < here.npf_simple_s && nearer.npf_full_s < here.npf_full_s);
        let poleward = told(&StarTrailQuestion { declination_deg: declination + 1.0, ..q.clone() });
        prop_assert!(poleward.trail_um < here.trail_um && poleward.npf_full_s > here.npf_full_s);
        let southern = told(&StarTrailQuestion { declination_deg: -declination, ..q.clone() });
        prop_assert_eq!(&southern, &here);
        let coarser = told(&StarTrailQuestion { pitch_um: pitch * more, ..q });
        prop_assert!(coarser.npf_simple_s > here.npf_simple_s && coarser.npf_full_s > here.npf_full_s);
    }
}
