//! Filters on the lens: the time through a stack, and the filters that give a time.

use wasm_bindgen::prelude::*;

use super::value::{answer, each, question};

use super::exposure::limits;
use crate::error::{Bounds, Error, Result};
use crate::exposure::ev;
use crate::exposure::filter::{Edge, Filter, Loss, Stack, choose, density, graduated};
use crate::exposure::series::Shutter;
use crate::units::{Ev, Stops};

question! {
    /// One filter, its strength said in exactly one of four ways.
    pub struct FilterQuestion {
        /// Stops, 0 to 24.
        pub stops: Option<f64>,
        /// Factor, 1 to 2^24.
        pub factor: Option<f64>,
        /// Density, 0 to 7.2.
        pub density: Option<f64>,
        /// As engraved or said: `ND8`, `ND 0.9`, `6 stops`.
        pub text: Option<String>,
        /// `neutral` when missing; `polariser`, `graduated`, `night-sky`.
        pub kind: Option<String>,
        /// A polariser's loss at its darkest, stops, when the strength is that at its lightest.
        pub most_stops: Option<f64>,
        /// A graduated filter's edge: `soft`, `hard`, `reverse`.
        pub edge: Option<String>,
    }
}

impl FilterQuestion {
    fn loss(&self) -> Result<Option<Loss>> {
        let said = [
            self.stops.map(Loss::from_stops),
            self.factor.map(Loss::from_factor),
            self.density.map(Loss::from_density),
            self.text.as_deref().map(Loss::parse),
        ];
        let mut said = said.into_iter().flatten();
        match (said.next(), said.next()) {
            (Some(_), Some(_)) => {
                Err(Error::conflict("stops", "give one of stops, factor, density and text, not several"))
            }
            (first, _) => first.transpose(),
        }
    }

    /// The filter.
    ///
    /// # Errors
    /// No strength, several, or one that is wrong: names its field.
    pub(super) fn read(&self) -> Result<Filter> {
        let loss = self.loss()?;
        let needed = || loss.ok_or_else(|| Error::missing("stops", "stops, factor, density or text"));
        match self.kind.as_deref().unwrap_or("neutral") {
            "neutral" => needed().map(Filter::Neutral),
            "night-sky" => needed().map(Filter::NightSky),
            "graduated" => {
                let edge = self.edge.as_deref().map_or(Ok(Edge::Soft), Edge::from_word)?;
                Ok(Filter::Graduated { edge, loss: needed()? })
            }
            "polariser" => {
                let Some(least) = loss else { return Ok(Filter::UNMEASURED_POLARISER) };
                let most = self.most_stops.map_or(Ok(least), Loss::from_stops);
                let most = most.map_err(|refused| refused.in_field("mostStops"))?;
                if most < least {
                    return Err(Error::conflict("mostStops", "less than at its lightest"));
                }
                Ok(Filter::Polariser { least, most })
            }
            other => Err(Error::unknown("kind", other, &["neutral", "polariser", "graduated", "night-sky"])),
        }
    }
}

question! {
    /// A time that is right without filters, and the filters.
    pub struct ThroughFiltersQuestion {
        /// The time without filters, seconds, taken literally.
        pub base_s: f64,
        /// All that is on the lens.
        pub filters: Vec<FilterQuestion>,
        /// The longest time that the camera keeps by itself, seconds; 30 when missing.
        pub longest_shutter_s: Option<f64>,
    }
}

answer! {
    /// The time through filters.
    pub struct ThroughFiltersAnswer {
        /// What the stack takes, a polariser at half its range.
        pub stops: f64,
        /// The time that makes up for it, seconds.
        pub exact_s: f64,
        /// What to dial, exact seconds of the mark; past the longest time, the time itself.
        pub dialled_s: f64,
        /// As it is written: `30 s`, `1 min 8 s`.
        pub dialled_label: String,
        /// How much lighter than wanted the picture comes out as dialled, stops; negative is darker.
        pub residual_stops: f64,
        /// Whether the time is past the camera's longest, to be kept by hand.
        pub timed: bool,
        /// The time with polarisers at their lightest, seconds.
        pub least_s: f64,
        /// The time with polarisers at their darkest, seconds.
        pub most_s: f64,
        /// What graduated filters take from the sky beyond that, stops.
        pub sky_stops: f64,
    }
}

/// The time through a stack of filters.
///
/// # Errors
/// A bad filter names itself, as `filters[2].density`; a stack of more than 30 stops names `filters`.
pub fn through_filters(q: &ThroughFiltersQuestion) -> Result<ThroughFiltersAnswer> {
    let base = Shutter::exactly(q.base_s).map_err(|refused| refused.in_field("baseS"))?;
    let stack = Stack::of(&each("filters", &q.filters, FilterQuestion::read)?)?;
    let limits = limits(q.longest_shutter_s)?;
    let exact = Shutter::at(base.stops() + stack.loss());
    let dialled = limits.time(exact);
    Ok(ThroughFiltersAnswer {
        stops: stack.loss().count(),
        exact_s: exact.exact(),
        dialled_s: dialled.exact(),
        dialled_label: dialled.label(),
        residual_stops: (dialled.stops() - exact.stops()).count(),
        timed: limits.is_timed(dialled),
        least_s: q.base_s * stack.least.factor(),
        most_s: q.base_s * stack.most.factor(),
        sky_stops: stack.sky.count(),
    })
}

