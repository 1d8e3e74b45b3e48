//! Where a picture file keeps what the camera said: the Exif block of JPEG, TIFF and raw files built on it, PNG,
//! WebP, HEIF and AVIF.
//!
//! A block is a small TIFF file. JPEG has it in an APP1 segment, which lies within the first 128 KB of any usual
//! file; PNG in a chunk `eXIf` and WebP in a chunk `EXIF`, which may be the file's last; HEIF and AVIF in an item that
//! their `meta` box points to, anywhere in the file; a TIFF is the block itself and points anywhere. Whoever
//! passes the beginning of a file learns from [`Found::cut`] that more of it is needed.
//!
//! Sources: CIPA DC-008 (Exif) for JPEG, the PNG extensions' `eXIf`, the WebP container specification, ISO/IEC
//! 14496-12 and 23008-12 for boxes and items: from memory, held to files that independent programs wrote. The raw
//! layouts with boxes `CMT1`, `CMT2` and `CMT4`, and the one that wraps a JPEG, are from memory and were held to
//! made-up files only. Not read: compressed text chunks of PNG, items in several pieces.

/// What was found in a file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Found<'a> {
    /// The picture's directory; where a file keeps them apart, the exposure's and the place's.
    pub blocks: [Option<&'a [u8]>; 3],
    /// Whether the bytes end before the search was over.
    pub cut: bool,
    /// Whether the file is of a kind that is read here.
    pub known: bool,
}

/// Finds the Exif block of a picture file, whole or its beginning.
pub fn find(bytes: &[u8]) -> Found<'_> {
    let mut read = Cursor { bytes, at: 0 };
    let first = read.uint(4).unwrap_or_default();
    let second = read.uint(4);
    if first >> 16 == 0xFFD8 {
        return jpeg(bytes);
    }
    if second == Some(name(*b"ftyp")) {
        return boxed(bytes);
    }
    match &(first as u32).to_be_bytes() {
        // As TIFF has it, and as three kinds of raw file do.
        b"II*\0" | b"MM\0*" | b"IIU\0" | b"IIRO" | b"IIRS" | b"MMOR" => known(Some(bytes), false),
        b"\x89PNG" => chunks(bytes, 8, name(*b"eXIf"), false),
        b"RIFF" => chunks(bytes, 12, name(*b"EXIF"), true),
        b"FUJI" => wrapped(bytes),
        _ => Found::default(),
    }
}

/// A name of four letters as the number that it is.
fn name(letters: [u8; 4]) -> u64 {
    u32::from_be_bytes(letters).into()
}

/// The start of a block inside JPEG, and sometimes inside WebP.
const HEADER: &[u8] = b"Exif\0\0";

fn known(block: Option<&[u8]>, cut: bool) -> Found<'_> {
    Found { blocks: [block, None, None], cut, known: true }
}

/// Bytes from a place on, as many as there are; whether some are missing.
fn piece(bytes: &[u8], at: usize, length: usize) -> (&[u8], bool) {
    let end = at.saturating_add(length);
    (bytes.get(at..end.min(bytes.len())).unwrap_or_default(), end > bytes.len())
}

/// Segments one behind another up to the picture itself.
fn jpeg(bytes: &[u8]) -> Found<'_> {
    let mut read = Cursor { bytes, at: 2 };
    loop {
        let Some(0xFF) = read.uint(1) else { return known(None, read.is_over()) };
        let mut marker = 0xFF;
        while marker == 0xFF {
            let Some(next) = read.uint(1) else { return known(None, true) };
            marker = next;
        }
        match marker {
            // Marks without a length.
            0x01 | 0xD0..=0xD8 => {}
            // The picture begins, or the file ends.
            0xD9 | 0xDA => return known(None, false),
            _ => {
                let Some(length) = read.uint(2) else { return known(None, true) };
                let (segment, cut) = piece(bytes, read.at, (length as usize).saturating_sub(2));
                if let (0xE1, Some(block)) = (marker, segment.strip_prefix(HEADER)) {
                    return known(Some(block), cut);
                }
                if cut {
                    return known(None, true);
                }
                read.at += segment.len();
            }
        }
    }
}

/// Chunks one behind another: of PNG, its length first and a sum behind; or of RIFF, padded to even lengths.
fn chunks(bytes: &[u8], from: usize, wanted: u64, riff: bool) -> Found<'_> {
    let mut read = Cursor { bytes, at: from };
    while let (Some(first), Some(second)) = (read.uint(4), read.uint(4)) {
        let (kind, length, after) = if riff {
            let length = (second as u32).swap_bytes() as usize;
            (first, length, length & 1)
        } else {
            (second, first as usize, 4)
        };
        let (body, cut) = piece(bytes, read.at, length);
        if kind == wanted {
            return known(Some(body.strip_prefix(HEADER).unwrap_or(body)), cut);
        }
        if kind == name(*b"IEND") {
            return known(None, false);
        }
        read.at = read.at.saturating_add(length).saturating_add(after);
    }
    // A RIFF file ends with its last chunk, a PNG with its last mark.
    known(None, !riff || read.at != bytes.len())
}

/// Boxes one behind another, each with its name.
struct Boxes<'a> {
    read: Cursor<'a>,
    cut: bool,
}

impl<'a> Boxes<'a> {
    const fn of(bytes: &'a [u8], at: usize) -> Self {
        Self { read: Cursor { bytes, at }, cut: false }
    }

