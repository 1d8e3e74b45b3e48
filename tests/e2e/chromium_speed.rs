//! Speed and memory on a slow phone, held to `[speed]` of `budgets.toml`.
//!
//! A slow phone takes four times as long as the machine that the limits are meant for. What the page works comes from
//! the browser's own account of its main thread (`trace.rs`), so that other work on the machine does not count, and is told four times over.
//! A machine may be slower by itself: page work that is always the same is done beside each touch, and the touch is divided by how
//! much longer that took than `beat-ms`; a faster machine's times stand as they are. The middle of a few is held.
//!
//! The cold start is one of the whole browser, so it is by the clock, with the processor slowed over the protocol.

use std::time::Duration;

use anyhow::{Context, Result, bail, ensure};
use duskbook_packager::budgets::{Budgets, Limit};
use duskbook_packager::precache;
use serde_json::{Value, json};

use crate::stage::{Stage, on_stage};
use crate::trace::Trace;

/// Phones of some years ago against a desk's computer, as Lighthouse takes them.
const SLOWER: u32 = 4;

/// Looks at one thing at most.
const MOST: usize = 7;

/// Looks again until most looks, and at least some, are within a limit: what is held is the middle one.
async fn middle(least: usize, limit: f64, mut look: impl AsyncFnMut() -> Result<f64>) -> Result<f64> {
    let mut all = Vec::new();
    loop {
        all.push(look().await?);
        let good = all.iter().filter(|value| **value <= limit).count();
        if (good >= least && 2 * good > all.len()) || all.len() == MOST {
            return Ok(middle_of(&all));
        }
    }
}

/// The middle value, the upper of two.
fn middle_of(values: &[f64]) -> f64 {
    let mut rising = values.to_vec();
    rising.sort_by(f64::total_cmp);
    rising[rising.len() / 2]
}

/// What tells how slow this machine is at a moment.
#[derive(Clone, Copy)]
struct Pace {
    /// Milliseconds of a beat on the machine that the limits are meant for.
    beat_ms: f64,
}

