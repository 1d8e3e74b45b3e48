//! When the light fits the picture: the minutes in which the time wanted can be given, without a filter or with each.
//!
//! A picture is a range for each dial: the time it needs, apertures for its depth, speeds it bears. All dials count in
//! stops, so what the ranges reach together is a range of brightness,
//!
//! ```text
//! widest − longest − fastest  ≤  EV − filter  ≤  narrowest − shortest − slowest
//! ```
//!
//! give or take the sixth of a stop that a dial's thirds leave. Dials in thirds leave no gap between. A window is a
//! time in which the forecast stays in that range; its ends are crossings of the forecast's curve, found to a second and
//! better, whatever the curve's step. Twice inside two minutes the light is not looked for to turn. Within a window
//! the shot says what to dial: the smallest aperture and lowest speed while the time reaches, then the longest
//! time, the lens opening, the speed last.
//!
//! The band of the forecast says how sure the ends are: `likely` begins when the light may first fit with a chance of
//! 80 % and ends when it may last.
//!
//! # When nothing fits
//! [`Relax`] is the least change that would make one moment fit, in whole thirds, by one dial or by another filter: at
//! the darkest moment of a span that is too bright, at the brightest of one that is too dark, with that filter of
//! the bag, or none, that comes nearest.

use super::shot::Shot;
use crate::exposure::series::{Aperture, Dial, Dialled, Iso, Shutter};
use crate::exposure::settings::Held;
use crate::light::forecast::{Estimate, Forecast, around, between};
use crate::light::moonlight::LightTrack;
use crate::sky::place::Place;
use crate::units::{Ev, Instant, Span, Stops};

/// What rounding to thirds leaves at most, stops.
const ROUNDING: f64 = 1.0 / 6.0;

/// Seconds between the looks for the brightest and the darkest moment.
const LOOK_S: f64 = 60.0;

/// A time in which the light fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// What the filter takes; zero for none.
    pub filter: Stops,
    /// From the first moment to the last, by the likeliest light.
    pub span: Span,
    /// From when the light may fit already to when it may fit still, by the band of 80 %; within the span asked about.
    pub likely: Span,
    /// What to dial at the first moment, in the middle and at the last.
    pub settings: [Held; 3],
}

/// The least change with which the light fits at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relax {
    /// When.
    pub at: Instant,
    /// The filter of the bag that it is reckoned with; zero for none.
    pub filter: Stops,
    /// How many stops are missing, in whole thirds.
    pub by: Stops,
    /// Whether there is too much light; else too little.
    pub bright: bool,
    /// The f-number to be allowed; none where the dial has no such mark.
    pub aperture: Option<Aperture>,
    /// The time to be allowed.
    pub shutter: Option<Shutter>,
    /// The speed to be allowed.
    pub iso: Option<Iso>,
    /// The filter to carry instead; none where even without one the light is too little.
    pub instead: Option<Stops>,
}

/// The windows of a picture, or what to relax.
#[derive(Debug, Clone, PartialEq)]
pub struct Windows {
    /// In order of time, those of one filter never overlapping.
    pub windows: Vec<Window>,
    /// Only where there is no window.
    pub relax: Option<Relax>,
}

/// When a forecast's light fits a shot within a span, bare and through each filter of a bag.
///
/// The shot's time wanted is the longest that the picture bears, `limits.shortest` the least.
pub fn windows(light: &Forecast, place: &Place, span: Span, shot: &Shot, bag: &[Stops]) -> Windows {
    let track = LightTrack::over(*place, span);
    let at: &dyn Fn(Instant) -> Estimate = &|at| light.under(&track.at(at));
    let (low, high) = reach(shot);
    let mut filters = vec![Stops::ZERO];
    filters.extend(bag.iter().filter(|&&filter| filter > Stops::ZERO));
    let mut found: Vec<Window> = Vec::new();
    for &filter in &filters {
        // Brightness in front of the filter.
        let (low, high) = (low + filter.count(), high + filter.count());
        for span_in in between(span, low, high, &|moment| at(moment).ev.value()) {
            let middle = span_in.start().plus_seconds(0.5 * span_in.seconds());
            let past_doubt = |moment| {
                let light = at(moment);
                (light.low.value() - high).max(low - light.high.value())
            };
            // The very limit at a window's ends, so that no error of the root makes it miss.
            let dialled: &dyn Fn(Instant) -> Held = &|moment| {
                let ev = at(moment).ev.value().max(low).min(high);
                shot.through(Ev::at_iso_100(ev), filter)
            };
            let settings = [dialled(span_in.start()), dialled(middle), dialled(span_in.end())];
            let window =
                Window { filter, span: span_in, likely: around(middle, span, &past_doubt), settings };
            let place = found.partition_point(|earlier| earlier.span.start() <= span_in.start());
            found.insert(place, window);
        }
    }
    let relax = if found.is_empty() { relax(shot, (low, high), &filters, span, at) } else { None };
    Windows { windows: found, relax }
}

/// The least and the greatest brightness, behind the filter, that the dials reach.
fn reach(shot: &Shot) -> (f64, f64) {
    let limits = &shot.limits;
    let longest = shot.shutter_wanted.unwrap_or(limits.longest);
    let low = limits.widest.stops() - longest.stops() - limits.fastest.stops();
    let high = limits.narrowest.stops() - limits.shortest.stops() - limits.slowest.stops();
    (low.count() - ROUNDING, high.count() + ROUNDING)
}

/// The least change for a picture that never fits.
fn relax(
    shot: &Shot,
    (low, high): (f64, f64),
    filters: &[Stops],
    span: Span,
    light: &dyn Fn(Instant) -> Estimate,
) -> Option<Relax> {
    let mut nearest: Option<(f64, bool, Instant, Stops)> = None;
    for at in span.looks(LOOK_S) {
        let ev = light(at).ev.value();
        for &filter in filters {
            let behind = ev - filter.count();
            let missing = (behind - high).max(low - behind);
            if nearest.is_none_or(|(least, ..)| missing < least) {
                nearest = Some((missing, behind > high, at, filter));
            }
        }
    }
    let (missing, bright, at, filter) = nearest?;
    let thirds = (missing * 3.0 - 1e-6).ceil().max(1.0);
    let by = Stops::new(thirds / 3.0);
    // Too bright: the darkening ends of the dials go on by so much; too dark: the others.
    let darker = if bright { by } else { -by };
    let limits = &shot.limits;
    let (aperture, shutter, iso) = if bright {
        (limits.narrowest, limits.shortest, limits.slowest)
    } else {
        (limits.widest, shot.shutter_wanted.unwrap_or(limits.longest), limits.fastest)
    };
    let instead = filter + darker;
    Some(Relax {
        at,
        filter,
        by,
        bright,
        aperture: engraved(Aperture::at(aperture.stops() + darker)),
        shutter: Some(Shutter::at(shutter.stops() - darker)).filter(|&time| time >= Shutter::ends().0),
        iso: engraved(Iso::at(iso.stops() - darker)),
        instead: (instead >= Stops::ZERO).then_some(instead),
    })
}

/// A place on a dial, where the dial goes that far.
fn engraved<D: Dial>(place: Dialled<D>) -> Option<Dialled<D>> {
    let (first, last) = Dialled::ends();
    (first <= place && place <= last).then_some(place)
}
