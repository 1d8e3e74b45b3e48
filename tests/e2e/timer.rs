//! The timer against the wall clock: seen, hidden, slowed, reloaded, killed and asleep.
//!
//! `DUSKBOOK_TIMER_S` lengthens the run through all of these from half a minute: `cargo soak` asks for half an hour.

use std::time::{Duration, SystemTime, UNIX_EPOCH};

use anyhow::{Context, Result, ensure};
use duskbook_packager::engine::Engine;
use serde::Deserialize;
use serde_json::{Value, json};

use crate::stage::{Stage, on_stage};

/// How far the remainder shown may be from the clock's, seconds.
const SHOWN_WITHIN_S: f64 = 0.2;
/// How late the cue may be on a hidden page that runs, and on one that wakes, seconds.
const CUED_WITHIN_S: f64 = 1.1;

/// Watches the page from within: how far the remainder shown strays from the end it is told, whether the page was
/// ever hidden, and when the cue came. A look that comes late itself, though due every 37 ms, tells that the
/// machine ran nothing of the page: those are counted apart.
const WATCH: &str = "
    const endMs = arguments[0];
    const seen = { worst_s: 0, looks: 0, held_up: 0, worst_held_up_s: 0, was_hidden: document.hidden, cue_late_s: null, cue_hidden: null };
    window.seen = seen;
    const count = document.getElementById('timer-count');
    const cue = document.getElementById('timer-cue');
    const seconds = text => text.split(':').reduce((sum, part) => sum * 60 + Number(part), 0);
    let lookedMs = performance.now();
    setInterval(() => {
        const sinceMs = performance.now() - lookedMs;
        lookedMs += sinceMs;
        if (document.hidden || cue.open || !count.offsetParent) return;
        const left = Math.max(0, endMs - Date.now()) / 1000;
        const off = Math.abs(seconds(count.textContent) - left);
        if (sinceMs > 150) {
            seen.held_up += 1;
            seen.worst_held_up_s = Math.max(seen.worst_held_up_s, off);
        } else {
            seen.looks += 1;
            seen.worst_s = Math.max(seen.worst_s, off);
        }
    }, 37);
    document.addEventListener('visibilitychange', () => { seen.was_hidden ||= document.hidden; });
    new MutationObserver(() => {
        if (!cue.open || seen.cue_late_s !== null) return;
        seen.cue_late_s = (Date.now() - endMs) / 1000;
        seen.cue_hidden = document.hidden;
    }).observe(cue, { attributes: true });";

#[derive(Debug, Deserialize)]
struct Seen {
    worst_s: f64,
    looks: u32,
    held_up: u32,
    worst_held_up_s: f64,
    was_hidden: bool,
    cue_late_s: Option<f64>,
    cue_hidden: Option<bool>,
}

/// A started timer, by the clock of the touch that started it.
struct Started {
    start_ms: f64,
    length_s: f64,
}

impl Started {
    fn end_ms(&self) -> f64 {
        self.start_ms + self.length_s * 1e3
    }

    /// Waits until a share of its length has passed.
    async fn until(&self, share: f64) {
        let left = self.start_ms + self.length_s * share * 1e3 - now_ms();
        tokio::time::sleep(Duration::from_secs_f64(left.max(0.0) / 1e3)).await;
    }
}

fn now_ms() -> f64 {
    SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970").as_secs_f64() * 1e3
}

impl Stage {
    /// Goes to the timer, with a time set, on the page as it is.
    pub async fn open_timer_in_page(&self, seconds: f64) -> Result<()> {
        self.script(&format!("location.hash = '#exposure/timer?s={seconds}'"), vec![]).await?;
        self.until("location.hash === '#exposure/timer'").await
    }