impl Pace {
    /// A phone's milliseconds for what was worked here between beats; the quicker of the beats tells.
    fn phone(self, worked: f64, beats: &[f64]) -> f64 {
        let slower = beats.iter().copied().fold(f64::INFINITY, f64::min) / self.beat_ms;
        f64::from(SLOWER) * worked / slower.max(1.0)
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

    fn pace(&self) -> Result<Pace> {
        Ok(Pace { beat_ms: Budgets::read(&self.workspace)?.machine.beat_ms })
    }

    /// Starts the browser anew and opens an address on a slow phone: milliseconds from there to the first number.
    async fn cold_start(&mut self, address: &str) -> Result<f64> {
        self.restart_browser().await?;
        self.slowed(SLOWER).await?;
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

#[test]
fn a_cold_browser_with_no_signal_shows_the_first_setting_within_a_second() {
    on_stage("cold", async |stage| {
        // An empty page from the same copy: what the browser itself takes. Its start, as this one, waits for the disk and for
        // processes, which the beat knows nothing of; so it is the measure here of how slow the machine is.
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
        let mut by_clock = Vec::new();
        let mut peers = vec![stage.cold_start("peer.html").await?];
        let held = middle(3, limit, async || {
            let ms = stage.cold_start(EVENING).await?;
            let dial = stage.text("#next .next-dial").await?;
            ensure!(dial.starts_with("f/"), "the first number is {dial:?}");
            let peer = stage.cold_start("peer.html").await?;
            println!("cold start: {ms:.0} ms, an empty page {peer:.0}");
            by_clock.push(ms);
            peers.push(peer);
            Ok(ms / (middle_of(&peers) / empty).max(1.0))
        })
        .await?;
        println!("in the middle, by the clock: {:.0} ms", middle_of(&by_clock));
        stage.held(&[("cold-start-ms", held)])
    });
}

/// The touching script, as the page is given it.
const TOUCHES: &str = concat!(include_str!("../../pkg-config/src/beat.js"), include_str!("touches.js"));

/// The least of the page's work that answers a touch, and all of it: marks to which it is told.
const PAINTED_ANSWERED: [&str; 2] = ["painted", "answered"];

/// A control, and a phone's milliseconds of its touches: to the end of the next frame, and to that of the answer.
struct Touched {
    name: String,
    touches: Vec<[f64; 2]>,
}

impl Touched {
    fn held(&self) -> [f64; 2] {
        [0, 1].map(|which| middle_of(&self.touches.iter().map(|each| each[which]).collect::<Vec<_>>()))
    }
}

/// Milliseconds of a beat.
fn beat(trace: &Trace, name: &str) -> Result<f64> {
    trace.worked([&format!("{name} begins"), &format!("{name} ends")])
}

impl Stage {
    /// Runs a script of the touches that tells when it is done, and takes the account of it.
    async fn traced(&self, script: &str, arguments: Vec<Value>) -> Result<(Value, Trace)> {
        let tracing = self.trace()?;
        let body = format!(
            "{TOUCHES}; const done = arguments[arguments.length - 1];
            ({script}).then(done, error => done(String(error)));"
        );
        let told = self.browser().execute_async(body, arguments).await?.json().clone();
        Ok((told, tracing.taken()?))
    }

    /// The quickest of some beats, milliseconds.
    async fn beat(&self) -> Result<f64> {
        const COUNT: usize = 30;
        let (told, trace) = self.traced("beats('beat', arguments[0])", vec![json!(COUNT)]).await?;
        ensure!(told == COUNT, "{told}");
        let all: Result<Vec<f64>> = (0..COUNT).map(|i| beat(&trace, &format!("beat {i}"))).collect();
        Ok(all?.into_iter().fold(f64::INFINITY, f64::min))
    }

    /// Touches every control of a screen some times.
    async fn touched(&self, pace: Pace, hash: &str, times: usize) -> Result<Vec<Touched>> {
        self.screen_at(hash).await?;
        let (told, trace) = self.traced("touchAll('touch', arguments[0])", vec![json!(times)]).await?;
        let names: Vec<String> =
            serde_json::from_value(told.clone()).with_context(|| format!("{hash}: {told}"))?;
        let touch = |i: usize, k: usize| -> Result<[f64; 2]> {
            let mark = |i: usize, k: usize| format!("touch {i} {k}");
            let after = if k + 1 < times { mark(i, k + 1) } else { mark(i + 1, 0) };
            let beats = [beat(&trace, &format!("{} 0", mark(i, k)))?, beat(&trace, &format!("{after} 0"))?];
            let mut told = [0.0; 2];
            for (ms, end) in told.iter_mut().zip(PAINTED_ANSWERED) {
                let marks = [format!("{} begins", mark(i, k)), format!("{} {end}", mark(i, k))];
                *ms = pace.phone(trace.worked([&marks[0], &marks[1]])?, &beats);
            }
            Ok(told)
        };
        names
            .into_iter()
            .enumerate()
            .map(|(i, name)| {
                Ok(Touched { name, touches: (0..times).map(|k| touch(i, k)).collect::<Result<_>>()? })
            })
            .collect()
    }

    /// The first sight of a screen, which is built by it: a phone's milliseconds.
    async fn sight(&self, pace: Pace, hash: &str) -> Result<f64> {
        let script = "(async () => {
            await touched('sight', () => { location.hash = arguments[0]; });
            await beats('after', 1);
        })()";
        let (_, trace) = self.traced(script, vec![json!(hash)]).await?;
        let beats = [beat(&trace, "sight 0")?, beat(&trace, "after 0")?];
        let worked = trace.worked(["sight begins", "sight answered"])?;
        // Two frames of nothing take less than one.
        ensure!(worked > 3.0, "{hash} did not come: {worked} ms");
        Ok(pace.phone(worked, &beats))
    }
}

#[test]
fn any_touch_of_any_screen_is_painted_and_answered_at_once_on_a_slow_phone() {
    on_stage("touch", async |stage| {
        stage.open_in_use().await?;
        // A page that slowed the beat would be excused by it.
        let mut within = Vec::new();
        for hash in [EVENING, "#sky/year", "#log"] {
            stage.screen_at(hash).await?;
            within.push(stage.beat().await?);
        }
        stage.open_aside().await?;
        let bare = stage.beat().await?;
        println!("a beat: {bare:.2} ms on a bare page, {within:.2?} on this one");
        ensure!(within.iter().all(|ms| *ms < 1.7 * bare), "the page itself slows the beat");
        stage.open(EVENING).await?;
        stage.until(IN_USE).await?;
        stage.settled().await?;
        let limits = [stage.budget("touch-ms")?, stage.budget("answer-ms")?];
        let pace = stage.pace()?;
        let open_limit = stage.budget("open-ms")?;
        let hashes =
            "return [...document.querySelectorAll('#nav a, #other-cards a')].map(({ hash }) => hash)";
        let hashes: Vec<String> = serde_json::from_value(stage.script(hashes, vec![]).await?)?;
        ensure!(hashes.len() >= 20, "only {hashes:?}");
        let mut held: Vec<(&str, String, [f64; 2])> = Vec::new();
        let mut open: f64 = 0.0;
        for hash in &hashes {
            let mut first = true;
            let sight = middle(1, open_limit, async || {
                if !std::mem::take(&mut first) {
                    stage.open(EVENING).await?;
                    stage.until(IN_USE).await?;
                    stage.settled().await?;
                }
                stage.sight(pace, hash).await
            })
            .await?;
            open = open.max(sight);
            let touched = stage.touched(pace, hash, 3).await?;
            ensure!(!touched.is_empty(), "{hash} has no control");
            let worst = |which: usize| {
                let slowest = touched.iter().max_by(|a, b| a.held()[which].total_cmp(&b.held()[which]));
                slowest.map_or(String::new(), |one| format!("{:.0} ({})", one.held()[which], one.name))
            };
            let [paint, answer] = [0, 1].map(worst);
            println!(
                "{hash}: first {sight:.0} ms; {} controls, paint at most {paint}, answer {answer}",
                touched.len()
            );
            held.extend(touched.iter().map(|one| (hash.as_str(), one.name.clone(), one.held())));
        }
        ensure!(held.len() > 200, "only {} controls", held.len());
        // What was slow is touched again a little later: other work on the machine passes, a slow page does not.
        let is_slow = |ms: &[f64; 2]| ms[0] > limits[0] || ms[1] > limits[1];
        for _ in 0..2 {
            for hash in &hashes {
                if !held.iter().any(|(at, _, ms)| at == hash && is_slow(ms)) {
                    continue;
                }
                println!("{hash} once more");
                tokio::time::sleep(Duration::from_secs(5)).await;
                for again in stage.touched(pace, hash, MOST).await? {
                    let mut old = held.iter_mut().filter(|(at, name, _)| at == hash && *name == again.name);
                    if let Some((_, _, ms)) = old.find(|(_, _, ms)| is_slow(ms)) {
                        *ms = again.held();
                    }
                }
            }
        }
        let slow: Vec<_> = held.iter().filter(|(_, _, ms)| is_slow(ms)).collect();
        ensure!(slow.is_empty(), "slower than {limits:?} ms: {slow:?}");
        let worst = [0, 1].map(|which| held.iter().map(|(_, _, ms)| ms[which]).fold(0.0, f64::max));
        println!("{} controls", held.len());
        stage.held(&[("touch-ms", worst[0]), ("answer-ms", worst[1]), ("open-ms", open)])
    });
}

/// A clock that runs sixty times too fast from a while before sunset.
const HASTE: &str = r"
    const [clock, every, began] = [Date.now.bind(Date), window.setInterval, Date.UTC(2031, 2, 9, 17, 50)];
    const born = clock();
    Date.now = () => began + (clock() - born) * 60;
    window.setInterval = (work, ms, ...rest) => every(work, ms >= 1000 ? ms / 60 : ms, ...rest);";

/// A task of 60 ms by the clock, of which a busy machine may leave it a part.
const PLANTED: &str =
    "setTimeout(() => { const till = performance.now() + 60; while (performance.now() < till); })";

/// The clock as the evening tells it.
const CLOCK: &str = "return document.querySelector('.next-lead').textContent";

impl Stage {
    /// The longest task while something is done in the page, a phone's milliseconds.
    async fn longest_during(&self, pace: Pace, doing: impl AsyncFn() -> Result<()>) -> Result<f64> {
        let around = async |name: &str, mark: &str| -> Result<()> {
            let body = format!(
                "{TOUCHES}; const done = arguments[0];
                beats('{name}', 3).then(() => setTimeout(() => {{ performance.mark('{mark}'); done(); }}, 100));"
            );
            self.browser().execute_async(body, vec![]).await?;
            Ok(())
        };
        let tracing = self.trace()?;
        around("before", "begins").await?;
        doing().await?;
        tokio::time::sleep(Duration::from_millis(300)).await;
        self.script("performance.mark('ends')", vec![]).await?;
        around("after", "over").await?;
        let trace = tracing.taken()?;
        let beats: Result<Vec<f64>> = ["before", "after"]
            .into_iter()
            .flat_map(|name| (0..3).map(move |i| format!("{name} {i}")))
            .map(|name| beat(&trace, &name))
            .collect();
        Ok(pace.phone(trace.longest_task(["begins", "ends"])?, &[middle_of(&beats?)]))
    }

