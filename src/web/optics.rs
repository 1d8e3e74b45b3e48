//! The lens: its view, what is sharp, diffraction.

use wasm_bindgen::prelude::*;

use super::exposure::{aperture, in_order};
use super::value::{answer, question};

use crate::error::Result;
use crate::exposure::series::Aperture;
use crate::optics::circle::{CIRCLE, Sharpness};
use crate::optics::diffraction::{Blur, GREEN_NM, Wave, rays};
use crate::optics::f_number::FNumber;
use crate::optics::focus::Criterion;
use crate::optics::format::Format;
use crate::optics::lens::Lens;
use crate::optics::thin_lens::{DISTANCE, bellows_loss};
use crate::optics::view::{View, fitting_focal};
use crate::units::{Length, Stops};

/// A format from its sides in millimetres.
pub(super) fn format(field: &'static str, [width, height]: [f64; 2]) -> Result<Format> {
    Format::new(width, height).map_err(|refused| refused.in_field(field))
}

/// A lens on the format that a question names `formatMm`.
pub(super) fn lens(focal_mm: f64, format_mm: [f64; 2]) -> Result<Lens> {
    Lens::new(focal_mm, format("formatMm", format_mm)?)
}

question! {
    /// A lens on one format, to be matched on another.
    pub struct EquivalentLensQuestion {
        /// Its focal length, millimetres.
        pub focal_mm: f64,
        /// Width and height of the format it is on, millimetres.
        pub from_mm: [f64; 2],
        /// Width and height of the other.
        pub to_mm: [f64; 2],
        /// The f-number it is used at; may be missing.
        pub aperture: Option<f64>,
    }
}

answer! {
    /// What shows the same on the other format. The exposure does not change.
    pub struct EquivalentLensAnswer {
        /// The focal length there, compared by the diagonals, millimetres.
        pub focal_mm: f64,
        /// What the focal length is multiplied by: the other diagonal over this one.
        pub crop: f64,
        /// What the f-number is multiplied by for the same depth of field: the same.
        pub depth_factor: f64,
        /// The focal length that shows the same from left to right.
        pub by_width_mm: f64,
        /// The focal length that shows the same from bottom to top.
        pub by_height_mm: f64,
        /// Whether the shapes differ by more than a hundredth, so that these three are not one.
        pub other_shape: bool,
        /// The f-number for the same depth of field; null when none was given.
        pub aperture: Option<f64>,
    }
}

/// The lens that shows the same on another format.
///
/// # Errors
/// A number out of range names its field.
pub fn equivalent_lens(q: &EquivalentLensQuestion) -> Result<EquivalentLensAnswer> {
    let lens = Lens::new(q.focal_mm, format("fromMm", q.from_mm)?)?;
    let crop = format("toMm", q.to_mm)?.against(lens.format());
    let n = q.aperture.map(FNumber::new).transpose()?;
    Ok(EquivalentLensAnswer {
        focal_mm: q.focal_mm * crop.diagonal,
        crop: crop.diagonal,
        depth_factor: crop.diagonal,
        by_width_mm: q.focal_mm * crop.width,
        by_height_mm: q.focal_mm * crop.height,
        other_shape: crop.is_another_shape(),
        aperture: n.map(|n| n.value() * crop.diagonal),
    })
}

question! {
    /// A lens, and how far off something is.
    pub struct ViewQuestion {
        /// The focal length, millimetres.
        pub focal_mm: f64,
        /// Width and height of the picture, as the camera is held, millimetres.
        pub format_mm: [f64; 2],
        /// How far off, metres.
        pub distance_m: f64,
        /// Where it is focused, metres. When missing, angles are those of a lens focused far away, and width and height
        /// those of what is in focus at the distance.
        pub focus_m: Option<f64>,
        /// Width and height of a subject at the distance, metres.
        pub subject_m: Option<[f64; 2]>,
        /// How far a panorama turns, degrees, to 360.
        pub sweep_deg: Option<f64>,
        /// How high it reaches, degrees, to 180; one row when missing.
        pub rise_deg: Option<f64>,
        /// What its frames share, of a frame's angle, 0 to 0.9; 0.3 when missing.
        pub overlap: Option<f64>,
    }
}

answer! {
    /// What it sees.
    pub struct ViewAnswer {
        /// Left to right, degrees.
        pub horizontal_deg: f64,
        /// Bottom to top.
        pub vertical_deg: f64,
        /// Corner to corner.
        pub diagonal_deg: f64,
        /// What fits from left to right at the distance, metres: W (u − f) / f unless `focusM` says otherwise.
        pub width_m: f64,
        /// And from bottom to top.
        pub height_m: f64,
        /// The share of the picture's width and height that the subject takes; more than 1 does not fit.
        pub subject_shares: Option<[f64; 2]>,
        /// The longest focal length that holds the subject.
        pub fitting_focal_mm: Option<f64>,
        /// The frames of the panorama.
        pub panorama: Option<PanoramaAnswer>,
    }
}

