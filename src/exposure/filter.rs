//! What glass in front of the lens takes from the light.
//!
//! A neutral density filter is sold by stops (6), by factor (64) or by density (1.8), all the same thing:
//! density D = −log₁₀ of the transmittance, factor = 10^D, stops = D / log₁₀ 2. Densities and stops add, factors
//! multiply. "ND16" is a factor, four stops; "ND 1.6" is a density, five and a third. A bare 16 or 1.6 is not
//! taken for either.
//!
//! Maker's tolerances are not modelled: a strong filter is easily a third of a stop off its name, so measure it once.
//! Density and factor are definitions (ISO 5 was not opened); a polariser's factor of about 2.5, metered without
//! it, is in Kodak F-4016; one to two stops in practice, and the rule for graduated filters, are common practice,
//! from memory.
//!
//! Nothing here makes looking at the sun safe. A photographic filter, however dark, is not eye protection, and
//! leaves infrared unblocked; an optical finder or a long lens is never pointed at the sun with an eye behind it.

use std::f64::consts::LOG10_2;

use crate::decimal;
use crate::error::{Bounds, Error, Result};
use crate::units::{Ev, Stops};

/// What a stack of filters may take in all.
pub const STACK_STOPS: Bounds = Bounds::new("filterStops", 0.0, 30.0, " stops");

/// One filter's loss by stops.
pub const STOPS: Bounds = Bounds::new("stops", 0.0, 24.0, " stops");

/// One filter's loss by factor, up to 24 stops.
pub const FACTOR: Bounds = Bounds::new("factor", 1.0, 16_777_216.0, "");

/// One filter's loss by density, up to 24 stops.
pub const DENSITY: Bounds = Bounds::new("density", 0.0, 7.2, "");

/// How many filters a bag may hold.
pub const BAG: Bounds = Bounds::new("bag", 0.0, 12.0, " filters");

/// What one piece of glass takes.
///
/// ```
/// use duskbook::exposure::filter::Loss;
/// let three_stops = Loss::from_density(0.9).unwrap();
/// assert!((three_stops.stops().count() - 2.990).abs() < 0.001);
/// assert!((three_stops.factor() - 7.94).abs() < 0.005);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Loss {
    stops: Stops,
}

impl Loss {
    /// No glass.
    pub const NONE: Self = Self { stops: Stops::ZERO };

    /// By stops.
    ///
    /// # Errors
    /// Outside 0 to 24, or no number: names `stops`.
    pub fn from_stops(stops: f64) -> Result<Self> {
        STOPS.check(stops).map(|stops| Self { stops: Stops::new(stops) })
    }

    /// By factor, the number of times longer.
    ///
    /// # Errors
    /// Outside 1 to 2^24, or no number: names `factor`.
    pub fn from_factor(factor: f64) -> Result<Self> {
        FACTOR.check(factor).map(|factor| Self { stops: Stops::from_factor(factor) })
    }

    /// By density.
    ///
    /// # Errors
    /// Outside 0 to 7.2, or no number: names `density`.
    pub fn from_density(density: f64) -> Result<Self> {
        DENSITY.check(density).map(|density| Self { stops: Stops::new(density / LOG10_2) })
    }

    /// As it is engraved or said: `ND8`, `ND 0.9`, `×64`, `6 stops`.
    ///
    /// After "ND" a whole number is a factor and a decimal one a density, as filters are sold.
    ///
    /// # Errors
    /// A bare number or another text, or a number out of range: names `text`.
    pub fn parse(text: &str) -> Result<Self> {
        let refused = || Error::malformed("text", text, "one like 3 stops, ND8 or ND 0.9");
        let said = text.trim().to_ascii_lowercase().replace(',', ".");
        let number = |digits: &str| decimal::read(digits.trim().trim_end_matches('-')).ok_or_else(refused);
        let loss = if let Some(digits) = said.strip_suffix("stops").or(said.strip_suffix("stop")) {
            Self::from_stops(number(digits)?)
        } else if let Some(digits) = said.strip_prefix(['×', 'x']) {
            Self::from_factor(number(digits)?)
        } else {
            let digits = said.strip_prefix("nd").ok_or_else(refused)?;
            let value = number(digits)?;
            if digits.contains('.') { Self::from_density(value) } else { Self::from_factor(value) }
        };
        loss.map_err(|refused| refused.in_field("text"))
    }

