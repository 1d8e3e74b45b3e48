//! One line of the run sheet.

use crate::exposure::settings::Held;
use crate::light::forecast::Estimate;
use crate::sky::sun::SunPosition;
use crate::units::Instant;

/// What a row tells the photographer.
///
/// The hours called golden and blue have no authority; their limits are settings (common practice).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Leave by now.
    SetOut,
    /// Be at the spot by now.
    BeThere,
    /// The sun's upper edge goes behind the skyline, or clears it.
    Skyline,
    /// In between, it shows again in the evening, or is hidden again in the morning.
    Gap,
    /// The sun's upper edge leaves a level sea horizon.
    Sunset,
    /// The sun's upper edge reaches a level sea horizon.
    Sunrise,
    /// The golden hour begins.
    GoldenStart,
    /// The golden hour ends.
    GoldenEnd,
    /// The blue hour begins.
    BlueStart,
    /// The blue hour ends.
    BlueEnd,
    /// The sun's centre passes −6°.
    Civil,
    /// The sun's centre passes −12°.
    Nautical,
    /// The sun's centre passes −18°.
    Astronomical,
    /// Sky and lamps are in balance, from this moment for a while.
    Balance,
    /// The light has changed by a step: dial this.
    Dial,
    /// The sky gives its last third of a stop.
    LightEnds,
    /// The sky gives its first third of a stop.
    LightBegins,
    /// The sun at its lowest, where the light does not end before, or where none ever comes.
    LowestLight,
}

impl Kind {
    /// Its word at the boundary.
    pub const fn word(self) -> &'static str {
        match self {
            Self::SetOut => "set-out",
            Self::BeThere => "be-there",
            Self::Skyline => "skyline",
            Self::Gap => "gap",
            Self::Sunset => "sunset",
            Self::Sunrise => "sunrise",
            Self::GoldenStart => "golden-start",
            Self::GoldenEnd => "golden-end",
            Self::BlueStart => "blue-start",
            Self::BlueEnd => "blue-end",
            Self::Civil => "civil",
            Self::Nautical => "nautical",
            Self::Astronomical => "astronomical",
            Self::Balance => "balance",
            Self::Dial => "dial",
            Self::LightEnds => "light-ends",
            Self::LightBegins => "light-begins",
            Self::LowestLight => "lowest-light",
        }
    }
}

/// What happens at a moment, how bright it is then, and what to dial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// What happens.
    pub kind: Kind,
    /// When, or when it begins.
    pub at: Instant,
    /// When it ends, for what lasts.
    pub end: Option<Instant>,
    /// Where the sun stands.
    pub sun: SunPosition,
    /// How bright the scene is.
    pub light: Estimate,
    /// What to dial; none before the arrival.
    pub setting: Option<Held>,
}