answer! {
    /// How to turn for a panorama, counted by angle on a cylinder.
    pub struct PanoramaAnswer {
        /// Frames side by side.
        pub columns: u32,
        /// Rows of them.
        pub rows: u32,
        /// From one frame to the next, degrees.
        pub step_deg: f64,
        /// From one row to the next.
        pub row_step_deg: f64,
    }
}

/// What a lens sees.
///
/// # Errors
/// A number out of range, or a distance within the focal length, names its field.
pub fn view(q: &ViewQuestion) -> Result<ViewAnswer> {
    let lens = lens(q.focal_mm, q.format_mm)?;
    let distance = Length::from_metres(DISTANCE.check(q.distance_m)?);
    let focused = q.focus_m.map(|focus| View::focused(lens, "focusM", focus)).transpose()?;
    let (angles, across) = match focused {
        Some(view) => (view, view),
        None => (View::far(lens), View::focused(lens, "distanceM", q.distance_m)?),
    };
    let covers = across.covers(distance).map(Length::metres);
    let panorama =
        q.sweep_deg.map(|sweep| angles.panorama(sweep, q.rise_deg, q.overlap.unwrap_or(0.3))).transpose()?;
    let fitting = q.subject_m.map(|subject| fitting_focal(lens, q.distance_m, subject)).transpose()?;
    Ok(ViewAnswer {
        horizontal_deg: angles.horizontal().degrees(),
        vertical_deg: angles.vertical().degrees(),
        diagonal_deg: angles.diagonal().degrees(),
        width_m: covers[0],
        height_m: covers[1],
        subject_shares: q.subject_m.map(|[width, height]| [width / covers[0], height / covers[1]]),
        fitting_focal_mm: fitting.map(Length::millimetres),
        panorama: panorama.map(|panorama| PanoramaAnswer {
            columns: panorama.columns,
            rows: panorama.rows,
            step_deg: panorama.step.degrees(),
            row_step_deg: panorama.row_step.degrees(),
        }),
    })
}

question! {
    /// By what a picture is called sharp.
    pub struct CircleQuestion {
        /// Width and height of the picture, millimetres.
        pub format_mm: [f64; 2],
        /// `modern` (diagonal / 1500), `traditional` (diagonal / 1000), `customary` (0.030 mm on 135, others in
        /// proportion) or `print`.
        pub basis: String,
        /// The print's long side, centimetres, for `print`.
        pub print_cm: Option<f64>,
        /// How far away it is looked at, centimetres, for `print`.
        pub viewing_cm: Option<f64>,
    }
}

answer! {
    /// What passes for a point.
    pub struct CircleAnswer {
        /// The circle of confusion, millimetres.
        pub coc_mm: f64,
    }
}

/// The circle of confusion of a format.
///
/// # Errors
/// Another word names `basis`, a number out of range its field.
pub fn circle_of_confusion(q: &CircleQuestion) -> Result<CircleAnswer> {
    let sharpness = Sharpness::from_word(&q.basis, q.print_cm, q.viewing_cm)?;
    Ok(CircleAnswer { coc_mm: sharpness.circle(format("formatMm", q.format_mm)?).millimetres() })
}

question! {
    /// A lens, its stop and its focus.
    pub struct DepthOfFieldQuestion {
        /// The focal length, millimetres.
        pub focal_mm: f64,
        /// The f-number, taken literally: 11.31 for the mark f/11.
        pub aperture: f64,
        /// The circle of confusion, millimetres.
        pub coc_mm: f64,
        /// Where it is focused, metres.
        pub focus_m: f64,
    }
}

answer! {
    /// What is sharp.
    pub struct DepthOfFieldAnswer {
        /// From here, metres.
        pub near_m: f64,
        /// To here; null to the sky.
        pub far_m: Option<f64>,
        /// The nearest focus at which it is sharp to the sky, metres.
        pub hyperfocal_m: f64,
        /// What focusing so near takes from the light, stops.
        pub bellows_stops: f64,
    }
}

