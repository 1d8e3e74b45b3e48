//! What only Chromium can show: its reading of the manifest, and the newest zone data of the three engines.

use std::io::Write;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, ensure};
use duskbook_packager::files;
use serde_json::{Value, json};

use crate::page::QUAY;
use crate::stage::on_stage;
use crate::zones::{DIFFERENCES, table};

/// The address of the manifest that the page names.
const MANIFEST: &str = "document.querySelector('link[rel=manifest]').href";

#[test]
fn the_app_installs_and_an_open_spot_with_its_own_address() {
    on_stage("manifest", async |stage| {
        // Before the worker answers for it there is no manifest, and a browser then takes the address itself.
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        for (rest, card, id) in [("", "", ""), (QUAY, QUAY, "?spot=Cormorant+Quay")] {
            stage.open(rest).await?;
            stage.until("navigator.serviceWorker.controller").await?;
            stage.until(&format!("{MANIFEST}.includes('start=') === {}", !card.is_empty())).await?;
            let told = stage.browser().cdp().send_raw("Page.getAppManifest", json!({})).await?;
            let manifest = &told["manifest"];
            ensure!(told["errors"].as_array().is_some_and(Vec::is_empty), "{}", told["errors"]);
            ensure!(
                manifest["startUrl"] == stage.address(card),
                "it would start at {}",
                manifest["startUrl"]
            );
            ensure!(manifest["id"] == stage.address(id), "it is {}", manifest["id"]);
            let refusals = stage.browser().cdp().send_raw("Page.getInstallabilityErrors", json!({})).await?;
            ensure!(refusals["installabilityErrors"].as_array().is_some_and(Vec::is_empty), "{refusals}");
            let words = || manifest["shortcuts"].as_array().into_iter().flatten();
            let cards: Vec<_> = words()
                .filter_map(|each| each["url"].as_str()?.split_once('#'))
                .map(|(_, card)| card)
                .collect();
            ensure!(cards == ["evening", "exposure", "exposure/timer", "log"], "{cards:?}");
            ensure!(manifest["shareTarget"]["action"] == stage.address(""), "{}", manifest["shareTarget"]);
            // Its file handlers are not told; one that cannot be is among the errors.
            let icons = manifest["icons"].as_array().context("icons")?;
            for icon in icons {
                let file = icon["url"].as_str().context("an address")?.replace(&stage.address(""), "");
                ensure!(stage.site.join(&file).is_file(), "no {file}");
            }
        }
        Ok(())
    });
}

#[test]
fn chromium_and_node_keep_the_clocks_of_every_zone() {
    let table = table().expect("a table");
    assert!(table.len() > 500, "{} zones", table.len());
    let node = in_node(&table).expect("differences in Node");
    assert!(node.is_empty(), "in Node: {node:#?}");
    on_stage("zones", async |stage| {
        stage.open("").await?;
        let body = format!(
            "{DIFFERENCES}
            const [table, done] = arguments;
            import('/wasm/duskbook.js').then(async calls => {{
                await calls.default();
                done(zoneDifferences(table, calls.zoneOffset));
            }}).catch(error => done([String(error)]));"
        );
        let found = stage.browser().execute_async(body, vec![json!(table)]).await?.json().clone();
        let found: Vec<String> = serde_json::from_value(found)?;
        ensure!(found.is_empty(), "in Chromium: {found:#?}");
        Ok(())
    });
}

/// The same comparison in Node, with the built wasm.
fn in_node(table: &[Value]) -> Result<Vec<String>> {
    let loader = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/boundary/node.mjs");
    let script = format!(
        "import {{ readFileSync }} from 'node:fs';
        import {{ load }} from '{loader}';
        {DIFFERENCES}
        const {{ zoneOffset }} = await load();
        console.log(JSON.stringify(zoneDifferences(JSON.parse(readFileSync(0, 'utf8')), zoneOffset)));"
    );
    let mut node = Command::new("node")
        .args(["--input-type=module", "--eval", &script])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()?;
    node.stdin.take().context("an input")?.write_all(json!(table).to_string().as_bytes())?;
    let output = node.wait_with_output()?;
    ensure!(output.status.success(), "node failed");
    Ok(serde_json::from_slice(&output.stdout)?)
}

/// What is served is joined and shortened; the sources are modules that a browser runs as they stand.
#[test]
fn the_sources_run_unbuilt() {
    on_stage("apart", async |stage| {
        files::copy(&stage.workspace.apart(), &files::emptied(stage.site.clone())?)?;
        stage.open_quay().await?;
        stage.until("document.querySelector('#sheet-table tr[data-kind=dial]')").await?;
        let links = "return [...document.querySelectorAll('#nav a, #other-cards a')].map(link => link.hash)";
        let cards = stage.script(links, vec![]).await?;
        for card in cards.as_array().context("a list")? {
            stage.script("self.before = document.querySelector('.screen:not([hidden])'); location.hash = arguments[0]", vec![card.clone()]).await?;
            let shown = "document.querySelector('.screen:not([hidden])')";
            stage
                .until(&format!("location.hash === '#evening' || {shown} && {shown} !== self.before"))
                .await?;
        }
        let modules =
            "return performance.getEntriesByType('resource').filter(at => at.name.endsWith('.js')).length";
        let modules = stage.script(modules, vec![]).await?;
        ensure!(modules.as_u64() > Some(50), "{modules} modules: they are not apart");
        Ok(())
    });
}

/// Milliseconds of a frame at 60 a second.
const FRAME_MS: f64 = 1000.0 / 60.0;
/// What a touch may take at most without being felt.
const UNFELT_MS: f64 = 50.0;

/// The work of a touch, answer and layout, at a quarter of this machine's speed. The quickest of many is held to a frame,
/// since a busy machine slows the rest.
#[test]
fn each_card_of_the_lens_desk_answers_within_a_frame_on_a_slow_phone() {
    on_stage("touch", async |stage| {
        stage.open("#lens").await?;
        for (card, step) in [
            ("lens", "#lens-distanceM"),
            ("lens/focus", "#focus-nearM"),
            ("lens/trails", "#speedMS"),
            ("lens/stars", "#altitudeDeg"),
        ] {
            stage.card_in_front(card).await?;
            stage.browser().cdp().send_raw("Emulation.setCPUThrottlingRate", json!({ "rate": 4 })).await?;
            let body = "const [selector, done] = arguments;
                const buttons = document.querySelector(selector).closest('.field').querySelectorAll('button');
                const spent = [];
                const touch = () => {
                    const began = performance.now();
                    buttons[spent.length % 2].click();
                    document.body.getBoundingClientRect();
                    spent.push(performance.now() - began);
                    if (spent.length < 41) setTimeout(touch, 20); else done(spent.sort((a, b) => a - b));
                };
                touch();";
            let spent = stage.browser().execute_async(body, vec![json!(step)]).await?.json().clone();
            stage.browser().cdp().send_raw("Emulation.setCPUThrottlingRate", json!({ "rate": 1 })).await?;
            let spent: Vec<f64> = serde_json::from_value(spent)?;
            let (quickest, middle) = (spent[0], spent[spent.len() / 2]);
            println!("{card}: {quickest:.1} ms at best, {middle:.1} ms in the middle of {}", spent.len());
            ensure!(
                quickest <= FRAME_MS && middle <= UNFELT_MS,
                "{card} took {quickest:.1} and {middle:.1} ms"
            );
        }
        Ok(())
    });
}
