//! The formulae against rays followed through an ideal thin lens, which know none of them: a ray keeps its height at the
//! lens and is bent by its height over the focal length.

use duskbook::web::optics::{
    DepthOfFieldQuestion, FocusForQuestion, ViewQuestion, depth_of_field, focus_for, view,
};

use super::close;

/// A ray in a plane through the axis: its height, and its slope along the way of the light. Millimetres.
#[derive(Clone, Copy)]
struct Ray {
    height: f64,
    slope: f64,
}

impl Ray {
    /// From a point before the lens to a height on the lens.
    fn aimed(from_height: f64, distance: f64, at: f64) -> Self {
        Self { height: at, slope: (at - from_height) / distance }
    }

    fn bent(self, focal: f64) -> Self {
        Self { slope: self.slope - self.height / focal, ..self }
    }

    fn height_after(self, distance: f64) -> f64 {
        self.height + self.slope * distance
    }
}

/// Where the picture must stand so that a point on the axis is drawn as a point: two of its rays meet there.
fn focused_behind(focal: f64, distance: f64) -> f64 {
    let [a, b] = [1.0, -2.0].map(|at| Ray::aimed(0.0, distance, at).bent(focal));
    (b.height - a.height) / (a.slope - b.slope)
}

/// The width of the spot that a point draws through a stop of this f-number.
fn spot(focal: f64, n: f64, distance: f64, behind: f64) -> f64 {
    let edge = focal / n / 2.0;
    let [top, bottom] =
        [edge, -edge].map(|at| Ray::aimed(0.0, distance, at).bent(focal).height_after(behind));
    (top - bottom).abs()
}

const LENSES: [f64; 5] = [14.0, 24.0, 50.0, 135.0, 400.0];
const STOPS: [f64; 4] = [1.4, 4.0, 11.31, 32.0];
const FOCUS_M: [f64; 5] = [0.7, 2.0, 5.0, 30.0, 700.0];

/// At both limits the spot is the circle itself, inside it is smaller, outside larger.
#[test]
fn the_spot_is_the_circle_at_both_limits() {
    let (mut worst, mut rows): (f64, u32) = (0.0, 0);
    for focal in LENSES {
        for n in STOPS {
            for focus_m in FOCUS_M {
                let c = 0.03;
                let q = DepthOfFieldQuestion { focal_mm: focal, aperture: n, coc_mm: c, focus_m };
                let found = depth_of_field(&q).unwrap();
                let behind = focused_behind(focal, focus_m * 1e3);
                let spot = |metres: f64| spot(focal, n, metres * 1e3, behind);
                let near = spot(found.near_m);
                worst = worst.max((near / c - 1.0).abs());
                let step = (focus_m - found.near_m).min(found.near_m) / 100.0;
                assert!(spot(found.near_m + step) < near && near < spot(found.near_m - step));
                if let Some(far) = found.far_m {
                    worst = worst.max((spot(far) / c - 1.0).abs());
                    let step = (far - focus_m) / 100.0;
                    assert!(spot(far - step) < spot(far) && spot(far) < spot(far + step));
                } else {
                    assert!(spot(1e9) <= c * 1.000_001, "{focal} mm f/{n} at {focus_m} m");
                }
                let hyperfocal = found.hyperfocal_m * 1e3;
                let sky = self::spot(focal, n, 1e13, focused_behind(focal, hyperfocal));
                worst = worst.max((sky / c - 1.0).abs());
                rows += 1;
            }
        }
    }
    println!("worst spot at a limit: {worst:.1e} of the circle, {rows} lenses");
    assert!(worst < 1e-6, "{worst}");
}

/// The focus for a scene draws both ends as one and the same circle.
#[test]
fn both_ends_of_a_scene_are_drawn_alike() {
    let mut worst: f64 = 0.0;
    for focal in LENSES {
        for (near_m, far_m) in
            [(1.0, Some(3.0)), (2.0, Some(20.0)), (5.0, None), (40.0, Some(41.0)), (3.0, None)]
        {
            let q = FocusForQuestion {
                focal_mm: focal,
                coc_mm: 0.02,
                near_m,
                far_m,
                min_aperture: None,
                max_aperture: None,
            };
            let found = focus_for(&q).unwrap();
            let behind = focused_behind(focal, found.focus_m * 1e3);
            for end in [near_m, far_m.unwrap_or(1e10)] {
                let drawn = spot(focal, found.aperture, end * 1e3, behind);
                worst = worst.max((drawn / 0.02 - 1.0).abs());
            }
            if let Some((third, stop)) = found.third_m.zip(found.third_aperture) {
                let behind = focused_behind(focal, third * 1e3);
                let ends = [near_m, far_m.unwrap()].map(|end| spot(focal, stop, end * 1e3, behind));
                worst = worst.max((ends[0].max(ends[1]) / 0.02 - 1.0).abs());
            }
        }
    }
    println!("worst spot at an end of a scene: {worst:.1e} of the circle");
    assert!(worst < 1e-5, "{worst}");
}

/// Through a pinhole at the lens, the edges of the picture see the edges of what is covered, at the angle told.
#[test]
fn the_edges_of_the_picture_see_the_edges_of_the_view() {
    let mut worst: f64 = 0.0;
    for focal in LENSES {
        for distance_m in FOCUS_M {
            let q = ViewQuestion {
                focal_mm: focal,
                format_mm: [36.0, 24.0],
                distance_m,
                focus_m: Some(distance_m),
                ..Default::default()
            };
            let found = view(&q).unwrap();
            let behind = focused_behind(focal, distance_m * 1e3);
            for (side, covered, angle) in
                [(36.0, found.width_m, found.horizontal_deg), (24.0, found.height_m, found.vertical_deg)]
            {
                // Every ray of a point at the edge of the view meets the edge of the picture, not only the middle one.
                for at in [0.0, 3.0, -5.0] {
                    let ray = Ray::aimed(covered * 500.0, distance_m * 1e3, at).bent(focal);
                    worst = worst.max((ray.height_after(behind) / (side / -2.0) - 1.0).abs());
                }
                let slope = (covered * 500.0 / (distance_m * 1e3)).atan().to_degrees();
                close(2.0 * slope, angle, 1e-9, "angle");
            }
        }
    }
    println!("worst edge of a picture: {worst:.1e} of its half");
    assert!(worst < 1e-9, "{worst}");
}