/// What is sharp at a stop and a focus.
///
/// # Errors
/// A number out of range, or a focus within the focal length, names its field.
pub fn depth_of_field(q: &DepthOfFieldQuestion) -> Result<DepthOfFieldAnswer> {
    let criterion = Criterion::new(q.focal_mm, q.coc_mm)?;
    let depth = criterion.depth(FNumber::new(q.aperture)?, q.focus_m)?;
    Ok(DepthOfFieldAnswer {
        near_m: depth.near.metres(),
        far_m: depth.far.map(Length::metres),
        hyperfocal_m: depth.hyperfocal.metres(),
        bellows_stops: bellows_loss(criterion.focal(), Length::from_metres(q.focus_m)).count(),
    })
}

question! {
    /// A scene that is to be sharp from near to far.
    pub struct FocusForQuestion {
        /// The focal length, millimetres.
        pub focal_mm: f64,
        /// The circle of confusion, millimetres.
        pub coc_mm: f64,
        /// The nearest thing, metres.
        pub near_m: f64,
        /// The farthest, metres; null for the sky.
        pub far_m: Option<f64>,
        /// The lens's smallest f-number; f/1 when missing.
        pub min_aperture: Option<f64>,
        /// Its largest; f/64 when missing.
        pub max_aperture: Option<f64>,
    }
}

answer! {
    /// Where to focus, and what to dial.
    pub struct FocusForAnswer {
        /// Near and far are equally sharp with the focus here, metres.
        pub focus_m: f64,
        /// The least f-number that holds both, exact and by depth alone; 0 where near and far are one.
        pub aperture: f64,
        /// The mark that this asks for, rounded to the smaller opening: `f/10` for 9.28; the lens's last
        /// where there is none.
        pub least_label: String,
        /// The stop to dial: the least mark that holds both with diffraction counted in, or, where none does, the one
        /// nearest to `sharpest`.
        pub dial: StopBlur,
        /// Whether any mark holds both.
        pub holds: bool,
        /// The f-number at which both ends are as sharp as they can be, exact.
        pub sharpest: f64,
        /// Its mark.
        pub sharpest_dial: StopBlur,
        /// A third of the way in, metres; null when far is the sky.
        pub third_m: Option<f64>,
        /// The least f-number with the focus there, by depth alone.
        pub third_aperture: Option<f64>,
        /// How many stops more that is.
        pub third_stops: Option<f64>,
        /// The blur of both ends at full stops from the lens's widest to f/45.
        pub stops: Vec<StopBlur>,
    }
}

answer! {
    /// The blur of the near and the far end at one stop.
    pub struct StopBlur {
        /// As it is written: `f/11`.
        pub label: String,
        /// The exact f-number.
        pub aperture: f64,
        /// By defocus, micrometres.
        pub defocus_um: f64,
        /// By diffraction.
        pub diffraction_um: f64,
        /// Both together.
        pub blur_um: f64,
    }
}

impl StopBlur {
    fn of(blur: Blur, mark: Aperture) -> Self {
        let n = mark.exact();
        Self {
            label: mark.label(),
            aperture: n,
            defocus_um: blur.defocus(n).micrometres(),
            diffraction_um: Blur::diffraction(n).micrometres(),
            blur_um: blur.together(n).micrometres(),
        }
    }
}

/// The last full stop whose blur is told.
const LAST_TOLD: f64 = 46.0;

/// Where to focus for a scene, and what to dial.
///
/// # Errors
/// A number out of range, a distance within the focal length, or a far end before the near one names its field.
pub fn focus_for(q: &FocusForQuestion) -> Result<FocusForAnswer> {
    let criterion = Criterion::new(q.focal_mm, q.coc_mm)?;
    let scene = criterion.scene(q.near_m, q.far_m)?;
    let widest = aperture("minAperture", q.min_aperture.unwrap_or(1.0))?.to_third();
    let smallest = aperture("maxAperture", q.max_aperture.unwrap_or(64.0))?.to_third();
    in_order(widest, smallest)?;
    let blur = Blur::of(scene.spread());
    let circle = Length::from_millimetres(q.coc_mm);
    let nearest = |n: f64| {
        let mark = Aperture::at(Stops::from_factor(n) * 2.0).to_third();
        mark.clamp(widest, smallest)
    };
    let sharpest = nearest(blur.sharpest());
    let least = scene.least();
    let enough = blur.least_within(circle).map(|n| n.max(least));
    let up = |n: f64| {
        let on_lens = Aperture::thirds().filter(|mark| (widest..=smallest).contains(mark));
        on_lens.into_iter().find(|mark| mark.exact() >= n * (1.0 - 1e-9))
    };
    // The next mark may already lie where diffraction has taken over.
    let held = enough.and_then(up).filter(|mark| blur.together(mark.exact()) <= circle);
    let third = scene.third();
    let third_aperture = third.map(|at| scene.least_focused_at(at));
    let full = Aperture::thirds().step_by(3);
    Ok(FocusForAnswer {
        focus_m: scene.focus().metres(),
        aperture: least,
        least_label: up(least).unwrap_or(smallest).label(),
        dial: StopBlur::of(blur, held.unwrap_or(sharpest)),
        holds: held.is_some(),
        sharpest: blur.sharpest(),
        sharpest_dial: StopBlur::of(blur, sharpest),
        third_m: third.map(Length::metres),
        third_aperture,
        third_stops: third_aperture
            .filter(|_| least > 0.0)
            .map(|n| 2.0 * Stops::from_factor(n / least).count()),
        stops: full
            .filter(|mark| *mark >= widest && mark.exact() < LAST_TOLD)
            .map(|mark| StopBlur::of(blur, mark))
            .collect(),
    })
}

