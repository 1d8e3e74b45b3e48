//! The engraved series against public lists.
//!
//! Sources: ISO 517 (apertures) and ISO 516 (times) as copied in encyclopaedia articles "F-number", "Shutter speed" and
//! "Film speed"; full lists of the standards were not seen. f/25 to f/32 and ISO 64 000 to 102 400 are from memory.

use duskbook::exposure::series::{Aperture, Dial, Dialled, Iso, Shutter};

fn names<D: Dial>(marks: impl Iterator<Item = Dialled<D>>) -> Vec<String> {
    marks.map(Dialled::label).collect()
}

#[test]
fn full_stops_of_aperture_are_the_powers_of_root_two() {
    let engraved = "1 1.4 2 2.8 4 5.6 8 11 16 22 32 45 64";
    for (n, number) in (0..).zip(engraved.split(' ')) {
        let mark = Aperture::parse(number).unwrap();
        assert_eq!(mark.stops().count(), f64::from(n), "f/{number}");
        assert!((mark.exact() - 2f64.powf(f64::from(n) / 2.0)).abs() < 1e-12, "f/{number}");
    }
}

#[test]
fn thirds_of_aperture_are_engraved_in_order() {
    let engraved = "1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22 25 29 32";
    let expected: Vec<String> = engraved.split(' ').map(|number| format!("f/{number}")).collect();
    assert_eq!(names(Aperture::thirds())[..expected.len()], expected);
    for (n, mark) in (0..).zip(Aperture::thirds()) {
        assert!((mark.exact() - 2f64.powf(f64::from(n) / 6.0)).abs() < 1e-12, "{mark}");
    }
}

#[test]
fn halves_of_aperture_are_engraved_in_order() {
    let engraved = "1 1.2 1.4 1.7 2 2.4 2.8 3.3 4 4.8 5.6 6.7 8 9.5 11 13 16 19 22";
    for (n, number) in (0..).zip(engraved.split(' ')) {
        let mark = Aperture::half(n).unwrap();
        assert_eq!(mark.label(), format!("f/{number}"));
        assert!((mark.exact() - 2f64.powf(f64::from(n) / 4.0)).abs() < 1e-12, "f/{number}");
    }
}

/// "1.2" is 1.189 in halves and 1.260 in thirds.
#[test]
fn one_engraving_may_stand_for_two_apertures() {
    let (half, third) = (Aperture::half(1).unwrap(), Aperture::third(2).unwrap());
    assert_eq!((half.label(), third.label()), ("f/1.2".to_owned(), "f/1.2".to_owned()));
    assert!((half.exact() - 1.189).abs() < 0.0005 && (third.exact() - 1.260).abs() < 0.0005);
    assert!(half != third);
    assert_eq!(Aperture::parse("1.2").unwrap(), third);
}

#[test]
fn times_are_engraved_in_thirds_and_run_exactly() {
    let engraved = "1/8 1/6 1/5 1/4 0.3 0.4 0.5 0.6 0.8 1 1.3 1.6 2 2.5 3.2 4 5 6 8 10 13 15 20 25 30";
    let expected: Vec<String> = engraved.split(' ').map(|number| format!("{number} s")).collect();
    let all = names(Shutter::thirds());
    assert_eq!(all[all.len() - expected.len()..], expected);
    let exact =
        [1.0, 1.26, 1.59, 2.0, 2.52, 3.17, 4.0, 5.04, 6.35, 8.0, 10.08, 12.70, 16.0, 20.16, 25.40, 32.0];
    for (n, seconds) in (0..).zip(exact) {
        assert!((Shutter::third(n).unwrap().exact() - seconds).abs() < 0.005, "{seconds} s");
    }
    assert_eq!(Shutter::parse("1/8000").unwrap().exact(), 1.0 / 8192.0);
}

#[test]
fn speeds_are_engraved_in_thirds() {
    let engraved = "50 64 80 100 125 160 200 250 320 400 500 640 800 1000 1250 1600 2000 2500 3200 4000 5000 6400 \
                    8000 10000 12800 16000 20000 25600 32000 40000 51200 64000 80000 102400";
    let expected: Vec<String> = engraved.split_whitespace().map(|number| format!("ISO {number}")).collect();
    assert_eq!(names(Iso::thirds()), expected);
    assert_eq!(Iso::parse("102400").unwrap().exact(), 102_400.0);
}

/// Computed: what an engraving is off its mark, in stops.
#[test]
fn engravings_are_off_their_marks_by_the_known_amounts() {
    let aperture = |number: &str| {
        let mark = Aperture::parse(number).unwrap();
        2.0 * (mark.exact() / mark.nominal()).log2()
    };
    let long = Shutter::parse("30").unwrap();
    for (off, known) in [
        ((long.exact() / long.nominal()).log2(), 0.093),
        (aperture("22"), 0.081),
        (aperture("11"), 0.081),
        (aperture("3.5"), 0.052),
        (aperture("5.6"), 0.029),
    ] {
        assert!((off.abs() - known).abs() < 0.0005, "{off}, known as {known}");
    }
}

/// An engraving farther off would be the neighbour's; f/1.2 is the worst, by 0.141 stop.
#[test]
fn every_engraving_is_nearer_to_its_mark_than_to_the_next() {
    fn all<D: Dial>() {
        for mark in Dialled::<D>::thirds() {
            assert_eq!(Dialled::<D>::exactly(mark.nominal()).unwrap().to_third(), mark, "{mark}");
        }
    }
    all::<duskbook::exposure::series::FNumber>();
    all::<duskbook::exposure::series::Time>();
    all::<duskbook::exposure::series::Speed>();
}
