//! Speed and memory on a slow phone, held to `[speed]` of `budgets.toml`.
//!
//! The processor is slowed four times over Chromium's protocol. Times are of the wall's clock. A slower machine lengthens
//! them, and so does other work on it. A loop that is always the same tells both: its best at the start, against
//! `loop-ms`, by how much times are divided; what it takes beside each time, against that best, whether the machine was quiet.
//! The middle of a few quiet times is held; more are taken until most are within the limit.
//! Of a busy machine the second best of all is held, as nothing can shorten a time. What is slow only the first time is looked
//! at on a page that is loaded anew for each look.

use std::fmt::Write;
use std::time::Duration;

use anyhow::{Context, Result, bail, ensure};
use duskbook_packager::budgets::{Budgets, Limit};
use duskbook_packager::precache;
use serde::Deserialize;
use serde_json::{Value, json};

use crate::stage::{Stage, on_stage};

/// Phones of some years ago against a desk's computer, as Lighthouse takes them.
const SLOWED: u32 = 4;

/// Times of one thing at most, on a quiet machine and on a busy one.
const MOST: [usize; 2] = [7, 20];

/// How much longer than at its best the loop may take in the middle of many, on a quiet machine.
const QUIET: f64 = 1.12;

/// How fast this machine is when nothing else is at work on it.
#[derive(Clone, Copy)]
struct Pace {
    /// The loop's milliseconds at its best.
    best: f64,
    /// How many times as long the loop takes here as on the machine that the limits are meant for; 1 on a faster one.
    slower: f64,
}

/// Times of one thing in the order they were taken, milliseconds of the machine that the limits are meant for.
#[derive(Default)]
struct Times {
    all: Vec<f64>,
    /// Whether the machine was busy beside one of them.
    busy: bool,
}

impl Times {
    /// Whether most of them, and at least some, are within a limit, or no more may be taken.
    fn enough(&self, least: usize, limit: f64) -> bool {
        let good = self.all.iter().filter(|ms| **ms <= limit).count();
        (good >= least && (self.busy || 2 * good > self.all.len()))
            || self.all.len() >= MOST[usize::from(self.busy)]
    }

    /// What is held: the middle, the upper of two; on a busy machine the second best.
    fn held(&self) -> f64 {
        let all = rising(self.all.clone());
        all[if self.busy { 1.min(all.len() - 1) } else { all.len() / 2 }]
    }
}

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

    /// The loop's milliseconds: at its best, and on the average of many.
    async fn loop_ms(&self) -> Result<[f64; 2]> {
        self.slowed(1).await?;
        let body = format!(
            "{TOUCHES}; const all = Array.from({{ length: 60 }}, loop).slice(10);
            return [Math.min(...all), all.reduce((sum, ms) => sum + ms) / all.length]"
        );
        serde_json::from_value(self.script(&body, vec![]).await?).context("two times")
    }

    async fn pace(&self) -> Result<Pace> {
        let best = self.loop_ms().await?[0];
        let slower = (best / Budgets::read(&self.workspace)?.machine.loop_ms).max(1.0);
        println!("the loop at its best: {best:.2} ms; times are divided by {slower:.3}");
        Ok(Pace { best, slower })
    }

    /// Whether the machine is at other work, by the loop against its best.
    async fn is_busy(&self, pace: Pace) -> Result<bool> {
        Ok(self.loop_ms().await?[1] > QUIET * pace.best)
    }

    /// Adds a time by the clock.
    async fn add(&self, times: &mut Times, ms: f64, pace: Pace, what: &str) -> Result<()> {
        let now = self.loop_ms().await?[1] / pace.best;
        println!("{what}: {ms:.0} ms, the loop {now:.2} of its best");
        times.all.push(ms / pace.slower);
        times.busy |= now > QUIET;
        Ok(())
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
/// What tells that its evening is drawn.
const IN_USE: &str = "document.querySelector('#sheet-table tr[data-kind=frame]')";
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
        self.until(IN_USE).await?;
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
        // An empty page from the same copy: what the browser itself takes. Its start, as this one, waits for the disk and for
        // processes, which the loop knows nothing of; so it is the measure here of how slow the machine is.
        std::fs::write(stage.site.join("peer.html"), "<!doctype html><title>1</title><p id=peer>1</p>")?;
        precache::write(&stage.site)?;

        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        // A visit from the copy, by which a browser keeps what it compiled.
        stage.open(EVENING).await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        let limit = stage.budget("cold-start-ms")?;
        let empty = Budgets::read(&stage.workspace)?.machine.empty_page_ms;
        let best = stage.loop_ms().await?[0];
        let (mut by_clock, mut peers, mut starts) = (Vec::new(), Vec::new(), Times::default());
        while !starts.enough(3, limit) {
            let ms = stage.cold_start(EVENING).await?;
            let dial = stage.text("#next .next-dial").await?;
            ensure!(dial.starts_with("f/"), "the first number is {dial:?}");
            let peer = stage.cold_start("peer.html").await?;
            let now = stage.loop_ms().await?[1] / best;
            println!("cold start: {ms:.0} ms, an empty page {peer:.0}, the loop {now:.2} of its best");
            by_clock.push(ms);
            peers.push(peer);
            let slower = (rising(peers.clone())[peers.len() / 2] / empty).max(1.0);
            starts.all = by_clock.iter().map(|ms| ms / slower).collect();
            starts.busy |= now > QUIET;
        }
        println!("in the middle: {:.0} ms", rising(by_clock.clone())[by_clock.len() / 2]);
        stage.held(&[("cold-start-ms", starts.held())])
    });
}

