//! What a spot has taught, for the next evening there.
//!
//! An evening's unknowns are the spot's own and what this one evening adds to them,
//!
//! ```text
//! o = s + w        offset: framing, aim and meter stay; the weather goes
//! κ = κₛ + κₑ      shape:  skyline and lens stay; haze goes
//! F = Fₛ + Fₑ      floor:  the lamps stay; windows, traffic, the moon go
//! ```
//!
//! Readings teach the sums. The lesson is the posterior of the first terms alone, by the conditional distribution
//! of normal variables: with P the covariance of what was held of the spot, Q that of what an evening adds, and
//! G = P (P + Q)⁻¹, a posterior (m′, C) of the sums about the prior m makes the spot's
//!
//! ```text
//! mean = m + G (m′ − m)        covariance = P + G (C − P − Q) Gᵀ
//! ```
//!
//! (the smoothing step of H. E. Rauch, F. Tung and C. T. Striebel 1965, AIAA Journal 3:1445, from memory). The next
//! evening starts from it, so evenings are combined by their information, and one without readings
//! teaches nothing. Cloud is not carried: it is chosen, and its error is weather.
//!
//! # Judgements of this project, no evening has been measured for them
//!
//! | | an evening adds, stops | why |
//! |---|---|---|
//! | offset | 0.7, alike for all intents | of the clear sky's spread of 0.8 most is haze and thin cloud; what is left, 0.39, is aim, meter constant (12.5 or 14: 0.16) and glass |
//! | shape | 0.25 | half the variance of 0.35 |
//! | floor | 0.3; unlit 1.5 | windows, traffic, dimmed street lamps; without lamps the moon, ANSI PH2.7's quarter to full |
//!
//! What a lesson says fades: a part k = e^(−years/6) · (0.95 + 0.05 cos 2π years) of it is kept, and 1 − k² of what is
//! usually unknown of a spot comes back. Lamps are replaced and dimmed, trees and buildings grow; half a year
//! away leaves are off and windows are lit at another hour. Lamps known to ±0.4 stop (one deviation) are known to
//! ±0.46 a month later, ±0.73 after half a year and ±0.71 after a whole one, of ±1.2 without the lesson. Seasons count by
//! the gap to the last evening alone.
//!
//! Lamps of another scene than the lesson's (another usual floor) start anew, and so does a brightness given by hand.

use std::f64::consts::TAU;

use super::belief::{Belief, FLOOR, Matrix, SHAPE, UNKNOWNS, Vector, divide};
use super::scene::{Intent, Scene};
use crate::error::{Bounds, Error, Result};
use crate::math::Cholesky;
use crate::trigonometry::Trigonometry;
use crate::units::Instant;

/// How many evenings a lesson may be of.
pub const EVENINGS: Bounds = Bounds::new("evenings", 1.0, 100_000.0, "");

/// Numbers of a lesson's covariance: its lower triangle by rows.
pub const TRIANGLE: usize = UNKNOWNS * (UNKNOWNS + 1) / 2;

/// Means and variances that a lesson may have, stops or stops².
const SANE: Bounds = Bounds::new("mean", -100.0, 100.0, "");

/// The least deviation that any combination of unknowns may have, stops.
const LEAST_SD: f64 = 1e-4;

/// Standard deviations of what one evening adds: to every offset together, to the shape, to lamps, to an unlit night.
const EVENING_OFFSET: f64 = 0.7;
const EVENING_SHAPE: f64 = 0.25;
const EVENING_LAMPS: f64 = 0.3;
const EVENING_UNLIT: f64 = 1.5;

/// Milliseconds of a mean Gregorian year.
const YEAR_MS: f64 = 365.2425 * 86_400e3;
/// Years in which a lesson fades by a factor e.
const FADES_YEARS: f64 = 6.0;
/// Half of what half a year's difference of season takes.
const SEASON: f64 = 0.05;

/// What a spot has taught.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    spot: Belief,
    learnt: Instant,
    evenings: f64,
    /// The usual floor of the scene it was learnt with, which tells scenes apart.
    usual_floor: f64,
}

