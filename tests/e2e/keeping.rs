//! What the page cannot keep it says, holds in memory and keeps later; what it cannot read it names and leaves alone.

use std::fs;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, ensure};
use duskbook_packager::engine::Engine;
use duskbook_packager::files;
use serde_json::{Value, json};
use thirtyfour::By;

use crate::stage::{NOTHING_WAITS, Stage, on_stage};

/// Leaves a store of a version with some records in it; it stays open in this tab when asked.
const LEFT: &str = "
    const [version, records, stays, done] = arguments;
    const opening = indexedDB.open('duskbook', version);
    opening.onupgradeneeded = () => {
        const { result, transaction } = opening;
        result.createObjectStore('spots', { keyPath: 'id' });
        result.createObjectStore('settings');
        if (version > 1) result.createObjectStore('filters', { keyPath: 'id' });
        if (version > 2) result.createObjectStore('frames', { keyPath: 'id' });
        for (const [store, key, record] of records) {
            if (store === 'settings') transaction.objectStore(store).put(record, key);
            else transaction.objectStore(store).put(record);
        }
    };
    opening.onsuccess = () => {
        if (stays) window.left = opening.result;
        else opening.result.close();
        done(true);
    };";

/// Faults of a browser, in the page that is served: `localStorage` names the present one. Files that the page hands over
/// stand in the document.
const FAULTS: &str = "(() => {
    const fault = name => localStorage.getItem('test-fault') === name;
    const made = name => new DOMException('made by a test', name);
    const { open } = IDBFactory.prototype;
    const { put, get, getAll } = IDBObjectStore.prototype;
    IDBFactory.prototype.open = function (...given) {
        if (fault('refused')) throw made('SecurityError');
        if (fault('damaged')) {
            const request = { error: made('UnknownError') };
            setTimeout(() => request.onerror());
            return request;
        }
        if (fault('hangs')) {
            const request = {};
            const waiting = setInterval(() => {
                if (fault('hangs')) return;
                clearInterval(waiting);
                const own = open.apply(this, given);
                own.onupgradeneeded = event => { request.result = own.result; request.onupgradeneeded(event); };
                own.onsuccess = () => { request.result = own.result; request.onsuccess(); };
            }, 50);
            return request;
        }
        const request = open.apply(this, given);
        request.addEventListener('success', () => {
            document.addEventListener('test-close', () => {
                request.result.close();
                request.result.dispatchEvent(new Event('close'));
            }, { once: true });
        });
        return request;
    };
    IDBObjectStore.prototype.put = function (...given) {
        if (!fault('quota')) return put.apply(this, given);
        Object.defineProperty(this.transaction, 'error', { value: made('QuotaExceededError') });
        const request = put.apply(this, given);
        this.transaction.abort();
        return request;
    };
    IDBObjectStore.prototype.getAll = function (...given) {
        if (fault('torn') && this.name === 'spots') throw made('DataError');
        return getAll.apply(this, given);
    };
    IDBObjectStore.prototype.get = function (key) {
        if (fault('torn') && key === 'torn') throw made('DataError');
        return get.call(this, key);
    };
    URL.createObjectURL = file => {
        file.text().then(text => { document.documentElement.dataset.written = text; });
        return '#backup';
    };
})();";

const DELETED: &str =
    "const done = arguments[0]; indexedDB.deleteDatabase('duskbook').onsuccess = () => done(true);";

/// A spot's record: its key, its name.
fn spot(id: &str, name: &str) -> Value {
    json!({
        "id": id, "version": 2, "keptMs": 1_930_000_000_000_i64, "unknown": [],
        "light": { "scene": "skyline", "intent": "sky" },
        "spot": {
            "name": name, "latitudeDeg": 44, "longitudeDeg": -30, "elevationM": 12, "zone": "UTC", "bearingDeg": 265,
            "skylineDeg": 1.5, "format": "36x24", "focalMm": 35, "walkMin": 20, "setUpMin": 15, "notes": "",
        },
        "shot": {
            "apertureMin": 4, "apertureMax": 16, "isoMin": 100, "isoMax": 1600, "shutterWantedS": null,
            "filterStops": 0,
        },
    })
}

