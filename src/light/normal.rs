//! A value and how far it may be off.

/// A value with its standard deviation, taken as normally distributed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Normal {
    /// The middle.
    pub mean: f64,
    /// The standard deviation, positive.
    pub sd: f64,
}

impl Normal {
    /// Standard deviations either side of the mean that hold 80 %.
    const EIGHTY_PERCENT: f64 = 1.281_551_565_545;

    /// From the middle and the standard deviation.
    pub const fn new(mean: f64, sd: f64) -> Self {
        Self { mean, sd }
    }

    /// Half the width of the middle 80 %.
    ///
    /// ```
    /// use duskbook::light::normal::Normal;
    /// assert!((Normal::new(3.0, 2.0).half_band() - 2.563).abs() < 0.001);
    /// ```
    pub const fn half_band(self) -> f64 {
        Self::EIGHTY_PERCENT * self.sd
    }
}
