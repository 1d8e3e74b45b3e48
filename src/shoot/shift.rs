//! What changed on a run sheet since the last reading.

use super::row::{Kind, Row};
use super::run_sheet::{Plan, RunSheet};
use crate::error::Result;
use crate::units::{Instant, Stops};

/// How one reading moved a sheet. A move is in seconds, positive when a thing comes later than was thought before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// When the reading was taken.
    pub at: Instant,
    /// How much brighter the forecast is for that moment; negative when darker.
    pub light: Stops,
    /// By how much the balance of sky and lamps moved; none where either sheet has none.
    pub balance_s: Option<f64>,
    /// By how much the first dial row after the reading moved that stands for the same brightness on both sheets.
    pub next_row_s: Option<f64>,
    /// By how much the end of the useful light moved, in a morning its beginning.
    pub border_s: Option<f64>,
}

impl Shift {
    /// By the last reading of a plan, whose sheet is given; none before the first.
    ///
    /// # Errors
    /// As [`RunSheet::new`].
    pub fn since_last_reading(plan: &Plan, sheet: &RunSheet) -> Result<Option<Self>> {
        let later = |a: &usize, b: &usize| {
            plan.readings[*a].at.epoch_ms().total_cmp(&plan.readings[*b].at.epoch_ms())
        };
        let Some(last) = (0..plan.readings.len()).max_by(later) else { return Ok(None) };
        let mut before = plan.clone();
        let at = before.readings.remove(last).at;
        Ok(Some(Self::between(&RunSheet::new(&before)?, sheet, at)))
    }

    /// Between two sheets of one evening, by a reading at a moment.
    fn between(before: &RunSheet, after: &RunSheet, at: Instant) -> Self {
        let border = |sheet: &RunSheet| {
            let is_border = |row: &&Row| matches!(row.kind, Kind::LightEnds | Kind::LightBegins);
            sheet.rows.iter().find(is_border).map(|row| row.at)
        };
        let next_row_s =
            after.rows.iter().filter(|row| row.kind == Kind::Dial && row.at > at).find_map(|row| {
                // A level may be passed twice, there and back; the nearest passage is the same one.
                let alike =
                    before.rows.iter().filter(|old| old.kind == Kind::Dial && old.light.ev == row.light.ev);
                let apart = |old: &Row| row.at.seconds_after(old.at);
                alike.map(apart).min_by(|a, b| a.abs().total_cmp(&b.abs()))
            });
        Self {
            at,
            light: after.light.at(at).ev - before.light.at(at).ev,
            balance_s: before.balance.zip(after.balance).map(|(old, new)| new.at.seconds_after(old.at)),
            next_row_s,
            border_s: border(before).zip(border(after)).map(|(old, new)| new.seconds_after(old)),
        }
    }
}
