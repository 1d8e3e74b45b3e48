//! With no signal: the server is stopped, not hidden.

use std::fs;

use anyhow::{Result, ensure};
use duskbook_packager::server::Fault;
use serde_json::json;

use crate::log::{GIVE, photograph};
use crate::stage::{Stage, on_stage};

/// Every card, and where it shows something that was worked out; the others show their own controls.
const CARDS: [(&str, &str); 20] = [
    ("evening", "#sheet-table tr[data-kind=sunset]"),
    ("evening/window", "#windows"),
    ("sky", "#sky-table"),
    ("sky/moon", "#moon-lit"),
    ("sky/skyline", "#skyline-told"),
    ("sky/year", "#found"),
    ("exposure", "#in-hand"),
    ("exposure/filters", "#through"),
    ("exposure/film", "#given"),
    ("exposure/brackets", "#bracket-frames"),
    ("exposure/timer", "#timer-told"),
    ("lens", "#covers"),
    ("lens/focus", "#focus-best"),
    ("lens/trails", "#trail"),
    ("lens/stars", "#limit"),
    ("log", ""),
    ("log/photo", ""),
    ("spot-form", ""),
    ("backup", "#held"),
    ("settings", ""),
];

const CACHES_GONE: &str = "
    const done = arguments[0];
    caches.keys().then(names => Promise.all(names.map(name => caches.delete(name)))).then(() => done(true));";

impl Stage {
    /// Goes to a card and sees that it is in front, with a number in it, and no problem told.
    async fn card_answers(&self, card: &str, shows: &str) -> Result<()> {
        self.script("location.hash = arguments[0]", vec![card.into()]).await?;
        let front = "[...document.querySelectorAll('.screen')].filter(each => !each.hidden)";
        let shown = if shows.is_empty() {
            format!("{front}[0]")
        } else {
            format!("{front}[0]?.querySelector('{shows}')")
        };
        let told = format!("({shown}?.textContent ?? '')");
        let fresh = format!("{front}.length === 1 && ({front}[0].dataset.card ??= '{card}') === '{card}'");
        let content =
            if shows.is_empty() { format!("{told}.length > 100") } else { format!("/[0-9]/.test({told})") };
        self.until_told(
            &format!("{fresh} && {content} && !{front}[0].querySelector('.problem')"),
            &format!("document.title + {told}"),
        )
        .await
    }

    /// Looks again as a page does that comes back to the front.
    async fn look_again(&self) -> Result<()> {
        self.script("window.dispatchEvent(new Event('online'))", vec![]).await?;
        Ok(())
    }
}

#[test]
fn a_restarted_browser_shows_every_card_with_the_server_stopped() {
    on_stage("offline", async |stage| {
        stage.open("").await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        stage.restart_browser().await?;
        stage.open_quay().await?;
        stage.shows_sunset("2031-06-21").await?;
        for (card, shows) in CARDS {
            stage.card_answers(card, shows).await?;
        }
        stage.until_ready_offline().await?;
        stage.asked_only_here().await
    });
}

#[test]
fn a_spot_kept_on_the_device_is_there_after_a_restart_with_no_signal() {
    on_stage("kept", async |stage| {
        stage.beforehand(
            "Object.defineProperty(navigator, 'storage', { value: { persist: async () => {
                const { dataset } = document.documentElement;
                dataset.asked = Number(dataset.asked ?? 0) + 1;
                return true;
            } } });",
        )?;
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.spot_form().await?;
        let asked = "return document.documentElement.dataset.asked ?? null";
        ensure!(
            stage.script(asked, vec![]).await?.is_null(),
            "storage is asked for before anything is worth it"
        );
        stage.keep_spot().await?;
        ensure!(stage.script(asked, vec![]).await? == "1", "storage is not asked for with the first spot");
        stage.no_signal()?;
        stage.restart_browser().await?;
        stage.open("#spot-form").await?;
        stage.until_text("#spot-list", "Cormorant Quay").await
    });
}

#[test]
fn a_first_visit_that_lost_its_signal_never_claims_to_be_ready_and_a_later_one_is() {
    on_stage("half-installed", async |stage| {
        // None of these is a file that the page itself needs before it can say how things stand.
        let (icon, script) = (stage.site.join("icons/icon-512.png"), stage.site.join("app.js"));
        let (whole, own) = (fs::read(&icon)?, fs::read_to_string(&script)?);
        // A page that stands still from its second visit on would hide a claim made on the way.
        stage.beforehand(
            "new MutationObserver(() => {
                const state = document.getElementById('offline-state');
                if (state?.textContent.includes('ready')) document.documentElement.dataset.claimed = state.textContent;
            }).observe(document, { subtree: true, childList: true });",
        )?;
        for wrong in ["missing", "truncated", "of another version", "refused", "broken off"] {
            match wrong {
                "missing" => fs::remove_file(&icon)?,
                "truncated" => fs::write(&icon, &whole[..whole.len() / 2])?,
                "of another version" => {
                    fs::write(&icon, &whole)?;
                    fs::write(&script, format!("{own}\n"))?;
                }
                "refused" => {
                    fs::write(&script, &own)?;
                    stage.spoil("/icons/icon-512.png", Some(Fault::Refusal));
                }
                _ => stage.spoil("/icons/icon-512.png", Some(Fault::BreakOff)),
            }
            stage.open("").await?;
            let told = stage.until_text("#offline-state", "the copy failed").await;
            told.map_err(|error| error.context(wrong))?;
            let claimed =
                stage.script("return document.documentElement.dataset.claimed ?? null", vec![]).await?;
            ensure!(claimed.is_null(), "{wrong}: it said {claimed}");
        }
        // The server goes in the middle of the copying.
        stage.spoil("/icons/icon-512.png", Some(Fault::Silence));
        stage.open("").await?;
        stage.until_text("#offline-state", "copying itself").await?;
        stage.until("document.querySelector('#sheet-table')").await?;
        stage.no_signal()?;
        stage.until_text("#offline-state", "the copy failed").await?;
        // When it comes back it has another version than this page's: that is copied whole, and offered. What the page starts
        // late does without its worker rather than with the other version's.
        stage.release("second")?;
        stage.signal_again()?;
        stage.look_again().await?;
        stage.until_ready_offline().await?;
        stage.until_text("#update-prompt", "new version").await?;
        stage.script("location.hash = '#log/photo'", vec![]).await?;
        stage.until("document.getElementById('photo-files')").await?;
        stage.script(GIVE, vec![json!("a.tif"), json!(photograph("2031:03:09 17:40:00"))]).await?;
        stage.until("document.querySelector('[aria-label^=\"Into the log\"]')").await?;
        stage.no_signal()?;
        stage.open_quay().await?;
        stage.until("document.documentElement.dataset.release === 'second'").await?;
        stage.until_ready_offline().await
    });
}

#[test]
fn a_copy_that_the_browser_threw_away_is_not_claimed_and_made_again() {
    on_stage("evicted", async |stage| {
        stage.open("").await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        stage.browser().execute_async(CACHES_GONE, vec![]).await?;
        stage.look_again().await?;
        stage.until_text("#offline-state", "the copy failed").await?;
        stage.signal_again()?;
        stage.look_again().await?;
        stage.until_ready_offline().await?;
        // The next start makes up for it as well.
        stage.browser().execute_async(CACHES_GONE, vec![]).await?;
        stage.open("").await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        stage.open_quay().await?;
        stage.shows_sunset("2031-06-21").await
    });
}
