//! Cars and stars while the shutter is open.

use wasm_bindgen::prelude::*;

use super::Column;
use super::optics::lens;
use super::value::{answer, question};

use crate::error::{Error, Result};
use crate::exposure::sequence::{Cadence, Run};
use crate::motion::OPEN;
use crate::motion::brightness::{Gain, Taken};
use crate::motion::flow::Flow;
use crate::motion::pinhole::{Pinhole, Point};
use crate::motion::road::{Road, START, Stretch};
use crate::motion::star_frame::StarFrame;
use crate::motion::stars::{self, Star};
use crate::motion::traffic::{Pass, SPEED};
use crate::optics::diffraction::PITCH;
use crate::units::{Angle, Bearing, Stops};

/// A length of the picture in pixels, where the pitch is known.
fn pixels(millimetres: f64, pitch_um: Option<f64>) -> Result<Option<f64>> {
    Ok(PITCH.optional(pitch_um)?.map(|pitch| millimetres * 1e3 / pitch))
}

question! {
    /// A car past a lens that is focused on it.
    pub struct TrafficTrailQuestion {
        /// Focal length, millimetres.
        pub focal_mm: f64,
        /// Width and height of the picture as the camera is held, millimetres.
        pub format_mm: [f64; 2],
        /// The car's speed, metres a second, 0 to 200.
        pub speed_m_s: f64,
        /// Its depth along the lens's axis when it stands on the axis, metres, 0.2 to 100 000.
        pub distance_m: f64,
        /// Its direction against the axis, degrees: 90 straight across, 0 away, 180 at the lens.
        pub heading_deg: f64,
        /// How long the shutter is open, seconds, 0 to a day.
        pub shutter_s: f64,
        /// Pixel pitch, micrometres, for lengths in pixels.
        pub pitch_um: Option<f64>,
        /// A share of the frame's width to span, 0.001 to 10, for the time that it takes.
        pub wanted_share: Option<f64>,
        /// The f-number, for the comparison; of no matter where both pictures have the same.
        pub aperture: Option<f64>,
        /// The ISO speed, likewise.
        pub iso: Option<f64>,
        /// A picture to compare the brightness with: its time, seconds.
        pub than_shutter_s: Option<f64>,
        /// Its f-number; the same when missing.
        pub than_aperture: Option<f64>,
        /// Its ISO speed; the same when missing.
        pub than_iso: Option<f64>,
        /// Its car's speed, metres a second; the same when missing.
        pub than_speed_m_s: Option<f64>,
    }
}

answer! {
    /// The trail of one car.
    pub struct TrafficTrailAnswer {
        /// From where the car was on the axis, both ends projected, whether or not the frame holds it, millimetres.
        pub trail_mm: f64,
        /// Its length over the frame's width, 1 at most.
        pub frame_share: f64,
        /// The same by f·s·sin θ/(D − f), which is for small shifts only, millimetres.
        pub small_shift_mm: f64,
        /// In pixels; null without a pitch.
        pub trail_px: Option<f64>,
        /// The way driven, metres.
        pub travelled_m: f64,
        /// From one side of the frame to the other, seconds; null where the car never passes one of them within a day.
        pub cross_s: Option<f64>,
        /// The time for the wanted share, seconds; null where no time up to a day gives it.
        pub wanted_s: Option<f64>,
        /// When a car that comes nearer is beside the lens, or at it, seconds; null for others.
        pub arrives_s: Option<f64>,
        /// How long a lamp's image stays on one pixel at the start, seconds; null without a pitch, or for a point.
        pub dwell_s: Option<f64>,
        /// How much brighter the trail is than in the picture compared with, stops; null without one, or for a point.
        pub trail_stops: Option<f64>,
        /// How much brighter what stands still is.
        pub ambient_stops: Option<f64>,
        /// What the trail gains against it.
        pub against_ambient_stops: Option<f64>,
    }
}

