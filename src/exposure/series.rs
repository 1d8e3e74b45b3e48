//! The three dials of a camera: aperture, time, speed.
//!
//! A place on a dial is a mark, a whole number of thirds or halves of a stop from the dial's origin, or any
//! value between marks. What is engraved at the mark is rounded, by up to a tenth of a stop: f/11 is exactly
//! 2^3.5 = 11.31, and a marked 30 s is exactly 32 s. (Whether a camera then runs 30 or 32 s depends on the
//! camera; give [`Dialled::exactly`] 30 s for one that runs 30.) The engraving "1.2" even stands for two marks,
//! 1.260 in thirds and 1.189 in halves. So the mark is what is kept: [`Dialled::exact`] computes from it,
//! [`Dialled::label`] prints it.

use std::cmp::Ordering;
use std::fmt;
use std::marker::PhantomData;

use super::series_terms::{APERTURE_HALVES, APERTURE_THIRDS, SPEED_THIRDS, TIME_THIRDS};
use crate::decimal::{self, rounded};
use crate::error::{Bounds, Error, Result};
use crate::units::Stops;

/// What distinguishes one dial from another: its origin, its engravings, how a value relates to stops.
pub trait Dial {
    /// Values that can be asked for, under the dial's usual name at the boundary.
    const RANGE: Bounds;
    /// What text for it looks like.
    const FORM: &'static str;
    /// Engravings in thirds of a stop, in order.
    const THIRDS: &'static [&'static str];
    /// Thirds from the origin to the first engraving.
    const FIRST: i32;
    /// Engravings in halves of a stop from the origin, where dials have them.
    const HALVES: &'static [&'static str] = &[];
    /// Whether going up the dial makes the picture darker; else lighter.
    const DARKENS: bool = false;

    /// The value so many stops above the origin.
    fn value(stops: f64) -> f64;
    /// Stops from the origin to a value.
    fn stops(value: f64) -> f64;
    /// The bare number of a value that is on no mark, rounded as a photographer would say it.
    fn number(value: f64) -> String;
    /// A bare number with what is customarily written around it: `f/8`, `1/60 s`, `ISO 100`.
    fn dress(number: &str) -> String;
    /// The value of a text, dressed or bare.
    fn read(text: &str) -> Option<f64>;
}

/// The aperture dial: f-numbers, in stops from f/1, higher is smaller.
#[derive(Debug)]
pub enum FNumber {}

/// The time dial: seconds, in stops from one second.
#[derive(Debug)]
pub enum Time {}

/// The speed dial: arithmetic ISO speeds, in stops from ISO 100.
#[derive(Debug)]
pub enum Speed {}

/// An aperture as an f-number N; one stop more is half the light.
pub type Aperture = Dialled<FNumber>;

/// An exposure time in seconds; one stop more is twice the light.
pub type Shutter = Dialled<Time>;

/// A sensitivity as an arithmetic ISO speed; one stop more needs half the light.
pub type Iso = Dialled<Speed>;

/// Where one dial stands: on a mark or between marks.
///
/// ```
/// use duskbook::exposure::series::{Aperture, Shutter};
/// let f11 = Aperture::marked(11.0).unwrap();
/// assert_eq!((f11.label().as_str(), f11.stops().count()), ("f/11", 7.0));
/// assert!((f11.exact() - 11.3137).abs() < 1e-4);
/// assert_eq!(f11.step(1).label(), "f/13");
/// assert_eq!(Shutter::parse("1/60").unwrap().exact(), 1.0 / 64.0);
/// ```
pub struct Dialled<D> {
    mark: Mark,
    dial: PhantomData<D>,
}

/// Counted from the dial's origin.
#[derive(Debug, Clone, Copy)]
enum Mark {
    Third(i32),
    Half(i32),
    Stops(f64),
}

/// Two computations of one mark differ by less than this many stops; nothing that a dial can show.
const SAME: f64 = 1e-9;

/// A number given for a mark may be written with few digits: 11.3 or 0.0156. Closer than this, in stops, it is meant.
const MEANT: f64 = 0.01;

impl Mark {
    fn stops(self) -> f64 {
        match self {
            Self::Third(n) => f64::from(n) / 3.0,
            Self::Half(n) => f64::from(n) / 2.0,
            Self::Stops(stops) => stops,
        }
    }
}

impl<D: Dial> Dialled<D> {
    const fn new(mark: Mark) -> Self {
        Self { mark, dial: PhantomData }
    }