/// The touching script, as the page is given it.
const TOUCHES: &str = include_str!("touches.js");

/// A control, and what its touches took, milliseconds: to the end of the next frame, and to that of the answer.
#[derive(Deserialize)]
struct Touched {
    name: String,
    touches: Vec<[f64; 2]>,
}

impl Touched {
    fn times(&self, which: usize, busy: bool) -> Times {
        Times { all: self.touches.iter().map(|each| each[which]).collect(), busy }
    }
}

impl Stage {
    /// Touches every control of a screen, slowed, up to so many times each.
    async fn touched(&self, pace: Pace, hash: &str, limits: &[f64; 2], most: usize) -> Result<Vec<Touched>> {
        self.slowed(SLOWED).await?;
        self.screen_at(hash).await?;
        let body = format!(
            "{TOUCHES}; const [limits, most, done] = arguments;
            touchAll(limits, most).then(done, error => done(String(error)));"
        );
        let by_clock = limits.map(|ms| ms * pace.slower);
        let told = self.browser().execute_async(body, vec![json!(by_clock), json!(most)]).await?;
        self.slowed(1).await?;
        let mut all: Vec<Touched> = serde_json::from_value(told.json().clone())
            .with_context(|| format!("{hash}: {}", told.json()))?;
        for ms in all.iter_mut().flat_map(|one| &mut one.touches).flatten() {
            *ms /= pace.slower;
        }
        Ok(all)
    }
}