impl Lesson {
    /// A lesson that was kept: the means (offsets for sky, frame, shadows and highlights, shape, floor), the lower triangle of
    /// their covariance by rows, when it was learnt, of how many evenings, and the usual floor of its scene.
    ///
    /// # Errors
    /// Numbers that no lesson has: names `mean`, `covariance`, `usualFloorEv` or `evenings`.
    pub fn kept(
        mean: &[f64],
        triangle: &[f64],
        learnt: Instant,
        evenings: f64,
        usual_floor: f64,
    ) -> Result<Self> {
        for (field, values, count) in [("mean", mean, UNKNOWNS), ("covariance", triangle, TRIANGLE)] {
            if values.len() != count {
                return Err(Error::missing(field, "all numbers of a lesson"));
            }
            for &value in values {
                Bounds { field, ..SANE }.check(value)?;
            }
        }
        let element = |i: usize, j: usize| triangle[i.max(j) * (i.max(j) + 1) / 2 + i.min(j)];
        if Cholesky::new(UNKNOWNS, &element).least_pivot() < LEAST_SD {
            return Err(Error::conflict("covariance", "not a covariance".to_owned()));
        }
        let mean = std::array::from_fn(|i| mean[i]);
        let usual_floor = Bounds { field: "usualFloorEv", ..SANE }.check(usual_floor)?;
        let spot = Belief { mean, covariance: matrix(&element) };
        Ok(Self { spot, learnt, evenings: EVENINGS.check(evenings)?, usual_floor })
    }

    /// The means: offsets for sky, frame, shadows and highlights, shape, floor.
    pub fn mean(&self) -> &[f64] {
        &self.spot.mean
    }

    /// The lower triangle of the covariance, by rows.
    pub fn triangle(&self) -> Vec<f64> {
        self.spot.covariance.iter().enumerate().flat_map(|(i, row)| row[..=i].iter().copied()).collect()
    }

    /// When the last reading was taken.
    pub const fn learnt(&self) -> Instant {
        self.learnt
    }

    /// How many evenings taught it.
    pub const fn evenings(&self) -> f64 {
        self.evenings
    }

    /// The usual floor of its scene, EV at ISO 100.
    pub const fn usual_floor(&self) -> f64 {
        self.usual_floor
    }

    /// What is left of it at another time for a scene, given what is usual of such a spot.
    fn faded(&self, usual: &Belief, at: Instant) -> Belief {
        let years = (at.epoch_ms() - self.learnt.epoch_ms()).abs() / YEAR_MS;
        let keeps = (-years / FADES_YEARS).exp() * (1.0 - SEASON + SEASON * (TAU * years).cosine());
        let mut kept = [keeps; UNKNOWNS];
        if (self.usual_floor - usual.mean[FLOOR]).abs() > 1e-6 {
            kept[FLOOR] = 0.0;
        }
        let mean = std::array::from_fn(|i| usual.mean[i] + kept[i] * (self.spot.mean[i] - usual.mean[i]));
        let covariance = matrix(&|i, j| {
            let (usual, known) = (usual.covariance[i][j], self.spot.covariance[i][j]);
            usual + kept[i] * kept[j] * (known - usual)
        });
        Belief { mean, covariance }
    }
}

/// What is held before an evening's readings: of the spot, and of the evening there.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    spot: Belief,
    evening: Belief,
    usual_floor: f64,
    lesson: Option<Lesson>,
}

impl Prior {
    /// Where nothing was read before.
    pub fn usual(scene: Scene) -> Self {
        Self::new(scene, None, Instant::computed(0.0))
    }

    /// Where a lesson may be known, on an evening about a moment.
    pub fn new(scene: Scene, lesson: Option<Lesson>, about: Instant) -> Self {
        let usual = scene.usual();
        let adds = evening_adds(scene);
        let own =
            Belief { mean: usual.mean, covariance: matrix(&|i, j| usual.covariance[i][j] - adds[i][j]) };
        let spot = lesson.as_ref().map_or(own.clone(), |lesson| lesson.faded(&own, about));
        let covariance = matrix(&|i, j| spot.covariance[i][j] + adds[i][j]);
        let evening = Belief { mean: spot.mean, covariance };
        Self { spot, evening, usual_floor: usual.mean[FLOOR], lesson }
    }

    /// What is held of the evening.
    pub const fn belief(&self) -> &Belief {
        &self.evening
    }

    /// The lesson that it started from.
    pub fn lesson(&self) -> Option<Lesson> {
        self.lesson.clone()
    }

    /// How many evenings have taught it.
    pub fn evenings(&self) -> f64 {
        self.lesson.as_ref().map_or(0.0, |lesson| lesson.evenings)
    }