/// How long a trail a car draws, and what it gains against what stands still.
///
/// # Errors
/// A number out of range names its field; a distance within twice the focal length names `distanceM`.
pub fn traffic_trail(q: &TrafficTrailQuestion) -> Result<TrafficTrailAnswer> {
    let pass = Pass::new(lens(q.focal_mm, q.format_mm)?, q.speed_m_s, q.distance_m, q.heading_deg)?;
    let way = pass.way(q.shutter_s)?;
    let trail_mm = pass.trail(way).millimetres();
    let pace = pass.image_speed_mm_s();
    let taken = |aperture: Option<f64>, iso: Option<f64>, shutter_s, speed_m_s| {
        Taken::new(aperture.unwrap_or(1.0), iso.unwrap_or(100.0), shutter_s, speed_m_s)
    };
    let gain: Option<Result<Gain>> = q.than_shutter_s.map(|than_shutter_s| {
        let than_aperture = q.than_aperture.or(q.aperture);
        let than_iso = q.than_iso.or(q.iso);
        let than = taken(than_aperture, than_iso, than_shutter_s, q.than_speed_m_s.unwrap_or(q.speed_m_s));
        let than = than.map_err(|refused| {
            let field = match refused.field() {
                "aperture" => "thanAperture",
                "iso" => "thanIso",
                "speedMS" => "thanSpeedMS",
                _ => "thanShutterS",
            };
            refused.in_field(field)
        })?;
        Ok(taken(q.aperture.or(q.than_aperture), q.iso.or(q.than_iso), q.shutter_s, q.speed_m_s)?.than(than))
    });
    let gain = gain.transpose()?;
    // A car straight at the lens or away from it draws no trail: its lamp stays on its point.
    let drawn = gain.filter(|_| pace > 0.0);
    let stops = |stops: Option<Stops>| stops.map(Stops::count);
    Ok(TrafficTrailAnswer {
        trail_mm,
        frame_share: (trail_mm / pass.frame_mm()).min(1.0),
        small_shift_mm: pass.small_shift(way).millimetres(),
        trail_px: pixels(trail_mm, q.pitch_um)?,
        travelled_m: way.metres(),
        cross_s: pass.crossing_s(),
        wanted_s: q.wanted_share.map(|share| pass.time_for(share)).transpose()?.flatten(),
        arrives_s: pass.arrives_s(),
        dwell_s: q.pitch_um.filter(|_| pace > 0.0).map(|pitch| pitch / 1e3 / pace),
        trail_stops: stops(drawn.and_then(|gain| gain.trail)),
        ambient_stops: stops(gain.map(|gain| gain.ambient)),
        against_ambient_stops: stops(drawn.and_then(Gain::against_ambient)),
    })
}

question! {
    /// A road before a lens that is focused far away.
    pub struct RoadTrailQuestion {
        /// Focal length, millimetres.
        pub focal_mm: f64,
        /// Width and height of the picture as the camera is held, millimetres.
        pub format_mm: [f64; 2],
        /// How far the lens points above the level, degrees; level when missing.
        pub tilt_deg: Option<f64>,
        /// Points of the road in the order of driving, 2 to 100, each as metres right of the tripod, ahead of it, and below
        /// the lens.
        #[tsify(type = "[rightM: number, aheadM: number, belowM: number][]")]
        pub points_m: Vec<Vec<f64>>,
        /// The car's speed, metres a second, 0 to 200.
        pub speed_m_s: f64,
        /// How long the shutter is open, seconds, 0 to a day.
        pub shutter_s: f64,
        /// How much of the way through the frame the car has driven when the shutter opens, 0 to 1; none when missing.
        pub start_share: Option<f64>,
        /// Pixel pitch, micrometres, for lengths in pixels.
        pub pitch_um: Option<f64>,
        /// How many cars pass in a minute, 0 to 600, for the chances.
        pub cars_per_min: Option<f64>,
    }
}

answer! {
    /// A road in the frame and the trail of one car on it. Lines are x and y by turns, millimetres from the frame's top left.
    pub struct RoadTrailAnswer {
        /// What of the road falls into the frame.
        #[tsify(type = "Float64Array[]")]
        pub road: Vec<Column>,
        /// What of it one car draws.
        #[tsify(type = "Float64Array[]")]
        pub trail: Vec<Column>,
        /// The trail's length along its line, millimetres.
        pub trail_mm: f64,
        /// From its leftmost to its rightmost point, over the frame's width.
        pub frame_share: f64,
        /// The trail's part of the road in the frame; null where there is no road in the frame.
        pub road_share: Option<f64>,
        /// The trail in pixels; null without a pitch.
        pub trail_px: Option<f64>,
        /// The way driven, metres.
        pub travelled_m: f64,
        /// From where the road comes into the frame to where it leaves it for the last time, seconds; null for a car
        /// that stands, or where there is no road in the frame.
        pub whole_s: Option<f64>,
        /// Whether points of the road lie beside or behind the lens.
        pub runs_behind: bool,
        /// Trails to expect in a frame, whole or in part; null without a flow, or without `wholeS`.
        pub expected_trails: Option<f64>,
        /// The chance of a frame without any, 0 to 1.
        pub empty_chance: Option<f64>,
        /// The chance, at least, that trails cover the whole visible road in one frame.
        pub full_chance: Option<f64>,
        /// Frames to stack for a road covered with a chance of 95 %; null also where 100 000 would not do.
        pub unbroken_frames: Option<u32>,
    }
}