/// The records of a store, by key.
pub fn records<'a>(everything: &'a Value, store: &str) -> Result<&'a serde_json::Map<String, Value>> {
    everything[store].as_object().with_context(|| format!("no {store}"))
}

/// How long the page waits for its store before it says that there is no answer.
const SILENCE: Duration = Duration::from_secs(8);

/// Chooses a theme.
pub fn themed(theme: &str) -> String {
    format!(
        "const theme = document.getElementById('theme'); theme.value = '{theme}'; theme.dispatchEvent(new Event('change'))"
    )
}

/// Records of a store, each with its key.
type Records = Vec<(String, Value)>;

impl Stage {
    /// Serves a page whose browser can be made to fail.
    fn rig(&self) -> Result<()> {
        self.beforehand(FAULTS)
    }

    /// Lets the browser fail in one way, or in none.
    async fn fault(&self, name: &str) -> Result<()> {
        self.script("localStorage.setItem('test-fault', arguments[0])", vec![json!(name)]).await?;
        Ok(())
    }

    async fn leave(&self, version: u32, records: Value, stays: bool) -> Result<()> {
        let left = self.browser().execute_async(LEFT, vec![json!(version), records, json!(stays)]).await?;
        ensure!(left.json() == &json!(true), "no store was left");
        Ok(())
    }

    pub async fn whole_store(&self) -> Result<Value> {
        let all: Option<Vec<(String, Records)>> = serde_json::from_value(self.everything().await?)?;
        Ok(all.map_or(Value::Null, |all| {
            all.into_iter().map(|(name, records)| (name, records.into_iter().collect::<Value>())).collect()
        }))
    }

    /// Presses a button of the prompt about the store.
    async fn answer_prompt(&self, button: &str) -> Result<()> {
        for each in self.browser().find_all(By::Css("#store-prompt button")).await? {
            if each.text().await? == button {
                each.click().await?;
                return Ok(());
            }
        }
        anyhow::bail!("no button {button}: {}", self.text("#store-prompt").await?)
    }

    /// Presses "Try again", unless the page's own trying has come first.
    async fn try_again(&self) -> Result<()> {
        let pressed = self.answer_prompt("Try again").await;
        let over =
            self.script("return document.getElementById('store-prompt').hidden", vec![]).await? == true;
        if over { Ok(()) } else { pressed }
    }

    /// The file that the prompt hands over.
    async fn prompted_file(&self) -> Result<Value> {
        self.answer_prompt("Save the file").await?;
        let written = "document.documentElement.dataset.written";
        self.until(written).await?;
        let told = self.script(&format!("return {written}"), vec![]).await?;
        Ok(serde_json::from_str(told.as_str().context("a text")?)?)
    }

    async fn no_prompt(&self) -> Result<()> {
        self.until_told(
            "document.getElementById('store-prompt').hidden",
            "document.getElementById('store-prompt').textContent",
        )
        .await
    }

    /// Puts a frame into the log and waits for what the page says of it.
    async fn log_frame(&self, said: &str) -> Result<()> {
        self.script("location.hash = '#log'", vec![]).await?;
        self.until("document.getElementById('log-frame')?.offsetParent").await?;
        self.press("log-frame").await?;
        self.until_text("#log-state", said).await
    }

    async fn frames_shown(&self, count: usize) -> Result<()> {
        let lines = "document.querySelectorAll('#frames > li').length";
        self.until_told(&format!("{lines} === {count}"), lines).await
    }

    async fn add_format(&self, sides: &str) -> Result<()> {
        self.typed("own-format", sides).await?;
        self.script("document.querySelector('#own-format ~ button').click()", vec![]).await?;
        Ok(())
    }

    /// Checks that the page said in time that it does not keep, that its file holds the frame, and that the store does
    /// not.
    async fn only_in_memory(&self, reason: &str) -> Result<()> {
        self.until_text("#store-prompt", "Not kept on this device").await?;
        self.until_text("#store-prompt", reason).await?;
        self.until_text("#offline-state", "not kept on this device").await?;
        let state = self.text("#log-state").await?;
        ensure!(!state.contains("Kept"), "it says {state}");
        let file = self.prompted_file().await?;
        ensure!(records(&file["stores"], "frames")?.len() == 1, "{file}");
        Ok(())
    }
}