    /// In stops.
    pub const fn stops(self) -> Stops {
        self.stops
    }

    /// As a factor: how many times longer.
    pub fn factor(self) -> f64 {
        self.stops.factor()
    }

    /// As a density.
    pub fn density(self) -> f64 {
        density(self.stops)
    }
}

/// The density of a number of stops.
pub fn density(loss: Stops) -> f64 {
    loss.count() * LOG10_2
}

/// How a graduated filter passes from clear to dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Gradually, for a broken skyline.
    Soft,
    /// At once, for a level horizon.
    Hard,
    /// At once and darkest there, for a sun on the horizon.
    Reverse,
}

impl Edge {
    /// By its word: `soft`, `hard`, `reverse`.
    ///
    /// # Errors
    /// Another word: names `edge`.
    pub fn from_word(word: &str) -> Result<Self> {
        match word {
            "soft" => Ok(Self::Soft),
            "hard" => Ok(Self::Hard),
            "reverse" => Ok(Self::Reverse),
            _ => Err(Error::unknown("edge", word, &["soft", "hard", "reverse"])),
        }
    }
}

/// One filter of a photographer's bag.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Filter {
    /// Takes the same from everything.
    Neutral(Loss),
    /// Takes more or less as it is turned and as the light is polarised.
    Polariser {
        /// At its lightest.
        least: Loss,
        /// At its darkest.
        most: Loss,
    },
    /// Takes from the sky and leaves the foreground, for which the exposure is set.
    Graduated {
        /// How it passes over.
        edge: Edge,
        /// What its dark part takes.
        loss: Loss,
    },
    /// Takes a band of street-lamp colour; how much of the exposure, the owner has measured.
    NightSky(Loss),
}

impl Filter {
    /// A polariser nobody has measured: one to two stops (common practice).
    pub const UNMEASURED_POLARISER: Self =
        Self::Polariser { least: Loss { stops: Stops::new(1.0) }, most: Loss { stops: Stops::new(2.0) } };

    /// The least and the most that it takes from the foreground.
    fn foreground(self) -> (Stops, Stops) {
        match self {
            Self::Neutral(loss) | Self::NightSky(loss) => (loss.stops, loss.stops),
            Self::Polariser { least, most } => (least.stops, most.stops),
            Self::Graduated { .. } => (Stops::ZERO, Stops::ZERO),
        }
    }

    /// What it takes from the sky beyond what it takes from the foreground.
    fn sky(self) -> Stops {
        if let Self::Graduated { loss, .. } = self { loss.stops } else { Stops::ZERO }
    }
}

/// What several filters take together, whatever their order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stack {
    /// From the foreground, polarisers at their lightest.
    pub least: Stops,
    /// From the foreground, polarisers at their darkest.
    pub most: Stops,
    /// From the sky, beyond that.
    pub sky: Stops,
}

impl Stack {
    /// All of these in front of the lens.
    ///
    /// # Errors
    /// More than 30 stops in all: names `filters`.
    pub fn of(filters: &[Filter]) -> Result<Self> {
        let mut stack = Self { least: Stops::ZERO, most: Stops::ZERO, sky: Stops::ZERO };
        for filter in filters {
            let (least, most) = filter.foreground();
            stack.least += least;
            stack.most += most;
            stack.sky += filter.sky();
        }
        let whole = (stack.most + stack.sky).count();
        STACK_STOPS.check(whole).map_err(|refused| refused.in_field("filters"))?;
        Ok(stack)
    }

    /// What to reckon with: half-way between its least and its most.
    pub fn loss(self) -> Stops {
        (self.least + self.most) * 0.5
    }
}

/// Filters of a bag that together come near a wanted loss.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Places in the bag, in order; empty when no filter is nearest.
    pub places: Vec<usize>,
    /// What they take.
    pub loss: Stops,
    /// How much lighter than wanted the picture comes out at the wanted time; negative is darker.
    pub residual: Stops,
}

