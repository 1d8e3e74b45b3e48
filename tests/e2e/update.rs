//! From one version to the next.

use std::fs;

use anyhow::{Context, Result, ensure};
use duskbook_packager::precache;
use serde_json::{Value, json};
use thirtyfour::By;

use crate::log::{GIVE, photograph};
use crate::stage::{Stage, on_stage};

impl Stage {
    /// Puts out another version of the site: one that says so of itself.
    pub fn release(&self, name: &str) -> Result<()> {
        let file = self.site.join("app.js");
        let changed =
            format!("{}\ndocument.documentElement.dataset.release = '{name}';\n", fs::read_to_string(&file)?);
        fs::write(&file, changed)?;
        precache::write(&self.site)?;
        Ok(())
    }

    async fn accept_update(&self) -> Result<()> {
        self.until("!document.getElementById('update-prompt').hidden").await?;
        self.browser().find(By::Css("#update-prompt button")).await?.click().await?;
        Ok(())
    }
}

#[test]
fn an_update_waits_to_be_asked_for_and_loses_no_spot() {
    on_stage("update", async |stage| {
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.release("second")?;
        stage.open("#spot-form").await?;
        stage.until("!document.getElementById('update-prompt').hidden").await?;
        ensure!(
            stage.script("return document.documentElement.dataset.release ?? null", vec![]).await?.is_null(),
            "the new version runs before it was asked for"
        );
        stage.accept_update().await?;
        stage.until("document.documentElement.dataset.release === 'second'").await?;
        stage.until_text("#spot-list", "Cormorant Quay").await?;
        stage.until_ready_offline().await?;
        // Put off, the next one stays away from this page.
        stage.release("third")?;
        stage.looked_for_update().await?;
        stage.until("!document.getElementById('update-prompt').hidden").await?;
        stage.script("[...document.querySelectorAll('#update-prompt button')].pop().click()", vec![]).await?;
        stage.screen("Sky").await?;
        ensure!(!stage.prompted().await?, "it asks again");
        ensure!(stage.release_of_page().await? == "second", "it came unasked");
        stage.no_signal()?;
        stage.open_quay().await?;
        stage.until("document.documentElement.dataset.release").await?;
        stage.shows_sunset("2031-03-09").await
    });
}

/// A photo worker that says of which version the modules and the wasm are that it was given. Its letter is its script's own.
const TELLTALE: &str = "
    import ready from '../wasm/duskbook.js?v=';
    self.onmessage = async () => {
        const labels = ['script first'];
        try {
            const late = (what, step) => Promise.race([step, new Promise((_, no) => setTimeout(no, 5000, what))]);
            await late('glue', ready());
            const module = await late('wasm', WebAssembly.compileStreaming(fetch('../wasm/duskbook_bg.wasm?v=')));
            const changed = WebAssembly.Module.customSections(module, 'two').length;
            labels.push(`module ${self.release}`, `wasm ${changed ? 'second' : 'first'}`);
        } catch (error) {
            labels.push(String(error));
        }
        const record = { ev: null, compensationStops: 0, focalMm: null, camera: '', lens: '', atLocal: null, warnings: [], labels };
        self.postMessage({ photograph: { record, seen: null } });
    };";

/// A custom section of WebAssembly 1.0 with the name \"two\" and nothing in it.
const SECTION: &[u8] = b"\0\x04\x03two";

/// What it says where all is of one version.
const FIRST: &str = "script first  module first  wasm first";
const SECOND: &str = "script second  module second  wasm second";

impl Stage {
    /// Changes what a file says; the list of the version is another matter.
    fn change(&self, name: &str, change: impl FnOnce(&str) -> String) -> Result<()> {
        let file = self.site.join(name);
        let changed = change(&fs::read_to_string(&file)?);
        Ok(fs::write(file, changed)?)
    }