    /// Starts a timer and watches it.
    async fn start_timer(&self, length_s: f64) -> Result<Started> {
        self.open("").await?;
        // Copying itself for use without signal is over: the clock is watched, not the start.
        self.until_ready_offline().await?;
        self.open_timer_in_page(length_s).await?;
        let catch = "document.getElementById('timer-start')
            .addEventListener('click', () => { window.startMs = Date.now(); }, { capture: true })";
        self.script(catch, vec![]).await?;
        self.press("timer-start").await?;
        let start_ms = self.script("return window.startMs", vec![]).await?.as_f64().context("no start")?;
        let started = Started { start_ms, length_s };
        self.watch(&started).await?;
        Ok(started)
    }

    async fn watch(&self, started: &Started) -> Result<()> {
        self.until("document.getElementById('timer-count')?.textContent").await?;
        self.script(WATCH, vec![json!(started.end_ms())]).await?;
        Ok(())
    }

    async fn seen(&self) -> Result<Seen> {
        Ok(serde_json::from_value(self.script("return window.seen", vec![]).await?)?)
    }

    /// What was seen since the watch began, held to the clock.
    async fn kept_to_the_clock(&self, when: &str) -> Result<Seen> {
        let seen = self.seen().await?;
        println!(
            "{}, {when}: worst {:.3} s in {} looks; held up {} times, then {:.3} s",
            self.engine.name(),
            seen.worst_s,
            seen.looks,
            seen.held_up,
            seen.worst_held_up_s
        );
        ensure!(seen.looks > 5 && seen.held_up <= seen.looks / 20 + 1, "{when}: few looks: {seen:?}");
        ensure!(seen.worst_s <= SHOWN_WITHIN_S, "{when}: {seen:?}");
        Ok(seen)
    }

    /// Puts another tab in front of the page until a share of the timer has passed, then comes back. A tab that
    /// WebKitGTK's driver opens stays behind, so there the window is put away.
    async fn hide_until(&self, started: &Started, share: f64) -> Result<()> {
        let browser = self.browser();
        if self.engine == Engine::WebKit {
            browser.minimize_window().await?;
            started.until(share).await;
            browser.set_window_rect(0, 0, 800, 900).await?;
        } else {
            let page = browser.window().await?;
            let other = browser.new_tab().await?;
            browser.switch_to_window(other).await?;
            started.until(share).await;
            browser.close_window().await?;
            browser.switch_to_window(page).await?;
        }
        self.until("!document.hidden").await
    }

    /// Leaves the page a quarter of the processor. Chromium slows the page's processes, and moves it to another
    /// zone besides; in the others a script keeps it busy.
    async fn slow(&self) -> Result<()> {
        if self.engine == Engine::Chromium {
            self.cdp("Emulation.setTimezoneOverride", json!({ "timezoneId": "Pacific/Auckland" })).await?;
            return self.cdp("Emulation.setCPUThrottlingRate", json!({ "rate": 4 })).await;
        }
        let busy = "setInterval(() => {
            const till = performance.now() + 60;
            while (performance.now() < till);
        }, 80)";
        self.script(busy, vec![]).await?;
        Ok(())
    }

    async fn cdp(&self, command: &str, parameters: Value) -> Result<()> {
        self.protocol(command, parameters).await?;
        Ok(())
    }
}

#[test]
fn the_remainder_and_the_cue_keep_to_the_clock_whatever_becomes_of_the_page() {
    on_stage("timer-clock", async |stage| {
        let length_s = std::env::var("DUSKBOOK_TIMER_S").map_or(Ok(30.0), |text| text.parse())?;
        let started = stage.start_timer(length_s).await?;
        started.until(0.1).await;
        stage.kept_to_the_clock("seen").await?;

        stage.hide_until(&started, 0.3).await?;
        started.until(0.35).await;
        ensure!(stage.kept_to_the_clock("hidden and seen").await?.was_hidden, "it was never hidden");

        stage.open("#exposure/timer").await?;
        stage.watch(&started).await?;
        started.until(0.45).await;
        stage.kept_to_the_clock("reloaded").await?;

        stage.slow().await?;
        started.until(0.55).await;
        stage.kept_to_the_clock("slowed").await?;

        stage.kill_browser().await?;
        stage.open("#exposure/timer").await?;
        stage.watch(&started).await?;
        started.until(0.8).await;
        tokio::time::sleep(Duration::from_secs(1)).await;
        stage.kept_to_the_clock("killed and opened again").await?;

        stage.hide_until(&started, 1.0 + 1.5 / length_s).await?;
        let seen = stage.seen().await?;
        let late = seen.cue_late_s.context("no cue")?;
        println!("{}: cue {late:.3} s late on the hidden page", stage.engine.name());
        ensure!(seen.cue_hidden == Some(true), "the cue came to a page in front: {seen:?}");
        ensure!((-0.02..=CUED_WITHIN_S).contains(&late), "{seen:?}");
        stage.until_text("#timer-cue", "Time was up").await?;
        stage.press("timer-done").await?;
        stage.until("!document.getElementById('timer-cue').open").await?;
        stage.open("#exposure/timer").await?;
        stage.until("document.getElementById('timer-start')?.offsetParent").await
    });
}

