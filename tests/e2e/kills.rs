//! Nothing that the page called kept is lost when the browser is killed.
//!
//! It is killed `DUSKBOOK_KILLS` times, 5 unless told: `cargo soak` asks for a hundred. A kill shows that a record had
//! left the browser's own memory; only a cut of the current would show that it had reached the disk, and for that
//! there is the transaction's strict durability.

use anyhow::{Context, Result, ensure};
use duskbook_packager::engine::Engine;
use serde_json::{Value, json};

use crate::keeping::{records, themed};
use crate::page::QUAY;
use crate::stage::{Stage, on_stage};

/// Does `WORK` on the page and answers when the page says that it is kept: where it says so, in which words.
/// Without words it answers when the page's writes are done: a setting is not spoken of.
const PROMISED: &str = "
    const [at, words, done] = arguments;
    if (!words) {
        WORK;
        const opening = indexedDB.open('duskbook');
        opening.onsuccess = () => {
            const reading = opening.result.transaction('settings');
            reading.oncomplete = () => { opening.result.close(); done(true); };
            reading.objectStore('settings').count();
        };
        return;
    }
    const said = () => document.querySelector(at)?.textContent.includes(words);
    const watch = new MutationObserver(() => { if (said()) { watch.disconnect(); done(true); } });
    watch.observe(document.body, { childList: true, subtree: true, characterData: true });
    WORK;";

impl Stage {
    async fn promised(&self, work: &str, at: &str, words: &str) -> Result<()> {
        let body = PROMISED.replace("WORK", work);
        let told = self.browser().execute_async(body, vec![json!(at), json!(words)]).await?;
        ensure!(told.json() == &json!(true), "no promise");
        Ok(())
    }
}

/// What the page promised.
#[derive(Default)]
struct Promises {
    /// Names of kept spots.
    spots: Vec<String>,
    frames: usize,
    filters: usize,
    /// The last setting, and how often one was promised.
    theme: Option<&'static str>,
    settings: usize,
}

impl Promises {
    fn made(&self) -> usize {
        self.spots.len() + self.frames + self.filters + self.settings
    }

    /// One more: a spot, a frame, a filter or a setting in turn.
    async fn make(&mut self, stage: &Stage, turn: usize) -> Result<()> {
        match turn % 4 {
            0 => {
                let name = format!("Heron Weir {turn}");
                let form = QUAY.replace("Cormorant+Quay", &name.replace(' ', "+"));
                stage.open(&form).await?;
                stage.until_text("#spot-name", &name).await?;
                stage.spot_form().await?;
                stage
                    .promised("document.getElementById('keep').click()", "#keep-state", "Kept on this device")
                    .await?;
                self.spots.push(name);
            }
            1 => {
                stage.open("#log").await?;
                stage.until("document.getElementById('log-frame')?.offsetParent").await?;
                stage
                    .promised("document.getElementById('log-frame').click()", "#log-state", "Kept in the log")
                    .await?;
                self.frames += 1;
            }
            2 => {
                stage.open("#exposure/filters").await?;
                stage.until("document.getElementById('keep-filter')").await?;
                let name = format!("ND{}", turn + 10);
                let work = format!(
                    "document.getElementById('text').value = '{name}'; document.getElementById('keep-filter').click()"
                );
                // A filter is in the bag once it is kept.
                stage.promised(&work, ".bag .chips", &name).await?;
                self.filters += 1;
            }
            _ => {
                stage.open("#settings").await?;
                stage.until("document.getElementById('hours-24')?.offsetParent").await?;
                let theme = if turn % 8 == 3 { "night" } else { "dark" };
                stage.promised(&themed(theme), "", "").await?;
                self.theme = Some(theme);
                self.settings += 1;
            }
        }
        Ok(())
    }

    /// How many are there.
    fn found(&self, everything: &Value) -> Result<usize> {
        let names: Vec<&str> =
            records(everything, "spots")?.values().filter_map(|each| each["spot"]["name"].as_str()).collect();
        let spots = self.spots.iter().filter(|name| names.contains(&name.as_str())).count();
        let frames = records(everything, "frames")?.len().min(self.frames);
        let filters = records(everything, "filters")?.len().min(self.filters);
        let set = self.theme.is_none_or(|theme| everything["settings"]["choices"]["theme"] == theme);
        Ok(spots + frames + filters + if set { self.settings } else { self.settings.saturating_sub(1) })
    }
}

#[test]
fn what_the_page_called_kept_outlives_a_kill() {
    on_stage("kills", async |stage| {
        if stage.engine == Engine::WebKit {
            println!("webkit: left out, its driver keeps no profile");
            return Ok(());
        }
        let kills = std::env::var("DUSKBOOK_KILLS").map_or(Ok(5), |text| text.parse())?;
        let mut promises = Promises::default();
        let (mut lost, mut processes) = (0, 0);
        for turn in 0..kills {
            promises.make(stage, turn).await?;
            processes += stage.kill_browser().await?;
            stage.open_aside().await?;
            let found = promises.found(&stage.whole_store().await?)?;
            if found < promises.made() {
                lost += 1;
                println!("{}: kill {turn}: {found} of {}", stage.engine.name(), promises.made());
            }
        }
        let found = promises.found(&stage.whole_store().await?)?;
        println!(
            "{}: {kills} kills of {processes} processes in all; promised {} ({} spots, {} frames, {} filters, {} settings), found {found}, kills that lost something: {lost}",
            stage.engine.name(),
            promises.made(),
            promises.spots.len(),
            promises.frames,
            promises.filters,
            promises.settings
        );
        ensure!(processes > kills, "nothing was killed");
        ensure!(lost == 0 && found == promises.made(), "{lost} lost");
        // And the page shows them.
        stage.open("#spot-form").await?;
        stage.until_text("#spot-list", promises.spots.last().context("no spot")?).await
    });
}
