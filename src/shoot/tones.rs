//! The tones of a decoded picture: how many pixels of each, what has clipped, where the middle sits.
//!
//! A picture comes as the browser decodes it: four bytes a pixel, sRGB-encoded, the fourth (opacity) left out of
//! account. Counted are the encoded values of red, green and blue; of the brightest of the three; and of the
//! luminance. Luminance is the linear one, Y = 0.2126 R + 0.7152 G + 0.0722 B of the linear channels (ITU-R BT.709,
//! IEC 61966-2-1), encoded again so that its 256 bins stand beside the others'. It is summed in whole 65534ths,
//! each channel's part rounded: at most 1.5 of them off, where the darkest bin is 10 wide.
//!
//! Clipped high is a pixel with any channel at 255, clipped low one with all three at 0. Stops are counted from
//! middle grey, 18 % of the white. A shift of so many stops multiplies the linear values.
//!
//! # Limits
//! An embedded or developed picture is not the raw file: its tone curve is the camera's own, so stops far from the
//! middle are compressed, and a raw file often holds half a stop to a stop and a half above its white (common practice,
//! no source). Linear here means by the sRGB curve alone.

use crate::error::{Error, Result};
use crate::math::power;

/// The bins of a histogram: one for each encoded value.
pub type Bins = [u32; 256];

/// How many pixels there are of each tone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Histogram {
    /// Encoded red, green and blue.
    pub channels: [Bins; 3],
    /// Linear luminance, encoded again.
    pub luminance: Bins,
    /// The highest of a pixel's three channels.
    pub brightest: Bins,
}

/// Middle grey as a share of the white, linear.
pub const MIDDLE_GREY: f64 = 0.18;

/// The luminance of white in whole numbers; a channel's part rounded up three times stays below 65536.
const WHITE: f64 = 65_534.0;

/// Parts of red, green and blue in the luminance (ITU-R BT.709).
const PARTS: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// A share of the white from an encoded value of 0 to 255, by the curve of sRGB (IEC 61966-2-1).
///
/// ```
/// use duskbook::shoot::tones::linear;
/// assert_eq!(linear(255.0), 1.0);
/// assert!((linear(118.0) - 0.181).abs() < 0.001); // middle grey
/// ```
pub fn linear(encoded: f64) -> f64 {
    let share = encoded / 255.0;
    if share <= 0.04045 { share / 12.92 } else { power((share + 0.055) / 1.055, 2.4) }
}

impl Histogram {
    /// Counts the pixels of a picture or of a strip of it, four bytes each.
    ///
    /// # Errors
    /// Bytes that are not `width` times `height` pixels: names `pixels`.
    ///
    /// ```
    /// use duskbook::shoot::tones::Histogram;
    /// let histogram = Histogram::count(&[255, 0, 0, 255, 0, 0, 0, 255], 2.0, 1.0).unwrap();
    /// assert_eq!((histogram.channels[0][255], histogram.brightest[0]), (1, 1));
    /// assert_eq!(histogram.luminance[127], 1); // red alone: 21 % of the white, encoded 127
    /// ```
    pub fn count(pixels: &[u8], width: f64, height: f64) -> Result<Self> {
        if 4.0 * width * height != pixels.len() as f64 {
            return Err(Error::conflict("pixels", "needs four bytes for each pixel of width times height"));
        }
        let mut parts = [[0_u32; 256]; 3];
        for (part, weight) in parts.iter_mut().zip(PARTS) {
            for (value, entry) in part.iter_mut().enumerate() {
                *entry = (weight * linear(value as f64) * WHITE).round() as u32;
            }
        }
        let encoded = encoded_again();
        // Neighbours are often equal, and a bin cannot be counted up again before it is written: two sets, by turns.
        let (mut total, mut other) = (Self::EMPTY, Self::EMPTY);
        let mut rest = pixels;
        while let [red, green, blue, _, red2, green2, blue2, _, after @ ..] = rest {
            total.take([*red, *green, *blue], &parts, &encoded);
            other.take([*red2, *green2, *blue2], &parts, &encoded);
            rest = after;
        }
        if let [red, green, blue, _] = rest {
            total.take([*red, *green, *blue], &parts, &encoded);
        }
        total.add(&other);
        Ok(total)
    }

    const EMPTY: Self = Self { channels: [[0; 256]; 3], luminance: [0; 256], brightest: [0; 256] };

    /// Counts one pixel; the loop around it is what a large picture waits for.
    #[inline(always)]
    #[expect(clippy::inline_always, reason = "optimised for size, it would be called 24 million times")]
    fn take(&mut self, [red, green, blue]: [u8; 3], parts: &[[u32; 256]; 3], encoded: &[u8]) {
        let brightest = red.max(green).max(blue);
        let [red, green, blue] = [red as usize, green as usize, blue as usize];
        let luminance = parts[0][red] + parts[1][green] + parts[2][blue];
        self.channels[0][red] += 1;
        self.channels[1][green] += 1;
        self.channels[2][blue] += 1;
        self.luminance[encoded.get(luminance as usize).map_or(255, |value| *value as usize)] += 1;
        self.brightest[brightest as usize] += 1;
    }

