//! The exposure desk: the table as the control, the reader's own filters, film and brackets, each at its address.

use anyhow::{Result, ensure};
use duskbook_packager::engine::Engine;
use thirtyfour::By;

use crate::page::QUAY;
use crate::stage::{Stage, on_stage};

impl Stage {
    /// Opens the page and goes to a card by its address.
    async fn open_card(&self, card: &str) -> Result<()> {
        self.open(card).await?;
        self.until(&format!("document.querySelector('.cards [aria-current=page]')?.hash === '{card}'")).await
    }

    /// Turns a dial to the mark of a label.
    async fn dial(&self, id: &str, label: &str) -> Result<()> {
        let body = "const dial = document.getElementById(arguments[0]);
            dial.value = arguments[1];
            dial.dispatchEvent(new Event('change'));
            return dial.value";
        let stands = self.script(body, vec![id.into(), label.into()]).await?;
        ensure!(stands == label, "{id} has no mark {label}");
        Ok(())
    }

    /// Taps what a selector finds, as a thumb does.
    async fn tap(&self, selector: &str) -> Result<()> {
        let found = self.browser().find(By::Css(selector)).await?;
        self.script("arguments[0].scrollIntoView({ block: 'center' })", vec![found.to_json()?]).await?;
        found.click().await?;
        Ok(())
    }

    /// Opens every fold of the page.
    async fn unfold(&self) -> Result<()> {
        self.script("document.querySelectorAll('details').forEach(d => { d.open = true; })", vec![]).await?;
        Ok(())
    }

    /// Puts a filter into the bag by one of its engravings.
    async fn own_filter(&self, unit: &str, engraving: &str) -> Result<()> {
        self.tap(&format!("#unit-{unit}")).await?;
        self.dial("strength", engraving).await?;
        self.tap("#keep-filter").await?;
        self.until_text(".chips", engraving).await
    }
}

/// By hand: from f/8 at 1/60 each stop of aperture is a stop of time or of ISO.
#[test]
fn a_tap_takes_a_row_and_another_holds_another_dial() {
    on_stage("equivalents", async |stage| {
        stage.open("").await?;
        stage.until("document.querySelector('#sheet-table')").await?;
        stage.screen("Exposure").await?;
        stage.until_text("#in-hand", "f/8").await?;
        stage.until_text("#in-hand", "1/60 s").await?;

        stage.tap(".setting:has([value='f/16'])").await?;
        stage.until_text("#in-hand", "1/15 s").await?;
        stage.tap("#in-hand label:has([value=shutter])").await?;
        stage.tap(".setting:has([value='f/22'])").await?;
        stage.until_text("#in-hand", "f/22").await?;
        let held = stage.text("#in-hand").await?;
        ensure!(
            held.contains("1/15 s") && held.contains("200"),
            "the time stays and the ISO follows: {held}"
        );

        stage.tap("#in-hand label:has([value=iso])").await?;
        stage.tap("#stays-on").await?;
        let next = stage.text("#in-hand").await?;
        ensure!(
            next.contains("f/22") && next.contains("1/20 s"),
            "a third more speed, a third less time: {next}"
        );
        stage.until_text("#brightness", "EV 12.0").await?;
        stage.until_text("#brightness", "K = 12.5").await?;
        stage.until_text("#brightness", "C = 250").await
    });
}

/// 15 s at f/8 is 60 s at f/16 by two stops; marks are exact, so it is 16 s and 64 s.
#[test]
fn a_metered_long_time_leads_on_to_the_timer() {
    on_stage("metered", async |stage| {
        stage.open_card("#exposure").await?;
        stage.unfold().await?;
        stage.dial("metered-time", "15 s").await?;
        stage.until_text("#metered", "15 s").await?;
        stage
            .until(
                "document.querySelector('.setting:has([value=\"f/16\"]) a')?.hash === '#exposure/timer?s=64'",
            )
            .await?;
        let short =
            stage.script("return document.querySelector('.setting:has([value=\"f/11\"]) a')", vec![]).await?;
        ensure!(short.is_null(), "30 s needs no timer");
        // What was metered belongs to this sitting: a reload has it still.
        stage.open_card("#exposure").await?;
        stage.until_text("#metered", "15 s").await
    });
}

/// By the definitions of factor and density: 1/30 s × 1000 is 33.3 s (exactly 31.25 s from the mark 1/32), a density of 0.9 is 2.99 stops.
#[test]
fn filters_are_kept_and_stacked_by_tapping() {
    on_stage("filters", async |stage| {
        stage.open_card("#exposure/filters").await?;
        stage.own_filter("factor", "ND1000").await?;
        stage.own_filter("density", "ND 0.9").await?;
        stage.open_card("#exposure/filters").await?;
        stage.until_text(".chips", "ND1000").await?;

        stage.dial("baseS", "1/30 s").await?;
        stage.tap(".chip:has(b)").await?;
        stage.until_text("#through", "30 s").await?;
        stage.until_text("#through-notes", "exactly 31.3 s").await?;
        stage.tap(".chip:nth-child(2)").await?;
        stage.until_text("#through", "4 min 8 s").await?;
        stage.until_text("#through-notes", "12.96 stops").await?;
        stage
            .until("document.querySelector('.outcome .time-this')?.hash.startsWith('#exposure/timer?s=248')")
            .await?;

        stage.unfold().await?;
        stage.dial("wantedS", "30 s").await?;
        stage.until_text("#filter-needed-notes", "From your bag: ND1000").await?;
        stage.tap("#put-on").await?;
        stage.until("document.querySelectorAll('.chip :checked').length === 1").await
    });
}

