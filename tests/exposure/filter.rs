//! Filters against their definitions: D = −log10 T, factor = 10^D, stops = D / log10 2.
//!
//! Numbers marked computed follow from these; the polariser's factor is in Kodak F-4016.

use duskbook::exposure::filter::Loss;
use duskbook::web::filter::{
    FilterForQuestion, FilterQuestion, GraduatedQuestion, ThroughFiltersQuestion, filter_for,
    graduated_filter, through_filters,
};
use proptest::prelude::*;

use super::close;

fn stops(stops: f64) -> FilterQuestion {
    FilterQuestion { stops: Some(stops), ..Default::default() }
}

fn factor(factor: f64) -> FilterQuestion {
    FilterQuestion { factor: Some(factor), ..Default::default() }
}

fn density(density: f64) -> FilterQuestion {
    FilterQuestion { density: Some(density), ..Default::default() }
}

fn through(base_s: f64, filters: &[FilterQuestion]) -> ThroughFiltersQuestion {
    ThroughFiltersQuestion { base_s, filters: filters.to_vec(), longest_shutter_s: None }
}

/// Computed from the definitions; factors printed to three figures.
#[test]
fn densities_are_the_factors_and_stops_of_the_table() {
    for (density, factor, stops) in [
        (0.3, 2.00, 0.997),
        (0.9, 7.94, 2.990),
        (1.8, 63.1, 5.979),
        (2.6, 398.0, 8.637),
        (3.0, 1000.0, 9.966),
        (4.0, 10_000.0, 13.288),
        (5.0, 100_000.0, 16.610),
    ] {
        let loss = Loss::from_density(density).unwrap();
        close(loss.factor() / factor, 1.0, 0.003, &format!("factor of {density}"));
        close(loss.stops().count(), stops, 0.0005, &format!("stops of {density}"));
    }
}

/// As filters are sold: "16" is a factor of 4 stops, "1.6" a density of 5.3.
#[test]
fn sixteen_and_one_point_six_are_different_filters() {
    let answer = |filter| through_filters(&through(1.0, &[filter])).unwrap().stops;
    close(answer(factor(16.0)), 4.0, 1e-12, "factor 16");
    close(answer(density(1.6)), 5.315, 0.0005, "density 1.6");
    let refused = through_filters(&through(1.0, &[density(16.0)])).unwrap_err();
    assert_eq!(refused.to_string(), "filters[0].density: 16 is outside 0 to 7.2");
}

/// Computed.
#[test]
fn a_thirtieth_through_a_thousand_is_half_a_minute() {
    let thousand = through_filters(&through(1.0 / 30.0, &[factor(1000.0)])).unwrap();
    close(thousand.exact_s, 33.3, 0.05, "×1000");
    assert_eq!((thousand.dialled_label.as_str(), thousand.timed), ("30 s", false));
    close(thousand.residual_stops, (32.0 * 30.0 / 1000.0f64).log2(), 1e-9, "32 s against 33.3 s");
    let binary = through_filters(&through(1.0 / 30.0, &[factor(1024.0)])).unwrap();
    close(binary.exact_s, 34.1, 0.05, "×1024");
}

/// By hand: 6 + log2 8 + 0.9/log10 2 + 10 stops from 1/250 s is 2^21.99/250 s.
#[test]
fn four_filters_stack_from_a_250th() {
    let stack = [stops(6.0), factor(8.0), density(0.9), stops(10.0)];
    let answer = through_filters(&through(1.0 / 250.0, &stack)).unwrap();
    close(answer.stops, 21.990, 0.0005, "stops");
    close(answer.exact_s, 64.0 * 8.0 * 10f64.powf(0.9) * 1024.0 / 250.0, 1e-6, "seconds");
    assert!(answer.timed);
    assert_eq!((answer.dialled_s, answer.dialled_label.as_str()), (answer.exact_s, "4 h 37 min 38 s"));

    let short = [stops(1.0), factor(4.0), density(0.3), stops(2.0)];
    let answer = through_filters(&through(1.0 / 250.0, &short)).unwrap();
    close(answer.exact_s, 8.0 * 10f64.powf(0.3) * 4.0 / 250.0, 1e-9, "seconds");
    assert_eq!((answer.dialled_label.as_str(), answer.timed), ("1/4 s", false));
    close(answer.residual_stops, (0.25 / answer.exact_s).log2(), 1e-9, "residual");
}

/// Kodak F-4016: a polarising filter's factor is 2.5; one to two stops in practice is from memory.
#[test]
fn an_unmeasured_polariser_is_a_range_that_holds_the_published_factor() {
    let polariser = FilterQuestion { kind: Some("polariser".into()), ..Default::default() };
    let answer = through_filters(&through(1.0, &[polariser])).unwrap();
    assert_eq!((answer.least_s, answer.most_s, answer.stops), (2.0, 4.0, 1.5));
    assert!((answer.least_s..=answer.most_s).contains(&2.5));
}