    fn add(&mut self, other: &Self) {
        let own = self.channels.iter_mut().chain([&mut self.luminance, &mut self.brightest]);
        let theirs = other.channels.iter().chain([&other.luminance, &other.brightest]);
        for (own, theirs) in own.flatten().zip(theirs.flatten()) {
            *own += theirs;
        }
    }
}

/// The encoded value of each luminance.
fn encoded_again() -> Vec<u8> {
    let mut encoded = vec![u8::MAX; 65_536];
    let mut from = 0;
    for value in 0..u8::MAX {
        let to = (linear(f64::from(value) + 0.5) * WHITE).ceil() as usize;
        if let Some(bin) = encoded.get_mut(from..to) {
            bin.fill(value);
        }
        from = to;
    }
    encoded
}

/// Counts of one kind of tone, over however many pictures or strips.
#[derive(Debug, Clone, PartialEq)]
pub struct Counts {
    bins: Vec<f64>,
    total: f64,
}

/// How far above the dark of the first bin its black is taken to be: half its width.
const BLACK: f64 = 0.5;

impl Counts {
    /// From the counts of the 256 bins.
    ///
    /// # Errors
    /// Not 256 counts, none above zero, or one that cannot be a count: names the field.
    pub fn new(field: &'static str, bins: Vec<f64>) -> Result<Self> {
        let total: f64 = bins.iter().sum();
        let are_counts = bins.len() == 256 && bins.iter().all(|count| *count >= 0.0);
        if are_counts && total > 0.0 && total.is_finite() {
            Ok(Self { bins, total })
        } else {
            Err(Error::malformed(field, "these counts", "256 counts, of one pixel at least"))
        }
    }

    /// The pixels counted.
    pub const fn total(&self) -> f64 {
        self.total
    }

    /// The share of pixels at or above an encoded value.
    pub fn share_from(&self, encoded: usize) -> f64 {
        self.bins.iter().skip(encoded).sum::<f64>() / self.total
    }

    /// The encoded value that so large a share of the pixels reaches at most.
    fn quantile(&self, share: f64) -> f64 {
        let mut below = 0.0;
        let reached = self.bins.iter().position(|count| {
            below += count;
            below >= share * self.total
        });
        reached.unwrap_or(255) as f64
    }

    /// The same in stops from middle grey; black counts as half a bin.
    pub fn quantile_stops(&self, share: f64) -> f64 {
        stops_from_grey(linear(self.quantile(share).max(BLACK)))
    }

    /// The mean of the linear values, a share of the white; black counts as half a bin.
    pub fn mean(&self) -> f64 {
        let weighed =
            self.bins.iter().enumerate().map(|(value, count)| count * linear((value as f64).max(BLACK)));
        weighed.sum::<f64>() / self.total
    }

    /// The share of pixels that so many stops more bring to the end of the scale.
    pub fn clipped_by(&self, stops: f64) -> f64 {
        self.share_from(first_above(linear(254.5) / stops.exp2()))
    }
}

/// The first encoded value whose share of the white is this or more; 255 when none is.
fn first_above(share: f64) -> usize {
    (0..255).find(|value| linear(f64::from(*value)) >= share).map_or(255, |value| value as usize)
}

/// Where so many stops from middle grey stand among the encoded values: 118 for none.
///
/// ```
/// assert_eq!([-2.0, 0.0, 2.0].map(duskbook::shoot::tones::encoded_at), [60, 118, 221]);
/// ```
pub fn encoded_at(stops: f64) -> usize {
    first_above(MIDDLE_GREY * stops.exp2())
}

/// Stops from middle grey of a share of the white.
pub fn stops_from_grey(share: f64) -> f64 {
    (share / MIDDLE_GREY).log2()
}

/// What the next frame may do better; limits are common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Advice {
    /// There is room above: expose further to the right.
    ExposeRight,
    /// A few pixels have clipped, as lamps may.
    Lamps,
    /// Highlights are gone: less exposure.
    ExposeLess,
    /// Both ends are gone: one frame does not hold this, bracket.
    Bracket,
    /// Shadows are black.
    ShadowsBlack,
}

impl Advice {
    /// Its word for the page.
    pub const fn word(self) -> &'static str {
        match self {
            Self::ExposeRight => "expose-right",
            Self::Lamps => "lamps",
            Self::ExposeLess => "expose-less",
            Self::Bracket => "bracket",
            Self::ShadowsBlack => "shadows-black",
        }
    }
}

