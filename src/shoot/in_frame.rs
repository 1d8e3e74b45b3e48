//! Where sun and moon stand relative to what the lens sees, through an evening.
//!
//! The camera stands level: a rectilinear lens then draws a direction at x = f tan(azimuth from the axis), whatever its
//! altitude, so that the frame's sides are upright on the sky, and its top lies where tan(altitude) = tan(v / 2) cos(azimuth
//! from the axis), v the angle from bottom to top. Raised, the frame reaches higher, and its sides lean apart.
//! A body counts as in the frame while its centre is between the sides and not over the top, and something of it shows over the
//! skyline; looked at minute by minute and refined to a second, so that a stay of less than a minute may be missed.

use crate::optics::view::View;
use crate::sky::place::Place;
use crate::sky::refraction::Atmosphere;
use crate::sky::skyline::Skyline;
use crate::sky::track::{Body, Track};
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Bearing, Instant, Span};

/// Seconds between two looks.
const LOOK_S: f64 = 60.0;
/// Points of the frame's top.
const TOP: i32 = 8;
/// How much is told beside the frame, of its own width, and how little of the horizon at least.
const BESIDE: (f64, f64) = (0.65, 6.0);

/// One look at a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// When.
    pub at: Instant,
    /// From the lens's bearing, clockwise positive.
    pub off: Angle,
    /// Apparent.
    pub altitude: Angle,
}

/// What a body does.
#[derive(Debug, Clone, PartialEq)]
pub struct Passing {
    /// Where it is, minute by minute.
    pub looks: Vec<Look>,
    /// While nothing of it shows.
    pub hidden: Vec<Span>,
    /// From when to when it is in the frame.
    pub stays: Vec<Span>,
}

/// What a lens sees of the sky in a direction.
#[derive(Debug, Clone)]
pub struct Outlook<'a> {
    /// From where.
    pub place: &'a Place,
    /// What stands around.
    pub skyline: &'a Skyline,
    /// Where the lens points.
    pub bearing: Bearing,
    /// How much it sees.
    pub view: View,
}

impl Outlook<'_> {
    /// Half of the horizon that is worth showing, degrees.
    pub fn half_window(&self) -> f64 {
        (BESIDE.0 * self.view.horizontal().degrees()).clamp(BESIDE.1, 90.0)
    }

    /// The top of a level frame from its left to its right: degrees from the bearing, and altitude.
    pub fn top(&self) -> Vec<[f64; 2]> {
        let [half, top] = [self.view.horizontal(), self.view.vertical()].map(|angle| 0.5 * angle.radians());
        let point = |i: i32| {
            let off = half * f64::from(i) / f64::from(TOP);
            [off.to_degrees(), over(top, off).to_degrees()]
        };
        (-TOP..=TOP).map(point).collect()
    }

    /// A body through a span.
    pub fn passing(&self, body: Body, span: Span) -> Passing {
        let track = Track::of(body, span);
        let look: &dyn Fn(Instant) -> Look = &|at| {
            let seen = track.position(self.place, at);
            Look { at, off: seen.azimuth - self.bearing, altitude: seen.apparent_altitude }
        };
        let air = Atmosphere::at(self.place.elevation());
        let hidden = self.skyline.hidden_on(&track, self.place, span, air);
        let [half, top] = [self.view.horizontal(), self.view.vertical()].map(|angle| 0.5 * angle.radians());
        let inside: &dyn Fn(&Look) -> bool = &|look| {
            look.off.radians().abs() <= half
                && look.altitude.radians() <= over(top, look.off.radians())
                && !hidden.iter().any(|part| part.contains(look.at))
        };
        let count = (span.seconds() / LOOK_S).ceil() as usize;
        let at = |i: usize| span.start().plus_seconds((i as f64 * LOOK_S).min(span.seconds()));
        let mut looks: Vec<Look> = Vec::with_capacity(count + 1);
        for i in 0..=count {
            looks.push(look(at(i)));
        }
        let (mut stays, mut since): (Vec<Span>, Option<Instant>) = (Vec::new(), None);
        for (i, &now) in looks.iter().enumerate() {
            if inside(&now) == since.is_some() {
                continue;
            }
            let (mut before, mut after) = (looks[i.saturating_sub(1)], now);
            while after.at.seconds_after(before.at) > 1.0 {
                let middle = look(before.at.plus_seconds(0.5 * after.at.seconds_after(before.at)));
                *(if inside(&middle) == inside(&after) { &mut after } else { &mut before }) = middle;
            }
            if let Some(from) = since.take() {
                stays.push(Span::computed(from, after.at));
            } else {
                since = Some(after.at);
            }
        }
        if let Some(from) = since {
            stays.push(Span::computed(from, span.end()));
        }
        Passing { looks, hidden, stays }
    }
}