    /// The body of the first box of this name, from here on.
    fn named(&mut self, wanted: [u8; 4]) -> Option<&'a [u8]> {
        self.find(&mut |kind, _| kind == name(wanted))
    }

    fn find(&mut self, is_it: &mut dyn FnMut(u64, &[u8]) -> bool) -> Option<&'a [u8]> {
        while !self.read.is_over() {
            let start = self.read.at;
            let head = self.read.uint(4).zip(self.read.uint(4)).and_then(|(length, kind)| {
                let length = match length {
                    0 => u64::MAX,
                    1 => self.read.uint(8)?,
                    _ => length,
                };
                // A box that ends within its own head would be met for ever.
                Some((kind, length.checked_sub((self.read.at - start) as u64)?))
            });
            let Some((kind, length)) = head else {
                self.cut = true;
                return None;
            };
            let (body, cut) =
                piece(self.read.bytes, self.read.at, usize::try_from(length).unwrap_or(usize::MAX));
            let to_the_end = length > u64::from(u32::MAX) && length > u64::MAX - 64;
            self.cut |= cut && !to_the_end;
            self.read.at += body.len();
            if is_it(kind, body) {
                return Some(body);
            }
        }
        None
    }
}

/// HEIF, AVIF, and raw files in boxes.
fn boxed(bytes: &[u8]) -> Found<'_> {
    let mut top = Boxes::of(bytes, 0);
    let Some(meta) = top.named(*b"meta") else {
        return raw_boxes(bytes);
    };
    let cut = top.cut;
    // Past the version and the flags.
    let part = |name| Boxes::of(meta, 4).named(name);
    let item = part(*b"iinf").and_then(exif_item);
    let Some(place) = item.zip(part(*b"iloc")).and_then(|(item, iloc)| place_of(iloc, item)) else {
        return known(None, cut);
    };
    let within = if place.in_meta { part(*b"idat").unwrap_or_default() } else { bytes };
    let (body, beyond) = piece(within, place.at, place.length);
    // Four bytes say how far behind them the block begins.
    let mut read = Cursor { bytes: body, at: 0 };
    let skipped = read.uint(4).map_or(0, |skip| skip as usize);
    known(body.get(4_usize.saturating_add(skipped)..), cut || beyond)
}

/// The item of the kind `Exif`.
fn exif_item(iinf: &[u8]) -> Option<u64> {
    let mut read = Cursor { bytes: iinf, at: 0 };
    let version = read.uint(4)? >> 24;
    read.uint(if version == 0 { 2 } else { 4 })?;
    let mut entries = Boxes::of(iinf, read.at);
    let mut item = None;
    entries.find(&mut |_, entry| {
        let mut read = Cursor { bytes: entry, at: 0 };
        let mut told = || {
            let version = read.uint(4)? >> 24;
            let id = read.uint(if version < 3 { 2 } else { 4 })?;
            read.uint(2)?;
            Some((id, read.uint(4)?))
        };
        item = told().filter(|(_, kind)| *kind == name(*b"Exif")).map(|(id, _)| id);
        item.is_some()
    });
    item
}

/// Where an item lies.
struct Place {
    in_meta: bool,
    at: usize,
    length: usize,
}

fn place_of(iloc: &[u8], wanted: u64) -> Option<Place> {
    let mut read = Cursor { bytes: iloc, at: 0 };
    let version = read.uint(4)? >> 24;
    let sizes = read.uint(2)?;
    let size = |shift: u32| (sizes >> shift & 15) as usize;
    let wide = if version < 2 { 2 } else { 4 };
    for _ in 0..read.uint(wide)? {
        let id = read.uint(wide)?;
        let method = if version == 0 { 0 } else { read.uint(2)? & 15 };
        read.uint(2)?;
        let base = read.uint(size(4))?;
        let mut first = None;
        for _ in 0..read.uint(2)? {
            if version > 0 {
                read.uint(size(0))?;
            }
            let extent = (read.uint(size(12))?, read.uint(size(8))?);
            first = first.or(Some(extent));
        }
        if let (true, Some((offset, length))) = (id == wanted, first) {
            let at = usize::try_from(base.checked_add(offset)?).ok()?;
            return Some(Place { in_meta: method == 1, at, length: usize::try_from(length).ok()? });
        }
    }
    None
}

/// Raw files that keep the three directories in boxes of their own.
fn raw_boxes(bytes: &[u8]) -> Found<'_> {
    let mut top = Boxes::of(bytes, 0);
    let movie = top.named(*b"moov");
    let mut own = Boxes::of(movie.unwrap_or_default(), 0);
    let own = own.named(*b"uuid").unwrap_or_default();
    // Past the sixteen bytes of its name.
    let part = |name| Boxes::of(own, 16).named(name);
    Found { blocks: [part(*b"CMT1"), part(*b"CMT2"), part(*b"CMT4")], cut: top.cut, known: true }
}

/// Raw files that wrap a whole JPEG, its place told at a fixed one.
fn wrapped(bytes: &[u8]) -> Found<'_> {
    let mut read = Cursor { bytes, at: 84 };
    let Some((at, length)) = read.uint(4).zip(read.uint(4)) else { return known(None, true) };
    let (picture, cut) = piece(bytes, at as usize, length as usize);
    if picture.starts_with(&[0xFF, 0xD8]) {
        let found = jpeg(picture);
        return Found { cut: found.cut && cut, ..found };
    }
    known(None, cut)
}

/// Numbers one behind another, the high byte first.
struct Cursor<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Cursor<'_> {
    /// The next number of so many bytes, eight at most; nothing past the end.
    fn uint(&mut self, size: usize) -> Option<u64> {
        let bytes = self.bytes.get(self.at..self.at.checked_add(size)?)?;
        self.at += size;
        Some(bytes.iter().fold(0, |number, byte| number << 8 | u64::from(*byte)))
    }

    const fn is_over(&self) -> bool {
        self.at >= self.bytes.len()
    }
}
