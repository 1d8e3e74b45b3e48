//! Exposure values against published relations.
//!
//! Sources: encyclopaedia articles "Exposure value" and "Light meter" (K, C, N²/t = L·S/K = E·S/C) and "APEX
//! system" (Av, Tv, Sv). Values computed from those formulae are marked so; the standards were not opened.

use duskbook::exposure::ev;
use duskbook::exposure::series::{Aperture, Iso, Shutter};
use duskbook::exposure::settings::Settings;
use duskbook::units::Ev;

use super::close;
use crate::data::Worst;

/// Computed from L = (K/100)·2^EV and E = (C/100)·2^EV with K 12.5 and C 250; printed to three figures.
#[test]
fn luminance_and_illuminance_follow_the_table_and_come_back() {
    let rows = [
        (-4.0, 0.0078, 0.156),
        (0.0, 0.125, 2.5),
        (5.0, 4.0, 80.0),
        (10.0, 128.0, 2560.0),
        (15.0, 4096.0, 81_920.0),
    ];
    for (ev100, candela_per_m2, lux) in rows {
        let light = Ev::at_iso_100(ev100);
        let (seen, falling) = (ev::luminance(light), ev::illuminance(light));
        close(seen.candela_per_m2() / candela_per_m2, 1.0, 0.003, "cd/m²");
        close(falling.lux() / lux, 1.0, 0.003, "lx");
        close(ev::of_luminance(seen).value(), ev100, 1e-12, "EV of luminance");
        close(ev::of_illuminance(falling).value(), ev100, 1e-12, "EV of illuminance");
    }
}

/// Computed: log2(14/12.5), the difference between the two constants that meters in use are set to.
#[test]
fn meters_set_to_14_read_a_sixth_of_a_stop_apart_from_this_one() {
    close((14.0 / ev::REFLECTED_K).log2(), 0.163, 0.0005, "K 14 against 12.5");
    assert!((10.6..=13.4).contains(&ev::REFLECTED_K), "outside the range of ISO 2720:1974");
}

/// Computed from EV = log2(N²/t); literal times are not those of the marks.
#[test]
fn marked_and_literal_times_give_their_own_exposure_values() {
    let ev_of = |aperture: &str, shutter: Shutter| {
        let aperture = Aperture::parse(aperture).unwrap();
        Settings { aperture, shutter, iso: Iso::parse("100").unwrap() }.ev().value()
    };
    close(ev_of("f/8", Shutter::exactly(32.0).unwrap()), 1.0, 1e-12, "f/8, 32 s");
    close(ev_of("f/8", Shutter::parse("30 s").unwrap()), 1.0, 1e-12, "f/8, the mark 30");
    close(ev_of("f/8", Shutter::exactly(30.0).unwrap()), 1.093, 0.0005, "f/8, a literal 30 s");
    close(ev_of("f/16", Shutter::exactly(1.0 / 125.0).unwrap()), 14.966, 0.0005, "f/16, 1/125 s");
    close(ev_of("f/22", Shutter::exactly(1.0).unwrap()), 9.0, 1e-12, "f/22 is 2^4.5");
}

/// Av = 2 log2 N, Tv = −log2 t, Ev = Av + Tv = Bv + Sv; Sv(100) = 5 (second-hand).
#[test]
fn apex_values_add_up() {
    let (aperture, shutter) = (Aperture::parse("f/5.6").unwrap(), Shutter::parse("1/60").unwrap());
    let iso = Iso::parse("400").unwrap();
    close(ev::aperture_value(aperture).count(), 5.0, 1e-12, "Av of f/5.6");
    close(ev::time_value(shutter).count(), 6.0, 1e-12, "Tv of the mark 1/60");
    close(ev::speed_value(Iso::parse("100").unwrap()).count(), 5.0, 1e-12, "Sv of ISO 100");
    close(ev::speed_value(iso).count(), (iso.exact() / 3.125).log2(), 1e-12, "Sv = log2(S/3.125)");
    let ev_at_speed = ev::aperture_value(aperture) + ev::time_value(shutter);
    let ev100 = Settings { aperture, shutter, iso }.ev();
    close((ev_at_speed.count() - ev100.value()) - 2.0, 0.0, 1e-12, "EV100 = EV − log2(S/100)");
}

/// From memory: 100/21° and 400/27° as on film boxes.
#[test]
fn logarithmic_speeds_are_those_on_the_box() {
    for (speed, degrees) in
        [("50", 18.0), ("100", 21.0), ("125", 22.0), ("200", 24.0), ("400", 27.0), ("3200", 36.0)]
    {
        assert_eq!(ev::logarithmic_speed(Iso::parse(speed).unwrap()), degrees, "ISO {speed}");
    }
}

/// N²/t = L·S/K on every full stop, the two sides computed apart from each other.
#[test]
fn both_sides_of_the_exposure_equation_agree() {
    let mut worst = Worst::default();
    for aperture in Aperture::thirds() {
        for iso in Iso::thirds() {
            for shutter in Shutter::thirds() {
                let settings = Settings { aperture, shutter, iso };
                let dialled = aperture.exact().powi(2) / shutter.exact();
                let seen = ev::luminance(settings.ev()).candela_per_m2() * iso.exact() / ev::REFLECTED_K;
                worst.note((dialled / seen).log2(), format!("{settings:?}"));
            }
        }
    }
    worst.within("exposure equation, stops", 1e-9);
}

#[test]
fn an_exposure_value_out_of_this_world_is_refused() {
    assert_eq!(ev::given(99.0).unwrap_err().to_string(), "ev100: 99 is outside -20 to 35");
    assert_eq!(ev::given(f64::NAN).unwrap_err().code(), "not-a-number");
}
