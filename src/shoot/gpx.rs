//! Spots as GPX 1.1: a waypoint each.
//!
//! ```text
//! <wpt lat="51.25" lon="-4.5"><ele>3.5</ele><name>Heron Weir</name><desc>notes</desc>
//!   <extensions><d:id>w1</d:id><d:spot>#spot?v=1&amp;name=Heron+Weir&amp;…</d:spot></extensions></wpt>
//! ```
//!
//! What every receiver knows stands in its own elements, in the order of the schema; the spot's own link
//! ([`crate::shoot::link`]) carries the rest through programs that keep extensions. The schema takes longitudes below 180° only
//! and heights as plain decimals. Characters that XML 1.0 cannot hold are left out. Reading is the browser's own; what it
//! reads goes through the same checks as a record of a backup.

use crate::decimal::written;
use crate::shoot::exchange::{SharedSpot, append};
use crate::shoot::link::Link;
use crate::sky::place::ELEVATION;

/// The file's head; the second namespace, of the two elements that are not GPX's, is a name and no address.
const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <gpx version=\"1.1\" creator=\"Duskbook\" xmlns=\"http://www.topografix.com/GPX/1/1\" xmlns:d=\"urn:duskbook:spot:1\">\n";

/// The file.
///
/// ```
/// use duskbook::shoot::gpx;
/// assert!(gpx::write(&[]).ends_with("xmlns:d=\"urn:duskbook:spot:1\">\n</gpx>\n"));
/// ```
pub fn write(spots: &[SharedSpot]) -> String {
    let mut out = String::from(HEAD);
    for shared in spots {
        let SharedSpot { id, spot, shot, unknown } = shared;
        let Some((latitude, longitude)) = shared.position() else { continue };
        let longitude = if longitude == 180.0 { -180.0 } else { longitude };
        append(&mut out, &["<wpt lat=\"", &written(latitude), "\" lon=\"", &written(longitude), "\">"]);
        if let Some(metres) = spot.elevation_m.filter(|&metres| ELEVATION.contains(metres)) {
            element(&mut out, "ele", &written(metres));
        }
        element(&mut out, "name", &spot.name);
        element(&mut out, "desc", &spot.notes);
        out.push_str("<extensions>");
        element(&mut out, "d:id", id);
        element(&mut out, "d:spot", &Link::write(spot, shot, unknown));
        out.push_str("</extensions></wpt>\n");
    }
    out.push_str("</gpx>\n");
    out
}

/// An element of text, when there is any.
#[inline(never)]
fn element(out: &mut String, tag: &str, text: &str) {
    if text.is_empty() {
        return;
    }
    append(out, &["<", tag, ">"]);
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            // A reader would make a line feed of it (XML 1.0, 2.11).
            '\r' => out.push_str("&#13;"),
            // XML 1.0, 2.2.
            '\t' | '\n' | ' '..='\u{fffd}' | '\u{10000}'.. => out.push(letter),
            _ => {}
        }
    }
    append(out, &["</", tag, ">"]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shoot::exchange::tests::{any_spot, weir};
    use proptest::prelude::*;

    #[test]
    fn a_spot_is_a_waypoint_in_the_order_of_the_schema() {
        let mut weir = weir();
        weir.spot.name = "Heron <Weir>".into();
        weir.spot.longitude_deg = Some(180.0);
        let file = write(&[weir]);
        let waypoint = file.lines().nth(2).unwrap();
        assert!(
            waypoint.starts_with(
                "<wpt lat=\"51.25\" lon=\"-180\"><ele>3.5</ele><name>Heron &lt;Weir&gt;</name><desc>Gate shut"
            ),
            "{waypoint}"
        );
        assert!(file.contains("<d:spot>#spot?v=1&amp;name=Heron+%3CWeir%3E&amp;"), "{file}");
    }

    #[test]
    fn what_xml_cannot_hold_is_left_out() {
        let mut out = String::new();
        element(&mut out, "name", "a\0b\u{8}c\u{fffe}d\u{ffff}e\r\nf\u{1f318}");
        assert_eq!(out, "<name>abcde&#13;\nf\u{1f318}</name>");
    }

    proptest! {
        #[test]
        fn no_text_opens_or_closes_an_element(spot in any_spot()) {
            let file = write(std::slice::from_ref(&spot));
            let tags = file.matches('<').count();
            let expected = if spot.position().is_some() {
                let filled = [&spot.spot.name, &spot.spot.notes, &spot.id].iter().filter(|text| !text.is_empty()).count();
                let height = spot.spot.elevation_m.is_some_and(|metres| ELEVATION.contains(metres));
                2 * (filled + usize::from(height)) + 6
            } else {
                0
            };
            // The declaration, and the file's own two.
            prop_assert_eq!(tags, expected + 3);
            let sound = file.chars().all(|c| matches!(c, '\t' | '\n' | ' '..='\u{fffd}' | '\u{10000}'..));
            prop_assert!(sound);
        }
    }
}