    /// The nearest third. A half lies between two; it goes to the one that makes the picture darker, on every dial and
    /// every machine, as a highlight that is lost does not come back.
    fn nearest_third(stops: f64) -> Self {
        let darker = if D::DARKENS { SAME } else { -SAME };
        Self::new(Mark::Third((stops * 3.0 + darker).round() as i32))
    }

    /// On a third when one is within `tolerance` stops, else between marks.
    fn near(stops: f64, tolerance: f64) -> Self {
        let third = Self::nearest_third(stops);
        if (third.mark.stops() - stops).abs() <= tolerance { third } else { Self::new(Mark::Stops(stops)) }
    }

    /// An engraved mark by its number of thirds of a stop from the origin; `None` where the dial has none.
    pub fn third(index: i32) -> Option<Self> {
        engraved(D::THIRDS, index.checked_sub(D::FIRST)?).map(|_| Self::new(Mark::Third(index)))
    }

    /// An engraved mark by its number of halves of a stop from the origin; `None` where the dial has none.
    pub fn half(index: i32) -> Option<Self> {
        let mark = if index % 2 == 0 { Mark::Third(index / 2 * 3) } else { Mark::Half(index) };
        engraved(D::HALVES, index).map(|_| Self::new(mark))
    }

    /// All engraved thirds, in order.
    pub fn thirds() -> impl DoubleEndedIterator<Item = Self> {
        (D::FIRST..=Self::last()).map(|index| Self::new(Mark::Third(index)))
    }

    /// The first and the last engraved mark.
    pub fn ends() -> (Self, Self) {
        (Self::new(Mark::Third(D::FIRST)), Self::new(Mark::Third(Self::last())))
    }

    #[expect(clippy::cast_possible_wrap, reason = "dials have dozens of marks")]
    const fn last() -> i32 {
        D::FIRST + D::THIRDS.len() as i32 - 1
    }

    /// The value itself, wherever it falls: 30 s means 30 s.
    ///
    /// # Errors
    /// Outside the dial's [`Dial::RANGE`], or no number.
    pub fn exactly(value: f64) -> Result<Self> {
        D::RANGE.check(value).map(|value| Self::at(Stops::new(D::stops(value))))
    }

    /// The mark that a number names, as engraved (11 is f/11.31) or as computed (11.3137); else the number itself.
    ///
    /// Where thirds and halves share an engraving, thirds are taken.
    ///
    /// # Errors
    /// Outside the dial's [`Dial::RANGE`], or no number.
    pub fn marked(value: f64) -> Result<Self> {
        D::RANGE.check(value)?;
        let named = |mark: &Self| (value / mark.nominal() - 1.0).abs() < SAME;
        let halves = (0..).map_while(Self::half);
        if let Some(mark) = Self::thirds().chain(halves).find(named) {
            return Ok(mark);
        }
        Ok(Self::near(D::stops(value), MEANT))
    }

    /// The mark or value that a text names, with or without what is written around it: `f/8`, `1/60`, `2.5 s`.
    ///
    /// # Errors
    /// Not such a text, or outside the dial's [`Dial::RANGE`].
    pub fn parse(text: &str) -> Result<Self> {
        let value = D::read(&text.trim().replace(',', "."));
        value.ok_or_else(|| Error::malformed(D::RANGE.field, text, D::FORM)).and_then(Self::marked)
    }

    /// So many stops from the origin, wherever that falls.
    pub fn at(stops: Stops) -> Self {
        Self::near(stops.count(), SAME)
    }

    /// The nearest mark in thirds, engraved or beyond the engravings.
    #[must_use]
    pub fn to_third(self) -> Self {
        match self.mark {
            Mark::Third(_) => self,
            _ => Self::nearest_third(self.mark.stops()),
        }
    }

    /// So many thirds onward from the nearest third, no farther than the last engraving.
    #[must_use]
    pub fn step(self, thirds: i32) -> Self {
        match self.to_third().mark {
            Mark::Third(n) => Self::new(Mark::Third(n.saturating_add(thirds).clamp(D::FIRST, Self::last()))),
            between => Self::new(between),
        }
    }

    /// The number of thirds from the origin, when it stands on a third.
    pub const fn index(self) -> Option<i32> {
        if let Mark::Third(n) = self.mark { Some(n) } else { None }
    }

    /// How far from the origin.
    pub fn stops(self) -> Stops {
        Stops::new(self.mark.stops())
    }

