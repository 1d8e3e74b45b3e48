//! How much longer film needs than the meter says.
//!
//! Film in dim light answers less than in proportion; a sensor does not. Makers publish a power law
//! (t = Tᴾ, T the metered time in seconds, from one second) or a table. A table has two columns that are not interchangeable:
//! stops to open the lens by, *or* a time to give instead, which is longer than those stops, because the added time
//! fails in its turn. Both are kept. Between published rows stops run straight over the logarithm of time and
//! times run straight in log-log; no row, no claim: an answer past the last row continues its last trend and
//! says [`Corrected::beyond_data`].
//!
//! Expected error: makers give a starting point for tests of one's own, a third of a stop at best. Contrast
//! and, in colour film, hue shift as well and are not modelled.

use super::reciprocity_terms::SHEETS;
use super::series::{Dial, Time};
use crate::error::{Bounds, Error, Result};
use crate::math::{lerp, power};
use crate::units::Stops;

/// Times a meter may show, in seconds.
pub const METERED: Bounds = Bounds { field: "meteredS", ..Time::RANGE };

/// The exponent of a power law.
pub const EXPONENT: Bounds = Bounds::new("exponent", 1.0, 2.0, "");

/// The power laws begin here, where Tᴾ is T.
const POWER_FROM_S: f64 = 1.0;

/// What a maker publishes of one film.
#[derive(Debug, PartialEq)]
pub struct Sheet {
    /// Its word at the boundary: `hp5-plus`.
    pub word: &'static str,
    /// The film as its maker writes it.
    pub film: &'static str,
    /// Where the numbers come from, and how surely.
    pub source: &'static str,
    pub(super) rule: Rule,
}

/// The form in which a maker publishes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Rule {
    Power(f64),
    Table(&'static [Row]),
}

/// A published row: for this metered time, open by so much, or give this time instead if one is published.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    pub metered_s: f64,
    pub open_stops: f64,
    pub give_s: Option<f64>,
}

/// A film whose failing is known, from its maker or from one's own tests.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Film {
    /// By its data sheet.
    Published(&'static Sheet),
    /// By the user's own exponent.
    Tested(f64),
}

/// What to give instead of the metered time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrected {
    /// The time to give, seconds, the lens as metered.
    pub exposure_s: f64,
    /// What to open the lens by instead, the time as metered.
    pub open: Stops,
    /// Whether the sheet says nothing of so long a time.
    pub beyond_data: bool,
}

impl Sheet {
    /// Every film that is known here.
    pub fn all() -> &'static [Self] {
        &SHEETS
    }

    /// The longest metered time that the sheet speaks of, seconds; `None` for a law without a stated end.
    pub fn published_to_s(&self) -> Option<f64> {
        match self.rule {
            Rule::Power(_) => None,
            Rule::Table(rows) => rows.last().map(|row| row.metered_s),
        }
    }
}

impl Film {
    /// By the word of its sheet, for example `hp5-plus`; capitals and punctuation do not matter.
    ///
    /// # Errors
    /// A film that is not known here: names `sheet`.
    pub fn from_word(word: &str) -> Result<Self> {
        let plain = |word: &str| -> String {
            word.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
        };
        let sheet = SHEETS.iter().find(|sheet| plain(sheet.word) == plain(word));
        sheet.map(Self::Published).ok_or_else(|| {
            Error::unknown("sheet", word, &SHEETS.iter().map(|sheet| sheet.word).collect::<Vec<_>>())
        })
    }

    /// By an exponent found in one's own tests.
    ///
    /// # Errors
    /// Outside 1 to 2, or no number: names `exponent`.
    pub fn tested(exponent: f64) -> Result<Self> {
        EXPONENT.check(exponent).map(Self::Tested)
    }

