//! Speed and memory on a slow phone, held to `[speed]` of `budgets.toml`.
//!
//! The processor is slowed four times over Chromium's protocol. Times are of the wall's clock and the machine may be busy with
//! other work, which can only lengthen them: of a few starts the quickest is held, of the touches of a control the second
//! quickest. The middle and the worst are printed beside.

use std::time::Duration;

use anyhow::{Context, Result, ensure};
use duskbook_packager::budgets::Budgets;
use serde_json::{Value, json};
use thirtyfour::{By, Key};

use crate::page::QUAY;
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
    async fn cdp(&self, method: &str, parameters: Value) -> Result<Value> {
        Ok(self.browser().cdp().send_raw(method, parameters).await?)
    }

    async fn slowed(&self, times: u32) -> Result<()> {
        self.cdp("Emulation.setCPUThrottlingRate", json!({ "rate": times })).await.map(drop)
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
            Some(duskbook_packager::budgets::Limit::AtMost(limit)) => Ok(*limit),
            other => anyhow::bail!("{name} is {other:?}"),
        }
    }

    /// Starts the browser anew and opens an address on a slow phone: milliseconds from there to the first number.
    async fn cold_start(&mut self, address: &str) -> Result<f64> {
        self.restart_browser().await?;
        self.slowed(SLOWED).await?;
        self.cdp("Page.addScriptToEvaluateOnNewDocument", json!({ "source": WATCH })).await?;
        self.browser().goto(self.address(address)).await?;
        self.until("window.firstNumber").await?;
        let told = self.script("return window.firstNumber", vec![]).await?;
        told.as_f64().context("a time")
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
        stage.open("").await?;
        stage.until_ready_offline().await?;
        stage.no_signal()?;
        let limit = stage.budget("cold-start-ms")?;
        let mut starts = Vec::new();
        while starts.len() < *STARTS.start()
            || (starts.len() < *STARTS.end() && starts.iter().all(|ms| *ms > limit))
        {
            starts.push(stage.cold_start("").await?);
        }
        let starts = rising(starts);
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