    /// What a worker of this page is given, once it is started.
    async fn late_files(&self) -> Result<String> {
        self.script("location.hash = '#log/photo'", vec![]).await?;
        self.until("document.getElementById('photo-files')?.offsetParent").await?;
        self.script(GIVE, vec![json!("a.tif"), json!([1])]).await?;
        let told = "[...document.querySelectorAll('.photo-set')].pop()?.textContent";
        self.until_told(told, "document.getElementById('photo-list').textContent").await?;
        let told = self.script(&format!("const told = {told}; document.querySelector('[aria-label^=\"Put away\"]').click(); return told"), vec![]).await?;
        Ok(told.as_str().context("a text")?.to_owned())
    }

    /// Which version the page's own files are of.
    async fn release_of_page(&self) -> Result<Value> {
        self.script("return document.documentElement.dataset.release ?? null", vec![]).await
    }

    async fn prompted(&self) -> Result<bool> {
        Ok(self.script("return !document.getElementById('update-prompt').hidden", vec![]).await? == true)
    }

    /// Waits for the browser to have looked for another version, and for what it found to be settled.
    async fn looked_for_update(&self) -> Result<()> {
        let body = "const done = arguments[0];
            navigator.serviceWorker.ready.then(async registration => {
                await registration.update().catch(() => undefined);
                while (registration.installing) await new Promise(next => setTimeout(next, 20));
                done(true);
            });";
        self.browser().execute_async(body, vec![]).await?;
        Ok(())
    }
}

#[test]
fn versions_never_mix_in_two_tabs_nor_from_a_host_in_the_middle_of_its_update() {
    on_stage("update-mix", async |stage| {
        fs::write(stage.site.join("lib/photo-worker.js"), TELLTALE)?;
        stage.change("wasm/duskbook.js", |own| format!("{own}\nglobalThis.release = 'first';"))?;
        precache::write(&stage.site)?;
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        let wasm = stage.site.join("wasm/duskbook_bg.wasm");
        let first = fs::read(&wasm)?;

        // The next version's worker and modules are out, its wasm is not yet.
        stage.change("wasm/duskbook.js", |own| own.replace("release = 'first'", "release = 'second'"))?;
        stage.change("lib/photo-worker.js", |own| own.replace("script first", "script second"))?;
        fs::write(&wasm, [&first, SECTION].concat())?;
        stage.release("second")?;
        fs::write(&wasm, &first)?;
        stage.looked_for_update().await?;
        ensure!(!stage.prompted().await?, "half an update is offered");
        let told = stage.late_files().await?;
        ensure!(told == FIRST, "{told}");

        // Now all of it is, and it waits.
        fs::write(&wasm, [&first, SECTION].concat())?;
        stage.looked_for_update().await?;
        stage.until("!document.getElementById('update-prompt').hidden").await?;
        let told = stage.late_files().await?;
        ensure!(told == FIRST, "while another waits: {told}");
        stage.until_ready_offline().await?;
        let old = stage.browser().window().await?;
        let new = stage.browser().new_tab().await?;
        stage.browser().switch_to_window(new.clone()).await?;
        stage.open("#log/photo").await?;
        let told = stage.late_files().await?;
        ensure!(told == FIRST && stage.release_of_page().await?.is_null(), "in a new tab: {told}");
        stage.accept_update().await?;
        stage.until("document.documentElement.dataset.release === 'second'").await?;
        let told = stage.late_files().await?;
        ensure!(told == SECOND, "after the update: {told}");

        // The tab before is as it was, and offered the same.
        stage.browser().switch_to_window(old).await?;
        stage.until("!document.getElementById('update-prompt').hidden").await?;
        let told = stage.late_files().await?;
        ensure!(told == FIRST && stage.release_of_page().await?.is_null(), "in the old tab: {told}");
        stage.accept_update().await?;
        stage.until("document.documentElement.dataset.release === 'second'").await?;
        let told = stage.late_files().await?;
        ensure!(told == SECOND, "in the old tab: {told}");

        // One page of one version is left, and the other version's copy goes.
        let old = stage.browser().window().await?;
        stage.browser().switch_to_window(new).await?;
        stage.browser().close_window().await?;
        stage.browser().switch_to_window(old).await?;
        stage.no_signal()?;
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        let body = "const done = arguments[0];
            const look = () => caches.keys().then(names => {
                if (names.filter(name => name.startsWith('duskbook-')).length === 1) done(true); else setTimeout(look, 50);
            });
            look();";
        stage.browser().execute_async(body, vec![]).await?;
        let told = stage.late_files().await?;
        ensure!(told == SECOND, "with no signal: {told}");
        Ok(())
    });
}