    /// What to give for a metered time.
    ///
    /// ```
    /// use duskbook::exposure::reciprocity::Film;
    /// let corrected = Film::from_word("hp5-plus").unwrap().correct(10.0).unwrap();
    /// assert!((corrected.exposure_s - 20.4).abs() < 0.05); // the maker's own example
    /// ```
    ///
    /// # Errors
    /// A time outside [`METERED`], or no number: names `meteredS`.
    pub fn correct(self, metered_s: f64) -> Result<Corrected> {
        METERED.check(metered_s)?;
        let rule = match self {
            Self::Published(sheet) => sheet.rule,
            Self::Tested(exponent) => Rule::Power(exponent),
        };
        Ok(match rule {
            Rule::Power(exponent) => by_power(exponent, metered_s),
            Rule::Table(rows) => by_table(rows, metered_s),
        })
    }
}

fn by_power(exponent: f64, metered_s: f64) -> Corrected {
    let exposure_s = if metered_s > POWER_FROM_S { power(metered_s, exponent) } else { metered_s };
    Corrected { exposure_s, open: Stops::from_factor(exposure_s / metered_s), beyond_data: false }
}

fn by_table(rows: &[Row], metered_s: f64) -> Corrected {
    let stops: Vec<(f64, f64)> = rows.iter().map(|row| (row.metered_s, row.open_stops)).collect();
    let times: Vec<(f64, f64)> =
        rows.iter().filter_map(|row| Some((row.metered_s, row.give_s?.log2()))).collect();
    let open = Stops::new(along(&stops, metered_s).unwrap_or(0.0));
    let exposure_s = match along(&times, metered_s) {
        Some(log_time) => log_time.exp2(),
        None if times.is_empty() => metered_s * open.factor(),
        None => metered_s,
    };
    let beyond_data = rows.last().is_some_and(|row| metered_s > row.metered_s);
    Corrected { exposure_s, open, beyond_data }
}

/// Straight over log time between the points, on along the last two past their end; `None` up to the first.
///
/// Two points at one time are a step, taken after it.
fn along(points: &[(f64, f64)], metered_s: f64) -> Option<f64> {
    let next = points.partition_point(|(time, _)| *time < metered_s);
    let upper = next.min(points.len().checked_sub(1)?);
    if next == 0 {
        return None;
    }
    let Some(lower) = upper.checked_sub(1) else { return points.first().map(|(_, value)| *value) };
    let ((t0, v0), (t1, v1)) = (*points.get(lower)?, *points.get(upper)?);
    Some(lerp(v0, v1, (metered_s / t0).log2() / (t1 / t0).log2()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_have_their_own_words_and_rising_rows() {
        for (i, sheet) in SHEETS.iter().enumerate() {
            assert!(SHEETS[..i].iter().all(|other| other.word != sheet.word), "{}", sheet.word);
            if let Rule::Table(rows) = sheet.rule {
                assert!(rows.windows(2).all(|pair| {
                    pair[0].metered_s <= pair[1].metered_s && pair[0].open_stops <= pair[1].open_stops
                }));
            }
        }
    }

    #[test]
    fn words_are_found_however_they_are_spelt() {
        for word in ["hp5-plus", "HP5 Plus", "Hp5plus"] {
            assert!(matches!(Film::from_word(word), Ok(Film::Published(sheet)) if sheet.word == "hp5-plus"));
        }
        let refused = Film::from_word("dusk-400").unwrap_err().to_string();
        assert!(
            refused.starts_with("sheet: \"dusk-400\" is not known here; use one of ortho-plus, "),
            "{refused}"
        );
    }

    #[test]
    fn a_step_holds_its_first_value_to_the_very_time() {
        let points = [(120.0, 0.0), (120.0, 0.5), (1000.0, 0.5)];
        assert_eq!(along(&points, 120.0), None);
        assert_eq!(along(&points, 120.1), Some(0.5));
        assert_eq!(along(&points, 5000.0), Some(0.5));
        assert_eq!(along(&[], 1.0), None);
        assert_eq!(along(&[(128.0, 0.0)], 200.0), Some(0.0));
    }
}
