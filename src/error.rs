//! The one error of the crate, and the bounds that every input is held to.
//!
//! A [`Bounds`] is declared once, beside the thing it bounds; the check and its message both come from
//! it. "Never sets" and "beyond the published data" are results and never appear here.

use std::borrow::Cow;
use std::fmt;

use crate::decimal::written;

/// What was wrong with an input: the field, the value given, and what would have been right.
///
/// It lies apart, so that handing it on is one number wherever something may be refused.
#[derive(Debug, Clone, PartialEq)]
pub struct Error {
    of: Box<Refusal>,
}

/// The parts of an error.
#[derive(Debug, Clone, PartialEq)]
struct Refusal {
    field: Cow<'static, str>,
    problem: Problem,
}

/// The kinds of trouble an input can be in.
#[derive(Debug, Clone, PartialEq)]
enum Problem {
    OutOfRange { value: f64, bounds: Bounds },
    NotANumber { value: String },
    Unknown { value: String, known: String },
    Malformed { value: String, expected: &'static str },
    Missing { expected: &'static str },
    Conflict { message: String },
}

/// The shared result of everything that can refuse its input.
pub type Result<T> = std::result::Result<T, Error>;

impl Error {
    #[inline(never)]
    fn new(field: Cow<'static, str>, problem: Problem) -> Self {
        Self { of: Box::new(Refusal { field, problem }) }
    }

    /// A number outside its bounds.
    pub fn out_of_range(field: impl Into<Cow<'static, str>>, value: f64, bounds: Bounds) -> Self {
        let problem = if value.is_finite() {
            Problem::OutOfRange { value, bounds }
        } else {
            Problem::NotANumber { value: written(value) }
        };
        Self::new(field.into(), problem)
    }

    /// Text that should have been a number.
    pub fn not_a_number(field: impl Into<Cow<'static, str>>, value: impl Into<String>) -> Self {
        Self::new(field.into(), Problem::NotANumber { value: shortened(&value.into()) })
    }

    /// A word that is none of the `known` ones.
    pub fn unknown(field: impl Into<Cow<'static, str>>, value: impl Into<String>, known: &[&str]) -> Self {
        let mut listed = "one of ".to_owned();
        for (i, word) in known.iter().enumerate() {
            listed += if i > 0 { ", " } else { "" };
            listed += word;
        }
        Self::new(field.into(), Problem::Unknown { value: shortened(&value.into()), known: listed })
    }

    /// A name that nothing here has; `known` says what is meant, for example `"a name like Europe/Lisbon"`.
    pub fn unknown_name(field: impl Into<Cow<'static, str>>, value: impl Into<String>, known: &str) -> Self {
        Self::new(field.into(), Problem::Unknown { value: shortened(&value.into()), known: known.into() })
    }

    /// Text of the wrong form; `expected` says the right one, for example `"a date like 2031-03-09"`.
    pub fn malformed(
        field: impl Into<Cow<'static, str>>,
        value: impl Into<String>,
        expected: &'static str,
    ) -> Self {
        Self::new(field.into(), Problem::Malformed { value: shortened(&value.into()), expected })
    }

    /// Nothing given where something is needed.
    pub fn missing(field: impl Into<Cow<'static, str>>, expected: &'static str) -> Self {
        Self::new(field.into(), Problem::Missing { expected })
    }

    /// Inputs that are each in range and cannot go together; `message` names both values.
    pub fn conflict(field: impl Into<Cow<'static, str>>, message: impl Into<String>) -> Self {
        Self::new(field.into(), Problem::Conflict { message: message.into() })
    }

    /// The same trouble under the name that the asker used, for example `lat` in a link.
    #[must_use]
    pub fn in_field(mut self, field: impl Into<Cow<'static, str>>) -> Self {
        self.of.field = field.into();
        self
    }

    /// The name of the input, as the caller spelt it (`latitudeDeg`).
    pub fn field(&self) -> &str {
        &self.of.field
    }

    /// A stable word for the kind of trouble.
    pub fn code(&self) -> &'static str {
        match self.of.problem {
            Problem::OutOfRange { .. } => "out-of-range",
            Problem::NotANumber { .. } => "not-a-number",
            Problem::Unknown { .. } => "unknown",
            Problem::Malformed { .. } => "malformed",
            Problem::Missing { .. } => "missing",
            Problem::Conflict { .. } => "conflict",
        }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Refusal { field, problem } = &*self.of;
        match problem {
            Problem::OutOfRange { value, bounds } => {
                write!(f, "{field}: {} is outside {bounds}", written(*value))
            }
            Problem::NotANumber { value } => write!(f, "{field}: \"{value}\" is not a number"),
            Problem::Unknown { value, known } => {
                write!(f, "{field}: \"{value}\" is not known here; use {known}")
            }
            Problem::Malformed { value, expected } => {
                write!(f, "{field}: \"{value}\" cannot be read; expected {expected}")
            }
            Problem::Missing { expected } => write!(f, "{field}: nothing given; expected {expected}"),
            Problem::Conflict { message } => write!(f, "{field}: {message}"),
        }
    }
}

impl std::error::Error for Error {}

/// A closed range that an input must lie in, with its unit for the message.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The field's usual name at the boundary, for example `latitudeDeg`.
    pub field: &'static str,
    /// Least value allowed.
    pub least: f64,
    /// Greatest value allowed.
    pub most: f64,
    /// The unit as it is written after a number, with its leading space or degree sign; empty for a ratio.
    pub unit: &'static str,
}