#[test]
fn a_page_that_slept_through_the_end_says_so_at_once_on_waking() {
    on_stage("timer-asleep", async |stage| {
        let started = stage.start_timer(4.0).await?;
        stage.sleep(Duration::from_secs(7)).await?;
        let woke_s = (now_ms() - started.end_ms()) / 1e3;
        stage.until("document.getElementById('timer-cue').open").await?;
        let seen = stage.seen().await?;
        let late = seen.cue_late_s.context("no cue")?;
        println!("{}: cue {:.3} s after waking", stage.engine.name(), late - woke_s);
        ensure!(late > 2.0, "it did not sleep: {seen:?}");
        ensure!(late - woke_s < CUED_WITHIN_S, "{seen:?}");
        stage.until_text("#timer-cue", "Time was up").await
    });
}

#[test]
fn a_run_of_frames_tells_its_length_and_is_counted_frame_by_frame() {
    on_stage("timer-frames", async |stage| {
        stage.open_quay().await?;
        stage.open_timer_in_page(60.0).await?;
        stage.script("document.querySelectorAll('details').forEach(d => { d.open = true; })", vec![]).await?;
        for (field, value) in [("frames", "10"), ("gapS", "2"), ("fillMin", "30"), ("frameMb", "50")] {
            stage.fill(&format!("timer-{field}"), value).await?;
        }
        // Ten minutes of exposure and nine gaps of 2 s.
        stage.until_text("#timer-told", "10 frames take 10:18").await?;
        stage.until_text("#timer-light", "last useful light").await?;
        // 30 frames of a minute leave no room for gaps: 29 × 62 s + 60 s ends after the half hour, and is the first to.
        stage.until_text("#timer-filled", "30 frames in 30:58 · 1.5 GB").await?;
        stage.script("document.getElementById('timer-noise-on').click()", vec![]).await?;
        stage.until_text("#timer-told", "10 frames take 20:18").await?;
        stage.script("document.getElementById('timer-noise-off').click()", vec![]).await?;
        stage.fill("timer-shutterS", "2").await?;
        stage.fill("timer-frames", "2").await?;
        stage.press("timer-start").await?;
        for words in
            ["Frame 1 of 2 is open", "Frame 1 of 2 is closed: the next opens in", "Frame 2 of 2 is open"]
        {
            stage.until_text("#timer-running", words).await?;
        }
        stage.until("document.getElementById('timer-cue').open").await
    });
}

#[test]
fn a_time_that_cannot_be_is_refused_beside_its_field() {
    on_stage("timer-refuses", async |stage| {
        stage.open_quay().await?;
        stage.open_timer_in_page(60.0).await?;
        for (typed, told) in [("0", "0"), ("-5", "5"), ("soon", "number"), ("100000", "86")] {
            stage.fill("timer-shutterS", typed).await?;
            stage.until_text("#timer-shutterS-error", told).await?;
            stage.press("timer-start").await?;
            stage.until("document.getElementById('timer-running').hidden").await?;
        }
        stage.fill("timer-shutterS", "4:00").await?;
        stage.until_text("#timer-told", "closes at").await
    });
}
