//! Trails against handbook values, against a traced pinhole, and against a turned sphere.

mod flow;
mod road;
mod star_frame;
mod stars;
mod traffic;

/// A vector of three.
type Vector = [f64; 3];

/// Turns a vector about a unit axis by an angle in radians (Rodrigues).
fn turned([x, y, z]: Vector, [a, b, c]: Vector, angle: f64) -> Vector {
    let (sin, cos) = angle.sin_cos();
    let along = (a * x + b * y + c * z) * (1.0 - cos);
    [
        x * cos + (b * z - c * y) * sin + a * along,
        y * cos + (c * x - a * z) * sin + b * along,
        z * cos + (a * y - b * x) * sin + c * along,
    ]
}

const EAST: Vector = [1.0, 0.0, 0.0];
const UP: Vector = [0.0, 0.0, 1.0];

/// A camera as rows of a rotation: it starts looking north, is tipped up about the east, then turned about the vertical.
/// East, north and up in; right, up and along the axis out.
fn camera(bearing_deg: f64, altitude_deg: f64) -> [Vector; 3] {
    let rest = [[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]];
    rest.map(|row| turned(turned(row, EAST, altitude_deg.to_radians()), UP, -bearing_deg.to_radians()))
}

/// Right and up on the picture of a pinhole, millimetres; none from behind it.
fn traced(camera: &[Vector; 3], image_mm: f64, point: Vector) -> Option<(f64, f64)> {
    let [right, up, along] = camera.map(|row| row[0] * point[0] + row[1] * point[1] + row[2] * point[2]);
    (along > 1e-9).then(|| (image_mm * right / along, image_mm * up / along))
}

/// Holds a number to what it should be.
fn close(found: f64, expected: f64, within: f64, what: &str) {
    assert!((found - expected).abs() <= within, "{what}: {found}, expected {expected}");
}
