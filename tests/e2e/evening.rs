//! The evening at a spot: the right sunset, a run sheet, the theme, and nothing asked of anyone else.

use anyhow::{Result, ensure};
use chrono::NaiveDate;
use thirtyfour::By;

use crate::page::{QUAY_AT, minutes};
use crate::stage::{Stage, on_stage};
use crate::sunset::sunset;

/// Where the tables of the evening and the sky keep the sunset.
const SHEET_SUNSET: &str = "#sheet-table tr[data-kind=sunset] td";

impl Stage {
    /// Checks the sunset on the run sheet of a date at the quay against the reference, to the minute shown.
    pub async fn shows_sunset(&self, date: &str) -> Result<()> {
        self.script("location.hash = `#evening?date=${arguments[0]}`", vec![date.into()]).await?;
        self.until(&format!("document.getElementById('date')?.value === '{date}'")).await?;
        self.until(&format!("document.querySelector('{SHEET_SUNSET}')")).await?;
        let shown = self.text(SHEET_SUNSET).await?;
        let expected = sunset(QUAY_AT, chrono_tz::Europe::London, date.parse::<NaiveDate>()?);
        // Half a minute of rounding, a second of ephemeris.
        let apart = (minutes(&shown)? as f64 - expected).abs();
        ensure!(apart < 0.52, "{date}: {shown} is shown, {expected:.2} minutes after midnight expected");
        Ok(())
    }
}

#[test]
fn a_spots_address_opens_its_evening_with_the_right_sunset() {
    on_stage("sunset", async |stage| {
        stage.open_quay().await?;
        stage.shows_sunset("2031-03-09").await?;
        // The clocks change in that night: the hour must be the one on the wall.
        stage.shows_sunset("2031-03-30").await?;
        stage.shows_sunset("2031-10-26").await?;
        stage.asked_only_here().await
    });
}

#[test]
fn the_run_sheet_dials_half_stops_until_the_light_ends() {
    on_stage("run-sheet", async |stage| {
        stage.open_quay().await?;
        stage.shows_sunset("2031-03-09").await?;
        let kinds = stage
            .script("return [...document.querySelectorAll('#sheet-table tr[data-kind]')].map(r => r.dataset.kind)", vec![])
            .await?;
        let kinds: Vec<String> = serde_json::from_value(kinds)?;
        for kind in ["be-there", "skyline", "sunset", "civil", "nautical"] {
            ensure!(kinds.iter().filter(|k| *k == kind).count() == 1, "{kind} is not once among {kinds:?}");
        }
        ensure!(kinds.iter().filter(|k| *k == "dial").count() >= 10, "few settings: {kinds:?}");
        let dial = stage.text("#sheet-table tr[data-kind=dial] td:nth-of-type(2)").await?;
        ensure!(dial.contains("f/") && dial.contains("ISO "), "no setting: {dial}");
        let next = stage.text("#next").await?;
        ensure!(!next.is_empty(), "nothing is said of what comes next");
        Ok(())
    });
}

#[test]
fn a_first_visit_shows_a_finished_evening_marked_as_an_example() {
    on_stage("first-visit", async |stage| {
        stage.open("").await?;
        stage.until_text("#spot-told", "example").await?;
        stage.until("document.querySelectorAll('#sheet-table tr[data-kind=dial]').length > 5").await?;
        stage.asked_only_here().await
    });
}

#[test]
fn a_chosen_theme_is_worn_at_once_and_after_a_reload() {
    on_stage("theme", async |stage| {
        stage.open("").await?;
        stage.until("document.querySelector('#sheet-table')").await?;
        for theme in ["day", "dark", "night"] {
            let option = format!("#theme option[value={theme}]");
            stage.browser().find(By::Css(option)).await?.click().await?;
            stage.until(&format!("document.documentElement.dataset.theme === '{theme}'")).await?;
            stage.until_written().await?;
            stage.open("").await?;
            stage.until(&format!("document.documentElement.dataset.theme === '{theme}'")).await?;
            stage.until(&format!("document.getElementById('theme').value === '{theme}'")).await?;
        }
        Ok(())
    });
}
