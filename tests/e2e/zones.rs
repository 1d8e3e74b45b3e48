//! Zones from outside the project: `chrono-tz`, which carries the IANA table itself.

use anyhow::{Context, Result};
use chrono::{DateTime, Offset, TimeZone};
use chrono_tz::{TZ_VARIANTS, Tz};
use serde_json::{Value, json};

/// The years compared: before 2007 some zones' records differ between editions, after 2025 editions differ.
const FROM_MS: i64 = 1_167_609_600_000;
const TO_MS: i64 = 1_767_225_600_000;
const DAY_MS: i64 = 86_400_000;

/// Zones whose past was corrected after the crate's edition, 2025b, and from when: Moldova changes its clocks at the
/// European Union's hour since 2022. PyPI `tzdata` 2026.6, edition 2026f, has it as browsers do.
const CORRECTED: [&str; 2] = ["Europe/Chisinau", "Europe/Tiraspol"];
const CORRECTED_FROM_MS: i64 = 1_640_995_200_000;

/// The comparing function, as the page and Node are given it.
pub const DIFFERENCES: &str = include_str!("zones.js");

/// Every zone with moments on both sides of each of its changes and one a month between, and its offsets then.
pub fn table() -> Result<Vec<Value>> {
    TZ_VARIANTS.iter().map(|zone| of(*zone)).collect()
}

fn of(zone: Tz) -> Result<Value> {
    let offset = |at: i64| -> Result<i32> {
        let at = DateTime::from_timestamp_millis(at).context("a moment")?;
        Ok(zone.offset_from_utc_datetime(&at.naive_utc()).fix().local_minus_utc())
    };
    let mut moments = Vec::new();
    let to = if CORRECTED.contains(&zone.name()) { CORRECTED_FROM_MS } else { TO_MS };
    for day in (FROM_MS..to).step_by(DAY_MS as usize) {
        if (day / DAY_MS) % 30 == 0 {
            moments.push(day);
        }
        // Two changes within one day would hide each other; none of these years has them.
        let (mut before, mut after) = (day, day + DAY_MS);
        if offset(before)? == offset(after)? {
            continue;
        }
        while after - before > 1000 {
            let middle = before + (after - before) / 2000 * 1000;
            if offset(middle)? == offset(before)? { before = middle } else { after = middle }
        }
        moments.extend([before, after]);
    }
    let offsets: Vec<i32> = moments.iter().map(|at| offset(*at)).collect::<Result<_>>()?;
    Ok(json!({ "zone": zone.name(), "atMs": moments, "offsetS": offsets }))
}