    /// The longest task while something is done on a screen for the first time, a phone's milliseconds.
    async fn longest_task(
        &self,
        pace: Pace,
        what: &str,
        hash: &str,
        ready: &str,
        doing: impl AsyncFn() -> Result<()>,
    ) -> Result<f64> {
        middle(3, self.budget("task-ms")?, async || {
            self.open(EVENING).await?;
            self.until(IN_USE).await?;
            self.settled().await?;
            self.screen_at(hash).await?;
            self.script(ready, vec![]).await?;
            tokio::time::sleep(Duration::from_millis(300)).await;
            let longest = self.longest_during(pace, &doing).await?;
            println!("{what}: {longest:.0} ms");
            Ok(longest)
        })
        .await
    }

    /// Types into a field letter by letter, and leaves it. The keys come from the protocol: a driver that looks at the field before
    /// each of them has long tasks of its own.
    async fn types(&self, pace: Pace, hash: &str, ready: &str, id: &str, text: &str) -> Result<f64> {
        let field = format!("document.getElementById('{id}')");
        let longest = self
            .longest_task(pace, &format!("typing into {id}"), hash, ready, async || {
                self.script(&format!("{field}.focus(); {field}.select()"), vec![]).await?;
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
        let pace = stage.pace()?;
        let planted = stage
            .longest_during(Pace { beat_ms: f64::INFINITY }, async || {
                stage.script(PLANTED, vec![]).await.map(drop)
            })
            .await?;
        ensure!(planted > 50.0, "of a task of {} ms {planted:.0} are told", 60 * SLOWER);
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
