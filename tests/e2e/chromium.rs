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
            let told = stage.protocol("Page.getAppManifest", json!({})).await?;
            let manifest = &told["manifest"];
            ensure!(told["errors"].as_array().is_some_and(Vec::is_empty), "{}", told["errors"]);
            ensure!(
                manifest["startUrl"] == stage.address(card),
                "it would start at {}",
                manifest["startUrl"]
            );
            ensure!(manifest["id"] == stage.address(id), "it is {}", manifest["id"]);
            let refusals = stage.protocol("Page.getInstallabilityErrors", json!({})).await?;
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

/// ISO 216's A4 and the letter of ANSI/ASME Y14.1, width and height in inches.
const PAPERS: [(&str, f64, f64); 2] = [("A4", 8.27, 11.69), ("letter", 8.5, 11.0)];

#[test]
fn a_run_sheet_is_printed_on_one_page() {
    on_stage("print", async |stage| {
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        // An evening's work in the log besides: a frame every seven minutes from half past five.
        let frame: Value = serde_json::from_str(include_str!("../data/records/frame-1.json"))?;
        let frames = (0..12).map(|i| {
            let mut frame = frame.clone();
            (frame["id"], frame["atMs"]) =
                (json!(format!("f{i}")), json!(1_930_843_800_000_i64 + i * 420_000));
            (frame["spotName"], frame["spotId"]) = (json!("Cormorant Quay"), json!(null));
            (format!("f{i}"), frame)
        });
        let frames: serde_json::Map<String, Value> = frames.collect();
        let file = json!({ "format": "duskbook-backup", "version": 1, "stores": { "frames": frames } });
        stage.script("location.hash = '#backup'", vec![]).await?;
        stage.until_text("#held", "1 spot").await?;
        stage.give("frames.json", &file.to_string(), "12 new").await?;
        stage.press("take-in").await?;
        stage.until_text("#in-state", "Taken in: 12 frames").await?;
        for (date, part) in [
            ("2031-03-09", "evening"),
            ("2031-03-10", "morning"),
            ("2031-06-21", "evening"),
            ("2031-12-21", "evening"),
        ] {
            stage.script(&format!("location.hash = '#evening?date={date}&part={part}'"), vec![]).await?;
            stage.until(&format!("document.getElementById('date').value === '{date}'")).await?;
            stage.until("document.querySelector('#sheet-table tr[data-kind=dial]')").await?;
            let rows =
                stage.script("return document.querySelectorAll('#sheet-table tr').length", vec![]).await?;
            for (name, width, height) in PAPERS {
                let asked = json!({ "paperWidth": width, "paperHeight": height, "preferCSSPageSize": true });
                let printed = stage.protocol("Page.printToPDF", asked).await?;
                // ISO 32000-1, 7.7.3.3: every page is an object of this type.
                let count = "const text = atob(arguments[0]);
                    return [text.slice(0, 5), text.match(/\\/Type\\s*\\/Page\\b(?!s)/g)?.length ?? 0, text.length]";
                let counted = stage.script(count, vec![printed["data"].clone()]).await?;
                println!("{date} {part} on {name}: {rows} rows, {counted}");
                ensure!(counted[0] == "%PDF-" && counted[1] == 1, "{date} {part} on {name}: {counted}");
            }
        }
        // The table is what is on it, whether its fold was open or not.
        stage.protocol("Emulation.setEmulatedMedia", json!({ "media": "print" })).await?;
        stage.script("dispatchEvent(new Event('beforeprint'))", vec![]).await?;
        stage.until("document.querySelector('#sheet-table tr').getClientRects().length").await?;
        stage.until("!document.querySelector('.nav').getClientRects().length").await
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

#[test]
fn units_clock_numbers_and_dates_follow_the_region_until_they_are_set() {
    on_stage("region", async |stage| {
        stage.open("").await?;
        let browser = stage.script("return navigator.userAgent", vec![]).await?;
        let regions = [
            ("de-DE", ["9 Mar 2031", "18:", "50,31", "6", "m", ","]),
            ("en-US", ["Mar 9, 2031", "6:", "50.31", "19.7", "ft", "[.]"]),
        ];
        for (region, [date, clock, latitude, height, unit, mark]) in regions {
            let language = json!({ "userAgent": browser, "acceptLanguage": region });
            stage.protocol("Emulation.setUserAgentOverride", language).await?;
            stage.protocol("Emulation.setLocaleOverride", json!({ "locale": region })).await?;
            stage.open_quay().await?;
            stage.script("location.hash = '#evening?date=2031-03-09'", vec![]).await?;
            stage.until_text(".screen-evening .date-words span", date).await?;
            stage.until_text("#sheet-table tr[data-kind=sunset]", clock).await?;
            stage.screen("Exposure").await?;
            // Which EV depends on the hour: in twilight the run sheet dials.
            let told = "document.getElementById('brightness')?.textContent";
            stage.until_told(&format!(r"/^EV \W?\d+{mark}\d/.test({told})"), told).await?;
            // What a camera shows stays as it shows it.
            stage.until_text(".screen-exposure", "f/2.8").await?;
            stage.spot_form().await?;
            stage.until("document.getElementById('latitudeDeg').value").await?;
            let shown = [stage.value("latitudeDeg").await?, stage.value("elevationM").await?];
            ensure!(shown == [latitude, height], "{region}: {shown:?}");
            stage.until_text(".field:has(#elevationM) .field-unit", unit).await?;
            for typed in ["51,25", "51.25"] {
                stage.fill("latitudeDeg", "10").await?;
                stage.fill("latitudeDeg", typed).await?;
                stage.until("document.getElementById('spot-link').href.includes('lat=51.25')").await?;
            }
        }
        // Set otherwise, at once and for good.
        stage.screen("More").await?;
        for choice in ["lengths-metres", "hours-24", "decimals-comma", "dates-day"] {
            stage.script("document.getElementById(arguments[0]).click()", vec![json!(choice)]).await?;
        }
        stage.until_written().await?;
        stage.open_quay().await?;
        stage.script("location.hash = '#evening?date=2031-03-09'", vec![]).await?;
        stage.until_text(".screen-evening .date-words span", "9 Mar 2031").await?;
        stage.until_text("#sheet-table tr[data-kind=sunset]", "18:").await?;
        stage.spot_form().await?;
        stage.until("document.getElementById('latitudeDeg').value === '50,31'").await?;
        stage.until_text(".field:has(#elevationM) .field-unit", "m").await
    });
}
