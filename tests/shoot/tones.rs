//! Counts of tones against numpy's; noise against simulated pixels.

use std::fs;
use std::path::Path;
use std::time::Instant;

use duskbook::shoot::edit::Sensor;
use duskbook::shoot::tones::{Counts, Histogram, Tones};

use crate::data::{Worst, number, table};

const WIDTH: usize = 160;
const HEIGHT: usize = 90;

fn pixels() -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/photos/tones.rgba");
    fs::read(path).expect("the pixels")
}

fn column(index: usize) -> Vec<u32> {
    table("photo_tones.csv", 256).iter().map(|row| number(&row[index]) as u32).collect()
}

/// numpy's bincount of the same pixels; luminance by the same whole numbers, encoded by the formula itself.
#[test]
fn the_counts_are_numpys() {
    let Histogram { channels, luminance, brightest } =
        Histogram::count(&pixels(), WIDTH as f64, HEIGHT as f64).unwrap();
    for (index, bins) in
        [(1, channels[0]), (2, channels[1]), (3, channels[2]), (4, luminance), (5, brightest)]
    {
        assert_eq!(bins.to_vec(), column(index), "column {index}");
        assert_eq!(bins.iter().sum::<u32>() as usize, WIDTH * HEIGHT);
    }
    // In floating point a pixel on the border of two bins may fall into the other one.
    let moved: u32 = luminance.iter().zip(column(6)).map(|(a, b)| a.abs_diff(b)).sum::<u32>() / 2;
    println!("{moved} of {} pixels lie in a neighbour of their exact bin of luminance", WIDTH * HEIGHT);
    assert!(moved <= 40, "{moved}");
}

#[test]
fn strips_add_up_to_the_whole() {
    let pixels = pixels();
    let whole = Histogram::count(&pixels, WIDTH as f64, HEIGHT as f64).unwrap();
    let mut sum = vec![0; 256];
    for strip in pixels.chunks(WIDTH * 4 * 7) {
        let rows = strip.len() / (WIDTH * 4);
        let part = Histogram::count(strip, WIDTH as f64, rows as f64).unwrap();
        sum.iter_mut().zip(part.luminance).for_each(|(sum, count)| *sum += count);
    }
    assert_eq!(sum, whole.luminance);
}

/// Clipped shares and the median as numpy's own counts have them.
#[test]
fn the_summary_is_that_of_the_counts() {
    let counts =
        |index| Counts::new("luminance", column(index).into_iter().map(f64::from).collect()).unwrap();
    let tones = Tones::of(&counts(4), &counts(5));
    let brightest = column(5);
    let total = (WIDTH * HEIGHT) as f64;
    assert!((tones.clipped_high - f64::from(brightest[255]) / total).abs() < 1e-12);
    assert!((tones.clipped_low - f64::from(brightest[0]) / total).abs() < 1e-12);
    // 230 and above, by hand: 255 · enc(lin(254.5) / 2^⅓) = 229.3.
    let above: u32 = brightest[230..].iter().sum();
    assert!((tones.clipped_after_third - f64::from(above) / total).abs() < 1e-12, "{tones:?}");
}

/// Against 4 million pixels a row, photons drawn by Poisson's law and the reading's noise by the normal one.
#[test]
fn noise_is_that_of_simulated_pixels() {
    let mut worst = Worst::new();
    for row in table("photo_noise.csv", 24) {
        let sensor = Sensor::new(50_000.0, number(&row[1]), 100.0, 100.0).unwrap();
        let found = sensor.signal_to_noise(number(&row[0]));
        worst.note(found / number(&row[2]) - 1.0, format!("{} e⁻, {} e⁻ read noise", row[0], row[1]));
    }
    // A deviation of 4 million draws is itself sure to 0.04 %, a mean of ratio 0.1 to 0.5 %.
    worst.within("signal to noise, relative", 0.015);
}

/// 24 megapixels; the page's own figure is its wasm's.
#[test]
fn a_large_picture_is_counted_in_strips() {
    let strip: Vec<u8> =
        (0..6000 * 100 * 4_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    let started = Instant::now();
    let mut total = 0;
    for _ in 0..40 {
        total += Histogram::count(&strip, 6000.0, 100.0).unwrap().luminance.iter().sum::<u32>();
    }
    println!("24 megapixels natively in {:?}", started.elapsed());
    assert_eq!(total, 24_000_000);
}
