//! Speed and memory on a slow phone, held to `[speed]` of `budgets.toml`.
//!
//! The processor is slowed four times over Chromium's protocol. Times are of the wall's clock and the machine may be busy with
//! other work, which can only lengthen them: of a few starts the quickest is held, of the touches of a control the second
//! quickest. The middle and the worst are printed beside.

use std::time::Duration;

use anyhow::{Context, Result, bail, ensure};
use duskbook_packager::budgets::{Budgets, Limit};
use serde::Deserialize;
use serde_json::{Value, json};
use thirtyfour::By;

use crate::stage::{Stage, on_stage};

/// Phones of some years ago against a desk's computer, as Lighthouse takes them.
const SLOWED: u32 = 4;

/// Starts of the browser, at least and at most.
const STARTS: std::ops::RangeInclusive<usize> = 3..=8;

/// When what matters was painted, by the browser's own account; the node's time stands for its paint.
const WATCH: &str = r"
    window.firstNumber = null;
    new PerformanceObserver(list => {
        for (const { identifier, renderTime } of list.getEntries()) {
            if (identifier === 'first-number') window.firstNumber ??= renderTime;
        }
    }).observe({ type: 'element', buffered: true });
    new MutationObserver(() => {
        for (const line of document.querySelectorAll('#next p, #peer')) line.setAttribute('elementtiming', 'first-number');
    }).observe(document, { subtree: true, childList: true });";

impl Stage {
    async fn slowed(&self, times: u32) -> Result<()> {
        self.protocol("Emulation.setCPUThrottlingRate", json!({ "rate": times })).await.map(drop)
    }

    /// Checks values against the budgets of their names.
    fn held(&self, values: &[(&str, f64)]) -> Result<()> {
        let budgets = Budgets::read(&self.workspace)?.speed;
        for (name, value) in values {
            let limit = budgets.get(*name).with_context(|| format!("no budget {name}"))?;
            println!("speed {name} {value:.0} ({limit})");
            ensure!(limit.holds(*value), "{name} is {value:.0}: {limit}");
        }
        Ok(())
    }

    fn budget(&self, name: &str) -> Result<f64> {
        let budgets = Budgets::read(&self.workspace)?.speed;
        match budgets.get(name) {
            Some(Limit::AtMost(limit)) => Ok(*limit),
            other => bail!("{name} is {other:?}"),
        }
    }

    /// Starts the browser anew and opens an address on a slow phone: milliseconds from there to the first number.
    async fn cold_start(&mut self, address: &str) -> Result<f64> {
        self.restart_browser().await?;
        self.slowed(SLOWED).await?;
        self.protocol("Page.addScriptToEvaluateOnNewDocument", json!({ "source": WATCH })).await?;
        self.browser().goto(self.address(address)).await?;
        self.until("window.firstNumber").await?;
        let told = self.script("return window.firstNumber", vec![]).await?;
        told.as_f64().context("a time")
    }
}

/// A device in use: the quay kept with a surveyed skyline, filters in the bag, frames and readings of one evening.
const FILL: &str = include_str!("device.js");
/// The evening of those frames.
const EVENING: &str = "#evening?date=2031-03-09";

impl Stage {
    /// Opens the page of a device in use, on the evening of its frames.
    async fn open_in_use(&self) -> Result<()> {
        self.open_quay().await?;
        self.until_ready_offline().await?;
        self.spot_form().await?;
        self.keep_spot().await?;
        let body = format!(
            "{FILL}; const [done] = arguments; fillDevice().then(done, error => done(String(error)));"
        );
        let told = self.browser().execute_async(body, vec![]).await?.json().clone();
        ensure!(told == 60, "filled with {told}");
        self.open(EVENING).await?;
        self.until("document.querySelector('#sheet-table tr[data-kind=frame]')").await?;
        self.settled().await
    }

    /// Goes to a screen by its address and waits until it is drawn.
    async fn screen_at(&self, hash: &str) -> Result<()> {
        self.script("location.hash = arguments[0]", vec![hash.into()]).await?;
        tokio::time::sleep(Duration::from_millis(400)).await;
        self.settled().await
    }
}

fn rising(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
}

