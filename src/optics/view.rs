//! How much a lens sees.
//!
//! *What it models:* a rectilinear lens: the picture's edges seen from the centre of the lens, the picture v = f (1 + m)
//! behind it. *Formula:* angle = 2 atan(d / 2v) for a side or diagonal d; across, at the distance u, d · u / v. Focused on
//! that same distance this is d (u − f) / f; focused far, d u / f, which is d more: at 100 m, 24 mm on 36 mm covers
//! 149.96 m by the first and 150.00 m by the second. *Source:* encyclopaedia article "Angle of view"; the magnification as in
//! [`thin_lens`](super::thin_lens). *Range:* all focal lengths; engraved ones are within some per cent of the true ones.
//! *Not modelled:* distortion, fisheye projections, focus breathing.

use super::lens::{FOCAL, Lens};
use super::thin_lens::{DISTANCE, before, image_distance};
use crate::error::{Bounds, Result};
use crate::units::{Angle, Length};

/// How far a panorama turns.
pub const SWEEP: Bounds = Bounds::new("sweepDeg", 1.0, 360.0, "°");
/// How high a panorama of several rows reaches, from its lowest edge.
pub const RISE: Bounds = Bounds::new("riseDeg", 1.0, 180.0, "°");
/// What neighbouring frames share, of a frame's angle.
pub const OVERLAP: Bounds = Bounds::new("overlap", 0.0, 0.9, "");
/// One side of a subject.
pub const SUBJECT: Bounds = Bounds::new("subjectM", 0.001, 1_000_000.0, " m");

/// What a lens sees, focused somewhere.
///
/// ```
/// use duskbook::optics::{format::Format, lens::Lens, view::View};
/// let view = View::far(Lens::new(50.0, Format::new(36.0, 24.0).unwrap()).unwrap());
/// assert!((view.horizontal().degrees() - 39.6).abs() < 0.05);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    lens: Lens,
    image: Length,
}

impl View {
    /// Focused far away: the angles that lenses are sold by.
    pub const fn far(lens: Lens) -> Self {
        Self { lens, image: lens.focal() }
    }

    /// Focused at a distance, metres.
    ///
    /// # Errors
    /// A distance out of range or within the focal length: names `field`.
    pub fn focused(lens: Lens, field: &'static str, metres: f64) -> Result<Self> {
        let at = before(lens.focal(), field, metres)?;
        Ok(Self { lens, image: image_distance(lens.focal(), at) })
    }

    /// Left to right.
    pub fn horizontal(self) -> Angle {
        self.angle(self.lens.format().width())
    }

    /// Bottom to top.
    pub fn vertical(self) -> Angle {
        self.angle(self.lens.format().height())
    }

    /// Corner to corner.
    pub fn diagonal(self) -> Angle {
        self.angle(self.lens.format().diagonal())
    }

    fn angle(self, side: Length) -> Angle {
        Angle::from_radians(2.0 * (side.metres() / (2.0 * self.image.metres())).atan())
    }

    /// Width and height of what fits into the picture at a distance.
    pub fn covers(self, distance: Length) -> [Length; 2] {
        let times = distance.metres() / self.image.metres();
        let format = self.lens.format();
        [format.width(), format.height()].map(|side| Length::from_metres(side.metres() * times))
    }

    /// The frames of a panorama that turns through an angle and, if asked, rises through another.
    ///
    /// They are counted by angle, as they fall on a cylinder: each brings its own angle less what it shares. All the
    /// way round, the last shares with the first. Rows above the horizon see no narrower slices of the circle
    /// than the level one does where they meet it, so the count of the level row holds for them.
    ///
    /// # Errors
    /// Names `sweepDeg`, `riseDeg` or `overlap`.
    ///
    /// ```
    /// use duskbook::optics::{format::Format, lens::Lens, view::View};
    /// let upright = Lens::new(24.0, Format::new(24.0, 36.0).unwrap()).unwrap();
    /// let panorama = View::far(upright).panorama(180.0, None, 0.3).unwrap();
    /// // 53.13° wide, 37.19° of it new: 1 + (180 − 53.13) / 37.19 = 4.41
    /// assert_eq!((panorama.columns, panorama.rows), (5, 1));
    /// ```
    pub fn panorama(self, sweep_deg: f64, rise_deg: Option<f64>, overlap: f64) -> Result<Panorama> {
        let (sweep, overlap) = (SWEEP.check(sweep_deg)?, OVERLAP.check(overlap)?);
        let rise = RISE.optional(rise_deg)?;
        let (wide, high) = (self.horizontal().degrees(), self.vertical().degrees());
        let (step, row_step) = (wide * (1.0 - overlap), high * (1.0 - overlap));
        let columns = if sweep >= 360.0 { frames(sweep, step, step) } else { frames(sweep, wide, step) };
        Ok(Panorama {
            columns,
            rows: rise.map_or(1, |rise| frames(rise, high, row_step)),
            step: Angle::from_degrees(step),
            row_step: Angle::from_degrees(row_step),
        })
    }
}

/// One frame, and as many more as what it does not hold needs; a rounding error asks for none.
fn frames(whole: f64, first: f64, more: f64) -> u32 {
    1 + ((whole - first) / more - 1e-9).ceil().max(0.0) as u32
}

/// How to turn for a panorama.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Panorama {
    /// Frames side by side.
    pub columns: u32,
    /// Rows of them.
    pub rows: u32,
    /// From one frame to the next.
    pub step: Angle,
    /// From one row to the next.
    pub row_step: Angle,
}

/// The longest focal length that holds a subject of this width and height, focused on it: the least of d u / (w + d)
/// over both sides; kept within what lenses there can be.
///
/// # Errors
/// A distance out of range names `distanceM`, a side `subjectM`.
pub fn fitting_focal(lens: Lens, distance_m: f64, subject_m: [f64; 2]) -> Result<Length> {
    let u = DISTANCE.check(distance_m)?;
    let format = lens.format();
    let mut longest = FOCAL.most;
    for (side, subject) in [format.width(), format.height()].into_iter().zip(subject_m) {
        let fits = side.millimetres() * u / (SUBJECT.check(subject)? + side.metres());
        longest = longest.min(fits);
    }
    Ok(Length::from_millimetres(longest))
}