#[test]
fn a_graduated_filter_takes_from_the_sky_only() {
    let soft = FilterQuestion { kind: Some("graduated".into()), edge: Some("soft".into()), ..density(0.9) };
    let answer = through_filters(&through(0.5, &[soft])).unwrap();
    assert_eq!(answer.exact_s, 0.5);
    close(answer.sky_stops, 2.990, 0.0005, "sky");
}

/// Common practice, from memory: D ≈ 0.3 × (sky − foreground − keep), 0.3 standing for log10 2.
#[test]
fn a_graduated_filter_s_strength_follows_from_two_readings() {
    let q = GraduatedQuestion { sky_ev: 11.0, foreground_ev: 7.0, keep_stops: Some(1.0) };
    let answer = graduated_filter(&q).unwrap();
    assert_eq!(answer.stops, 3.0);
    close(answer.density, 0.9, 0.005, "density");
    let none = GraduatedQuestion { sky_ev: 7.0, foreground_ev: 7.0, keep_stops: None };
    assert_eq!(graduated_filter(&none).unwrap().stops, 0.0);
}

#[test]
fn the_bag_is_searched_for_the_time_that_is_wanted() {
    let bag = vec![stops(3.0), factor(64.0), density(3.0)];
    let q = FilterForQuestion { base_s: 1.0 / 60.0, wanted_s: 8.0, bag: Some(bag) };
    let answer = filter_for(&q).unwrap();
    let chosen = answer.from_bag.unwrap();
    assert_eq!(chosen.places, [0, 1]);
    close(chosen.residual_stops, answer.stops - 9.0, 1e-9, "residual");
}

#[test]
fn a_bad_filter_is_named_by_its_place() {
    let told = |filters: &[FilterQuestion]| through_filters(&through(1.0, filters)).unwrap_err();
    assert_eq!(
        told(&[stops(3.0), stops(3.0), density(9.0)]).to_string(),
        "filters[2].density: 9 is outside 0 to 7.2"
    );
    assert_eq!(told(&[factor(0.0)]).to_string(), "filters[0].factor: 0 is outside 1 to 16777216");
    assert_eq!(told(&[stops(-1.0)]).field(), "filters[0].stops");
    assert_eq!(told(&[stops(f64::NAN)]).code(), "not-a-number");
    assert_eq!(told(&[FilterQuestion::default()]).code(), "missing");
    assert_eq!(told(&[FilterQuestion { factor: Some(8.0), ..stops(3.0) }]).code(), "conflict");
    let text = FilterQuestion { text: Some("16".into()), ..Default::default() };
    assert_eq!(told(&[text]).field(), "filters[0].text");
    let kind = FilterQuestion { kind: Some("pink".into()), ..stops(1.0) };
    assert_eq!(told(&[kind]).field(), "filters[0].kind");
    assert_eq!(told(&[stops(16.0), stops(16.0)]).to_string(), "filters: 32 is outside 0 stops to 30 stops");
    let zero = through_filters(&through(0.0, &[])).unwrap_err();
    assert_eq!(zero.field(), "baseS");
    let shorter = FilterForQuestion { base_s: 2.0, wanted_s: 1.0, bag: None };
    assert_eq!(
        filter_for(&shorter).unwrap_err().to_string(),
        "wantedS: -1 is outside 0 stops longer than baseS to 30 stops longer than baseS"
    );
}

proptest! {
    #[test]
    fn density_factor_and_stops_go_round(stops in 0.0..23.9f64) {
        let by_stops = Loss::from_stops(stops).unwrap();
        let by_factor = Loss::from_factor(by_stops.factor()).unwrap();
        let by_density = Loss::from_density(by_factor.density()).unwrap();
        prop_assert!((by_density.stops().count() - stops).abs() < 1e-9);
    }

    #[test]
    fn filters_commute(
        base_log in -12.0..3.0f64,
        mut strengths in proptest::collection::vec(0.0..6.0f64, 0..5),
    ) {
        let answer = |strengths: &[f64]| {
            let filters: Vec<_> = strengths.iter().map(|s| stops(*s)).collect();
            through_filters(&through(base_log.exp2(), &filters)).unwrap()
        };
        let there = answer(&strengths);
        strengths.reverse();
        let back = answer(&strengths);
        prop_assert!((there.stops - back.stops).abs() < 1e-9);
        prop_assert!((there.exact_s / back.exact_s - 1.0).abs() < 1e-9);
        prop_assert_eq!(there.dialled_label, back.dialled_label);
    }

    #[test]
    fn the_filter_for_a_time_gives_that_time(base_log in -12.0..3.0f64, stretch in 0.0..13.0f64) {
        let (base_s, wanted_s) = (base_log.exp2(), (base_log + stretch).exp2());
        let found = filter_for(&FilterForQuestion { base_s, wanted_s, bag: None }).unwrap();
        for filter in [stops(found.stops), factor(found.factor.max(1.0)), density(found.density)] {
            let exact_s = through_filters(&through(base_s, &[filter])).unwrap().exact_s;
            prop_assert!((exact_s / wanted_s - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn any_text_for_a_filter_is_read_or_refused(text in "\\PC*") {
        let _ = Loss::parse(&text);
    }
}