    /// The value computed from the mark: an f-number, seconds, an ISO speed.
    pub fn exact(self) -> f64 {
        D::value(self.mark.stops())
    }

    /// The value of the engraving, rounded as the dial rounds it; the exact value where nothing is engraved.
    pub fn nominal(self) -> f64 {
        self.engraving().and_then(D::read).unwrap_or_else(|| self.exact())
    }

    /// As it is written beside a picture: `f/11`, `1/60 s`, `ISO 125`, a long time as `1 min 4 s`.
    pub fn label(self) -> String {
        match self.engraving() {
            Some(number) => D::dress(number),
            None => D::dress(&D::number(self.exact())),
        }
    }

    /// Not before `least` and not past `most`.
    #[must_use]
    pub fn clamp(self, least: Self, most: Self) -> Self {
        if self < least {
            least
        } else if self > most {
            most
        } else {
            self
        }
    }

    fn engraving(self) -> Option<&'static str> {
        match self.mark {
            Mark::Third(n) => engraved(D::THIRDS, n.checked_sub(D::FIRST)?),
            Mark::Half(n) => engraved(D::HALVES, n),
            Mark::Stops(_) => None,
        }
    }
}

/// The engraving at a place in a list, if it goes that far.
fn engraved(list: &'static [&'static str], place: i32) -> Option<&'static str> {
    usize::try_from(place).ok().and_then(|place| list.get(place)).copied()
}

impl<D> Clone for Dialled<D> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<D> Copy for Dialled<D> {}

impl<D> PartialEq for Dialled<D> {
    fn eq(&self, other: &Self) -> bool {
        self.mark.stops() == other.mark.stops()
    }
}

impl<D> PartialOrd for Dialled<D> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        self.mark.stops().partial_cmp(&other.mark.stops())
    }
}

impl<D: Dial> fmt::Debug for Dialled<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({:?})", self.label(), self.mark)
    }
}

impl<D: Dial> fmt::Display for Dialled<D> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.label())
    }
}

impl Dial for FNumber {
    const RANGE: Bounds = Bounds::new("aperture", 0.5, 512.0, "");
    const FORM: &'static str = "an f-number like f/8";
    const THIRDS: &'static [&'static str] = &APERTURE_THIRDS;
    const FIRST: i32 = 0;
    const HALVES: &'static [&'static str] = &APERTURE_HALVES;
    const DARKENS: bool = true;

    fn value(stops: f64) -> f64 {
        (stops / 2.0).exp2()
    }

    fn stops(value: f64) -> f64 {
        2.0 * value.log2()
    }

    fn number(value: f64) -> String {
        rounded(value, usize::from(value < 9.95))
    }

    fn dress(number: &str) -> String {
        format!("f/{number}")
    }

    fn read(text: &str) -> Option<f64> {
        let bare = text.strip_prefix(['f', 'F']).unwrap_or(text);
        decimal::read(bare.strip_prefix('/').unwrap_or(bare))
    }
}

impl Dial for Time {
    /// From below what an electronic shutter reaches to a whole day.
    const RANGE: Bounds = Bounds::new("shutterS", 0.000_01, 86_400.0, " s");
    const FORM: &'static str = "a time like 1/60 or 2.5 s";
    const THIRDS: &'static [&'static str] = &TIME_THIRDS;
    const FIRST: i32 = -39;

    fn value(stops: f64) -> f64 {
        stops.exp2()
    }

    fn stops(value: f64) -> f64 {
        value.log2()
    }

    fn number(value: f64) -> String {
        match value {
            ..0.29 => format!("1/{}", rounded(1.0 / value, 0)),
            ..0.995 => rounded(value, 2),
            ..9.95 => rounded(value, 1),
            _ => rounded(value, 0),
        }
    }

    fn dress(number: &str) -> String {
        match number.parse::<u64>() {
            Ok(seconds @ 60..) => clock(seconds),
            _ => format!("{number} s"),
        }
    }

    fn read(text: &str) -> Option<f64> {
        let bare = text.strip_suffix(['s', '"']).unwrap_or(text).trim();
        match bare.split_once('/') {
            Some((numerator, denominator)) => Some(decimal::read(numerator)? / decimal::read(denominator)?),
            None => decimal::read(bare),
        }
    }
}

