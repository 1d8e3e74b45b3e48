//! Which points of the checklist go with which settings. All of it is common practice, no source.

use duskbook::shoot::steadiness::{Steadiness, points};
use proptest::prelude::*;

fn words(equivalent_mm: f64, times_s: &[f64]) -> Vec<&'static str> {
    points(equivalent_mm, times_s).into_iter().map(Steadiness::word).collect()
}

const ALWAYS: [&str; 3] = ["focus-then-lock", "focus-after-zoom", "stabiliser-off"];

#[test]
fn the_list_follows_the_times_and_the_lens() {
    for (equivalent_mm, times, more) in [
        (28.0, vec![1.0 / 256.0], vec![]),
        // 1/60 s is marked for 1/64 s, 1/30 s for 1/32 s.
        (28.0, vec![1.0 / 64.0], vec!["release"]),
        (28.0, vec![1.0 / 32.0], vec!["release", "mirror"]),
        (28.0, vec![0.5], vec!["release", "mirror"]),
        (28.0, vec![2.0], vec!["release", "mirror", "finder", "wind", "ground-shake"]),
        (28.0, vec![8.0, 16.0, 32.0], vec!["release", "finder", "wind", "ground-shake"]),
        (28.0, vec![1.0 / 8.0, 32.0], vec!["release", "mirror", "finder", "wind", "ground-shake"]),
        (200.0, vec![1.0 / 8.0], vec!["release", "mirror", "wind", "ground-shake"]),
        (200.0, vec![1.0 / 256.0], vec![]),
    ] {
        let expected: Vec<&str> = ALWAYS.into_iter().chain(more).collect();
        assert_eq!(words(equivalent_mm, &times), expected, "{equivalent_mm} mm, {times:?}");
    }
    assert!(words(28.0, &[]).is_empty());
}

proptest! {
    #[test]
    fn a_longer_time_or_lens_takes_nothing_off_the_list_but_the_mirror(
        mm in 8.0..400.0f64, time in 0.001..60.0f64, more in 1.0..5.0f64,
    ) {
        let here = points(mm, &[time]);
        for list in [points(mm, &[time * more]), points(mm * more, &[time]), points(mm, &[time, time * more])] {
            for point in here.iter().filter(|point| **point != Steadiness::Mirror) {
                prop_assert!(list.contains(point), "{point:?}");
            }
        }
    }
}