    /// What the spot has taught once the evening's readings have led to a belief.
    pub fn taught(&self, after: &Belief, at: Instant) -> Lesson {
        let share = self.spot.covariance.map(|row| divide(&self.evening.covariance, &row));
        let learnt: Vector = std::array::from_fn(|i| after.mean[i] - self.evening.mean[i]);
        let narrowed = matrix(&|i, j| after.covariance[i][j] - self.evening.covariance[i][j]);
        // G times the change of covariance.
        let passed_on = matrix(&|i, j| sum(&|k| share[i][k] * narrowed[k][j]));
        let mean = std::array::from_fn(|i| self.spot.mean[i] + sum(&|k| share[i][k] * learnt[k]));
        let covariance = matrix(&|i, j| self.spot.covariance[i][j] + sum(&|k| passed_on[i][k] * share[j][k]));
        Lesson {
            spot: Belief { mean, covariance },
            learnt: at,
            evenings: self.evenings() + 1.0,
            usual_floor: self.usual_floor,
        }
    }
}

/// Covariance of what one evening adds to a spot's unknowns.
fn evening_adds(scene: Scene) -> Matrix {
    let floor = if scene.has_lamps() { EVENING_LAMPS } else { EVENING_UNLIT };
    let offsets = Intent::ALL.len();
    matrix(&|i, j| match (i, j) {
        (SHAPE, SHAPE) => EVENING_SHAPE * EVENING_SHAPE,
        (FLOOR, FLOOR) => floor * floor,
        _ if i < offsets && j < offsets => EVENING_OFFSET * EVENING_OFFSET,
        _ => 0.0,
    })
}

fn matrix(element: &dyn Fn(usize, usize) -> f64) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|j| element(i, j)))
}

