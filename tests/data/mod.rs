//! The one way to read a reference table, and the tracker of worst cases.
//!
//! The files, their sources and how each was made are listed in `README.md` beside this.

use std::fmt::Display;
use std::path::Path;

/// A CSV table of `tests/data`: its rows as text, every one with the header's number of cells.
///
/// Lines that start with `#` are remarks. A bad row or another number of rows than `rows` fails the test, so a
/// cut or edited table is never taken for a good one.
pub fn table(file: &str, rows: usize) -> Vec<Vec<String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(file);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let columns = lines.next().expect("a header").split(',').count();
    let read: Vec<Vec<String>> = lines
        .enumerate()
        .map(|(i, line)| {
            let cells: Vec<String> = line.split(',').map(|cell| cell.trim().to_owned()).collect();
            assert_eq!(cells.len(), columns, "{file} row {}: {line}", i + 1);
            cells
        })
        .collect();
    assert_eq!(read.len(), rows, "{file}: number of rows");
    read
}

/// A cell as a number.
pub fn number(cell: &str) -> f64 {
    cell.parse().unwrap_or_else(|e| panic!("\"{cell}\" in a table: {e}"))
}

/// Keeps the worst of many differences with the row it came from, and prints both even when all is well.
#[derive(Debug, Default)]
pub struct Worst {
    count: usize,
    squares: f64,
    greatest: f64,
    row: String,
}

impl Worst {
    /// Nothing seen so far.
    pub const fn new() -> Self {
        Self { count: 0, squares: 0.0, greatest: 0.0, row: String::new() }
    }

    /// Takes note of one difference.
    pub fn note(&mut self, difference: f64, row: impl Display) {
        assert!(difference.is_finite(), "no number at {row}");
        self.count += 1;
        self.squares += difference * difference;
        if difference.abs() >= self.greatest.abs() {
            self.greatest = difference;
            self.row = row.to_string();
        }
    }

    /// Prints what was seen and holds it to a limit, which must have been checked on at least one row.
    pub fn within(&self, what: &str, limit: f64) {
        assert!(self.count > 0, "{what}: nothing was compared");
        let rms = (self.squares / self.count as f64).sqrt();
        println!(
            "{what}: {} compared, worst {:+.6} at {}, rms {rms:.6}, limit {limit}",
            self.count, self.greatest, self.row
        );
        assert!(self.greatest.abs() <= limit, "{what}: {:+} at {} exceeds {limit}", self.greatest, self.row);
    }
}
