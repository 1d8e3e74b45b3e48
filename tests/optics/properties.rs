//! What must hold whatever the lens.

use duskbook::optics::diffraction::{Blur, Wave};
use duskbook::optics::f_number::FNumber;
use duskbook::optics::focus::Criterion;
use duskbook::optics::format::Format;
use duskbook::optics::lens::Lens;
use duskbook::optics::view::View;
use duskbook::units::Length;
use duskbook::web::optics::{EquivalentLensQuestion, FocusForQuestion, equivalent_lens, focus_for};
use proptest::prelude::*;

/// Far enough from a lens of up to 500 mm.
const NEAREST_M: f64 = 0.6;

prop_compose! {
    fn lenses()(focal in 5.0..500.0, circle in 0.003..0.2) -> Criterion {
        Criterion::new(focal, circle).unwrap()
    }
}

fn metres() -> impl Strategy<Value = f64> {
    (NEAREST_M.ln()..5000_f64.ln()).prop_map(f64::exp)
}

/// Near limit, and far with the sky as infinity.
fn limits(criterion: Criterion, n: f64, at: f64) -> (f64, f64) {
    let depth = criterion.depth(FNumber::new(n).unwrap(), at).unwrap();
    (depth.near.metres(), depth.far.map_or(f64::INFINITY, Length::metres))
}

