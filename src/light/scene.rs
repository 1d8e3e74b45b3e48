//! What the photographer knows before any reading: the clouds, the lamps, and what the exposure is to hold.
//!
//! Each choice is a prior: what was usual elsewhere, and how far one evening strays from it.
//!
//! | [`Cloud`] | stops lost | source |
//! |---|---|---|
//! | clear | 0 | |
//! | thin | 1 | USNO Circular 171's divisors, as stops |
//! | average | 1.6 | the same |
//! | dark stratus | 3.3 | the same |
//!
//! | [`Scene`] | floor, EV at ISO 100 | why |
//! |---|---|---|
//! | street | 5 ± 1.5 | ANSI PH2.7: night vehicle traffic 5, night streets 7–8; the trade's recipes for trails sit at 2–4, and road classes M1–M6 of EN 13201 at 4.0–1.3 (from memory) |
//! | skyline | 3 ± 1.2 | ANSI PH2.7: distant lighted buildings 2, floodlit ones 3–5 |
//! | floodlit | 4 ± 1.2 | ANSI PH2.7: floodlit buildings, monuments, fountains 3–5 |
//! | unlit | −6 ± 2 | ANSI PH2.7: quarter moon −6, full moon −3 to −2; a town's glow on the sky −4, a dark sky −9.5 (from memory) |
//! | a number | that ± 0.5 | a night reading of the same scene, or the spot's last fit; half a stop for lamps that change and the meter |
//!
//! The ± are standard deviations, chosen so that a row's range lies within one or two.
//!
//! | [`Intent`] | offset from the mean low sky, stops | why |
//! |---|---|---|
//! | sky | −0.3 ± 0.8 | the meter on the sky in the frame; the spread of clear evenings |
//! | highlights | −1.3 ± 1.1 | derived: the brightest sky, about one stop over the band's mean, put two stops over mid-tone where it just keeps its tone (common practice), from the sky's −0.3; half a stop of spread for each step |
//! | frame | −2.5 ± 2 | the whole frame with a dark skyline in it |
//! | shadows | −3.5 ± 2 | derived: an upright dark surface (5 % reflected) under half the sky is 5.3 stops below the sky; put two stops under mid-tone where it keeps detail (common practice), −3.3, with the sky's −0.3; the spread of the frame |
//!
//! The offsets for the sky and the frame, and all spreads, are judgements of this project, not measurements.

use super::belief::Belief;
use super::normal::Normal;
use crate::error::{Bounds, Error, Result};
use crate::units::{Ev, Stops};

/// The brightness that lamps alone may be said to give, EV at ISO 100.
pub const FLOOR_EV: Bounds = Bounds::new("floorEv", -12.0, 16.0, " EV");

/// How strongly the sky's brightness follows the computed direction: 1 as a lens full of sky, 0 as level ground.
///
/// A judgement of this project; no evening has been measured for it.
pub const SHAPE: Normal = Normal::new(0.6, 0.35);

/// What a photographer knows of the light before the first reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// How the sky is covered.
    pub cloud: Cloud,
    /// What lights the scene when the sky no longer does.
    pub scene: Scene,
    /// What the exposure is to hold.
    pub intent: Intent,
}

impl Conditions {
    /// What is usual under these conditions, before any reading.
    pub fn usual(self) -> Belief {
        self.scene.usual()
    }
}

/// How the sky is covered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cloud {
    /// No cloud that matters.
    Clear,
    /// A veil.
    Thin,
    /// A common overcast.
    Average,
    /// A dark stratus.
    Dark,
}

impl Cloud {
    const WORDS: [(&str, Self); 4] =
        [("clear", Self::Clear), ("thin", Self::Thin), ("average", Self::Average), ("dark", Self::Dark)];

    /// From `clear`, `thin`, `average` or `dark`.
    ///
    /// # Errors
    /// Any other word: names `cloud`.
    pub fn from_word(word: &str) -> Result<Self> {
        chosen("cloud", word, &Self::WORDS)
    }

    /// The light it takes, never negative.
    pub const fn loss(self) -> Stops {
        Stops::new(match self {
            Self::Clear => 0.0,
            Self::Thin => 1.0,
            Self::Average => 1.6,
            Self::Dark => 3.3,
        })
    }
}

/// What lights the scene when the sky no longer does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scene {
    /// A street with traffic.
    Street,
    /// Lit buildings at a distance.
    Skyline,
    /// A floodlit building, monument or fountain.
    Floodlit,
    /// No lamps.
    Unlit,
    /// Lamps of a known brightness.
    Lit(Ev),
}

impl Scene {
    const WORDS: [(&str, Self); 4] = [
        ("street", Self::Street),
        ("skyline", Self::Skyline),
        ("floodlit", Self::Floodlit),
        ("unlit", Self::Unlit),
    ];

    /// From `street`, `skyline`, `floodlit` or `unlit`.
    ///
    /// # Errors
    /// Any other word: names `scene`.
    pub fn from_word(word: &str) -> Result<Self> {
        chosen("scene", word, &Self::WORDS)
    }