#[test]
fn what_cannot_be_is_said_beside_its_field() {
    on_stage("refused", async |stage| {
        stage.open_card("#exposure/filters").await?;
        stage.unfold().await?;
        stage.fill("text", "16").await?;
        stage.tap("#keep-filter").await?;
        stage.complains("text", &["16", "ND8"]).await?;
        stage.dial("baseS", "1 s").await?;
        stage.dial("wantedS", "1/60 s").await?;
        stage.until_text("#wantedS-error", "stops longer").await?;

        stage.open_card("#exposure/film").await?;
        stage.dial("sheet", "").await?;
        stage.fill("exponent", "3").await?;
        stage.complains("exponent", &["3", "2"]).await?;
        stage.fill("exponent", "one").await?;
        stage.complains("exponent", &["number"]).await?;

        stage.open_card("#exposure/brackets").await?;
        stage.dial("highlightEv", "−3").await?;
        stage.until_text("#highlightEv-error", "40").await
    });
}

/// The maker's own example is 10 s to 20.4 s; the T-MAX sheet ends at 100 s.
#[test]
fn a_film_s_sheet_is_followed_and_its_end_is_said() {
    on_stage("film", async |stage| {
        stage.open_card("#exposure/film").await?;
        stage.dial("sheet", "hp5-plus").await?;
        stage.dial("meteredS", "10 s").await?;
        // The mark is 10.08 s.
        stage.until_text("#given-notes", "20.6 s").await?;
        stage.dial("sheet", "t-max-100").await?;
        stage.dial("meteredS", "2 min").await?;
        stage.until_text("#given-notes", "This sheet stops at 1 min 40 s").await?;
        stage.dial("meteredS", "1 min 30 s").await?;
        stage.until("!document.querySelector('#given-notes').textContent.includes('stops at')").await
    });
}

/// Scene 15, sensor 12, step 2: three frames (the counting rule, common practice).
#[test]
fn a_bracket_tells_its_frames_and_keeps_the_aperture() {
    on_stage("brackets", async |stage| {
        stage.open_card("#exposure/brackets").await?;
        stage.until_text("#bracket-frames", "3 frames").await?;
        stage.until_text("#bracket-frames-notes", "Lamps").await?;
        stage.until("document.querySelectorAll('#frames-table tbody tr').length === 3").await?;
        stage.unfold().await?;
        stage.dial("bracket-aperture", "f/11").await?;
        stage.until("[...document.querySelectorAll('#frames-table th small')].every(s => s.textContent.includes('f/11'))").await?;
        stage.dial("sensorStops", "15").await?;
        stage.until_text("#bracket-frames", "1 frame").await
    });
}

#[test]
fn the_desks_fit_a_narrow_phone_and_a_thumb() {
    on_stage("desk-narrow", async |stage| {
        stage.browser().set_window_rect(0, 0, 320, 640).await?;
        stage.open(QUAY).await?;
        stage.until("document.querySelector('#sheet-table')").await?;
        // Dates of another year are long.
        stage.script("location.hash = '#sky/moon?date=2030-12-20'", vec![]).await?;
        stage.until("document.querySelector('.screen-moon')?.offsetParent").await?;
        // The others' windows stop at 500 and 447 px.
        if stage.engine == Engine::Chromium {
            stage.until("innerWidth <= 320").await?;
        }
        for card in [
            "#exposure",
            "#exposure/filters",
            "#exposure/film",
            "#exposure/brackets",
            "#lens",
            "#lens/focus",
            "#sky/moon",
            "#sky/skyline",
            "#sky/year",
        ] {
            stage.script("location.hash = arguments[0]", vec![card.into()]).await?;
            stage.until(&format!("document.querySelector('.screen:not([hidden]) .cards [aria-current=page]')?.hash === '{card}'")).await?;
            stage.unfold().await?;
            stage.until("document.documentElement.scrollWidth <= innerWidth").await?;
            // Whatever is tapped is 48 px each way, the invisible control together with its label.
            let small = stage.script(
                "return [...document.querySelectorAll('.screen:not([hidden]) :is(a, button, select, summary, label:not(.choice-item):has(input), .choice)')]
                    .map(e => [e, e.getBoundingClientRect()])
                    .filter(([, box]) => box.width && (box.width < 47.5 || box.height < 47.5))
                    .map(([e, box]) => `${e.outerHTML.slice(0, 80)} ${box.width}×${box.height}`)",
                vec![],
            ).await?;
            ensure!(small.as_array().is_some_and(Vec::is_empty), "{card}: {small:#}");
        }
        Ok(())
    });
}
