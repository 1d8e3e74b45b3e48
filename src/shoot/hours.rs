//! The hours that photographers name after colours.

use crate::decimal::written;
use crate::error::{Bounds, Error, Result};
use crate::units::Angle;

/// Altitudes of the sun between which the golden hour may be set.
pub const GOLDEN: Bounds = Bounds::new("goldenDeg", -18.0, 30.0, "°");
/// Altitudes of the sun between which the blue hour may be set.
pub const BLUE: Bounds = Bounds { field: "blueDeg", ..GOLDEN };

/// Altitudes of the sun's centre, the higher one first, between which each hour lies.
///
/// No authority defines either. Golden from 6° to −4° and blue from −4° to −6° are common practice; others let the
/// blue hour run to −8°.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hours {
    golden: [Angle; 2],
    blue: [Angle; 2],
}

impl Default for Hours {
    fn default() -> Self {
        let [golden, blue] = Self::USUAL_DEG.map(|pair| pair.map(Angle::from_degrees));
        Self { golden, blue }
    }
}

impl Hours {
    /// The golden and the blue hour by common practice, degrees, the higher altitude of each first.
    pub const USUAL_DEG: [[f64; 2]; 2] = [[6.0, -4.0], [-4.0, -6.0]];

    /// From degrees, the higher altitude of each pair first.
    ///
    /// # Errors
    /// Outside −18° to 30°, no number, or a pair that does not fall: names `goldenDeg` or `blueDeg`.
    pub fn new(golden_deg: [f64; 2], blue_deg: [f64; 2]) -> Result<Self> {
        Ok(Self { golden: falling(golden_deg, GOLDEN)?, blue: falling(blue_deg, BLUE)? })
    }

    /// The golden hour's limits, the higher one first.
    pub const fn golden(&self) -> [Angle; 2] {
        self.golden
    }

    /// The blue hour's limits, the higher one first.
    pub const fn blue(&self) -> [Angle; 2] {
        self.blue
    }
}

fn falling([high, low]: [f64; 2], bounds: Bounds) -> Result<[Angle; 2]> {
    let pair = [bounds.check(high)?, bounds.check(low)?];
    if high > low {
        return Ok(pair.map(Angle::from_degrees));
    }
    Err(Error::conflict(
        bounds.field,
        format!("{}° is not above {}°; the higher altitude comes first", written(high), written(low)),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_hour_goes_down_within_its_range() {
        assert_eq!(Hours::new([6.0, -4.0], [-4.0, -6.0]), Ok(Hours::default()));
        assert_eq!(Hours::new([-4.0, 6.0], [-4.0, -6.0]).unwrap_err().field(), "goldenDeg");
        assert_eq!(Hours::new([6.0, -4.0], [-4.0, -4.0]).unwrap_err().code(), "conflict");
        assert_eq!(
            Hours::new([6.0, -4.0], [-4.0, -60.0]).unwrap_err().to_string(),
            "blueDeg: -60 is outside -18° to 30°"
        );
    }
}