    /// A scene whose lamps alone were read at this EV, ISO 100.
    ///
    /// # Errors
    /// Outside −12 to 16, or no number: names `floorEv`.
    pub fn lit(floor_ev: f64) -> Result<Self> {
        FLOOR_EV.check(floor_ev).map(|ev| Self::Lit(Ev::at_iso_100(ev)))
    }

    /// Whether there are lamps that the sky can balance.
    pub const fn has_lamps(self) -> bool {
        !matches!(self, Self::Unlit)
    }

    /// What is usual for the offset of every intent, the shape, and this scene's floor.
    pub(crate) fn usual(self) -> Belief {
        let mut usual = Belief::independent(Normal::new(0.0, 0.0), SHAPE, self.floor());
        for one in Intent::ALL {
            usual.mean[one as usize] = one.offset().mean;
            for other in Intent::ALL {
                usual.covariance[one as usize][other as usize] = one.covariance(other);
            }
        }
        usual
    }

    /// The brightness of the lamps alone, EV at ISO 100; where there are none, of what else the night has.
    pub const fn floor(self) -> Normal {
        match self {
            Self::Street => Normal::new(5.0, 1.5),
            Self::Skyline => Normal::new(3.0, 1.2),
            Self::Floodlit => Normal::new(4.0, 1.2),
            Self::Unlit => Normal::new(-6.0, 2.0),
            Self::Lit(floor) => Normal::new(floor.value(), 0.5),
        }
    }
}

/// What the exposure is to hold, and so what a reading was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Intent {
    /// The sky in the frame, at mid-tone.
    Sky,
    /// The whole frame, averaged.
    Frame,
    /// The dark parts, with detail.
    Shadows,
    /// The brightest parts, not quite clipped.
    Highlights,
}

impl Intent {
    /// In the order of their places among the unknowns.
    pub(crate) const ALL: [Self; 4] = [Self::Sky, Self::Frame, Self::Shadows, Self::Highlights];

    const WORDS: [(&str, Self); 4] = [
        ("sky", Self::Sky),
        ("frame", Self::Frame),
        ("shadows", Self::Shadows),
        ("highlights", Self::Highlights),
    ];

    /// From `sky`, `frame`, `shadows` or `highlights`.
    ///
    /// # Errors
    /// Any other word: names `intent`.
    pub fn from_word(word: &str) -> Result<Self> {
        chosen("intent", word, &Self::WORDS)
    }

    /// How far an exposure for this lies from one for the mean of the low sky, stops.
    pub const fn offset(self) -> Normal {
        match self {
            Self::Sky => Normal::new(-0.3, 0.8),
            Self::Frame => Normal::new(-2.5, 2.0),
            Self::Shadows => Normal::new(-3.5, 2.0),
            Self::Highlights => Normal::new(-1.3, 1.1),
        }
    }

    /// How two intents' offsets stray together, stops².
    ///
    /// All share the evening's own sky, whose spread the sky's offset has; what the frame holds besides is
    /// taken to be independent.
    fn covariance(self, other: Self) -> f64 {
        if self == other { self.offset().sd.powi(2) } else { Self::Sky.offset().sd.powi(2) }
    }
}

/// The choice that goes by a word.
fn chosen<T: Copy>(field: &'static str, word: &str, among: &[(&str, T)]) -> Result<T> {
    among.iter().find(|(known, _)| *known == word).map(|&(_, choice)| choice).ok_or_else(|| {
        let known: Vec<&str> = among.iter().map(|&(known, _)| known).collect();
        Error::unknown(field, word, &known)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_read_and_any_other_refused_with_the_choices() {
        assert_eq!(Cloud::from_word("average"), Ok(Cloud::Average));
        assert_eq!(Scene::from_word("unlit"), Ok(Scene::Unlit));
        assert_eq!(Intent::from_word("highlights"), Ok(Intent::Highlights));
        let refused = Cloud::from_word("Clear").unwrap_err();
        assert_eq!(
            refused.to_string(),
            "cloud: \"Clear\" is not known here; use one of clear, thin, average, dark"
        );
        assert_eq!(Scene::lit(f64::NAN).unwrap_err().field(), "floorEv");
    }

    #[test]
    fn each_floor_covers_the_published_rows_within_two_deviations() {
        // ANSI PH2.7 as quoted in encyclopaedia copies; the unlit rows are its quarter and full moon.
        for (scene, least, most) in [
            (Scene::Street, 5.0, 8.0),
            (Scene::Skyline, 2.0, 5.0),
            (Scene::Floodlit, 3.0, 5.0),
            (Scene::Unlit, -6.0, -2.0),
        ] {
            let Normal { mean, sd } = scene.floor();
            assert!(mean - 2.0 * sd <= least && most <= mean + 2.0 * sd, "{scene:?}");
        }
    }
}