/// The filters to take from a bag: the fewest that come within a sixth of a stop, else whichever come nearest.
///
/// # Errors
/// More than 12 filters in the bag: names `bag`. A stack of more than 30 stops is never proposed.
pub fn choose(bag: &[Filter], wanted: Stops) -> Result<Choice> {
    BAG.check(bag.len() as f64)?;
    let choices = (0..1_usize << bag.len()).filter_map(|set| {
        let places: Vec<usize> = (0..bag.len()).filter(|place| set >> place & 1 == 1).collect();
        let taken: Vec<Filter> = places.iter().filter_map(|&place| bag.get(place)).copied().collect();
        let loss = Stack::of(&taken).ok()?.loss();
        Some(Choice { places, loss, residual: wanted - loss })
    });
    let nearest = choices.min_by_key(|choice| {
        let count = choice.places.len() as u64;
        // In billionths: equal sums differ in their last bits by the order of addition.
        let off = (choice.residual.count().abs() * 1e9).round() as u64;
        if off <= 166_666_667 { (false, count, off) } else { (true, off, count) }
    });
    Ok(nearest.unwrap_or(Choice { places: Vec::new(), loss: Stops::ZERO, residual: wanted }))
}

/// The strength of graduated filter that leaves the sky `keep` above the foreground; none when it is not above.
///
/// In densities the trade says 0.3 × (sky − foreground − keep), readings in stops (common practice).
///
/// ```
/// use duskbook::{exposure::filter::graduated, units::{Ev, Stops}};
/// let strength = graduated(Ev::at_iso_100(11.0), Ev::at_iso_100(7.0), Stops::new(1.0));
/// assert_eq!(strength.stops(), Stops::new(3.0));
/// ```
pub fn graduated(sky: Ev, foreground: Ev, keep: Stops) -> Loss {
    let wanted = (sky - foreground - keep).count();
    Loss { stops: Stops::new(wanted.clamp(STOPS.least, STOPS.most)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_factor_and_a_density_of_the_same_digits_are_never_confused() {
        let stops = |text| Loss::parse(text).unwrap().stops().count();
        assert!((stops("ND16") - 4.0).abs() < 1e-12);
        assert!((stops("nd 1.6") - 5.315).abs() < 0.001);
        assert!((stops("ND 1,6") - 5.315).abs() < 0.001);
        assert!((stops("×1000") - 9.966).abs() < 0.001);
        assert_eq!(stops("6-stop"), 6.0);
        assert_eq!(stops("1 stop"), 1.0);
        for text in ["16", "1.6", "", "ND", "ND x", "stops", "ND -8"] {
            assert_eq!(Loss::parse(text).unwrap_err().field(), "text", "{text}");
        }
    }

    #[test]
    fn a_bag_gives_the_fewest_filters_that_will_do() {
        let nd = |stops| Filter::Neutral(Loss::from_stops(stops).unwrap());
        let bag = [nd(3.0), nd(6.0), nd(10.0), nd(9.0)];
        assert_eq!(choose(&bag, Stops::new(9.1)).unwrap().places, [3]);
        assert_eq!(choose(&bag, Stops::new(13.0)).unwrap().places, [0, 2]);
        assert_eq!(choose(&bag, Stops::new(0.1)).unwrap().places, Vec::<usize>::new());
        let short = choose(&bag, Stops::new(30.0)).unwrap();
        assert_eq!((short.places.len(), short.residual.count()), (4, 2.0));
        assert!(choose(&[nd(1.0); 13], Stops::ZERO).is_err());
    }

    #[test]
    fn a_graduated_filter_leaves_the_foreground_its_light() {
        let loss = Loss::from_stops(3.0).unwrap();
        let stack = Stack::of(&[Filter::Graduated { edge: Edge::Soft, loss }, Filter::UNMEASURED_POLARISER]);
        let stack = stack.unwrap();
        assert_eq!((stack.loss().count(), stack.sky.count()), (1.5, 3.0));
        assert_eq!(graduated(Ev::at_iso_100(5.0), Ev::at_iso_100(6.0), Stops::ZERO), Loss::NONE);
    }
}
