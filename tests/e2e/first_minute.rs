//! The first minute of someone who has no manual: a finished evening at an invented spot, every card by what can be
//! seen and touched, and the example made into a spot of one's own.

use anyhow::{Context, Result, ensure};
use serde_json::json;
use thirtyfour::By;

use crate::stage::{Stage, on_stage};

/// Every card with the touches that lead there from anywhere: a word at the foot, then links of the screen.
const WAYS: [(&str, &[&str]); 20] = [
    ("Evening", &["#nav a[href='#evening']"]),
    ("When it fits", &["#nav a[href='#evening']", "#to-window"]),
    ("Sky", &["#nav a[href='#sky']"]),
    ("Moon", &["#nav a[href='#sky']", ".cards a[href='#sky/moon']"]),
    ("Skyline", &["#nav a[href='#sky']", ".cards a[href='#sky/skyline']"]),
    ("Year", &["#nav a[href='#sky']", ".cards a[href='#sky/year']"]),
    ("Exposure", &["#nav a[href='#exposure']"]),
    ("Filters", &["#nav a[href='#exposure']", ".cards a[href='#exposure/filters']"]),
    ("Film", &["#nav a[href='#exposure']", ".cards a[href='#exposure/film']"]),
    ("Brackets", &["#nav a[href='#exposure']", ".cards a[href='#exposure/brackets']"]),
    ("Timer", &["#nav a[href='#exposure']", ".cards a[href='#exposure/timer']"]),
    ("Lens", &["#nav a[href='#lens']"]),
    ("Focus", &["#nav a[href='#lens']", ".cards a[href='#lens/focus']"]),
    ("Trails", &["#nav a[href='#lens']", ".cards a[href='#lens/trails']"]),
    ("Stars", &["#nav a[href='#lens']", ".cards a[href='#lens/stars']"]),
    ("Log", &["#nav a[href='#log']"]),
    ("Photographs", &["#nav a[href='#log']", ".cards a[href='#log/photo']"]),
    ("Settings", &["#nav a[href='#settings']"]),
    ("Keep and share", &["#nav a[href='#settings']", "#other-cards a[href='#backup']"]),
    ("Spot", &[".head-spot"]),
];

impl Stage {
    /// Touches the first of these that is in sight.
    async fn touch(&self, selector: &str) -> Result<()> {
        for each in self.browser().find_all(By::Css(selector)).await? {
            if each.is_displayed().await? {
                each.scroll_into_view().await?;
                return each.click().await.with_context(|| format!("{selector} cannot be touched"));
            }
        }
        anyhow::bail!("nothing in sight at {selector}")
    }

    async fn in_front(&self, card: &str) -> Result<()> {
        let told = "document.querySelector('.screen:not([hidden])')?.ariaLabel";
        self.until_told(&format!("{told} === {}", json!(card)), told).await
    }
}

#[test]
fn every_card_is_found_by_what_is_in_sight_and_says_what_it_answers() {
    on_stage("ways", async |stage| {
        stage.open("").await?;
        stage.in_front("Evening").await?;
        for (card, touches) in WAYS {
            for touch in touches {
                stage.touch(touch).await?;
            }
            stage.in_front(card).await?;
            // Its help is folded; it opens by a touch and holds all five parts.
            let help = ".screen:not([hidden]) > .help";
            stage.touch(&format!("{help} > summary")).await?;
            stage.until(&format!("document.querySelector('{help}').open")).await?;
            let parts = format!(
                "return [...document.querySelectorAll('{help} dd')].filter(dd => dd.textContent.length > 8 && dd.checkVisibility?.() !== false).length"
            );
            let parts = stage.script(&parts, vec![]).await?;
            ensure!(parts == json!(5), "the help of {card} shows {parts} parts");
        }
        // And by the words at the end of the page, from the first card.
        let listed = "return [...document.querySelectorAll('#other-cards a')].map(a => a.hash)";
        let listed: Vec<String> = serde_json::from_value(stage.script(listed, vec![]).await?)?;
        ensure!(listed.len() == 15, "{listed:?}");
        for hash in listed {
            stage.touch("#nav a[href='#evening']").await?;
            stage.in_front("Evening").await?;
            stage.touch(&format!("#other-cards a[href='{hash}']")).await?;
            stage.until(&format!("location.hash === '{hash}'")).await?;
            stage
                .until("document.querySelector('.screen:not([hidden])')?.ariaLabel !== 'Evening' && document.querySelectorAll('#nav [aria-current=page]').length === 1")
                .await?;
        }
        Ok(())
    });
}

#[test]
fn the_example_says_that_it_is_one_and_becomes_a_spot_of_ones_own() {
    on_stage("own", async |stage| {
        stage.open("").await?;
        stage.until_text("#spot-told", "an example").await?;
        stage.until_text(".example", "An invented spot").await?;
        stage.until("document.querySelectorAll('#sheet-table tr[data-kind=dial]').length > 5").await?;
        // Another date, and its evening.
        let words = stage.text(".screen-evening .date-words span").await?;
        stage.touch(".screen-evening .date-turner button:last-of-type").await?;
        stage
            .until(&format!(
                "document.querySelector('.screen-evening .date-words span').textContent !== {}",
                json!(words)
            ))
            .await?;
        stage.touch(".example a").await?;
        stage.in_front("Spot").await?;
        for (id, value) in [
            ("name", "Dunlin Stage"),
            ("latitudeDeg", "51,25"),
            ("longitudeDeg", "3.5"),
            ("bearingDeg", "301"),
            ("focalMm", "35"),
        ] {
            stage.fill(id, value).await?;
        }
        stage.script("document.getElementById('format').value = '23.5x15.6'; document.getElementById('format').dispatchEvent(new Event('change'))", vec![]).await?;
        stage.keep_spot().await?;
        let address = stage.script("return document.getElementById('spot-link').href", vec![]).await?;
        let address = address.as_str().context("an address")?;
        for part in ["name=Dunlin", "lat=51.25", "lon=-3.5", "bearing=301", "format=23.5x15.6", "focal=35"] {
            ensure!(address.contains(part), "{part} is not in {address}");
        }
        stage.touch("#nav a[href='#evening']").await?;
        stage.in_front("Evening").await?;
        for _ in 0..2 {
            stage.until_text("#spot-name", "Dunlin Stage").await?;
            stage.until_text("#spot-told", "301°").await?;
            stage.until("document.querySelector('.example').hidden").await?;
            let told = stage.text("#spot-told").await?;
            ensure!(!told.contains("example"), "{told}");
            stage.until_written().await?;
            stage.open("").await?;
        }
        Ok(())
    });
}