/// What the counts of a picture come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Tones {
    /// Share of pixels with all channels at 0.
    pub clipped_low: f64,
    /// Share of pixels with any channel at 255.
    pub clipped_high: f64,
    /// The same share after a third of a stop more.
    pub clipped_after_third: f64,
    /// Stops in thirds until one pixel in a thousand clips; 0 where it has, [`MOST_ROOM`] at most.
    pub room_stops: f64,
    /// The median luminance, stops from middle grey.
    pub mid_stops: f64,
    /// From the luminance that one pixel in a hundred stays below to the one that one in a hundred exceeds, stops.
    pub span_stops: f64,
    /// What to do.
    pub advice: Vec<Advice>,
}

/// Room is not looked for further up than this, stops.
pub const MOST_ROOM: f64 = 5.0;

/// Pixels that may clip as lamps do.
const FEW: f64 = 0.001;

/// Pixels whose loss is seen.
const MANY: f64 = 0.01;

impl Tones {
    /// From the counts of the luminance and of the brightest channel.
    pub fn of(luminance: &Counts, brightest: &Counts) -> Self {
        let clipped_high = brightest.share_from(255);
        let clipped_low = 1.0 - brightest.share_from(1);
        let steps = (1..=(MOST_ROOM * 3.0) as i32).map(|third| f64::from(third) / 3.0);
        let room_stops =
            steps.take_while(|stops| brightest.clipped_by(*stops) <= FEW).last().unwrap_or_default();
        let mut advice = Vec::new();
        match (clipped_high > MANY, clipped_low > MANY) {
            (true, true) => advice.push(Advice::Bracket),
            (true, false) => advice.push(Advice::ExposeLess),
            _ => {
                if clipped_high > 0.0 {
                    advice.push(Advice::Lamps);
                }
                if room_stops > 0.5 {
                    advice.push(Advice::ExposeRight);
                }
            }
        }
        if clipped_low > MANY {
            advice.push(Advice::ShadowsBlack);
        }
        Self {
            clipped_low,
            clipped_high,
            clipped_after_third: brightest.clipped_by(1.0 / 3.0),
            room_stops,
            mid_stops: luminance.quantile_stops(0.5),
            span_stops: luminance.quantile_stops(0.99) - luminance.quantile_stops(0.01),
            advice,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counts(at: &[(usize, f64)]) -> Counts {
        let mut bins = vec![0.0; 256];
        for (value, count) in at {
            bins[*value] = *count;
        }
        Counts::new("luminance", bins).unwrap()
    }

    #[test]
    fn a_grey_has_its_own_luminance() {
        for value in 0..=255_u8 {
            let histogram = Histogram::count(&[value, value, value, 0], 1.0, 1.0).unwrap();
            assert_eq!(histogram.luminance[usize::from(value)], 1, "{value}");
        }
    }

    #[test]
    fn strips_that_are_not_whole_are_refused() {
        assert_eq!(Histogram::count(&[0; 8], 3.0, 1.0).unwrap_err().field(), "pixels");
        assert!(Histogram::count(&[0; 8], f64::NAN, 1.0).is_err());
        assert!(Counts::new("luminance", vec![1.0; 255]).is_err());
        assert!(Counts::new("luminance", vec![0.0; 256]).is_err());
        assert!(Counts::new("luminance", vec![f64::NAN; 256]).is_err());
    }

    #[test]
    fn what_clips_and_what_a_third_would_clip() {
        // By hand: 230 encoded is 0.791 of the white, a third of a stop more is 0.997; 229 gives 0.987, below 254.5.
        let bright = counts(&[(0, 8.0), (118, 982.0), (230, 5.0), (229, 3.0), (255, 2.0)]);
        let tones = Tones::of(&bright, &bright);
        assert!((tones.clipped_high - 0.002).abs() < 1e-12 && (tones.clipped_low - 0.008).abs() < 1e-12);
        assert!((tones.clipped_after_third - 0.007).abs() < 1e-12, "{tones:?}");
        assert!(tones.mid_stops.abs() < 0.01 && tones.room_stops == 0.0, "{tones:?}");
        assert_eq!(tones.advice, [Advice::Lamps]);
    }

    #[test]
    fn room_is_found_in_thirds() {
        // A grey of 18 % is 2.47 stops below the white: seven thirds stay below, eight do not.
        let grey = counts(&[(118, 1000.0)]);
        let tones = Tones::of(&grey, &grey);
        assert!((tones.room_stops - 7.0 / 3.0).abs() < 1e-12, "{tones:?}");
        assert_eq!(tones.advice, [Advice::ExposeRight]);
        assert_eq!(
            Tones::of(&counts(&[(0, 1.0), (255, 1.0)]), &counts(&[(0, 1.0), (255, 1.0)])).advice,
            [Advice::Bracket, Advice::ShadowsBlack]
        );
    }
}