question! {
    /// The time that there is and the time that is wanted, and perhaps a bag of filters.
    pub struct FilterForQuestion {
        /// The time without filters, seconds.
        pub base_s: f64,
        /// The time wanted, seconds.
        pub wanted_s: f64,
        /// The photographer's filters, at most 12; none when missing.
        pub bag: Option<Vec<FilterQuestion>>,
    }
}

answer! {
    /// The filter that stretches one time to the other.
    pub struct FilterForAnswer {
        /// Its strength in stops.
        pub stops: f64,
        /// Its strength as a factor.
        pub factor: f64,
        /// Its strength as a density.
        pub density: f64,
        /// What comes nearest from the bag; null without a bag.
        pub from_bag: Option<FromBag>,
    }
}

answer! {
    /// Filters of the bag to stack.
    pub struct FromBag {
        /// Places in the bag, from 0.
        pub places: Vec<usize>,
        /// What they take, stops.
        pub stops: f64,
        /// How much lighter than wanted the picture comes out at the wanted time, stops; negative is darker.
        pub residual_stops: f64,
    }
}

/// Which filter gives the time that is wanted.
///
/// # Errors
/// A number out of range names its field; a wanted time shorter than the one without filters, or more than 30 stops
/// longer, names `wantedS`.
pub fn filter_for(q: &FilterForQuestion) -> Result<FilterForAnswer> {
    const STRETCH: Bounds = Bounds::new("wantedS", 0.0, 30.0, " stops longer than baseS");
    let base = Shutter::exactly(q.base_s).map_err(|refused| refused.in_field("baseS"))?;
    let wanted = Shutter::exactly(q.wanted_s).map_err(|refused| refused.in_field("wantedS"))?;
    let loss = wanted.stops() - base.stops();
    STRETCH.check(loss.count())?;
    let bag = q.bag.as_deref().map(|bag| each("bag", bag, FilterQuestion::read)).transpose()?;
    let chosen = bag.map(|bag| choose(&bag, loss)).transpose()?;
    Ok(FilterForAnswer {
        stops: loss.count(),
        factor: loss.factor(),
        density: density(loss),
        from_bag: chosen.map(|choice| FromBag {
            places: choice.places,
            stops: choice.loss.count(),
            residual_stops: choice.residual.count(),
        }),
    })
}

question! {
    /// Readings of sky and foreground.
    pub struct GraduatedQuestion {
        /// The sky's exposure value at ISO 100.
        pub sky_ev: f64,
        /// The foreground's exposure value at ISO 100.
        pub foreground_ev: f64,
        /// How much brighter the sky is to stay, stops; one when missing.
        pub keep_stops: Option<f64>,
    }
}

answer! {
    /// The strength of a graduated filter.
    pub struct GraduatedAnswer {
        /// In stops; 0 when none is needed.
        pub stops: f64,
        /// As a density.
        pub density: f64,
    }
}

/// The graduated filter that brings a sky down to its foreground.
///
/// # Errors
/// A number out of range names its field.
pub fn graduated_filter(q: &GraduatedQuestion) -> Result<GraduatedAnswer> {
    const KEEP: Bounds = Bounds::new("keepStops", -5.0, 10.0, " stops");
    let read = |field, value| ev::given(value).map_err(|refused: Error| refused.in_field(field));
    let (sky, foreground): (Ev, Ev) = (read("skyEv", q.sky_ev)?, read("foregroundEv", q.foreground_ev)?);
    let keep = Stops::new(KEEP.check(q.keep_stops.unwrap_or(1.0))?);
    let loss = graduated(sky, foreground, keep);
    Ok(GraduatedAnswer { stops: loss.stops().count(), density: loss.density() })
}

/// The time through a stack of filters.
///
/// # Errors
/// A bad number or filter, thrown with its field.
#[wasm_bindgen(js_name = throughFilters, unchecked_return_type = "ThroughFiltersAnswer")]
pub fn through_filters_call(
    #[wasm_bindgen(unchecked_param_type = "ThroughFiltersQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ThroughFiltersQuestion| through_filters(&q))
}

/// Which filter gives the time that is wanted.
///
/// # Errors
/// A bad number or filter, thrown with its field.
#[wasm_bindgen(js_name = filterFor, unchecked_return_type = "FilterForAnswer")]
pub fn filter_for_call(
    #[wasm_bindgen(unchecked_param_type = "FilterForQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: FilterForQuestion| filter_for(&q))
}

/// The graduated filter that brings a sky down to its foreground.
///
/// # Errors
/// A bad number or filter, thrown with its field.
#[wasm_bindgen(js_name = graduatedFilter, unchecked_return_type = "GraduatedAnswer")]
pub fn graduated_filter_call(
    #[wasm_bindgen(unchecked_param_type = "GraduatedQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: GraduatedQuestion| graduated_filter(&q))
}
