//! Synthetic evenings: how far the forecast is off some minutes after the readings, and what its band holds.
//!
//! Each evening draws its unknowns from the prior and a slow error from the model's own kernel, is read at some minutes
//! with a noise of 0.25 stop, and is forecast for a later one. "Mismatched" evenings follow another shape, have the sun
//! half a degree off, and now and then a reading that is two stops wrong. The figures to compare with are those of
//! the prototype of this model (500 evenings a row, other random numbers); with 500 evenings a coverage is known to
//! 1.8 %, an error to 3 % of itself.

use duskbook::light::backdrop::Backdrop;
use duskbook::light::belief::Belief;
use duskbook::light::fit::{Fit, Seen};
use duskbook::light::normal::Normal;
use duskbook::light::scene::{Cloud, Intent};
use duskbook::units::{Angle, Ev};

const EVENINGS: usize = 500;
const MINUTES: usize = 66;
/// Degrees that the sun falls in a minute.
const DESCENT: f64 = 0.21;

/// `SplitMix64`: G. L. Steele et al. 2014, enough for drawing evenings that are the same at every run.
struct Draw(u64);

impl Draw {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Box and Muller 1958.
    fn normal(&mut self, Normal { mean, sd }: Normal) -> f64 {
        let (u, v) = (1.0 - self.uniform(), self.uniform());
        mean + sd * (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

fn sun_deg(minute: usize) -> f64 {
    2.0 - DESCENT * minute as f64
}

fn backdrop(sun_deg: f64) -> Backdrop {
    Backdrop::new(Angle::from_degrees(sun_deg), Angle::ZERO, Cloud::Clear)
}

/// The prior's unknowns, those of the prototype's study.
const USUAL: [Normal; 3] = [Normal::new(-1.0, 1.5), Normal::new(0.6, 0.35), Normal::new(4.0, 1.2)];

fn prior() -> Belief {
    Belief::independent(USUAL[0], USUAL[1], USUAL[2])
}

/// EV of one evening by the minute.
fn evening(draw: &mut Draw, mismatched: bool) -> Vec<f64> {
    let mut unknowns = USUAL.map(|usual| draw.normal(usual));
    let mut sun_off = 0.0;
    if mismatched {
        unknowns[1] = 1.2 * draw.uniform();
        sun_off = draw.normal(Normal::new(0.0, 0.5));
    }
    let [offset, shape, floor] = unknowns.map(|value| Normal::new(value, 1e-6));
    let truth = Fit::new(&Belief::independent(offset, shape, floor), &[]);
    let kept = (-DESCENT / 3.0_f64).exp();
    let mut slow = draw.normal(Normal::new(0.0, 0.4));
    (0..MINUTES)
        .map(|minute| {
            let ev = truth.ev(&backdrop(sun_deg(minute) + sun_off), Intent::Sky).mean + slow;
            slow = kept * slow + draw.normal(Normal::new(0.0, 0.4 * (1.0 - kept * kept).sqrt()));
            ev
        })
        .collect()
}

/// Error (rms, stops) and coverage of the 80 % band, so many minutes after the last reading.
fn study(read_at: &[usize], ahead: usize, mismatched: bool) -> (f64, f64) {
    let mut draw = Draw(11);
    let (mut squares, mut held) = (0.0, 0);
    for _ in 0..EVENINGS {
        let evs = evening(&mut draw, mismatched);
        let mut read: Vec<f64> =
            read_at.iter().map(|&minute| evs[minute] + draw.normal(Normal::new(0.0, 0.25))).collect();
        if mismatched && read.len() >= 3 && draw.uniform() < 0.15 {
            let wild = (draw.uniform() * read.len() as f64) as usize;
            read[wild] += if draw.uniform() < 0.5 { -2.0 } else { 2.0 };
        }
        let seen: Vec<Seen> = read_at
            .iter()
            .zip(read)
            .map(|(&minute, ev)| Seen {
                backdrop: backdrop(sun_deg(minute)),
                ev: Ev::at_iso_100(ev),
                intent: Intent::Sky,
            })
            .collect();
        let minute = read_at.last().copied().unwrap_or(5) + ahead;
        let told = Fit::new(&prior(), &seen).ev(&backdrop(sun_deg(minute)), Intent::Sky);
        let error = told.mean - evs[minute];
        squares += error * error;
        held += usize::from(error.abs() < told.half_band());
    }
    ((squares / EVENINGS as f64).sqrt(), held as f64 / EVENINGS as f64)
}

#[test]
fn ten_minutes_after_the_readings_error_and_band_are_the_prototypes() {
    let none: &[usize] = &[];
    // Minutes of the readings; the prototype's error and coverage, matched and then mismatched.
    for (read_at, matched, mismatched) in [
        (none, (1.52, 0.82), None),
        (&[5], (0.48, 0.82), Some((0.50, 0.81))),
        (&[5, 15], (0.44, 0.83), Some((0.48, 0.81))),
        (&[5, 15, 25], (0.52, 0.83), Some((0.59, 0.74))),
    ] {
        for (kind, figures) in [("matched", Some(matched)), ("mismatched", mismatched)] {
            let Some((error, coverage)) = figures else { continue };
            let (got_error, got_coverage) = study(read_at, 10, kind == "mismatched");
            println!(
                "{} readings, {kind}: error {got_error:.2} stop (prototype {error}), band holds {:.0} % ({:.0} %)",
                read_at.len(),
                100.0 * got_coverage,
                100.0 * coverage
            );
            // Three deviations of both studies' draws: 3 · √2 · 3 % of the error, 3 · √2 · 1.8 % of the coverage.
            assert!((got_error / error - 1.0).abs() < 0.13, "{got_error} for {error}");
            assert!((got_coverage - coverage).abs() < 0.077, "{got_coverage} for {coverage}");
        }
    }
}
