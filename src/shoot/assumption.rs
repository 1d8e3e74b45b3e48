//! What a run sheet takes for granted.

/// Something taken for granted, to be said beside the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Assumption {
    /// The skyline has one altitude all round.
    FlatSkyline,
    /// The skyline is as it was surveyed.
    SurveyedSkyline,
    /// A standard atmosphere bends the light.
    StandardAir,
    /// The cloud stays as it was chosen.
    SteadyCloud,
    /// Moonlight is spread evenly over the sky, and neither ends the useful light nor moves the balance.
    EvenMoonlight,
    /// The limits of the golden and the blue hour have no authority.
    HoursByPractice,
    /// Nothing was metered yet, now or on an evening before.
    NoReadings,
    /// How bright the lamps are was guessed from the kind of scene.
    LampsGuessed,
    /// The sky never adds a third of a stop to the lamps, so that no hour is better than another.
    LampsOnly,
}

impl Assumption {
    /// Its word at the boundary.
    pub const fn word(self) -> &'static str {
        match self {
            Self::FlatSkyline => "flat-skyline",
            Self::SurveyedSkyline => "surveyed-skyline",
            Self::StandardAir => "standard-air",
            Self::SteadyCloud => "steady-cloud",
            Self::EvenMoonlight => "even-moonlight",
            Self::HoursByPractice => "hours-by-practice",
            Self::NoReadings => "no-readings",
            Self::LampsGuessed => "lamps-guessed",
            Self::LampsOnly => "lamps-only",
        }
    }
}
