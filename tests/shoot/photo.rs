//! Photographs against the programs that wrote them and the readers of others; bytes that mean harm.

use std::collections::BTreeSet;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::time::{Duration, Instant};

use duskbook::shoot::photo::{Photograph, Warning};
use exif::{In, Reader, Tag, Value};
use proptest::prelude::*;

use crate::data::{Worst, number, table};

/// Files of `tests/data/photos` that `photos.csv` tells about.
const FILES: usize = 29;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/photos")
}

fn file(name: &str) -> Vec<u8> {
    fs::read(folder().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// Every photograph with its name.
fn files() -> Vec<(String, Vec<u8>)> {
    table("photos.csv", FILES).into_iter().map(|row| (row[0].clone(), file(&row[0]))).collect()
}

/// The numbers of a record, in the order of the table's columns.
fn numbers(photo: &Photograph) -> [Option<f64>; 10] {
    [
        photo.shutter_s,
        photo.aperture,
        photo.iso,
        photo.compensation_stops,
        photo.focal_mm,
        photo.focal_35_mm,
        photo.latitude_deg,
        photo.longitude_deg,
        photo.altitude_m,
        photo.offset_min,
    ]
}

/// Against exiftool's reading, tag by tag.
#[test]
fn every_file_says_what_another_reader_finds_in_it() {
    let mut worst = Worst::new();
    let mut values = 0;
    for row in table("photos.csv", FILES) {
        let photo = Photograph::read(&file(&row[0]));
        let columns = [1, 2, 3, 4, 5, 6, 8, 9, 10, 12];
        for (column, found) in columns.into_iter().zip(numbers(&photo)) {
            let expected = Some(row[column].as_str()).filter(|cell| !cell.is_empty()).map(number);
            assert_eq!(expected.is_some(), found.is_some(), "{} column {column}: {photo:?}", row[0]);
            if let (Some(expected), Some(found)) = (expected, found) {
                worst.note(found / expected - 1.0, format!("{} column {column}", row[0]));
                values += 1;
            }
        }
        for (column, found) in [(7, &photo.lens), (11, &photo.at_local), (13, &photo.camera)] {
            assert_eq!(row[column], found.clone().unwrap_or_default(), "{} column {column}", row[0]);
            values += 1;
        }
    }
    println!("{FILES} files, {values} values");
    // Its third of a stop is written in 10 digits, 1.333333 in 7.
    worst.within("relative difference from exiftool", 3e-7);
}

/// Against the crate `kamadak-exif`, where it knows the container.
#[test]
fn every_file_says_what_a_reference_crate_finds_in_it() {
    let mut worst = Worst::new();
    let mut read = 0;
    for (name, bytes) in files() {
        let mut source = std::io::Cursor::new(&bytes);
        let reference = Reader::new().continue_on_error(true).read_from_container(&mut source);
        let reference = reference.or_else(|broken| broken.distill_partial_result(|_| ()));
        let Ok(reference) = reference else { continue };
        read += 1;
        let photo = Photograph::read(&bytes);
        for (tag, found) in [
            (Tag::ExposureTime, photo.shutter_s),
            (Tag::FNumber, photo.aperture),
            (Tag::FocalLength, photo.focal_mm),
        ] {
            let Some(field) = reference.get_field(tag, In::PRIMARY) else { continue };
            let Value::Rational(values) = &field.value else { panic!("{name} {tag}") };
            let expected = Some(values[0].to_f64()).filter(|value| value.is_finite() && *value > 0.0);
            assert_eq!(expected.is_some(), found.is_some(), "{name} {tag}");
            worst.note(found.unwrap_or(1.0) / expected.unwrap_or(1.0) - 1.0, format!("{name} {tag}"));
        }
        let speed = reference.get_field(Tag::PhotographicSensitivity, In::PRIMARY);
        let speed =
            speed.and_then(|field| field.value.get_uint(0)).filter(|speed| ![0, 65_535].contains(speed));
        assert!(speed.is_none() || speed.map(f64::from) == photo.iso, "{name}");
    }
    assert!(read >= 20, "the reference read {read} files only");
    println!("{read} files read by both");
    worst.within("relative difference from the reference crate", 1e-15);
}

#[test]
fn what_cannot_be_meant_is_named() {
    for (name, expected) in [
        ("full.jpg", &[][..]),
        ("none.jpg", &[Warning::NoExif]),
        ("file-time.jpg", &[Warning::FileTime]),
        ("blank-time.jpg", &[]),
        ("odd-time.jpg", &[Warning::Bad("bad-time")]),
        ("far-place.jpg", &[Warning::Bad("bad-place")]),
        ("no-offset.jpg", &[]),
        (
            "zeros.jpg",
            &[
                Warning::Bad("bad-shutter"),
                Warning::Bad("bad-aperture"),
                Warning::Bad("bad-iso"),
                Warning::Bad("bad-focal"),
                Warning::Bad("bad-place"),
            ],
        ),
    ] {
        assert_eq!(Photograph::read(&file(name)).warnings, expected, "{name}");
    }
    assert_eq!(Photograph::read(b"").warnings, [Warning::UnknownFormat]);
}

/// By hand from the marks: 2 log₂ 11.314 − log₂ 3.175 − log₂ 2 = 7 − 1⅔ − 1.
#[test]
fn the_exposure_value_takes_the_settings_for_marks() {
    let ev = Photograph::read(&file("full.jpg")).ev().expect("an exposure").value();
    assert!((ev - 13.0 / 3.0).abs() < 1e-9, "{ev}");
    assert_eq!(Photograph::read(&file("full.jpg")).labels(), ["f/11", "3.2 s", "ISO 200"]);
    assert!(Photograph::read(&file("zeros.jpg")).ev().is_none());
}

/// Nothing may come out that is no number, or outside of what its field promises.
fn sound(photo: &Photograph) {
    assert!(numbers(photo).into_iter().flatten().all(f64::is_finite), "{photo:?}");
    let positive = [photo.shutter_s, photo.aperture, photo.iso, photo.focal_mm, photo.focal_35_mm];
    assert!(positive.into_iter().flatten().all(|value| value > 0.0), "{photo:?}");
    assert!(photo.latitude_deg.is_none_or(|degrees| degrees.abs() <= 90.0), "{photo:?}");
    assert!(photo.longitude_deg.is_none_or(|degrees| degrees.abs() <= 180.0), "{photo:?}");
    assert!(photo.offset_min.is_none_or(|minutes| minutes.abs() < 900.0), "{photo:?}");
    assert!(photo.ev().is_none_or(|ev| ev.value().is_finite()), "{photo:?}");
    assert!(photo.lens.as_ref().is_none_or(|lens| lens.chars().count() <= 80), "{photo:?}");
    if let Some(local) = &photo.at_local {
        assert!(duskbook::shoot::camera_clock::local_ms(local).is_ok(), "{local}");
    }
}

#[test]
fn every_beginning_of_every_file_is_a_record() {
    let mut beginnings = 0;
    for (name, bytes) in files() {
        let whole = Photograph::read(&bytes);
        for length in 0..bytes.len() {
            let photo = Photograph::read(&bytes[..length]);
            sound(&photo);
            // What is missing says so.
            assert!(photo == whole || !photo.warnings.is_empty(), "{name} cut to {length}");
            beginnings += 1;
        }
    }
    println!("{beginnings} beginnings of {FILES} files");
}

/// Damaged files that broke an earlier reader.
#[test]
fn what_broke_once_is_a_record() {
    let kept = fs::read_dir(folder()).expect("the files").map(|entry| entry.expect("a file").file_name());
    let broke: Vec<_> = kept.filter(|name| name.to_string_lossy().starts_with("broke-")).collect();
    assert!(!broke.is_empty());
    for name in broke {
        sound(&Photograph::read(&file(&name.to_string_lossy())));
    }
}

#[test]
fn hostile_blocks_are_records() {
    let head = |directory: u32| [b"MM\0*".as_slice(), &directory.to_be_bytes()].concat();
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        [&tag.to_be_bytes()[..], &kind.to_be_bytes(), &count.to_be_bytes(), &value.to_be_bytes()].concat()
    };
    let one =
        |tag, kind, count, value| [head(8), vec![0, 1], entry(tag, kind, count, value), vec![0; 4]].concat();
    for block in [
        // A directory beyond the end, at the end, in the head, and at the last place there is.
        head(u32::MAX),
        head(8),
        head(0),
        head(4),
        // As many entries as can be told, and none of them there.
        [head(8), vec![0xFF, 0xFF]].concat(),
        // Directories that are each other, the exposure's being the picture's own.
        one(0x8769, 4, 1, 8),
        one(0x8825, 4, 1, 8),
        // Counts and places as large as they come, and a type that is none.
        one(0x829A, 5, u32::MAX, 8),
        one(0x829A, 5, 1, u32::MAX),
        one(0x829A, 5, 1, u32::MAX - 3),
        one(0x8827, 3, u32::MAX, u32::MAX),
        one(0x0110, 2, u32::MAX, 0),
        one(0x829A, 99, 1, 1),
        one(0x829A, 0, 0, 0),
    ] {
        let photo = Photograph::read(&block);
        sound(&photo);
        for wrapped in [
            [b"\xFF\xD8\xFF\xE1\xFF\xFFExif\0\0".as_slice(), &block].concat(),
            [b"RIFF\0\0\0\0WEBPEXIF\xFF\xFF\xFF\xFF".as_slice(), &block].concat(),
            [b"\x89PNG\r\n\x1A\n\xFF\xFF\xFF\xFFeXIf".as_slice(), &block].concat(),
        ] {
            sound(&Photograph::read(&wrapped));
        }
    }
    // Boxes of no length, of a length within their own head, of lengths past all addresses; counts without entries.
    for body in [
        &b"\0\0\0\0meta"[..],
        b"\0\0\0\x04meta\0\0\0\0",
        b"\0\0\0\x01meta\0\0\0\0\0\0\0\x02",
        b"\0\0\0\x01meta\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFF",
        b"\0\0\0\0meta\0\0\0\0\0\0\0\x0Ciinf\0\0\0\0\0\0\0\x10iloc\x02\0\0\0\xFF\xFF\xFF\xFF",
    ] {
        sound(&Photograph::read(&[b"\0\0\0\x10ftypheic\0\0\0\0".as_slice(), body].concat()));
    }
}

/// Numbers that readers have tripped over.
const ODD: [u32; 10] = [0, 1, 2, 8, 0x7F, 0xFF, 0x7FFF_FFFF, 0x8000_0000, 0xFFFF_FFF8, u32::MAX];

/// One change of a file: bytes over bytes at a place, a stretch left out, or doubled.
fn changed(bytes: &mut Vec<u8>, way: u8, at: usize, number: u32) {
    if bytes.is_empty() {
        return;
    }
    let at = at % bytes.len();
    let over =
        |bytes: &mut [u8], with: &[u8]| bytes.iter_mut().zip(with).for_each(|(byte, new)| *byte = *new);
    match way % 8 {
        0 => bytes[at] ^= 1 << (number % 8),
        1 => bytes[at] = number as u8,
        2 => over(&mut bytes[at..], &(number as u16).to_be_bytes()),
        3 => over(&mut bytes[at..], &(number as u16).to_le_bytes()),
        4 => over(&mut bytes[at..], &number.to_be_bytes()),
        5 => over(&mut bytes[at..], &number.to_le_bytes()),
        6 => drop(bytes.drain(at..bytes.len().min(at + number as usize % 64))),
        _ => {
            let doubled = bytes[at..bytes.len().min(at + number as usize % 64)].to_vec();
            bytes.splice(at..at, doubled);
        }
    }
}

/// A change drawn by chance.
fn change() -> impl Strategy<Value = (u8, usize, u32)> {
    let number = prop_oneof![any::<u32>(), prop::sample::select(ODD.to_vec()), 0..2048_u32];
    (any::<u8>(), any::<usize>(), number)
}

proptest! {
    #[test]
    fn damaged_files_are_records(which in 0..FILES, changes in prop::collection::vec(change(), 1..8)) {
        thread_local!(static FOUND: Vec<(String, Vec<u8>)> = files());
        let mut bytes = FOUND.with(|found| found[which].1.clone());
        for (way, at, number) in changes {
            changed(&mut bytes, way, at, number);
        }
        sound(&Photograph::read(&bytes));
    }

    #[test]
    fn any_block_is_a_record(little in any::<bool>(), rest in prop::collection::vec(any::<u8>(), 0..300)) {
        let head: &[u8] = if little { b"II*\0\x08\0\0\0" } else { b"MM\0*\0\0\0\x08" };
        sound(&Photograph::read(&[head, &rest].concat()));
    }
}

/// Files that damage starts from, at most.
const LARGEST_CORPUS: usize = 5000;

/// For `DUSKBOOK_FUZZ_S` seconds (one, if nothing is said): files damaged over and over, those that came to something new
/// kept to be damaged again. What breaks stays in `duskbook-fuzz` of the folder for temporary files, with the corpus of a
/// long run.
#[test]
fn photographs_hold_out() {
    let seconds = std::env::var("DUSKBOOK_FUZZ_S").map_or(1.0, |text| number(&text));
    let seed = std::env::var("DUSKBOOK_FUZZ_SEED").map_or(20_310_309, |text| number(&text) as u64);
    let started = Instant::now();
    let mut state = seed;
    let mut draw = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    };
    let mut corpus: Vec<Vec<u8>> = files().into_iter().map(|(_, bytes)| bytes).collect();
    let mut seen = BTreeSet::new();
    let kept = std::env::temp_dir().join("duskbook-fuzz");
    let mut cases = 0_u64;
    while started.elapsed() < Duration::from_secs_f64(seconds) {
        for _ in 0..1000 {
            let mut bytes = corpus[draw() as usize % corpus.len()].clone();
            for _ in 0..=draw() % 6 {
                let number = if draw() % 2 == 0 {
                    ODD[draw() as usize % ODD.len()]
                } else {
                    draw() as u32 >> (draw() % 32)
                };
                changed(&mut bytes, draw() as u8, draw() as usize, number);
            }
            // A stretch of another file, now and then.
            if draw() % 8 == 0 {
                let other = &corpus[draw() as usize % corpus.len()];
                let from = draw() as usize % other.len();
                let stretch = other[from..other.len().min(from + draw() as usize % 128)].to_vec();
                let at = draw() as usize % (bytes.len() + 1);
                bytes.splice(at..at, stretch);
            }
            bytes.truncate(4096);
            cases += 1;
            let outcome = catch_unwind(AssertUnwindSafe(|| {
                let photo = Photograph::read(&bytes);
                sound(&photo);
                photo
            }));
            let Ok(photo) = outcome else {
                fs::create_dir_all(&kept).expect("a place for what broke");
                let place = kept.join(format!("broke-{seed}-{cases}.bin"));
                fs::write(&place, &bytes).expect("room for what broke");
                panic!("case {cases} of seed {seed} broke: {}", place.display());
            };
            let present = numbers(&photo).map(|value| value.is_some());
            let texts = [&photo.lens, &photo.camera, &photo.at_local].map(Option::is_some);
            let words: Vec<&str> = photo.warnings.iter().map(|warning| warning.word()).collect();
            if seen.insert((present, texts, words)) && !bytes.is_empty() && corpus.len() < LARGEST_CORPUS {
                corpus.push(bytes);
            }
        }
    }
    if seconds > 60.0 {
        fs::create_dir_all(&kept).expect("a place for the corpus");
        for (place, bytes) in corpus.iter().enumerate().skip(FILES) {
            fs::write(kept.join(format!("corpus-{place}.bin")), bytes).expect("room for the corpus");
        }
    }
    println!(
        "{cases} damaged files in {seconds} s, {} kinds of record, corpus of {}, none broke",
        seen.len(),
        corpus.len()
    );
}