#[test]
fn without_room_the_work_goes_on_and_is_kept_when_there_is_room() {
    on_stage("quota", async |stage| {
        stage.rig()?;
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        let kept = stage.whole_store().await?["spots"].clone();
        // Chromium's own quota, which it looks at anew after a start; the others are made to fail in the page.
        let own = stage.engine == Engine::Chromium;
        if own {
            stage.restart_browser().await?;
        }
        let origin = stage.address("");
        let quota = async |size: Option<u32>| -> Result<()> {
            let wanted = match size {
                Some(size) => json!({ "origin": origin, "quotaSize": size }),
                None => json!({ "origin": origin }),
            };
            stage.browser().cdp().send_raw("Storage.overrideQuotaForOrigin", wanted).await?;
            Ok(())
        };
        if own {
            quota(Some(1)).await?;
            stage.open("#log").await?;
        } else {
            stage.fault("quota").await?;
        }
        stage.log_frame("In the log until this page closes").await?;
        stage.only_in_memory("no room left").await?;
        stage.frames_shown(1).await?;
        ensure!(records(&stage.whole_store().await?, "frames")?.is_empty(), "it is in the store");
        stage.answer_prompt("Try again").await?;
        stage.until_text("#store-prompt", "no room left").await?;
        if own {
            quota(None).await?;
        } else {
            stage.fault("").await?;
        }
        stage.try_again().await?;
        stage.no_prompt().await?;
        let after = stage.whole_store().await?;
        ensure!(records(&after, "frames")?.len() == 1 && after["spots"] == kept, "{after}");
        stage.log_frame("Kept in the log").await?;
        stage.open("#log").await?;
        stage.frames_shown(2).await
    });
}

#[test]
fn what_waited_goes_beside_what_was_kept_elsewhere_meanwhile() {
    on_stage("beside", async |stage| {
        stage.rig()?;
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.fault("quota").await?;
        stage.fill("notes", "mine").await?;
        stage.press("keep").await?;
        stage.until_text("#keep-state", "Only until this page closes").await?;
        let elsewhere = "const done = arguments[0]; const opening = indexedDB.open('duskbook'); opening.onsuccess = () => {
            const writing = opening.result.transaction('spots', 'readwrite');
            writing.objectStore('spots').openCursor().onsuccess = ({ target: { result: cursor } }) => {
                cursor.update({ ...cursor.value, spot: { ...cursor.value.spot, notes: 'theirs' } });
            };
            writing.oncomplete = () => { opening.result.close(); done(true); };
        };";
        stage.browser().execute_async(elsewhere, vec![]).await?;
        stage.fault("").await?;
        stage.try_again().await?;
        stage.no_prompt().await?;
        let all = stage.whole_store().await?;
        let mut notes: Vec<&Value> =
            records(&all, "spots")?.values().map(|each| &each["spot"]["notes"]).collect();
        notes.sort_by_key(ToString::to_string);
        ensure!(notes == [&json!("mine"), &json!("theirs")], "{all}");
        stage.open("#spot-form").await?;
        stage.until("document.querySelectorAll('#spot-list li').length === 2").await
    });
}

