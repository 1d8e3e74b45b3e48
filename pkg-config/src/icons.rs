//! The icons: drawn as SVG of upright rectangles alone, and painted from that as PNG for the systems that want it.
//!
//! Edges fall on whole pixels, so a handful of colours and a few hundred bytes are enough for any size.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, ensure};
use png::{BitDepth, ColorType, Compression, Encoder, Filter};

/// Drawings, the files painted from them, and their edges in pixels. The maskable one keeps what matters within the circle
/// that every system shows.
const PAINTED: [(&str, &str, usize); 4] = [
    ("icon.svg", "icon-192.png", 192),
    ("icon.svg", "icon-512.png", 512),
    ("icon.svg", "apple-touch-icon.png", 180),
    ("icon-maskable.svg", "icon-maskable.png", 512),
];

/// The edge that drawings are made to.
const EDGE: f64 = 512.0;

/// A filled rectangle of a drawing.
struct Rectangle {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
    colour: [u8; 3],
}

/// Paints every PNG.
///
/// # Errors
/// A drawing is missing or holds something else than rectangles, or a file cannot be written.
pub fn paint(drawings: &Path, to: &Path) -> Result<()> {
    for (drawing, file, edge) in PAINTED {
        let rectangles = read(&fs::read_to_string(drawings.join(drawing))?).context(drawing)?;
        fs::write(to.join(file), painted(&rectangles, edge)?)?;
    }
    Ok(())
}

fn read(svg: &str) -> Result<Vec<Rectangle>> {
    let elements = svg.split('<').filter(|part| part.starts_with(|first: char| first.is_ascii_lowercase()));
    elements.skip(1).map(rectangle).collect()
}

/// Reads `rect width="512" height="512" fill="#10182b"/>`; a place that is not told is 0.
fn rectangle(element: &str) -> Result<Rectangle> {
    ensure!(element.starts_with("rect "), "no rectangle: {element}");
    let told =
        |name: &str| element.split_once(&format!(" {name}=\"")).and_then(|(_, rest)| rest.split('"').next());
    let number = |name: &str| told(name).unwrap_or("0").parse::<f64>().with_context(|| name.to_owned());
    let colour = told("fill").and_then(|fill| fill.strip_prefix('#')).context("a colour")?;
    let colour = u32::from_str_radix(colour, 16)?.to_be_bytes();
    Ok(Rectangle {
        x: number("x")?,
        y: number("y")?,
        width: number("width")?,
        height: number("height")?,
        colour: [colour[1], colour[2], colour[3]],
    })
}

/// A PNG with a palette, four bits a pixel.
fn painted(rectangles: &[Rectangle], edge: usize) -> Result<Vec<u8>> {
    let mut palette: Vec<[u8; 3]> = rectangles.iter().map(|rectangle| rectangle.colour).collect();
    palette.sort_unstable();
    palette.dedup();
    ensure!(palette.len() <= 16, "{} colours", palette.len());
    let pixel = |place: f64| (place * edge as f64 / EDGE).round() as usize;
    let mut canvas = vec![0_usize; edge * edge];
    for Rectangle { x, y, width, height, colour } in rectangles {
        let index = palette.binary_search(colour).unwrap_or_default();
        for row in pixel(*y)..pixel(y + height).min(edge) {
            canvas[row * edge + pixel(*x)..row * edge + pixel(x + width).min(edge)].fill(index);
        }
    }
    let pairs = canvas.chunks(edge).flat_map(|line| line.chunks(2));
    let packed: Vec<u8> = pairs.map(|pair| (pair[0] << 4 | pair.get(1).unwrap_or(&0)) as u8).collect();
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, edge as u32, edge as u32);
    encoder.set_color(ColorType::Indexed);
    encoder.set_depth(BitDepth::Four);
    encoder.set_palette(palette.concat());
    encoder.set_compression(Compression::High);
    // Rows repeat each other.
    encoder.set_filter(Filter::NoFilter);
    encoder.write_header()?.write_image_data(&packed)?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawing(name: &str) -> Vec<Rectangle> {
        read(&fs::read_to_string(format!("{}/icons/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()).unwrap()
    }

    #[test]
    fn every_drawing_fills_its_square_and_is_painted_small() {
        for (name, file, edge) in PAINTED {
            let rectangles = drawing(name);
            assert!(rectangles[0].width == EDGE && rectangles[0].height == EDGE, "{name}");
            let size = painted(&rectangles, edge).unwrap().len();
            println!("{file}: {size} bytes");
            assert!(size < 1000, "{file}: {size} bytes");
        }
    }

    /// W3C Web Application Manifest, "Icon masks and safe zone": a circle of two fifths of the edge about the middle.
    #[test]
    fn what_matters_of_the_maskable_icon_is_never_cut_off() {
        let (middle, radius) = (EDGE / 2.0, 0.4 * EDGE);
        let within = |name: &str| -> Vec<bool> {
            let inner = drawing(name).into_iter().filter(|each| each.width < EDGE);
            inner
                .map(|Rectangle { x, y, width, height, .. }| {
                    [x, x + width]
                        .iter()
                        .all(|x| [y, y + height].iter().all(|y| (x - middle).hypot(y - middle) <= radius))
                })
                .collect()
        };
        let masked = within("icon-maskable.svg");
        assert!(masked.len() >= 4 && masked.iter().all(|inside| *inside), "{masked:?}");
        // The plain icon reaches further, which is why there are two.
        assert!(within("icon.svg").contains(&false));
    }

    #[test]
    fn something_else_than_rectangles_is_refused() {
        assert!(read("<svg><path d=\"M0 0z\" fill=\"#000000\"/></svg>").is_err());
        assert!(read("<svg><!-- why --><rect width=\"1\" height=\"1\" fill=\"#102030\"/></svg>").is_ok());
    }
}
