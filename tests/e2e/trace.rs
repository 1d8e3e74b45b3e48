//! Chromium's own account of what a page's main thread works.
//!
//! A mark of the page (`performance.mark`) carries the processor's time that its thread has had so far. What lies between two marks is
//! therefore the page's own work: waiting for a turn on a busy machine, for a frame or for the disk does not count.
//! The account comes over the browser's protocol, beside the driver.

use std::net::TcpStream;
use std::time::Duration;

use anyhow::{Context, Result, ensure};
use serde::Deserialize;
use serde_json::{Value, json};
use tungstenite::stream::MaybeTlsStream;
use tungstenite::{Message, WebSocket};

use crate::stage::Stage;

/// What runs on a thread, one after another.
const TASK: &str = "ThreadControllerImpl::RunTask";

/// How long the browser may take to hand an account over.
const PATIENCE: Duration = Duration::from_secs(60);

/// An account that is being taken.
pub struct Tracing {
    socket: WebSocket<MaybeTlsStream<TcpStream>>,
}

/// An account taken.
pub struct Trace {
    events: Vec<Event>,
}

#[derive(Deserialize)]
struct Event {
    name: String,
    #[serde(rename = "ph")]
    phase: String,
    pid: u64,
    tid: u64,
    /// Microseconds of the clock.
    #[serde(default)]
    ts: f64,
    /// Microseconds that the thread has worked.
    tts: Option<f64>,
    tdur: Option<f64>,
}

impl Stage {
    /// Begins an account of every thread of Chromium.
    pub fn trace(&self) -> Result<Tracing> {
        let told = std::fs::read_to_string(self.profile().join("DevToolsActivePort"))?;
        let (port, path) = told.trim().split_once('\n').context("a port and a path")?;
        let (socket, _) = tungstenite::connect(format!("ws://127.0.0.1:{port}{path}"))?;
        if let MaybeTlsStream::Plain(stream) = socket.get_ref() {
            stream.set_read_timeout(Some(PATIENCE))?;
        }
        let mut tracing = Tracing { socket };
        let wanted =
            json!({ "includedCategories": ["toplevel", "blink.user_timing"], "excludedCategories": ["*"] });
        tracing.ask("Tracing.start", &json!({ "traceConfig": wanted }))?;
        while tracing.told()?["id"].is_null() {}
        Ok(tracing)
    }
}

impl Tracing {
    fn ask(&mut self, method: &str, parameters: &Value) -> Result<()> {
        let asked = json!({ "id": 1, "method": method, "params": parameters });
        Ok(self.socket.send(Message::text(asked.to_string()))?)
    }

    fn told(&mut self) -> Result<Value> {
        let told: Value = serde_json::from_str(self.socket.read()?.to_text()?)?;
        ensure!(told["error"].is_null(), "{told}");
        Ok(told)
    }

    /// Ends it, and takes it over.
    pub fn taken(mut self) -> Result<Trace> {
        self.ask("Tracing.end", &json!({}))?;
        let mut events = Vec::new();
        loop {
            let mut told = self.told()?;
            if told["method"] == "Tracing.tracingComplete" {
                ensure!(told["params"]["dataLossOccurred"] != true, "parts of the account are lost");
                return Ok(Trace { events });
            }
            if told["method"] == "Tracing.dataCollected" {
                let part: Vec<Event> = serde_json::from_value(told["params"]["value"].take())?;
                events.extend(part.into_iter().filter(|each| each.tts.is_some()));
            }
        }
    }
}

impl Trace {
    fn mark(&self, name: &str) -> Result<&Event> {
        let mut marks = self.events.iter().filter(|each| each.phase != "X" && each.name == name);
        let mark = marks.next().with_context(|| format!("no mark {name}"))?;
        ensure!(marks.next().is_none(), "more than one mark {name}");
        Ok(mark)
    }

    fn marks(&self, [from, to]: [&str; 2]) -> Result<[&Event; 2]> {
        let marks = [self.mark(from)?, self.mark(to)?];
        let [a, b] = marks.map(|mark| (mark.pid, mark.tid));
        ensure!(a == b, "{from} and {to} were made by two threads");
        Ok(marks)
    }

    /// Milliseconds that the page's thread worked between two of its marks, each made once.
    pub fn worked(&self, between: [&str; 2]) -> Result<f64> {
        let [from, to] = self.marks(between)?.map(|mark| mark.tts.unwrap_or(f64::NAN));
        Ok((to - from) / 1000.0)
    }

    /// Milliseconds that the longest task worked which began between two marks.
    pub fn longest_task(&self, between: [&str; 2]) -> Result<f64> {
        let [from, to] = self.marks(between)?;
        let tasks = self.events.iter().filter(|each| {
            each.name == TASK
                && (each.pid, each.tid) == (from.pid, from.tid)
                && (from.ts..to.ts).contains(&each.ts)
        });
        let worked: Vec<f64> = tasks.filter_map(|each| each.tdur).collect();
        ensure!(!worked.is_empty(), "no task between {between:?}");
        Ok(worked.into_iter().fold(0.0, f64::max) / 1000.0)
    }
}