#[test]
fn a_store_that_does_not_open_is_told_and_taken_up_when_it_does() {
    on_stage("no-store", async |stage| {
        stage.rig()?;
        stage.open_aside().await?;
        let choices = json!({ "theme": "dark", "homeId": "weir", "hours": "12" });
        let left = json!([["spots", "", spot("weir", "Heron Weir")], ["settings", "choices", choices]]);
        stage.leave(3, left, false).await?;
        let mut frames = 0;
        for (fault, told) in [
            ("refused", "keeps nothing here"),
            ("damaged", "store fails: made by a test"),
            ("hangs", "store does not open"),
        ] {
            stage.fault(fault).await?;
            stage.open("#log").await?;
            stage.until_text("#offline-state", told).await?;
            stage.log_frame("In the log until this page closes").await?;
            stage.only_in_memory(told).await?;
            stage.script(&themed("night"), vec![]).await?;
            stage.fault("").await?;
            // The one that hung is opened without being asked again.
            if fault != "hangs" {
                stage.try_again().await?;
            }
            stage.no_prompt().await?;
            frames += 1;
            let all = stage.whole_store().await?;
            ensure!(records(&all, "frames")?.len() == frames, "{fault}: {all}");
            // What was chosen in the meantime, and what had been before.
            ensure!(
                all["settings"]["choices"] == json!({ "theme": "night", "homeId": "weir", "hours": "12" }),
                "{fault}: {}",
                all["settings"]
            );
            ensure!(all["spots"]["weir"] == spot("weir", "Heron Weir"), "{fault}: {}", all["spots"]);
            stage.until_text("#spot-name", "Heron Weir").await?;
        }
        Ok(())
    });
}

#[test]
fn a_tab_of_an_older_version_is_waited_for() {
    on_stage("older-tab", async |stage| {
        stage.open_aside().await?;
        let left =
            json!([["spots", "", spot("weir", "Heron Weir")], ["settings", "choices", { "homeId": "weir" }]]);
        stage.leave(1, left, true).await?;
        let older = stage.browser().window().await?;
        let newer = stage.browser().new_tab().await?;
        stage.browser().switch_to_window(newer.clone()).await?;
        stage.open("#log").await?;
        stage.until_text("#offline-state", "an older Duskbook is open in another tab: close it").await?;
        stage.log_frame("In the log until this page closes").await?;
        stage.until_text("#store-prompt", "close it").await?;
        stage.browser().switch_to_window(older).await?;
        stage.browser().close_window().await?;
        stage.browser().switch_to_window(newer).await?;
        stage.no_prompt().await?;
        stage.until_text("#spot-name", "Heron Weir").await?;
        let all = stage.whole_store().await?;
        ensure!(records(&all, "frames")?.len() == 1 && records(&all, "spots")?.len() == 1, "{all}");
        Ok(())
    });
}

#[test]
fn a_store_that_is_closed_or_emptied_under_the_page_is_told() {
    on_stage("closed", async |stage| {
        stage.rig()?;
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.fault("damaged").await?;
        stage.script("document.dispatchEvent(new Event('test-close'))", vec![]).await?;
        stage.until_text("#offline-state", "not kept on this device").await?;
        stage.log_frame("In the log until this page closes").await?;
        stage.only_in_memory("made by a test").await?;
        stage.fault("").await?;
        stage.try_again().await?;
        stage.no_prompt().await?;
        ensure!(records(&stage.whole_store().await?, "frames")?.len() == 1, "the frame is lost");

        // Emptied: nothing goes back in unless the reader wants it.
        stage.script("document.dispatchEvent(new Event('test-close'))", vec![]).await?;
        stage.browser().execute_async(DELETED, vec![]).await?;
        stage.until_text("#store-prompt", "gone from the browser").await?;
        let all = stage.whole_store().await?;
        ensure!(records(&all, "spots")?.is_empty(), "unasked: {all}");
        stage.answer_prompt("Try again").await?;
        stage.no_prompt().await?;
        let all = stage.whole_store().await?;
        ensure!(records(&all, "spots")?.len() == 1 && records(&all, "frames")?.len() == 1, "{all}");
        Ok(())
    });
}