#[test]
fn a_cold_browser_with_no_signal_shows_the_first_setting_within_a_second() {
    on_stage("cold", async |stage| {
        // An empty page from the same copy: what the browser itself takes.
        std::fs::write(stage.site.join("peer.html"), "<!doctype html><title>1</title><p id=peer>1</p>")?;
        let list = stage.site.join("precache.js");
        let listed = std::fs::read_to_string(&list)?;
        let more = listed.replacen("\"files\":[", "\"files\":[\"peer.html\",", 1);
        ensure!(more != listed, "no list of files in {}", list.display());
        std::fs::write(list, more)?;

        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        // A visit from the copy, by which a browser keeps what it compiled.
        stage.open(EVENING).await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        let limit = stage.budget("cold-start-ms")?;
        let mut starts = Vec::new();
        while starts.len() < *STARTS.start()
            || (starts.len() < *STARTS.end() && starts.iter().all(|ms| *ms > limit))
        {
            starts.push(stage.cold_start(EVENING).await?);
        }
        let starts = rising(starts);
        println!("cold starts: {starts:.0?}");
        let dial = stage.text("#next .next-dial").await?;
        ensure!(dial.starts_with("f/"), "the first number is {dial:?}");
        let peer = stage.cold_start("peer.html").await?.min(stage.cold_start("peer.html").await?);
        println!(
            "cold start: {:.0} ms at best, {:.0} in the middle, {:.0} at worst of {}; an empty page {peer:.0}",
            starts[0],
            starts[starts.len() / 2],
            starts[starts.len() - 1],
            starts.len()
        );
        stage.held(&[("cold-start-ms", starts[0])])
    });
}

/// The touching script, as the page is given it.
const TOUCHES: &str = include_str!("touches.js");
/// Touches of one control at most, when it is slow.
const MOST_TOUCHES: u32 = 12;

/// A control and what its touches took, milliseconds, rising: to the end of the next frame, and to that of the answer.
#[derive(Deserialize)]
struct Touched {
    name: String,
    spent: Vec<f64>,
    answered: Vec<f64>,
}

#[test]
fn any_touch_of_any_screen_is_painted_at_once_on_a_slow_phone() {
    on_stage("touch", async |stage| {
        stage.open_in_use().await?;
        let limit = stage.budget("touch-ms")?;
        let hashes =
            "return [...document.querySelectorAll('#nav a, #other-cards a')].map(({ hash }) => hash)";
        let hashes: Vec<String> = serde_json::from_value(stage.script(hashes, vec![]).await?)?;
        ensure!(hashes.len() >= 20, "only {hashes:?}");
        let mut held = Vec::new();
        for hash in &hashes {
            stage.slowed(SLOWED).await?;
            stage.screen_at(hash).await?;
            let body = format!(
                "{TOUCHES}; const [limit, most, done] = arguments;
                touchAll(limit, most).then(done, error => done(String(error)));"
            );
            let told = stage.browser().execute_async(body, vec![json!(limit), json!(MOST_TOUCHES)]).await?;
            stage.slowed(1).await?;
            let touched: Vec<Touched> = serde_json::from_value(told.json().clone())
                .with_context(|| format!("{hash}: {}", told.json()))?;
            ensure!(!touched.is_empty(), "{hash} has no control");
            let all = rising(touched.iter().flat_map(|each| each.spent.clone()).collect());
            let slowest = touched.iter().max_by(|a, b| a.spent[1].total_cmp(&b.spent[1])).context("one")?;
            let answer =
                touched.iter().max_by(|a, b| a.answered[1].total_cmp(&b.answered[1])).context("one")?;
            println!(
                "{hash}: {} controls, {:.0} ms at best, {:.0} in the middle, {:.0} at worst; slowest {} {:.0}; last answer {} {:.0}",
                touched.len(),
                all[0],
                all[all.len() / 2],
                all[all.len() - 1],
                slowest.name,
                slowest.spent[1],
                answer.name,
                answer.answered[1]
            );
            held.extend(touched.into_iter().map(|each| (each.spent[1], format!("{hash} {}", each.name))));
        }
        ensure!(held.len() > 200, "only {} controls", held.len());
        let slow: Vec<_> = held.iter().filter(|(ms, _)| *ms > limit).collect();
        ensure!(slow.is_empty(), "slower than {limit} ms: {slow:?}");
        let worst = held.iter().map(|(ms, _)| *ms).fold(0.0, f64::max);
        stage.held(&[("touch-ms", worst)])
    });
}

