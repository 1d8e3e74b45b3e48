//! Formats, crops and equivalent lenses.
//!
//! The table is computed from nominal sizes; sizes and film gates vary by maker.

use duskbook::optics::circle::Sharpness;
use duskbook::optics::format::{Format, KNOWN};
use duskbook::web::optics::{
    CircleQuestion, EquivalentLensAnswer, EquivalentLensQuestion, circle_of_confusion, equivalent_lens,
};

use super::close;

const FULL: [f64; 2] = [36.0, 24.0];

fn equivalent(focal_mm: f64, from_mm: [f64; 2], to_mm: [f64; 2]) -> EquivalentLensAnswer {
    equivalent_lens(&EquivalentLensQuestion { focal_mm, from_mm, to_mm, aperture: Some(4.0) }).unwrap()
}

/// Computed from nominal sizes; each within half of its last printed digit.
#[test]
fn diagonals_crops_and_circles_are_those_of_the_table() {
    let rows = [
        ("36x24", 43.27, 1.0, 0.0288),
        ("23.5x15.6", 28.21, 1.534, 0.0188),
        ("22.3x14.9", 26.82, 1.613, 0.0179),
        ("17.3x13", 21.64, 1.999, 0.0144),
        ("13.2x8.8", 15.86, 2.727, 0.0106),
        ("43.8x32.9", 54.78, 0.790, 0.0365),
        ("56x41.5", 69.70, 0.621, 0.0465),
        ("56x56", 79.20, 0.546, 0.0528),
        ("70x56", 89.64, 0.483, 0.0598),
        ("120x95", 153.05, 0.283, 0.102),
    ];
    for ((size, diagonal, crop, circle), (_, format)) in rows.into_iter().zip(KNOWN) {
        assert_eq!(format.to_string(), size);
        close(format.diagonal().millimetres(), diagonal, 0.005, size);
        close(KNOWN[0].1.against(format).diagonal, crop, 0.0005, size);
        // d/1500 of 4 × 5 in is printed to a micrometre, 43.27/1500 = 0.02885 cut short.
        let within = if circle > 0.1 { 0.0005 } else { 0.00005 };
        close(Sharpness::Modern.circle(format).millimetres(), circle, within, size);
        close(Sharpness::Traditional.circle(format).millimetres(), circle * 1.5, within * 1.5, size);
    }
}

/// The page's list of formats is this one.
#[test]
fn the_page_offers_the_same_formats() {
    let words = include_str!("../../www/lib/words.js");
    let list = words.split("export const FORMATS = [").nth(1).unwrap().split("];").next().unwrap();
    let listed: Vec<&str> = list.split("['").skip(1).map(|row| row.split('\'').next().unwrap()).collect();
    assert_eq!(listed, KNOWN.map(|(_, format)| format.to_string()));
}

/// Common practice, no source: 30 mm on full frame sees about what 18 mm sees on a crop sensor. Exactly it is
/// 18.6 mm on crop 1.6 and 19.6 mm on crop 1.5, so the saying is 3 % to 9 % short; that much is allowed.
#[test]
fn thirty_on_full_frame_is_about_eighteen_on_a_crop_sensor() {
    for (to, exact) in [([23.5, 15.6], 19.6), ([22.3, 14.9], 18.6)] {
        let there = equivalent(30.0, FULL, to);
        close(there.focal_mm, exact, 0.05, "exact");
        assert!((0.02..0.10).contains(&(there.focal_mm / 18.0 - 1.0)), "{there:?}");
    }
}

/// Definition: f = f · crop, N = N · crop, exposure unchanged.
#[test]
fn focal_length_and_depth_go_with_the_crop() {
    let there = equivalent(18.0, [23.5, 15.6], FULL);
    close(there.crop, 1.534, 0.0005, "crop");
    close(there.focal_mm, 18.0 * there.crop, 1e-12, "focal length");
    assert_eq!(there.depth_factor, there.crop);
    close(there.aperture.unwrap(), 4.0 * there.crop, 1e-12, "f-number");
}

/// Geometry: 4:3 and 3:2 share no factor; of 6 × 6 on 135, width and height differ by half.
#[test]
fn other_shapes_have_a_factor_for_each_side() {
    let there = equivalent(25.0, [17.3, 13.0], FULL);
    assert!(there.other_shape);
    close(there.by_width_mm, 25.0 * 36.0 / 17.3, 1e-9, "by width");
    close(there.by_height_mm, 25.0 * 24.0 / 13.0, 1e-9, "by height");
    assert!(there.by_height_mm < there.focal_mm && there.focal_mm < there.by_width_mm);
    assert!(!equivalent(25.0, [23.5, 15.6], FULL).other_shape);
}

#[test]
fn a_side_that_is_none_is_refused_under_its_format() {
    let refused = equivalent_lens(&EquivalentLensQuestion {
        focal_mm: 50.0,
        from_mm: FULL,
        to_mm: [0.0, 24.0],
        aperture: None,
    });
    assert_eq!(refused.unwrap_err().to_string(), "toMm: 0 is outside 1 mm to 300 mm");
}

/// Ray (2000), quoted: 0.2 mm in a print at 25 cm. A 30 cm print of 36 mm is 8.33 times as wide: 0.024 mm.
/// 0.030 mm is customary on 135.
#[test]
fn a_print_sets_the_circle_by_its_size_and_distance() {
    let circle = |basis: &str, print_cm, viewing_cm| {
        let basis = basis.to_owned();
        circle_of_confusion(&CircleQuestion { format_mm: FULL, basis, print_cm, viewing_cm })
            .map(|a| a.coc_mm)
    };
    close(circle("print", Some(30.0), Some(25.0)).unwrap(), 0.024, 1e-12, "at 25 cm");
    close(circle("print", Some(30.0), Some(50.0)).unwrap(), 0.048, 1e-12, "at 50 cm");
    close(circle("customary", None, None).unwrap(), 0.030, 1e-12, "135");
    assert_eq!(circle("print", Some(30.0), None).unwrap_err().field(), "viewingCm");
    assert_eq!(circle("sharp", None, None).unwrap_err().code(), "unknown");
    let upright = Format::new(24.0, 36.0).unwrap();
    close(Sharpness::Print(30.0, 25.0).circle(upright).millimetres(), 0.024, 1e-12, "upright");
}