#[test]
fn a_damaged_record_is_named_left_as_it_is_and_stops_no_other() {
    on_stage("damaged", async |stage| {
        stage.rig()?;
        stage.open_aside().await?;
        let mut bent = spot("bent", "Bent Quay");
        bent["spot"]["latitudeDeg"] = json!(91);
        let mut later = spot("later", "Later Weir");
        (later["version"], later["tide"]) = (json!(3), json!("high"));
        let filter = json!({ "id": "f", "version": 1, "sinceMs": 5, "glass": { "text": "ND64" } });
        let left = json!([
            ["spots", "", spot("weir", "Heron Weir")],
            ["spots", "", bent],
            ["spots", "", later],
            ["filters", "", filter],
            ["settings", "choices", { "theme": "purple", "homeId": "weir" }],
        ]);
        stage.leave(3, left, false).await?;
        let before = stage.whole_store().await?;
        stage.open("#spot-form").await?;
        for told in [
            "Cannot be read: Bent Quay (latitudeDeg: 91 is outside",
            "Cannot be read: Later Weir (version: 3 is outside 1 to 2)",
            "theme: \"purple\" is not known",
        ] {
            stage.until_text("#store-prompt", told).await?;
        }
        stage.until_text("#spot-list", "Heron Weir").await?;
        let listed = stage.text("#spot-list").await?;
        ensure!(!listed.contains("Bent") && !listed.contains("Later"), "{listed}");
        // A choice that goes where one lies that cannot be read.
        stage.script(&themed("night"), vec![]).await?;
        stage.until_written().await?;
        ensure!(
            stage.whole_store().await?["settings"]["choices"] == before["settings"]["choices"],
            "overwritten"
        );
        let file = stage.prompted_file().await?;
        for (store, records) in before.as_object().context("stores")? {
            for (key, record) in records.as_object().context("records")? {
                ensure!(
                    &file["stores"][store][key] == record,
                    "{store} {key} goes out as {}",
                    file["stores"][store][key]
                );
            }
        }
        stage.answer_prompt("Delete what cannot be read").await?;
        stage.answer_prompt("Delete it for good").await?;
        stage.no_prompt().await?;
        let after = stage.whole_store().await?;
        ensure!(records(&after, "spots")?.len() == 1 && records(&after, "filters")?.len() == 1, "{after}");

        // One that the browser itself cannot hand over.
        stage.open_aside().await?;
        let put = "const done = arguments[1]; const opening = indexedDB.open('duskbook'); opening.onsuccess = () => {
            const writing = opening.result.transaction('spots', 'readwrite');
            writing.objectStore('spots').put(arguments[0]);
            writing.oncomplete = () => { opening.result.close(); done(true); };
        };";
        stage.browser().execute_async(put, vec![spot("torn", "Torn Pier")]).await?;
        stage.fault("torn").await?;
        stage.open("#spot-form").await?;
        stage.until_text("#store-prompt", "Cannot be read: spots torn").await?;
        stage.until_text("#store-prompt", "but for what the browser itself cannot read").await?;
        stage.until_text("#spot-list", "Heron Weir").await?;
        stage.log_frame("Kept in the log").await?;
        stage.answer_prompt("Save the file").await?;
        stage.answer_prompt("Delete what cannot be read").await?;
        stage.answer_prompt("Delete it for good").await?;
        stage.no_prompt().await?;
        stage.fault("").await?;
        ensure!(records(&stage.whole_store().await?, "spots")?.len() == 1, "it is still there");
        Ok(())
    });
}

#[test]
fn a_store_that_the_browser_threw_away_is_told() {
    on_stage("thrown-away", async |stage| {
        stage.open_quay().await?;
        stage.no_prompt().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        if stage.engine == Engine::WebKit {
            stage.open_aside().await?;
            stage.browser().execute_async(DELETED, vec![]).await?;
        } else {
            // Both begin a damaged store anew, and one says nothing of it.
            stage.restart_browser().await?;
            let profile = stage.site.with_file_name("profile");
            let mut damaged = 0;
            for file in files::listed(&profile)? {
                let store = file.contains("/IndexedDB/http_127.0.0.1") || file.contains("/idb/");
                if store
                    && [".log", ".ldb", ".sqlite", "-wal", "MANIFEST-000001"]
                        .iter()
                        .any(|end| file.ends_with(end))
                {
                    let file = profile.join(file);
                    fs::write(&file, vec![b'Z'; fs::read(&file)?.len()])?;
                    damaged += 1;
                }
            }
            ensure!(damaged > 0, "no store was found");
        }
        stage.open("#spot-form").await?;
        stage.until_text("#store-prompt", "What was kept here before is gone").await?;
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.open("#spot-form").await?;
        stage.until_text("#spot-list", "Cormorant Quay").await?;
        stage.no_prompt().await
    });
}