/// The length of what is drawn and its reach from left to right, millimetres, and its lines from the frame's top left.
fn drawing(stretches: &[Stretch], [half_width, half_height]: [f64; 2]) -> (f64, f64, Vec<Column>) {
    let (mut length, mut leftmost, mut rightmost) = (0.0, f64::INFINITY, f64::NEG_INFINITY);
    let mut lines = Vec::with_capacity(stretches.len());
    for stretch in stretches {
        length += stretch.image_mm();
        let mut line = Vec::with_capacity(2 * stretch.line.len());
        for point in &stretch.line {
            leftmost = point.right_mm.min(leftmost);
            rightmost = point.right_mm.max(rightmost);
            line.push(half_width + point.right_mm);
            line.push(half_height - point.up_mm);
        }
        lines.push(Column(line));
    }
    (length, (rightmost - leftmost).max(0.0), lines)
}

/// A road seen through a lens, the trail of one car, and how many cars to expect.
///
/// # Errors
/// A number out of range names its field; points that make no road name `pointsM`.
pub fn road_trail(q: &RoadTrailQuestion) -> Result<RoadTrailAnswer> {
    let lens = lens(q.focal_mm, q.format_mm)?;
    let tilt = Angle::altitude(q.tilt_deg.unwrap_or(0.0)).map_err(|refused| refused.in_field("tiltDeg"))?;
    let eye = Pinhole::new(lens, tilt);
    let mut points = Vec::with_capacity(q.points_m.len());
    for given in &q.points_m {
        let [right_m, ahead_m, below_m] = given[..] else {
            return Err(Error::malformed("pointsM", "a point", "metres right, ahead and below"));
        };
        points.push(Point { right_m, up_m: -below_m, ahead_m });
    }
    let road = Road::new(&points)?;
    let speed = SPEED.check(q.speed_m_s)?;
    let travelled_m = speed * OPEN.check(q.shutter_s)?;
    let visible = road.seen(eye, 0.0, road.length_m());
    let ends = visible.first().zip(visible.last()).map(|(first, last)| (first.from_m, last.to_m));
    let share = START.check(q.start_share.unwrap_or(0.0))?;
    let start = ends.map_or(0.0, |(from, to)| from + (to - from) * share);
    let drawn = road.seen(eye, start, start + travelled_m);
    let half = lens.format().half_sides_mm();
    let (road_mm, _, road_lines) = drawing(&visible, half);
    let (trail_mm, span_mm, trail_lines) = drawing(&drawn, half);
    let whole_s = ends.map(|(from, to)| (to - from) / speed).filter(|&s| OPEN.contains(s));
    let flow = q.cars_per_min.zip(whole_s).map(|(cars, whole)| Flow::new(cars, whole, q.shutter_s));
    let flow = flow.transpose()?;
    Ok(RoadTrailAnswer {
        trail_mm,
        frame_share: span_mm / (2.0 * half[0]),
        road_share: (road_mm > 0.0).then(|| (trail_mm / road_mm).min(1.0)),
        trail_px: pixels(trail_mm, q.pitch_um)?,
        travelled_m,
        whole_s,
        runs_behind: road.runs_behind(eye),
        expected_trails: flow.map(Flow::trails),
        empty_chance: flow.map(Flow::empty_chance),
        full_chance: flow.map(Flow::full_chance),
        unbroken_frames: flow.and_then(Flow::frames_for_unbroken),
        road: road_lines,
        trail: trail_lines,
    })
}

question! {
    /// A star before a lens.
    pub struct StarTrailQuestion {
        /// Focal length, millimetres.
        pub focal_mm: f64,
        /// F-number.
        pub aperture: f64,
        /// Pixel pitch, micrometres.
        pub pitch_um: f64,
        /// The star's declination, degrees, north positive.
        pub declination_deg: f64,
        /// How long the shutter is open, seconds, 0 to a day.
        pub shutter_s: f64,
        /// Width and height of the picture, millimetres; 36 × 24 when missing.
        pub format_mm: Option<[f64; 2]>,
        /// How much trailing the full NPF allows, 1 to 3; 1 when missing.
        pub npf_k: Option<f64>,
        /// An arc around the pole that a stack is to draw, degrees, 0.01 to 360.
        pub wanted_arc_deg: Option<f64>,
        /// Idle time between the frames of the stack, seconds; none when missing.
        pub gap_s: Option<f64>,
    }
}

answer! {
    /// How far a star moves, and how long it may be.
    pub struct StarTrailAnswer {
        /// Its trail in the middle of the picture, micrometres.
        pub trail_um: f64,
        /// The same in pixels.
        pub trail_px: f64,
        /// How far the sky turns, degrees.
        pub arc_deg: f64,
        /// 500/(crop · f), common practice, seconds.
        pub limit_500_s: f64,
        /// The simple NPF, seconds.
        pub npf_simple_s: f64,
        /// The full NPF, seconds; null where it passes a day, as at a pole.
        pub npf_full_s: Option<f64>,
        /// Frames that draw the wanted arc; null without one.
        pub stack_frames: Option<u32>,
        /// From the first opening to the last closing, seconds.
        pub stack_s: Option<f64>,
        /// The hole that the idle time leaves between two frames, pixels.
        pub gap_px: Option<f64>,
    }
}

