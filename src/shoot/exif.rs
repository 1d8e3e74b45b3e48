//! Reading one directory of a TIFF block: its entries by their tags, their values as numbers and texts.
//!
//! A block says its byte order, then where its first directory lies; a directory is a count and so many entries of
//! twelve bytes: tag, type, count, and the value or its place. Only the directory that is asked for is looked at, and
//! chains of directories are never followed, so that a block which points in circles is read like any other. Places
//! beyond the block's end are noted. Source: TIFF 6.0 and CIPA DC-008, from memory, held to files that
//! independent programs wrote.

use std::cell::Cell;

/// A TIFF block.
pub struct Block<'a> {
    bytes: &'a [u8],
    little: bool,
    beyond: Cell<bool>,
}

/// Where a directory lies in its block.
#[derive(Debug, Clone, Copy)]
pub struct Directory {
    at: usize,
}

/// A value of a directory, not yet read.
#[derive(Debug, Clone, Copy)]
pub struct Entry {
    kind: u32,
    count: usize,
    at: usize,
}

impl<'a> Block<'a> {
    /// A block by its first two bytes; `None` when they say no byte order.
    pub fn of(bytes: &'a [u8]) -> Option<Self> {
        let little = match bytes {
            [b'I', b'I', ..] => true,
            [b'M', b'M', ..] => false,
            _ => return None,
        };
        Some(Self { bytes, little, beyond: Cell::new(false) })
    }

    /// Whether something that was asked for lies beyond the end.
    pub fn is_beyond(&self) -> bool {
        self.beyond.get()
    }

    /// Its first directory.
    pub fn first(&self) -> Option<Directory> {
        self.directory(self.uint(4, 4)? as usize)
    }

    /// The directory that an entry points to.
    pub fn pointed(&self, entry: Option<Entry>) -> Option<Directory> {
        self.directory(self.number(entry?, 0)? as usize)
    }

    fn directory(&self, at: usize) -> Option<Directory> {
        self.uint(at, 2).map(|_| Directory { at })
    }

    /// The entry of a tag, the first if there are several.
    pub fn entry(&self, directory: Option<Directory>, tag: u16) -> Option<Entry> {
        let at = directory?.at;
        for index in 0..self.uint(at, 2)? as usize {
            let entry = at + 2 + 12 * index;
            if self.uint(entry, 2)? == u32::from(tag) {
                let kind = self.uint(entry + 2, 2)?;
                let count = self.uint(entry + 4, 4)? as usize;
                let is_here = count.saturating_mul(size(kind)) <= 4;
                let at = if is_here { entry + 8 } else { self.uint(entry + 8, 4)? as usize };
                return Some(Entry { kind, count, at });
            }
        }
        None
    }

    /// One of an entry's numbers; `None` for none of that place, for one over zero, and for what is no number.
    pub fn number(&self, entry: Entry, index: usize) -> Option<f64> {
        if index >= entry.count {
            return None;
        }
        let at = entry.at.checked_add(index.checked_mul(size(entry.kind))?)?;
        let signed = |word: u32| if entry.kind > 5 { f64::from(word as i32) } else { f64::from(word) };
        match entry.kind {
            1 | 7 => self.uint(at, 1).map(f64::from),
            3 => self.uint(at, 2).map(f64::from),
            4 | 13 => self.uint(at, 4).map(f64::from),
            9 => self.uint(at, 4).map(signed),
            5 | 10 => {
                let over = signed(self.uint(at.checked_add(4)?, 4)?);
                let value = signed(self.uint(at, 4)?) / over;
                (over != 0.0).then_some(value)
            }
            _ => None,
        }
    }

    /// An entry's text, up to its first zero byte or other mark that is no letter, without blanks around it; empty when there
    /// is none.
    pub fn text(&self, entry: Option<Entry>) -> String {
        /// Longer ones are nobody's lens.
        const MOST: usize = 80;
        let Some(entry) = entry.filter(|entry| matches!(entry.kind, 2 | 7 | 129)) else {
            return String::new();
        };
        let end = entry.at.saturating_add(entry.count.min(MOST));
        let bytes = self.bytes.get(entry.at..end).unwrap_or_else(|| {
            self.beyond.set(true);
            &[]
        });
        // What is not UTF-8, and what follows it, is left out, as is whatever cannot be printed.
        let valid = str::from_utf8(bytes).map_or_else(|broken| broken.valid_up_to(), str::len);
        let text = bytes.get(..valid).and_then(|bytes| str::from_utf8(bytes).ok()).unwrap_or_default();
        let printed: String = text.chars().take_while(|letter| !letter.is_control()).collect();
        printed.trim().to_owned()
    }

    /// An unsigned number of one, two or four bytes.
    fn uint(&self, at: usize, length: usize) -> Option<u32> {
        let bytes = at.checked_add(length).and_then(|end| self.bytes.get(at..end));
        if bytes.is_none() {
            self.beyond.set(true);
        }
        let join = |number: u32, byte: &u8| number << 8 | u32::from(*byte);
        bytes.map(
            |bytes| {
                if self.little { bytes.iter().rev().fold(0, join) } else { bytes.iter().fold(0, join) }
            },
        )
    }
}

/// Bytes that one value of a type takes.
const fn size(kind: u32) -> usize {
    match kind {
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 => 8,
        _ => 1,
    }
}