/// A clock that runs sixty times too fast from a while before sunset, and the longest task since the last look.
const HASTE: &str = r"
    const [clock, every, began] = [Date.now.bind(Date), window.setInterval, Date.UTC(2031, 2, 9, 17, 50)];
    const born = clock();
    Date.now = () => began + (clock() - born) * 60;
    window.setInterval = (work, ms, ...rest) => every(work, ms >= 1000 ? ms / 60 : ms, ...rest);
    window.longest = 0;
    new PerformanceObserver(list => {
        for (const { duration } of list.getEntries()) window.longest = Math.max(window.longest, duration);
    }).observe({ type: 'longtask' });";

/// How often a busy machine may spoil a look.
const LOOKS: usize = 4;

impl Stage {
    /// The longest task while something is done, milliseconds, 50 when none was longer: the least of some tries.
    async fn longest_task(&self, what: &str, doing: impl AsyncFn(usize) -> Result<()>) -> Result<f64> {
        let limit = self.budget("task-ms")?;
        let mut least = f64::INFINITY;
        for look in 0..LOOKS {
            tokio::time::sleep(Duration::from_millis(300)).await;
            self.script("window.longest = 0", vec![]).await?;
            self.slowed(SLOWED).await?;
            doing(look).await?;
            tokio::time::sleep(Duration::from_millis(300)).await;
            self.slowed(1).await?;
            let longest = self.script("return window.longest", vec![]).await?.as_f64().context("a time")?;
            println!("{what}: the longest task took {longest:.0} ms (0: under 50)");
            least = least.min(longest);
            if least <= limit {
                break;
            }
        }
        Ok(least)
    }

    /// Types into a field letter by letter, and leaves it.
    async fn types(&self, id: &str, text: &str) -> Result<f64> {
        let field = self.browser().find(By::Id(id)).await?;
        field.scroll_into_view().await?;
        self.longest_task(&format!("typing into {id}"), async |_| {
            field.clear().await?;
            for letter in text.chars() {
                field.send_keys(letter.to_string()).await?;
            }
            field.send_keys("\u{e004}").await?;
            Ok(())
        })
        .await
    }
}

#[test]
fn no_task_is_long_while_a_field_is_typed_in_and_while_the_clock_ticks() {
    on_stage("tasks", async |stage| {
        stage.open_in_use().await?;
        stage.protocol("Page.addScriptToEvaluateOnNewDocument", json!({ "source": HASTE })).await?;
        stage.open(EVENING).await?;
        stage.until("document.querySelector('#sheet-table tr[data-kind=frame]')").await?;
        stage.settled().await?;
        let watch = async || -> Result<()> {
            tokio::time::sleep(Duration::from_secs(6)).await;
            Ok(())
        };
        let clock = "return document.querySelector('.next-lead').textContent";
        let before = stage.script(clock, vec![]).await?;
        let mut worst: f64 = stage.longest_task("evening, six minutes", async |_| watch().await).await?;
        ensure!(before != stage.script(clock, vec![]).await?, "the clock stands at {before}");
        stage.screen_at("#log").await?;
        worst = worst.max(stage.longest_task("log, six minutes", async |_| watch().await).await?);
        stage.script("document.querySelector('#frames details').open = true", vec![]).await?;
        worst = worst.max(stage.types("frame-note", "Tide turning").await?);
        stage.screen_at("#exposure/timer?s=7200").await?;
        stage.press("timer-start").await?;
        worst = worst.max(stage.longest_task("timer, six minutes", async |_| watch().await).await?);
        let stop = "for (let i = 0; i < 2; i++) document.getElementById('timer-stop').click()";
        stage.script(stop, vec![]).await?;
        stage.screen_at("#lens").await?;
        worst = worst.max(stage.types("lens-distanceM", "123.4").await?);
        stage.screen_at("#spot-form").await?;
        for (id, text) in
            [("name", "Heron Weir"), ("latitudeDeg", "51.234"), ("bearingDeg", "251"), ("notes", "Gate shut")]
        {
            worst = worst.max(stage.types(id, text).await?);
        }
        stage.held(&[("task-ms", worst)])
    });
}