/// What the page was given by its version.
const GIVEN: &str = "return performance.getEntriesByType('resource').map(({ name }) => name).filter(name => name.includes('?v='))";

#[test]
fn a_tab_that_loads_while_another_takes_over_is_of_its_own_version_or_starts_anew() {
    on_stage("update-late", async |stage| {
        stage.change("wasm/duskbook.js", |own| format!("{own}\nglobalThis.glue = 'first';"))?;
        precache::write(&stage.site)?;
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        let version = stage.script("return document.documentElement.dataset.version", vec![]).await?;
        let version = version.as_str().context("a version")?.to_owned();
        // The page of the first version, to come when the second's worker is in charge.
        fs::copy(stage.site.join("index.html"), stage.site.join("late.html"))?;
        stage.change("wasm/duskbook.js", |own| own.replace("glue = 'first'", "glue = 'second'"))?;
        stage.change("app.css", |own| format!("{own}\n:root {{ --release: second }}"))?;
        stage.release("second")?;
        stage.looked_for_update().await?;
        let old = stage.browser().window().await?;
        let new = stage.browser().new_tab().await?;
        stage.browser().switch_to_window(new).await?;
        stage.open("").await?;
        stage.accept_update().await?;
        stage.until("document.documentElement.dataset.release === 'second' && glue === 'second'").await?;
        // It still asks as it goes: the one page left then is of the first version, whose copy has to stay.
        let asks = "for (let i = 0; i < 400; i++) navigator.serviceWorker.controller
            .postMessage(document.documentElement.dataset.version, [new MessageChannel().port2])";
        stage.script(asks, vec![]).await?;
        stage.browser().goto("about:blank").await?;

        stage.open("late.html#sky").await?;
        stage.until("document.querySelector('.screen-sky:not([hidden])')").await?;
        stage.until("!document.getElementById('update-prompt').hidden").await?;
        let told = "return [glue, document.documentElement.dataset.release ?? null,
            getComputedStyle(document.documentElement).getPropertyValue('--release')]";
        let told = stage.script(told, vec![]).await?;
        ensure!(told == json!(["first", null, ""]), "of the late page: {told}");
        let given = stage.script(GIVEN, vec![]).await?;
        let given: Vec<String> = serde_json::from_value(given)?;
        for file in ["app.js", "app.css", "duskbook.js", "duskbook_bg.wasm"] {
            ensure!(
                given.iter().any(|name| name.ends_with(&format!("{file}?v={version}"))),
                "{file}: {given:?}"
            );
        }

        // Without the first version's copy there is nothing to mix: it starts anew, once.
        let new = stage.browser().window().await?;
        stage.browser().switch_to_window(old).await?;
        stage.browser().close_window().await?;
        stage.browser().switch_to_window(new).await?;
        let gone = "const done = arguments[0]; caches.delete('duskbook-' + document.documentElement.dataset.version).then(done)";
        ensure!(stage.browser().execute_async(gone, vec![]).await?.json() == true, "there was no copy");
        stage.open("late.html").await?;
        stage.until("performance.getEntriesByType('navigation')[0].type === 'reload'").await?;
        tokio::time::sleep(std::time::Duration::from_secs(1)).await;
        let told = stage
            .script("return [window.glue ?? null, document.querySelectorAll('.screen').length]", vec![])
            .await?;
        ensure!(told == json!([null, 0]), "it runs on: {told}");
        stage.open("").await?;
        stage.until("document.documentElement.dataset.release === 'second' && glue === 'second'").await
    });
}