#[test]
fn what_the_browser_promises_of_the_store_is_told() {
    on_stage("promise", async |stage| {
        // Answers to the question whether the store is for good, as browsers give them; Firefox asks the reader.
        let hook = "Object.defineProperty(navigator, 'storage', { value: {
            persisted: async () => false,
            persist: async () => {
                const { dataset } = document.documentElement;
                dataset.asked = Number(dataset.asked ?? 0) + 1;
                return localStorage.getItem('test-grants') === 'yes';
            },
        } });";
        stage.beforehand(hook)?;
        stage.open_quay().await?;
        ensure!(
            stage.script("return document.documentElement.dataset.asked ?? null", vec![]).await?.is_null(),
            "asked at once"
        );
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.until("document.documentElement.dataset.asked === '1'").await?;
        stage.until_text("#offline-state", "the browser may clear it").await?;
        stage.script("location.hash = '#backup'; localStorage.setItem('test-grants', 'yes')", vec![]).await?;
        stage.until_text("#held", "has not promised").await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.until("!document.getElementById('offline-state').textContent.includes('may clear')").await?;
        stage.script("location.hash = '#backup'", vec![]).await?;
        stage.until_text("#held", "has promised").await
    });
}

#[test]
fn a_value_that_could_not_be_read_again_is_not_kept_and_takes_nothing_with_it() {
    on_stage("not-again", async |stage| {
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        let home = "const home = document.getElementById('homeId'); home.selectedIndex = 1; home.dispatchEvent(new Event('change'))";
        stage.script(home, vec![]).await?;
        stage.fill("notes", "edited").await?;
        stage.script(&themed("night"), vec![]).await?;
        stage.open_lens("lens").await?;
        stage.add_format("60x17").await?;
        stage.until_text(".screen-lens", "Forget 60").await?;

        stage.card_in_front("lens/trails").await?;
        stage.typed("trails-pitchUm", "").await?;
        stage.card_in_front("lens/focus").await?;
        for field in ["pitchUm", "blades"] {
            stage.typed(&format!("focus-{field}"), "many").await?;
        }
        // What is right is kept, whatever stands beside it.
        stage.typed("focus-printCm", "77").await?;
        stage.script("location.hash = '#sky'", vec![]).await?;
        stage.until("document.getElementById('goldenDeg-0')?.value === '6'").await?;
        for (field, value, told) in [
            ("goldenDeg-0", "31", "30°"),
            ("goldenDeg-0", "-5", "not above"),
            ("blueDeg-1", "", "not a number"),
        ] {
            stage.typed(field, value).await?;
            stage.until_text(&format!("#{field}-error"), told).await?;
        }
        stage.typed("goldenDeg-1", "-3").await?;
        // It was built before, so it is there before it is drawn again.
        stage.script("location.hash = '#evening'", vec![]).await?;
        stage.until("document.querySelector('.screen-evening:not([hidden])')").await?;
        let lamps = "const scene = document.getElementById('scene'); scene.value = 'floor'; scene.dispatchEvent(new Event('change'))";
        stage.script(lamps, vec![]).await?;
        stage.settled().await?;
        stage.typed("floorEv", "99").await?;
        stage.until_text("#floorEv-error", "16").await?;
        stage.until_written().await?;

        stage.open("#spot-form").await?;
        stage.until("document.getElementById('notes')?.value === 'edited'").await?;
        stage.no_prompt().await?;
        stage.until("document.documentElement.dataset.theme === 'night'").await?;
        let settings = &stage.whole_store().await?["settings"];
        let kit = &settings["kit"];
        ensure!(kit["ownFormats"] == json!(["60x17"]) && kit["printCm"] == 77, "{kit}");
        ensure!(kit["pitchUm"].is_null() && kit["blades"].is_null(), "{kit}");
        let choices = &settings["choices"];
        ensure!(choices["goldenDeg"] == json!([6, -3]) && choices["homeId"].is_string(), "{choices}");
        ensure!(settings["open"]["light"]["scene"] == json!({ "floorEv": 5 }), "{}", settings["open"]);
        stage.until("document.getElementById('homeId').selectedIndex === 1").await
    });
}