#[test]
fn any_touch_of_any_screen_is_painted_and_answered_at_once_on_a_slow_phone() {
    on_stage("touch", async |stage| {
        stage.open_in_use().await?;
        let limits = [stage.budget("touch-ms")?, stage.budget("answer-ms")?];
        let pace = stage.pace().await?;
        let open_limit = stage.budget("open-ms")?;
        let hashes =
            "return [...document.querySelectorAll('#nav a, #other-cards a')].map(({ hash }) => hash)";
        let hashes: Vec<String> = serde_json::from_value(stage.script(hashes, vec![]).await?)?;
        ensure!(hashes.len() >= 20, "only {hashes:?}");
        let mut held: Vec<(String, [f64; 2])> = Vec::new();
        let (mut busy, mut count) = (0, 0);
        let mut open: f64 = 0.0;
        for hash in &hashes {
            // The first sight of a screen is a touch too; the screen is built by it.
            let mut sights = Times::default();
            while !sights.enough(1, open_limit) {
                if !sights.all.is_empty() {
                    stage.open(EVENING).await?;
                    stage.until(IN_USE).await?;
                    stage.settled().await?;
                }
                stage.slowed(SLOWED).await?;
                let body = format!(
                    "{TOUCHES}; const [hash, done] = arguments;
                    touched(() => {{ location.hash = hash; }}).then(done, error => done(String(error)));"
                );
                let told = stage.browser().execute_async(body, vec![json!(hash)]).await?.json().clone();
                let [_, ms]: [f64; 2] = serde_json::from_value(told).context("two times")?;
                stage.add(&mut sights, ms, pace, hash).await?;
            }
            open = open.max(sights.held());
            let mut is_busy = sights.busy || stage.is_busy(pace).await?;
            let touched = stage.touched(pace, hash, &limits, MOST[usize::from(is_busy)]).await?;
            ensure!(!touched.is_empty(), "{hash} has no control");
            is_busy |= stage.is_busy(pace).await?;
            let made = touched.iter().map(|one| one.touches.len()).sum::<usize>();
            let quiet = if is_busy { "busy" } else { "quiet" };
            let mut line = format!("{hash}: {quiet}, {} controls, {made} touches", touched.len());
            for (which, what) in ["paint", "answer"].into_iter().enumerate() {
                let each: Vec<(f64, &Touched)> =
                    touched.iter().map(|one| (one.times(which, is_busy).held(), one)).collect();
                let middle = rising(each.iter().map(|(ms, _)| *ms).collect())[each.len() / 2];
                let (slowest, one) = each.iter().max_by(|a, b| a.0.total_cmp(&b.0)).context("one")?;
                let firsts = touched.iter().map(|one| one.touches[0][which]).fold(0.0, f64::max);
                let _ = write!(
                    line,
                    "; {what} {middle:.0}, at most {slowest:.0} ({}), a first one {firsts:.0}",
                    one.name
                );
            }
            println!("{line}");
            busy += usize::from(is_busy);
            count += made;
            held.extend(touched.iter().map(|one| {
                (format!("{hash} {}", one.name), [0, 1].map(|which| one.times(which, is_busy).held()))
            }));
        }
        println!("{count} touches; {busy} screens of {} beside other work", hashes.len());
        ensure!(held.len() > 200, "only {} controls", held.len());
        // What was slow is touched again a little later: other work on the machine passes, a slow page does not.
        for _ in 0..3 {
            let is_slow = |ms: &[f64; 2]| ms[0] > limits[0] || ms[1] > limits[1];
            let slow: Vec<&String> = hashes
                .iter()
                .filter(|hash| {
                    held.iter().any(|(name, ms)| {
                        is_slow(ms) && name.split_once(' ').is_some_and(|(at, _)| at == *hash)
                    })
                })
                .collect();
            for hash in slow {
                println!("{hash} once more");
                tokio::time::sleep(Duration::from_secs(5)).await;
                for one in stage.touched(pace, hash, &limits, MOST[1]).await? {
                    let name = format!("{hash} {}", one.name);
                    let again = [0, 1].map(|which| one.times(which, true).held());
                    for (_, ms) in held.iter_mut().filter(|(old, ms)| *old == name && is_slow(ms)) {
                        *ms = again;
                    }
                }
            }
        }
        let slow: Vec<_> = held.iter().filter(|(_, ms)| ms[0] > limits[0] || ms[1] > limits[1]).collect();
        ensure!(slow.is_empty(), "slower than {limits:?} ms: {slow:?}");
        let worst = [0, 1].map(|which| held.iter().map(|(_, ms)| ms[which]).fold(0.0, f64::max));
        stage.held(&[("touch-ms", worst[0]), ("answer-ms", worst[1]), ("open-ms", open)])
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

/// A task of 60 ms.
const PLANTED: &str =
    "setTimeout(() => { const till = performance.now() + 60; while (performance.now() < till); })";

/// The clock as the evening tells it.
const CLOCK: &str = "return document.querySelector('.next-lead').textContent";

impl Stage {
    /// The longest task while something is done on a screen for the first time, milliseconds, 0 when none was longer than 50.
    async fn longest_task(
        &self,
        pace: Pace,
        what: &str,
        hash: &str,
        ready: &str,
        doing: impl AsyncFn() -> Result<()>,
    ) -> Result<f64> {
        let limit = self.budget("task-ms")?;
        let mut times = Times::default();
        while !times.enough(2, limit) {
            self.open(EVENING).await?;
            self.until(IN_USE).await?;
            self.settled().await?;
            self.screen_at(hash).await?;
            self.script(ready, vec![]).await?;
            tokio::time::sleep(Duration::from_millis(300)).await;
            self.script("window.longest = 0", vec![]).await?;
            self.slowed(SLOWED).await?;
            doing().await?;
            tokio::time::sleep(Duration::from_millis(300)).await;
            let longest = self.script("return window.longest", vec![]).await?.as_f64().context("a time")?;
            self.add(&mut times, longest, pace, what).await?;
        }
        Ok(times.held())
    }

    /// Types into a field letter by letter, and leaves it. The keys come from the protocol: a driver that looks at the field before
    /// each of them has long tasks of its own.
    async fn types(&self, pace: Pace, hash: &str, ready: &str, id: &str, text: &str) -> Result<f64> {
        let field = format!("document.getElementById('{id}')");
        let longest = self
            .longest_task(pace, &format!("typing into {id}"), hash, ready, async || {
                self.script(&format!("{field}.focus(); {field}.select()"), vec![]).await?;
                tokio::time::sleep(Duration::from_millis(300)).await;
                self.script("window.longest = 0", vec![]).await?;
                for letter in text.chars() {
                    self.key(json!({ "text": letter.to_string() })).await?;
                }
                self.key(json!({ "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9 })).await
            })
            .await?;
        let written = self
            .script(&format!("return [{field}.value, document.activeElement === {field}]"), vec![])
            .await?;
        ensure!(written == json!([text, false]), "{id}: {text} typed, {written} written");
        Ok(longest)
    }

    /// A key, down and up.
    async fn key(&self, mut key: Value) -> Result<()> {
        for kind in ["keyDown", "keyUp"] {
            key["type"] = kind.into();
            self.protocol("Input.dispatchKeyEvent", key.clone()).await?;
        }
        Ok(())
    }
}

#[test]
fn no_task_is_long_while_a_field_is_typed_in_and_while_the_clock_ticks() {
    on_stage("tasks", async |stage| {
        stage.open_in_use().await?;
        stage.protocol("Page.addScriptToEvaluateOnNewDocument", json!({ "source": HASTE })).await?;
        let pace = stage.pace().await?;
        stage.open(EVENING).await?;
        stage.script(PLANTED, vec![]).await?;
        stage.until("window.longest >= 60").await?;
        let watch = async || -> Result<()> {
            tokio::time::sleep(Duration::from_secs(5)).await;
            Ok(())
        };
        let evening = async || -> Result<()> {
            let before = stage.script(CLOCK, vec![]).await?;
            watch().await?;
            ensure!(before != stage.script(CLOCK, vec![]).await?, "the clock stands at {before}");
            Ok(())
        };
        let start = "document.getElementById('timer-start').click()";
        let stop = "for (let i = 0; i < 2; i++) document.getElementById('timer-stop').click()";
        let mut worst = stage.longest_task(pace, "evening, five minutes", EVENING, "", evening).await?;
        worst = worst.max(stage.longest_task(pace, "log, five minutes", "#log", "", watch).await?);
        let timed = async || -> Result<()> {
            watch().await?;
            stage.script(stop, vec![]).await.map(drop)
        };
        let timer = "#exposure/timer?s=7200";
        worst = worst.max(stage.longest_task(pace, "timer, five minutes", timer, start, timed).await?);
        let unfold = "document.querySelector('#frames details').open = true";
        for (hash, ready, id, text) in [
            ("#log", unfold, "frame-note", "Tide turning"),
            ("#lens", "", "lens-distanceM", "123.4"),
            ("#spot-form", "", "name", "Heron Weir"),
            ("#spot-form", "", "latitudeDeg", "51.234"),
            ("#spot-form", "", "bearingDeg", "251"),
            ("#spot-form", "", "notes", "Gate shut"),
        ] {
            worst = worst.max(stage.types(pace, hash, ready, id, text).await?);
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
        stage.until(IN_USE).await?;
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