fn sum(term: &dyn Fn(usize) -> f64) -> f64 {
    (0..UNKNOWNS).map(term).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::backdrop::Backdrop;
    use crate::light::fit::{Fit, Seen};
    use crate::light::normal::Normal;
    use crate::light::scene::Cloud;
    use crate::units::{Angle, Ev};

    fn at(days: f64) -> Instant {
        Instant::from_epoch_ms(1_930_910_400_000.0 + days * 86_400e3).unwrap()
    }

    fn seen(sun_deg: f64, ev: f64, intent: Intent) -> Seen {
        let backdrop = Backdrop::new(Angle::from_degrees(sun_deg), Angle::from_degrees(20.0), Cloud::Clear);
        Seen { backdrop, ev: Ev::at_iso_100(ev), intent }
    }

    fn taught(scene: Scene, lesson: Option<Lesson>, about: Instant, seen: &[Seen]) -> Lesson {
        let prior = Prior::new(scene, lesson, about);
        prior.taught(Fit::new(prior.belief(), seen).belief(), about)
    }

    fn floor(lesson: &Lesson) -> Normal {
        lesson.spot.floor()
    }

    #[test]
    fn without_a_lesson_an_evening_is_the_usual_one() {
        for scene in [Scene::Street, Scene::Unlit, Scene::Lit(Ev::at_iso_100(6.0))] {
            let prior = Prior::usual(scene);
            assert_eq!(prior.belief().mean, scene.usual().mean);
            let (got, usual) = (prior.belief().covariance, scene.usual().covariance);
            for (got, usual) in got.iter().flatten().zip(usual.iter().flatten()) {
                assert!((got - usual).abs() < 1e-15);
            }
            assert_eq!((prior.lesson(), prior.evenings()), (None, 0.0));
        }
    }

    #[test]
    fn an_evening_without_readings_teaches_nothing_but_its_date() {
        let lesson = taught(Scene::Street, None, at(0.0), &[]);
        assert!((floor(&lesson).mean - 5.0).abs() < 1e-12);
        // All of the scene's spread but the evening's own: 1.5² − 0.3².
        assert!((floor(&lesson).sd - 2.16f64.sqrt()).abs() < 1e-9, "{:?}", floor(&lesson));
    }

    #[test]
    fn a_night_reading_is_the_lamps_of_the_next_evening_and_a_sky_reading_mostly_weather() {
        let night = [seen(-14.0, 4.0, Intent::Frame)];
        let lesson = taught(Scene::Skyline, None, at(0.0), &night);
        // By hand: prior 3 ± 1.2, reading 4 with errors 0.33 and 0.4: gain 1.44 / (1.44 + 0.2689), of which the spot
        // has 1.35 / 1.44.
        let expected = 3.0 + 1.35 / (1.44 + 0.2689);
        assert!((floor(&lesson).mean - expected).abs() < 0.01, "{:?} for {expected}", floor(&lesson));
        let sd = (1.35f64 - 1.35 * 1.35 / (1.44 + 0.2689)).sqrt();
        assert!((floor(&lesson).sd - sd).abs() < 0.01, "{:?} for {sd}", floor(&lesson));

        let usual = Fit::new(Prior::usual(Scene::Skyline).belief(), &[]);
        let bright = seen(3.0, 0.0, Intent::Sky).backdrop;
        let read = usual.ev(&bright, Intent::Sky).mean + 1.0;
        let lesson = taught(Scene::Skyline, None, at(0.0), &[seen(3.0, read, Intent::Sky)]);
        let moved = lesson.spot.offset(Intent::Sky).mean + 0.3;
        assert!(moved > 0.05 && moved < 0.2, "{moved} of a stop");
    }

    #[test]
    fn evenings_add_up_and_a_later_one_knows_more() {
        let mut lesson = None;
        let mut before = f64::INFINITY;
        for evening in 0..5 {
            let night = [seen(-14.0, 4.0, Intent::Frame)];
            let next = taught(Scene::Skyline, lesson, at(f64::from(evening)), &night);
            assert!(floor(&next).sd < before, "{:?}", floor(&next));
            before = floor(&next).sd;
            assert_eq!(next.evenings(), f64::from(evening + 1));
            lesson = Some(next);
        }
        // Five readings of errors 0.52 and 0.3 each: 0.60 / √5, with the prior's little help.
        assert!((before - 0.26).abs() < 0.01, "{before}");
    }

    #[test]
    fn a_lesson_fades_with_years_and_seasons_to_what_is_usual() {
        let mut lesson = taught(Scene::Skyline, None, at(0.0), &[seen(-14.0, 4.0, Intent::Frame)]);
        lesson.spot.covariance[FLOOR][FLOOR] = 0.16;
        let sd = |days: f64| {
            let faded = Prior::new(Scene::Skyline, Some(lesson.clone()), at(days)).spot.floor();
            (faded.sd * 100.0).round() / 100.0
        };
        assert_eq!([0.0, 30.0, 182.6, 365.2425].map(sd), [0.4, 0.46, 0.73, 0.71]);
        assert!(sd(20_000.0) == 1.16, "as if nothing had been read: √1.35");
        assert_eq!(sd(-30.0), sd(30.0));
    }

    #[test]
    fn lamps_of_another_scene_start_anew_and_the_sky_does_not() {
        let night = [seen(-14.0, 4.0, Intent::Frame), seen(2.0, 9.0, Intent::Frame)];
        let lesson = taught(Scene::Skyline, None, at(0.0), &night);
        let prior = Prior::new(Scene::Street, Some(lesson.clone()), at(1.0));
        let floor = prior.belief().floor();
        assert!((floor.mean - 5.0).abs() < 1e-12 && (floor.sd - 1.5).abs() < 1e-12, "{floor:?}");
        assert!((prior.belief().offset(Intent::Frame).sd) < 1.5);
    }

    #[test]
    fn a_lesson_is_kept_in_numbers_and_comes_back_or_is_refused() {
        let lesson = taught(Scene::Street, None, at(0.0), &[seen(1.0, 9.0, Intent::Frame)]);
        let (mean, triangle) = (lesson.mean().to_vec(), lesson.triangle());
        let back = |mean: &[f64], triangle: &[f64], evenings: f64| {
            Lesson::kept(mean, triangle, lesson.learnt(), evenings, lesson.usual_floor())
        };
        let again = back(&mean, &triangle, 1.0).unwrap();
        assert_eq!((again.mean(), again.triangle()), (&mean[..], triangle.clone()));
        let field = |found: Result<Lesson>| found.unwrap_err().field().to_owned();
        assert_eq!(field(back(&mean[1..], &triangle, 1.0)), "mean");
        assert_eq!(field(back(&mean, &triangle[1..], 1.0)), "covariance");
        assert_eq!(field(back(&mean, &[0.0; TRIANGLE], 1.0)), "covariance");
        assert_eq!(field(back(&[f64::NAN; UNKNOWNS], &triangle, 1.0)), "mean");
        assert_eq!(field(back(&mean, &triangle, 0.0)), "evenings");
    }
}