question! {
    /// A stop, and what its light falls on.
    pub struct DiffractionQuestion {
        /// The f-number, taken literally: 11.31 for the mark f/11.
        pub aperture: f64,
        /// The light's wavelength, nanometres; 550 when missing.
        pub wavelength_nm: Option<f64>,
        /// From one pixel to the next, micrometres; nothing is said of pixels when missing.
        pub pitch_um: Option<f64>,
        /// The circle of confusion, millimetres; nothing is said of it when missing.
        pub coc_mm: Option<f64>,
        /// How many blades make the stop.
        pub blades: Option<f64>,
    }
}

answer! {
    /// What diffraction does.
    pub struct DiffractionAnswer {
        /// The diameter of the Airy disc, to its first dark ring, micrometres.
        pub airy_um: f64,
        /// The finest lines that a perfect lens passes at all, pairs a millimetre.
        pub cutoff_lpmm: f64,
        /// The f-number from which the disc is wider than two pixels (common practice).
        pub pixel_aperture: Option<f64>,
        /// The f-number from which it is wider than the circle of confusion.
        pub circle_aperture: Option<f64>,
        /// How many rays the blades draw around a lamp.
        pub rays: Option<u32>,
    }
}

/// What diffraction does at a stop.
///
/// # Errors
/// A number out of range names its field.
pub fn diffraction(q: &DiffractionQuestion) -> Result<DiffractionAnswer> {
    let n = FNumber::new(q.aperture)?;
    let wave = Wave::new(q.wavelength_nm.unwrap_or(GREEN_NM))?;
    let circle = CIRCLE.optional(q.coc_mm)?;
    Ok(DiffractionAnswer {
        airy_um: wave.airy(n).micrometres(),
        cutoff_lpmm: wave.cutoff(n),
        pixel_aperture: q.pitch_um.map(|pitch| wave.stop_for_pitch(pitch)).transpose()?,
        circle_aperture: circle.map(|mm| wave.stop_for(Length::from_millimetres(mm))),
        rays: q.blades.map(rays).transpose()?,
    })
}

/// The lens that shows the same on another format.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = equivalentLens, unchecked_return_type = "EquivalentLensAnswer")]
pub fn equivalent_lens_call(
    #[wasm_bindgen(unchecked_param_type = "EquivalentLensQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: EquivalentLensQuestion| equivalent_lens(&q))
}

/// What a lens sees.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = view, unchecked_return_type = "ViewAnswer")]
pub fn view_call(
    #[wasm_bindgen(unchecked_param_type = "ViewQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ViewQuestion| view(&q))
}

/// The circle of confusion of a format.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = circleOfConfusion, unchecked_return_type = "CircleAnswer")]
pub fn circle_of_confusion_call(
    #[wasm_bindgen(unchecked_param_type = "CircleQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: CircleQuestion| circle_of_confusion(&q))
}

/// What is sharp at a stop and a focus.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = depthOfField, unchecked_return_type = "DepthOfFieldAnswer")]
pub fn depth_of_field_call(
    #[wasm_bindgen(unchecked_param_type = "DepthOfFieldQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: DepthOfFieldQuestion| depth_of_field(&q))
}

/// Where to focus for a scene, and what to dial.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = focusFor, unchecked_return_type = "FocusForAnswer")]
pub fn focus_for_call(
    #[wasm_bindgen(unchecked_param_type = "FocusForQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: FocusForQuestion| focus_for(&q))
}

/// What diffraction does at a stop.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = diffraction, unchecked_return_type = "DiffractionAnswer")]
pub fn diffraction_call(
    #[wasm_bindgen(unchecked_param_type = "DiffractionQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: DiffractionQuestion| diffraction(&q))
}
