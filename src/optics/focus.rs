//! What is sharp, where to focus, and how far to stop down for it.
//!
//! *What it models:* a point that is out of focus is drawn as a circle, the cone of light from the stop cut by the
//! picture; sharp is what is drawn no larger than the circle of confusion c. *Formula:* hyperfocal H = f²/(N c) + f;
//! focused at s, near = s (H − f) / (H + s − 2f) and far = s (H − f) / (H − s), without end from s = H on. For a scene from n
//! to F the focus is 2 n F / (n + F) and the least stop N = f² (F − n) / {c [F (n − f) + n (F − f)]}; to the sky, 2 n and
//! f² / {c (2n − f)}. *Source:* encyclopaedia articles "Depth of field" and "Hyperfocal distance"; the last two follow from
//! them (computed). Many texts drop the f beside H, 0.5 % at 50 mm and f/8; nothing is dropped here.
//! *Range:* anything beyond the focal length. *Expected error:* of the formula none for a thin lens; the convention for c
//! is worth a stop, and scales on lenses are coarser. *Not modelled:* diffraction (under [`diffraction`](super::diffraction)),
//! aberrations, curved fields, and the pupil magnification of real lenses, which matters only close up.
//!
//! The rule of thumb "a third of the way in" ([`Scene::third`], common practice, no source) is exact only where the
//! far end is twice as far off as the near one. In shallower scenes the middle is nearer the truth; in deeper ones the rule
//! focuses too far off and the near end softens; to the sky there is no third.

use super::circle::CIRCLE;
use super::f_number::FNumber;
use super::lens::FOCAL;
use super::thin_lens::{before, image_distance};
use crate::decimal::written;
use crate::error::{Error, Result};
use crate::units::Length;

/// Two computations of one distance differ by less than this share.
const SAME: f64 = 1e-12;

/// A focal length, and the circle that passes for a point behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Criterion {
    focal_mm: f64,
    circle_mm: f64,
}

/// What is sharp at one focus and stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Depth {
    /// The nearest point that is.
    pub near: Length,
    /// The farthest, or `None` where it is sharp all the way to the sky.
    pub far: Option<Length>,
    /// The nearest focus at which it is sharp to the sky.
    pub hyperfocal: Length,
}

impl Criterion {
    /// From millimetres.
    ///
    /// # Errors
    /// Names `focalMm` or `cocMm`.
    pub fn new(focal_mm: f64, circle_mm: f64) -> Result<Self> {
        Ok(Self { focal_mm: FOCAL.check(focal_mm)?, circle_mm: CIRCLE.check(circle_mm)? })
    }

    /// The focal length.
    pub const fn focal(self) -> Length {
        Length::from_millimetres(self.focal_mm)
    }

    /// What is sharp, focused at a distance, metres.
    ///
    /// # Errors
    /// A focus out of range or within the focal length: names `focusM`.
    ///
    /// ```
    /// use duskbook::optics::{f_number::FNumber, focus::Criterion};
    /// let depth = Criterion::new(50.0, 0.03).unwrap().depth(FNumber::new(8.0).unwrap(), 5.0).unwrap();
    /// assert!((depth.near.metres() - 3.389).abs() < 0.0005);
    /// assert!((depth.far.unwrap().metres() - 9.527).abs() < 0.0005);
    /// ```
    pub fn depth(self, n: FNumber, focus_m: f64) -> Result<Depth> {
        let s = before(self.focal(), "focusM", focus_m)?.millimetres();
        let f = self.focal_mm;
        // H − f
        let h = f * f / (n.value() * self.circle_mm);
        let beyond = s - f;
        let far = (beyond < h * (1.0 - SAME)).then(|| Length::from_millimetres(s * h / (h - beyond)));
        Ok(Depth {
            near: Length::from_millimetres(s * h / (h + beyond)),
            far,
            hyperfocal: Length::from_millimetres(h + f),
        })
    }

    /// A scene that is to be sharp from one distance to another, metres; without a far end, to the sky.
    ///
    /// # Errors
    /// A distance out of range or within the focal length names `nearM` or `farM`; a far end before the near one
    /// names `farM`.
    pub fn scene(self, near_m: f64, far_m: Option<f64>) -> Result<Scene> {
        let near = before(self.focal(), "nearM", near_m)?;
        let far = far_m.map(|far| before(self.focal(), "farM", far)).transpose()?;
        if far.is_some_and(|far| far < near) {
            let (near, far) = (written(near_m), written(far_m.unwrap_or_default()));
            return Err(Error::conflict("farM", format!("{far} m is nearer than the near end, {near} m")));
        }
        Ok(Scene { criterion: self, near, far })
    }
}

/// What is to be sharp together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scene {
    criterion: Criterion,
    near: Length,
    far: Option<Length>,
}

impl Scene {
    /// One over the ends, per millimetre; the sky is at 0.
    fn nearness(self) -> [f64; 2] {
        [1.0 / self.near.millimetres(), self.far.map_or(0.0, |far| 1.0 / far.millimetres())]
    }

    /// Where to focus: near and far end are then equally sharp at every stop.
    ///
    /// ```
    /// use duskbook::optics::focus::Criterion;
    /// let scene = Criterion::new(35.0, 0.03).unwrap().scene(2.0, Some(20.0)).unwrap();
    /// assert!((scene.focus().metres() - 3.636).abs() < 0.0005); // 2·2·20 / 22
    /// assert!((scene.least() - 9.28).abs() < 0.005);
    /// ```
    pub fn focus(self) -> Length {
        let [near, far] = self.nearness();
        Length::from_millimetres(2.0 / (near + far))
    }

    /// The least f-number that holds both ends, focused at [`Self::focus`]: 0 where near and far are one, and
    /// wherever it comes out wider than any lens, every stop will do.
    pub fn least(self) -> f64 {
        let Criterion { focal_mm: f, circle_mm } = self.criterion;
        let [near, far] = self.nearness();
        f * f * (near - far) / (circle_mm * (2.0 - f * (near + far)))
    }

    /// The same, focused elsewhere; the better focus needs the least.
    pub fn least_focused_at(self, focus: Length) -> f64 {
        let Criterion { focal_mm: f, circle_mm } = self.criterion;
        let [near, far] = self.nearness();
        let at = 1.0 / focus.millimetres();
        f * f * (near - at).max(at - far) / (circle_mm * (1.0 - f * at))
    }

    /// A third of the way from near to far, or nowhere when the far end is the sky.
    pub fn third(self) -> Option<Length> {
        let near = self.near.metres();
        self.far.map(|far| Length::from_metres(near + (far.metres() - near) / 3.0))
    }

    /// How far apart, behind the lens, near and far end come to their focus.
    pub fn spread(self) -> Length {
        let focal = self.criterion.focal();
        image_distance(focal, self.near) - self.far.map_or(focal, |far| image_distance(focal, far))
    }
}