/// Catches the wasm's memory as it comes in, and lets deferred work come at once.
const CATCH: &str = r"
    for (const name of ['instantiateStreaming', 'instantiate']) {
        const made = WebAssembly[name];
        WebAssembly[name] = async (...given) => {
            const told = await made(...given);
            window.wasmMemory = (told.instance ?? told).exports.memory;
            return told;
        };
    }
    window.requestAnimationFrame = work => setTimeout(work);";

/// Touches of the buttons around a field by turns: as often one way as the other. What is drawn after a frame is waited for.
const TURN: &str = "
    const [selector, pairs, waits, done] = arguments;
    const buttons = document.querySelector(selector).closest('.field, .date-turner').querySelectorAll('button');
    const pause = () => new Promise(next => setTimeout(next));
    const drawn = async () => { do await pause(); while (document.querySelector('[aria-busy]')); };
    (async () => {
        for (const button of buttons) for (let i = 0; waits && i < pairs; i++) { button.click(); await drawn(); }
        for (let i = 0; !waits && i < 2 * pairs; i++) {
            buttons[i % 2].click();
            if (i % 100 === 99) await pause();
        }
        await drawn();
        done(2 * pairs);
    })();";

/// Cards, the field that is turned, how often to and fro, and whether the card draws after a frame.
const RECOMPUTED: [(&str, &str, u32, bool); 9] = [
    ("#lens", "#lens-distanceM", 1200, false),
    ("#lens/focus", "#focus-nearM", 500, false),
    ("#lens/trails", "#speedMS", 700, false),
    ("#lens/stars", "#altitudeDeg", 800, false),
    ("#exposure/brackets", "#highlightEv", 700, false),
    ("#exposure/film", "#meteredS", 700, false),
    ("#exposure", "#stays", 100, false),
    ("#sky", "#sky-date", 150, false),
    ("#evening", "#date", 150, true),
];

/// What is held by the page after everything that can go has gone: pages of wasm, KB of heap, nodes, listeners.
async fn held_by(stage: &Stage) -> Result<[f64; 4]> {
    stage.until_written().await?;
    for _ in 0..3 {
        stage.protocol("HeapProfiler.collectGarbage", json!({})).await?;
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    let counted = stage.protocol("Memory.getDOMCounters", json!({})).await?;
    let heap = stage.protocol("Runtime.getHeapUsage", json!({})).await?;
    let wasm = stage.script("return window.wasmMemory.buffer.byteLength", vec![]).await?;
    let number = |value: &Value| value.as_f64().with_context(|| format!("no number: {value}"));
    Ok([
        number(&wasm)? / 65_536.0,
        number(&heap["usedSize"])? / 1024.0,
        number(&counted["nodes"])?,
        number(&counted["jsEventListeners"])?,
    ])
}

#[test]
fn memory_stays_flat_over_ten_thousand_recomputations() {
    on_stage("memory", async |stage| {
        stage.open_in_use().await?;
        stage.protocol("Page.addScriptToEvaluateOnNewDocument", json!({ "source": CATCH })).await?;
        stage.open(EVENING).await?;
        stage.until("document.querySelector('#sheet-table tr[data-kind=frame]')").await?;
        let mut kept = Vec::new();
        // The first round, of a quarter, builds the screens and warms everything up.
        for share in [4, 1] {
            let mut count = 0;
            for (hash, field, pairs, waits) in RECOMPUTED {
                stage.screen_at(hash).await?;
                let asked = vec![json!(field), json!((pairs / share).max(10)), json!(waits)];
                let told = stage.browser().execute_async(TURN, asked).await?.json().clone();
                count += told.as_u64().with_context(|| format!("{hash}: {told}"))?;
            }
            println!("{count} recomputations");
            ensure!(share > 1 || count >= 10_000, "only {count}");
            kept.push(held_by(stage).await?);
        }
        println!("pages, KB, nodes, listeners: {kept:.0?}");
        let grown = |i: usize| kept[1][i] - kept[0][i];
        stage.held(&[
            ("wasm-growth-pages", grown(0)),
            ("heap-growth-kb", grown(1)),
            ("nodes-growth", grown(2)),
            ("listeners-growth", grown(3)),
        ])
    });
}