impl Dial for Speed {
    const RANGE: Bounds = Bounds::new("iso", 0.5, 6_553_600.0, "");
    const FORM: &'static str = "a speed like ISO 100";
    const THIRDS: &'static [&'static str] = &SPEED_THIRDS;
    const FIRST: i32 = -3;

    fn value(stops: f64) -> f64 {
        100.0 * stops.exp2()
    }

    fn stops(value: f64) -> f64 {
        (value / 100.0).log2()
    }

    fn number(value: f64) -> String {
        rounded(value, usize::from(value < 9.95))
    }

    fn dress(number: &str) -> String {
        format!("ISO {number}")
    }

    fn read(text: &str) -> Option<f64> {
        decimal::read(text.strip_prefix("ISO").or(text.strip_prefix("iso")).unwrap_or(text))
    }
}

/// A minute or more, as it is counted beside the tripod.
fn clock(seconds: u64) -> String {
    let parts = [(seconds / 3600, "h"), (seconds / 60 % 60, "min"), (seconds % 60, "s")];
    let mut said = String::new();
    for (count, unit) in parts {
        if count > 0 {
            said += if said.is_empty() { "" } else { " " };
            said += &count.to_string();
            said += " ";
            said += unit;
        }
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_engraving_is_read_back_as_its_own_mark() {
        fn all<D: Dial>() {
            for (place, mark) in Dialled::<D>::thirds().enumerate() {
                let index = D::FIRST + place as i32;
                assert_eq!(Dialled::<D>::parse(&mark.label()).unwrap().index(), Some(index), "{mark}");
                assert_eq!(Dialled::<D>::marked(mark.nominal()).unwrap().index(), Some(index), "{mark}");
                assert_eq!(Dialled::<D>::marked(mark.exact()).unwrap().index(), Some(index), "{mark}");
                assert_eq!(Dialled::<D>::exactly(mark.exact()).unwrap().index(), Some(index), "{mark}");
            }
        }
        all::<FNumber>();
        all::<Time>();
        all::<Speed>();
    }

    #[test]
    fn a_literal_time_stays_what_it_is_and_a_marked_one_is_its_mark() {
        assert!((Shutter::exactly(30.0).unwrap().exact() - 30.0).abs() < 1e-12);
        assert_eq!(Shutter::marked(30.0).unwrap().exact(), 32.0);
        assert_eq!(Shutter::exactly(30.0).unwrap().label(), "30 s");
        assert_eq!(Shutter::marked(30.0).unwrap().label(), "30 s");
    }

    #[test]
    fn texts_are_read_with_and_without_their_dress() {
        for text in ["f/8", "F8", "8", " f/8 ", "8.0", "f/ 8"] {
            assert_eq!(Aperture::parse(text).unwrap().index(), Some(18), "{text}");
        }
        for text in ["2.5 s", "2.5", "2,5s", "2.5\""] {
            assert_eq!(Shutter::parse(text).unwrap().index(), Some(4), "{text}");
        }
        for text in ["ISO 100", "iso100", "100"] {
            assert_eq!(Iso::parse(text).unwrap().index(), Some(0), "{text}");
        }
        let refused = Aperture::parse("wide open").unwrap_err();
        assert_eq!(
            refused.to_string(),
            "aperture: \"wide open\" cannot be read; expected an f-number like f/8"
        );
        for text in ["1/0", "0", "-1/60", "NaN", "inf", "1/", "/60", ""] {
            assert!(Shutter::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn values_between_marks_are_printed_short() {
        let told = |seconds| Shutter::exactly(seconds).unwrap().label();
        assert_eq!(told(1.0 / 90.0), "1/90 s");
        assert_eq!(told(1.0 / 3.0), "0.33 s");
        assert_eq!(told(33.33), "33 s");
        assert_eq!(told(59.7), "1 min");
        assert_eq!(told(64.0), "1 min 4 s");
        assert_eq!(told(5285.0), "1 h 28 min 5 s");
        assert_eq!(Aperture::exactly(2.9).unwrap().label(), "f/2.9");
        assert_eq!(Aperture::exactly(9.97).unwrap().label(), "f/10");
        assert_eq!(Iso::exactly(32.0).unwrap().label(), "ISO 32");
    }

    #[test]
    fn a_dial_stops_at_its_last_engraving() {
        assert_eq!(Shutter::exactly(2000.0).unwrap().step(1).label(), "30 s");
        assert_eq!(Iso::third(-3).unwrap().step(i32::MIN).label(), "ISO 50");
        assert!(Aperture::third(37).is_none() && Aperture::third(-1).is_none() && Iso::half(1).is_none());
    }
}