#[test]
fn an_update_does_not_reload_over_what_was_typed_or_chosen() {
    on_stage("update-unsaved", async |stage| {
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        // Kept at once, and so it may go on in the next version.
        stage.script("location.hash = '#exposure/timer'", vec![]).await?;
        stage.until("document.getElementById('timer-start')?.offsetParent").await?;
        stage.press("timer-start").await?;
        stage.script("location.hash = '#log'", vec![]).await?;
        stage.until("document.getElementById('log-frame')?.offsetParent").await?;
        stage.press("log-frame").await?;
        stage.until_text("#log-state", "Kept in the log").await?;
        stage.release("second")?;
        stage.looked_for_update().await?;
        stage.until_text("#update-prompt", "new version").await?;
        let kept = async |what: &str| -> Result<()> {
            stage.accept_update().await?;
            stage
                .until_text("#update-prompt", "not kept yet")
                .await
                .map_err(|told| told.context(what.to_owned()))?;
            ensure!(stage.release_of_page().await?.is_null(), "the page was reloaded over {what}");
            // Prompted afresh, as by a page that was left alone.
            stage
                .script(
                    "document.getElementById('update-prompt').hidden = true; location.hash = '#settings'",
                    vec![],
                )
                .await?;
            stage.until_text("#update-prompt", "new version").await
        };
        stage.spot_form().await?;
        stage.fill("notes", "mind the tide").await?;
        kept("notes").await?;
        ensure!(stage.value("notes").await? == "mind the tide", "the notes are gone");
        stage.spot_form().await?;
        stage.keep_spot().await?;

        stage.script("location.hash = '#backup'", vec![]).await?;
        stage.until("document.getElementById('file-in')").await?;
        let point = json!({ "type": "FeatureCollection", "features": [
            { "type": "Feature", "properties": { "name": "Heron Weir" }, "geometry": { "type": "Point", "coordinates": [-30, 44] } },
        ] });
        stage
            .script(
                &GIVE.replace("photo-files", "file-in"),
                vec![json!("a.geojson"), json!(point.to_string().as_bytes())],
            )
            .await?;
        stage.until_text("#in-state", "nothing is written yet").await?;
        kept("a plan").await?;
        stage.script("location.hash = '#backup'", vec![]).await?;
        stage.press("take-in").await?;
        stage.until_text("#in-state", "Taken in").await?;

        stage.script("location.hash = '#log/photo'", vec![]).await?;
        stage.until("document.getElementById('photo-files')").await?;
        stage.script(GIVE, vec![json!("a.tif"), json!(photograph("2031:03:09 17:40:00"))]).await?;
        stage.until("document.querySelector('[aria-label^=\"Put away\"]')").await?;
        kept("photographs").await?;
        stage.script("location.hash = '#log/photo'", vec![]).await?;
        stage.script("document.querySelector('[aria-label^=\"Put away\"]').click()", vec![]).await?;

        // A note that is still being typed is kept by the tap that asks for the new version, and all else is there.
        stage.script("location.hash = '#log'", vec![]).await?;
        stage.until("document.querySelector('#frames details')?.offsetParent").await?;
        stage.script("document.querySelector('#frames details').open = true", vec![]).await?;
        stage.until("document.getElementById('frame-note')?.offsetParent").await?;
        stage.browser().find(By::Id("frame-note")).await?.send_keys("gulls").await?;
        stage.accept_update().await?;
        stage.until("document.documentElement.dataset.release === 'second'").await?;
        stage.until_text("#frames", "gulls").await?;
        stage.until("document.getElementById('timer-strip').hidden === false").await?;
        stage.spot_form().await?;
        stage.until_text("#spot-list", "Heron Weir").await?;
        ensure!(stage.value("notes").await? == "mind the tide", "the notes are gone");
        Ok(())
    });
}
