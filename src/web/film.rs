//! Film in dim light.

use wasm_bindgen::prelude::*;

use super::value::{answer, question};

use crate::error::{Error, Result};
use crate::exposure::reciprocity::{Film, Sheet};
use crate::exposure::series::Shutter;
use crate::units::Stops;

question! {
    /// A film and a metered time.
    pub struct ReciprocityQuestion {
        /// The film's sheet: `hp5-plus`; null when the exponent is one's own.
        pub sheet: Option<String>,
        /// An exponent from one's own tests, 1 to 2, instead of a sheet.
        pub exponent: Option<f64>,
        /// The metered time, seconds.
        pub metered_s: f64,
    }
}

answer! {
    /// What to give instead.
    pub struct ReciprocityAnswer {
        /// The time to give, seconds, the lens as metered.
        pub exposure_s: f64,
        /// As it is written: `1 min 26 s`.
        pub exposure_label: String,
        /// What to open the lens by instead, the time as metered; tables publish it apart from the time.
        pub stops_added: f64,
        /// What the longer time adds, stops.
        pub time_stops_added: f64,
        /// Whether the sheet says nothing of so long a time.
        pub beyond_data: bool,
        /// The longest metered time that the sheet speaks of, seconds; null where no end is stated.
        pub published_to_s: Option<f64>,
        /// Where the numbers come from, and how surely.
        pub source: &'static str,
    }
}

/// How much longer a film needs than the meter says.
///
/// # Errors
/// An unknown film names `sheet`, a number out of range its field; a sheet and an exponent together name `exponent`.
pub fn reciprocity(q: &ReciprocityQuestion) -> Result<ReciprocityAnswer> {
    let film = match (q.sheet.as_deref(), q.exponent) {
        (Some(word), None) => Film::from_word(word)?,
        (None, Some(exponent)) => Film::tested(exponent)?,
        (None, None) => return Err(Error::missing("sheet", "a film, or an exponent of your own")),
        (Some(_), Some(_)) => {
            return Err(Error::conflict("exponent", "give a film or an exponent of your own, not both"));
        }
    };
    let corrected = film.correct(q.metered_s)?;
    let (published_to_s, source) = match film {
        Film::Published(sheet) => (sheet.published_to_s(), sheet.source),
        Film::Tested(_) => (None, "your own tests"),
    };
    let time_added = Stops::from_factor(corrected.exposure_s / q.metered_s);
    Ok(ReciprocityAnswer {
        exposure_s: corrected.exposure_s,
        exposure_label: Shutter::at(Stops::from_factor(corrected.exposure_s)).label(),
        stops_added: corrected.open.count(),
        time_stops_added: time_added.count(),
        beyond_data: corrected.beyond_data,
        published_to_s,
        source,
    })
}

answer! {
    /// A film whose maker's numbers are known here.
    pub struct FilmSheet {
        /// Its word in questions: `hp5-plus`.
        pub sheet: &'static str,
        /// The film as its maker writes it.
        pub film: &'static str,
        /// Where the numbers come from, and how surely.
        pub source: &'static str,
        /// The longest metered time that the sheet speaks of, seconds; null where no end is stated.
        pub published_to_s: Option<f64>,
    }
}

/// Every film that is known here.
pub fn film_sheets() -> Vec<FilmSheet> {
    let listed = |sheet: &Sheet| FilmSheet {
        sheet: sheet.word,
        film: sheet.film,
        source: sheet.source,
        published_to_s: sheet.published_to_s(),
    };
    Sheet::all().iter().map(listed).collect()
}

/// Every film that is known here.
///
/// # Errors
/// None.
#[wasm_bindgen(js_name = filmSheets, unchecked_return_type = "FilmSheet[]")]
pub fn film_sheets_call() -> std::result::Result<JsValue, JsValue> {
    super::answer(&JsValue::NULL, |(): ()| Ok(film_sheets()))
}

/// How much longer a film needs than the meter says.
///
/// # Errors
/// An unknown film or a number out of range, thrown with its field.
#[wasm_bindgen(js_name = reciprocity, unchecked_return_type = "ReciprocityAnswer")]
pub fn reciprocity_call(
    #[wasm_bindgen(unchecked_param_type = "ReciprocityQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ReciprocityQuestion| reciprocity(&q))
}