/// How far a star moves while the shutter is open, how long it may be, and the frames of a stack.
///
/// # Errors
/// A number out of range names its field; more frames than 100 000 name `frames`.
pub fn star_trail(q: &StarTrailQuestion) -> Result<StarTrailAnswer> {
    let star = Star::new(
        lens(q.focal_mm, q.format_mm.unwrap_or([36.0, 24.0]))?,
        q.aperture,
        q.pitch_um,
        q.declination_deg,
    )?;
    let turn = stars::turn(q.shutter_s)?;
    let trail_um = star.trail(turn).micrometres();
    let gap_s = q.gap_s.unwrap_or(0.0);
    let stack = match q.wanted_arc_deg {
        Some(arc) => Some(Cadence::new(q.shutter_s, gap_s, false)?.lasting(stars::time_for(arc)?)?),
        None => None,
    };
    Ok(StarTrailAnswer {
        trail_um,
        trail_px: trail_um / q.pitch_um,
        arc_deg: turn.degrees(),
        limit_500_s: star.limit_500_s(),
        npf_simple_s: star.npf_simple_s(),
        npf_full_s: star.npf_full_s(q.npf_k.unwrap_or(1.0))?,
        stack_frames: stack.map(Run::frames),
        stack_s: stack.map(Run::last_end_s),
        gap_px: stack.map(|_| trail_um / q.pitch_um * gap_s / q.shutter_s),
    })
}

question! {
    /// Where a lens points at night.
    pub struct StarFrameQuestion {
        /// Focal length, millimetres.
        pub focal_mm: f64,
        /// Width and height of the picture as the camera is held, millimetres.
        pub format_mm: [f64; 2],
        /// Degrees, north positive.
        pub latitude_deg: f64,
        /// Of the lens's axis, degrees clockwise from true north.
        pub bearing_deg: f64,
        /// Of the lens's axis above the level, degrees.
        pub altitude_deg: f64,
    }
}

answer! {
    /// The declinations in a frame, refraction left out.
    pub struct StarFrameAnswer {
        /// Of the middle, degrees.
        pub middle_deg: f64,
        /// The southernmost.
        pub least_deg: f64,
        /// The northernmost.
        pub most_deg: f64,
        /// Where its stars move fastest: nearest to the sky's equator.
        pub fastest_deg: f64,
        /// `north` or `south` where that pole of the sky is in it; null where neither is.
        pub pole: Option<&'static str>,
    }
}

/// Which declinations are in a frame.
///
/// # Errors
/// A number out of range names its field.
pub fn star_frame(q: &StarFrameQuestion) -> Result<StarFrameAnswer> {
    let frame = StarFrame::new(
        lens(q.focal_mm, q.format_mm)?,
        q.latitude_deg,
        Bearing::given(q.bearing_deg)?,
        Angle::altitude(q.altitude_deg)?,
    )?;
    let pole = frame.north_pole.then_some("north").or(frame.south_pole.then_some("south"));
    Ok(StarFrameAnswer {
        middle_deg: frame.middle.degrees(),
        least_deg: frame.least.degrees(),
        most_deg: frame.most.degrees(),
        fastest_deg: frame.fastest().degrees(),
        pole,
    })
}

/// How long a trail a car draws.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = trafficTrail, unchecked_return_type = "TrafficTrailAnswer")]
pub fn traffic_trail_call(
    #[wasm_bindgen(unchecked_param_type = "TrafficTrailQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: TrafficTrailQuestion| traffic_trail(&q))
}

/// A road seen through a lens, and the trail of one car on it.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = roadTrail, unchecked_return_type = "RoadTrailAnswer")]
pub fn road_trail_call(
    #[wasm_bindgen(unchecked_param_type = "RoadTrailQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: RoadTrailQuestion| road_trail(&q))
}

/// How far a star moves, and how long it may be.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = starTrail, unchecked_return_type = "StarTrailAnswer")]
pub fn star_trail_call(
    #[wasm_bindgen(unchecked_param_type = "StarTrailQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: StarTrailQuestion| star_trail(&q))
}

/// Which declinations are in a frame.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = starFrame, unchecked_return_type = "StarFrameAnswer")]
pub fn star_frame_call(
    #[wasm_bindgen(unchecked_param_type = "StarFrameQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: StarFrameQuestion| star_frame(&q))
}