impl Bounds {
    /// Declares a range; `least` must not exceed `most`.
    pub const fn new(field: &'static str, least: f64, most: f64, unit: &'static str) -> Self {
        Self { field, least, most, unit }
    }

    /// Whether the value is a number within the range.
    pub fn contains(&self, value: f64) -> bool {
        value >= self.least && value <= self.most
    }

    /// The value itself when it lies within.
    ///
    /// # Errors
    /// Out of range or not finite: names this field, the value and the range.
    ///
    /// ```
    /// use duskbook::error::Bounds;
    /// const LATITUDE: Bounds = Bounds::new("latitudeDeg", -90.0, 90.0, "°");
    /// assert_eq!(LATITUDE.check(50.0), Ok(50.0));
    /// let refused = LATITUDE.check(91.0).unwrap_err();
    /// assert_eq!(refused.to_string(), "latitudeDeg: 91 is outside -90° to 90°");
    /// ```
    #[inline(never)]
    pub fn check(&self, value: f64) -> Result<f64> {
        if self.contains(value) { Ok(value) } else { Err(Error::out_of_range(self.field, value, *self)) }
    }

    /// The same for a value that may not have been given.
    ///
    /// # Errors
    /// Nothing given, or as [`Self::check`].
    pub fn required(&self, value: Option<f64>) -> Result<f64> {
        self.check(value.ok_or_else(|| Error::missing(self.field, "a number"))?)
    }

    /// The same for a value that need not be given.
    ///
    /// # Errors
    /// As [`Self::check`].
    #[inline(never)]
    pub fn optional(&self, value: Option<f64>) -> Result<Option<f64>> {
        value.map(|value| self.check(value)).transpose()
    }
}

impl fmt::Display for Bounds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { least, most, unit, .. } = self;
        write!(f, "{}{unit} to {}{unit}", written(*least), written(*most))
    }
}

/// Everything wrong with a form, so that all of it can be marked at once.
///
/// ```
/// use duskbook::error::{Bounds, Problems};
/// const LATITUDE: Bounds = Bounds::new("latitudeDeg", -90.0, 90.0, "°");
/// let mut problems = Problems::default();
/// assert_eq!(problems.note(LATITUDE.check(50.0)), Some(50.0));
/// assert_eq!(problems.note(LATITUDE.check(91.0)), None);
/// assert_eq!(problems.list().len(), 1);
/// ```
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Problems {
    found: Vec<Error>,
}

impl Problems {
    /// The value, or `None` and the problem kept.
    pub fn note<T>(&mut self, checked: Result<T>) -> Option<T> {
        checked.map_err(|problem| self.found.push(problem)).ok()
    }

    /// Takes in what else was found, but nothing about a field that is already marked.
    pub fn add_unmarked(&mut self, others: Self) {
        let marked = |problem: &Error| self.found.iter().any(|known| known.field() == problem.field());
        let fresh: Vec<Error> = others.found.into_iter().filter(|problem| !marked(problem)).collect();
        self.found.extend(fresh);
    }

    /// All of them, in the order in which they were found.
    pub fn list(&self) -> &[Error] {
        &self.found
    }
}

impl From<Problems> for Error {
    /// The first of them, where one is enough.
    fn from(problems: Problems) -> Self {
        problems.found.into_iter().next().unwrap_or_else(|| Self::missing("", "a value"))
    }
}

/// The start of a hostile or huge value: enough to recognise it by.
pub(crate) fn shortened(value: &str) -> String {
    const MOST: usize = 60;
    if value.chars().count() <= MOST {
        value.to_owned()
    } else {
        value.chars().take(MOST).chain(['…']).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_that_is_no_number_is_called_so_and_not_out_of_range() {
        let bounds = Bounds::new("x", 0.0, 1.0, " m");
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(bounds.check(value).unwrap_err().code(), "not-a-number");
        }
        assert_eq!(bounds.check(1.5).unwrap_err().to_string(), "x: 1.5 is outside 0 m to 1 m");
    }

    #[test]
    fn a_long_value_is_cut_between_characters() {
        let message = Error::malformed("name", "ß".repeat(500), "a name").to_string();
        assert!(message.contains('…') && message.chars().count() < 120, "{message}");
    }
}