#[test]
fn a_page_left_in_the_middle_of_keeping_does_not_hold_up_the_next() {
    on_stage("left-in-the-middle", async |stage| {
        // One change after the other until the page goes, so that something is always on its way.
        let leave = async || -> Result<()> {
            stage.until_text("#spot-name", "Gannet Steps").await?;
            let leaves = format!(
                "window.changing = setInterval(() => {{ {} }}, 2);
                addEventListener('pagehide', () => clearInterval(window.changing));",
                themed("' + ['night', 'day'][Math.round(performance.now()) % 2] + '")
            );
            stage.script(&leaves, vec![]).await?;
            Ok(stage.browser().goto("about:blank").await?)
        };
        for _ in 0..3 {
            stage.open("").await?;
            leave().await?;
            stage.open("").await?;
            let began = Instant::now();
            stage.until_text("#spot-name", "Gannet Steps").await?;
            stage.script(&themed("dark"), vec![]).await?;
            stage.until_written().await?;
            let took = began.elapsed();
            ensure!(took < SILENCE, "the page and its store took {took:?}");
            stage.no_prompt().await?;
        }
        stage.open("").await?;
        stage.until("document.documentElement.dataset.theme === 'dark'").await?;

        // One that was set aside and comes back keeps what it could not.
        leave().await?;
        stage.browser().back().await?;
        stage.until_text("#spot-name", "Gannet Steps").await?;
        let came_back = stage.script("return Boolean(window.changing)", vec![]).await? == true;
        ensure!(came_back || stage.engine != Engine::WebKit, "it was loaded anew");
        if came_back {
            let theme = stage.script("return document.documentElement.dataset.theme", vec![]).await?;
            stage.until(NOTHING_WAITS).await?;
            stage.no_prompt().await?;
            let kept = &stage.whole_store().await?["settings"]["choices"]["theme"];
            ensure!(*kept == theme, "{theme} in the page, {kept} in its store");
        }
        Ok(())
    });
}

#[test]
fn two_tabs_keep_what_was_set_and_kept_in_either() {
    on_stage("two-tabs", async |stage| {
        stage.open_quay().await?;
        let first = stage.browser().window().await?;
        let second = stage.browser().new_tab().await?;
        stage.open_lens("lens").await?;
        stage.browser().switch_to_window(second.clone()).await?;
        stage.open_lens("lens/trails").await?;
        stage.browser().switch_to_window(first.clone()).await?;
        stage.add_format("60x17").await?;
        stage.script(&themed("night"), vec![]).await?;
        stage.browser().switch_to_window(second.clone()).await?;
        stage.typed("trails-pitchUm", "5.5").await?;
        stage.script("document.getElementById('skip').focus(); location.hash = '#settings'", vec![]).await?;
        stage.until("document.getElementById('decimals-comma')?.offsetParent").await?;
        stage.script("document.getElementById('decimals-comma').click()", vec![]).await?;
        stage.until("document.documentElement.dataset.theme === 'night'").await?;
        stage.card_in_front("lens").await?;
        stage.until_text(".screen-lens", "Forget 60").await?;
        stage.add_format("24x24").await?;
        stage.open(crate::page::QUAY).await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.browser().switch_to_window(first).await?;
        stage.until_text(".screen-lens", "Forget 24").await?;
        stage.open(&crate::page::QUAY.replace("Cormorant+Quay", "Heron+Weir")).await?;
        stage.spot_form().await?;
        stage.until("document.getElementById('name').value === 'Heron Weir'").await?;
        stage.keep_spot().await?;
        let all = stage.whole_store().await?;
        ensure!(records(&all, "spots")?.len() == 2, "{all}");
        let (kit, choices) = (&all["settings"]["kit"], &all["settings"]["choices"]);
        ensure!(kit["ownFormats"] == json!(["60x17", "24x24"]) && kit["pitchUm"] == 5.5, "{kit}");
        ensure!(choices["theme"] == "night" && choices["decimals"] == "comma", "{choices}");
        stage.browser().switch_to_window(second).await?;
        stage.until("document.querySelectorAll('#spot-list li').length === 2").await
    });
}