proptest! {
    #[test]
    fn a_smaller_stop_has_more_depth(criterion in lenses(), n in 1.0..60.0, more in 1.01..4.0, at in metres()) {
        let (near, far) = limits(criterion, n, at);
        let (nearer, farther) = limits(criterion, n * more, at);
        prop_assert!(nearer < near && near < at && at < far && far <= farther);
    }

    #[test]
    fn a_shorter_lens_or_a_larger_circle_has_more_depth(
        focal in 5.0..400.0, circle in 0.003..0.1, n in 1.0..60.0, more in 1.01..2.0, at in metres(),
    ) {
        let of = |focal, circle| limits(Criterion::new(focal, circle).unwrap(), n, at);
        let (near, far) = of(focal, circle);
        for (nearer, farther) in [of(focal / more, circle), of(focal, circle * more)] {
            prop_assert!(nearer < near && far <= farther);
        }
    }

    #[test]
    fn both_limits_go_with_the_focus(criterion in lenses(), n in 1.0..60.0, at in metres(), more in 1.01..3.0) {
        let ((near, far), (nearer, farther)) = (limits(criterion, n, at), limits(criterion, n, at * more));
        prop_assert!(near < nearer && far <= farther);
    }

    #[test]
    fn depth_at_the_answer_gives_the_scene_back(criterion in lenses(), near in metres(), times in 1.05..50.0, sky: bool) {
        let scene = criterion.scene(near, (!sky).then_some(near * times)).unwrap();
        prop_assume!((0.5..512.0).contains(&scene.least()));
        let (back, far) = limits(criterion, scene.least(), scene.focus().metres());
        prop_assert!((back / near - 1.0).abs() < 1e-9, "{back} for {near}");
        if sky {
            prop_assert_eq!(far, f64::INFINITY);
        } else {
            // Towards the hyperfocal distance the far limit runs away with any rounding.
            let off: f64 = 1.0 / far - 1.0 / (near * times);
            prop_assert!(off.abs() * near < 1e-9, "{far} for {}", near * times);
        }
    }

    #[test]
    fn no_other_focus_needs_less(criterion in lenses(), near in metres(), times in 1.05..50.0, share in 0.0..1.0) {
        let scene = criterion.scene(near, Some(near * times)).unwrap();
        let elsewhere = Length::from_metres(near + near * (times - 1.0) * share);
        prop_assert!(scene.least_focused_at(elsewhere) >= scene.least() * (1.0 - 1e-9));
        prop_assert!(scene.least_focused_at(scene.third().unwrap()) >= scene.least() * (1.0 - 1e-9));
    }

    #[test]
    fn a_deeper_scene_needs_a_smaller_stop(criterion in lenses(), near in metres(), times in 1.05..50.0, more in 1.01..2.0) {
        let least = |near: f64, far| criterion.scene(near, far).unwrap().least();
        let far = near * times;
        prop_assert!(least(near, Some(far)) < least(near, Some(far * more)));
        prop_assert!(least(near, Some(far)) < least(near, None));
        prop_assert!(least(near * more, Some(far * more)) < least(near, Some(far * more)));
    }

    #[test]
    fn what_is_told_to_dial_holds_the_scene(focal in 5.0..500.0, circle in 0.003..0.2, near in metres(), times in 1.0..50.0, sky: bool) {
        let far_m = (!sky).then_some(near * times);
        let q = FocusForQuestion { focal_mm: focal, coc_mm: circle, near_m: near, far_m, min_aperture: Some(1.4), max_aperture: None };
        let found = focus_for(&q).unwrap();
        for number in [found.focus_m, found.aperture, found.sharpest, found.dial.blur_um, found.sharpest_dial.aperture] {
            prop_assert!(number.is_finite());
        }
        prop_assert!(found.stops.iter().all(|stop| stop.blur_um.is_finite()));
        prop_assert!(!found.holds || (found.dial.aperture >= found.aperture * (1.0 - 1e-8) && found.dial.blur_um <= circle * 1e3));
        prop_assert!(found.dial.aperture >= 1.41);
    }

    #[test]
    fn an_equivalent_lens_comes_back(focal in 5.0..500.0, w in 5.0..200.0, h in 5.0..200.0, w2 in 5.0..200.0, h2 in 5.0..200.0) {
        let asked = |focal_mm, from_mm, to_mm| {
            equivalent_lens(&EquivalentLensQuestion { focal_mm, from_mm, to_mm, aperture: None }).unwrap()
        };
        let there = asked(focal, [w, h], [w2, h2]);
        let back = asked(there.focal_mm, [w2, h2], [w, h]);
        prop_assert!((back.focal_mm / focal - 1.0).abs() < 1e-12);
        prop_assert!((back.crop * there.crop - 1.0).abs() < 1e-12);
        // The same angle, corner to corner.
        let corner = |focal, w, h| View::far(Lens::new(focal, Format::new(w, h).unwrap()).unwrap()).diagonal().degrees();
        prop_assert!((corner(there.focal_mm, w2, h2) - corner(focal, w, h)).abs() < 1e-9);
    }

    #[test]
    fn a_longer_lens_sees_less_and_a_distance_shows_more(
        focal in 5.0..400.0, more in 1.01..3.0, w in 5.0..200.0, at in metres(), sweep in 1.0..360.0, overlap in 0.0..0.8,
    ) {
        let seen = |focal, at: f64| View::focused(Lens::new(focal, Format::new(w, 24.0).unwrap()).unwrap(), "distanceM", at).unwrap();
        let (short, long) = (seen(focal, at + 1.0), seen(focal * more, at + 1.0));
        prop_assert!(long.horizontal().degrees() < short.horizontal().degrees());
        let width = |view: View, at| view.covers(Length::from_metres(at))[0].metres();
        prop_assert!(width(long, at + 1.0) < width(short, at + 1.0) && width(short, at + 1.0) < width(short, at + 2.0));
        let frames = |view: View, sweep, overlap| view.panorama(sweep, None, overlap).unwrap().columns;
        let counted = frames(short, sweep, overlap);
        prop_assert!(counted >= 1 && counted <= frames(long, sweep, overlap));
        prop_assert!(counted <= frames(short, 360.0, overlap) && counted <= frames(short, sweep, overlap + 0.1));
        // What they cover together reaches, and one less would not.
        let (wide, step) = (short.horizontal().degrees(), short.horizontal().degrees() * (1.0 - overlap));
        let reach = |count: u32| wide + f64::from(count - 1) * step;
        prop_assert!(reach(counted) >= sweep - 1e-6 && (counted == 1 || reach(counted - 1) < sweep));
    }

    #[test]
    fn diffraction_grows_as_defocus_shrinks(n in 0.5..500.0, more in 1.001..1.02, spread in 0.0..20.0, nm in 400.0..700.0) {
        let wave = Wave::new(nm).unwrap();
        let [wide, small] = [n, n * more].map(|n| FNumber::new(n).unwrap());
        prop_assert!(wave.airy(wide) < wave.airy(small) && wave.cutoff(wide) > wave.cutoff(small));
        prop_assert!((wave.stop_for(wave.airy(wide)) / n - 1.0).abs() < 1e-12);
        let blur = Blur::of(Length::from_millimetres(spread));
        prop_assert!(blur.defocus(n) >= blur.defocus(n * more));
        prop_assert!(blur.together(n).metres() >= blur.together(blur.sharpest().max(1e-9)).metres() * 0.999_999);
    }
}