/// The altitude of a level frame's top beside its middle, all in radians.
fn over(top: f64, off: f64) -> f64 {
    (top.tangent() * off.cosine()).atan()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::optics::{format::Format, lens::Lens};
    use crate::units::Length;

    /// The equinox of 2024 on the equator at 0° E: the sun sinks upright in the west, a degree in four minutes.
    fn evening(profile: &[[f64; 2]], focal_mm: f64, bearing: f64) -> Passing {
        let place = Place::new(0.0, 0.0, 0.0).unwrap();
        let skyline = Skyline::new(profile, Length::from_metres(0.0)).unwrap();
        let view = View::far(Lens::new(focal_mm, Format::new(36.0, 24.0).unwrap()).unwrap());
        let outlook =
            Outlook { place: &place, skyline: &skyline, bearing: Bearing::from_degrees(bearing), view };
        // 2024-03-20 15:00 to 21:00 UTC.
        outlook.passing(Body::Sun, Span::from_epoch_ms(1_710_946_800_000.0, 1_710_968_400_000.0).unwrap())
    }

    #[test]
    fn a_setting_sun_stays_in_a_frame_to_the_west_until_it_is_hidden() {
        let passing = evening(&[], 50.0, 265.0);
        assert_eq!(passing.stays.len(), 1);
        let stay = passing.stays[0];
        let near = |at: Instant| {
            passing.looks.iter().find(|look| look.at.seconds_after(at).abs() <= 31.0).copied().unwrap()
        };
        // Half of 26.99° from bottom to top, a little less beside the middle; a look is half a minute off, an eighth of a degree.
        assert!((near(stay.start()).altitude.degrees() - 13.45).abs() < 0.15, "{stay:?}");
        assert!(stay.end().seconds_after(passing.hidden[0].start()).abs() < 1.0);
        assert!((near(stay.end()).off.degrees() - 5.0).abs() < 0.3, "{stay:?}");
    }

    #[test]
    fn a_ridge_ends_its_stay_and_a_frame_elsewhere_has_none() {
        let ridge = evening(&[[250.0, 8.0], [269.0, 8.0], [269.0, 3.0], [290.0, 3.0]], 50.0, 270.0);
        assert_eq!(ridge.hidden.len(), 1);
        assert!(evening(&[], 50.0, 90.0).stays.is_empty());
        // From 8° to 3° in twenty minutes.
        let longer = ridge.stays[0].end().seconds_after(evening(&[[0.0, 8.0]], 50.0, 270.0).stays[0].end());
        assert!((longer - 1200.0).abs() < 40.0, "{longer}");
    }

    #[test]
    fn a_level_frame_is_lower_at_its_sides() {
        let place = Place::new(0.0, 0.0, 0.0).unwrap();
        let skyline = Skyline::new(&[], Length::from_metres(0.0)).unwrap();
        let view = View::far(Lens::new(18.0, Format::new(36.0, 24.0).unwrap()).unwrap());
        let outlook = Outlook { place: &place, skyline: &skyline, bearing: Bearing::from_degrees(0.0), view };
        let top = outlook.top();
        // By hand: 18 mm on 36 × 24 reaches 45° to the side and atan(12 / 18) = 33.7° up, at the corner
        // atan(12 / 18 cos 45°) = 25.2°.
        assert!((top[0][0] + 45.0).abs() < 1e-9 && (top[0][1] - 25.24).abs() < 0.01, "{top:?}");
        assert!((top[8][1] - 33.69).abs() < 0.01 && top[8][0] == 0.0);
        assert_eq!(outlook.half_window(), 58.5);
    }
}
