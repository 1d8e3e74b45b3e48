//! The log: an evening played at sixty times its pace with no signal, two tabs, and the stores of older versions.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

use crate::stage::{Stage, on_stage};

/// When the page's clock begins: half an hour before the sun goes at the quay, 2031-03-09T17:40Z.
const BEGIN_MS: i64 = 1_930_844_400_000;
const MINUTE_MS: i64 = 60_000;
const DAY_MS: i64 = 86_400_000;

/// How much faster the page's clock runs than the wall's.
const PACE: i64 = 60;

/// The page's own clock.
const NOW: &str = "Number(document.documentElement.dataset.now)";

/// Hands a photograph to the page: its name, the bytes of its file.
pub const GIVE: &str = "
    const [name, bytes] = arguments;
    const chosen = new DataTransfer();
    chosen.items.add(new File([new Uint8Array(bytes)], name, { type: 'image/tiff' }));
    const input = document.getElementById('photo-files');
    input.files = chosen.files;
    input.dispatchEvent(new Event('change'));";

/// Every record of one kind that the page keeps.
const RECORDS: &str = "
    const [name, done] = arguments;
    const opening = indexedDB.open('duskbook');
    opening.onsuccess = () => {
        const { result } = opening;
        const asked = result.transaction(name).objectStore(name).getAll();
        asked.onsuccess = () => { result.close(); done(asked.result); };
    };";

/// Leaves a store as an older version of the page did, with a spot, a setting and, from version 2 on, a filter.
const OLDER: &str = "
    const [version, spot, done] = arguments;
    indexedDB.deleteDatabase('duskbook').onsuccess = () => {
        const opening = indexedDB.open('duskbook', version);
        opening.onupgradeneeded = () => {
            const { result, transaction } = opening;
            result.createObjectStore('spots', { keyPath: 'id' });
            result.createObjectStore('settings');
            if (version > 1) result.createObjectStore('filters', { keyPath: 'id' });
            transaction.objectStore('spots').put(spot);
            transaction.objectStore('settings').put({ theme: 'dark', homeId: spot.id }, 'choices');
            const glass = { stops: null, factor: null, density: null, text: 'ND64', kind: null, mostStops: null, edge: null };
            if (version > 1) transaction.objectStore('filters').put({ id: 'f', version: 1, sinceMs: 5, glass });
        };
        opening.onsuccess = () => { opening.result.close(); done(true); };
    };";

/// A record as a camera writes it, by the fields of TIFF 6.0 and Exif 2.32 alone: 1/4 s, f/8, ISO 200, a time in UTC.
pub fn photograph(at: &str) -> Vec<u8> {
    let mut file = b"II*\0\x08\0\0\0".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: u32| -> Vec<u8> {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &count.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    // The first directory points to Exif's own at 26; its values begin behind its five entries, at 92.
    let directory = |entries: &[Vec<u8>]| -> Vec<u8> {
        [&(entries.len() as u16).to_le_bytes()[..], &entries.concat(), &[0; 4]].concat()
    };
    file.extend(directory(&[entry(0x8769, 4, 1, 26)]));
    file.extend(directory(&[
        entry(0x829a, 5, 1, 92),
        entry(0x829d, 5, 1, 100),
        entry(0x8827, 3, 1, 200),
        entry(0x9003, 2, 20, 108),
        entry(0x9011, 2, 7, 128),
    ]));
    for part in [1_u32, 4, 8, 1] {
        file.extend(part.to_le_bytes());
    }
    file.extend(format!("{at}\0+00:00\0").bytes());
    file
}

impl Stage {
    /// Has the page's clock run fast from `BEGIN_MS` on, from its first script and through reloads, and its downloads
    /// held back. Both stand in the document: a driver's own scripts may have globals of their own.
    fn hurry(&self) -> Result<()> {
        let clock = format!(
            "(() => {{
                const Real = Date;
                const began = Number(localStorage.getItem('test-began') ?? Real.now());
                localStorage.setItem('test-began', began);
                const now = () => Math.floor({BEGIN_MS} + (Real.now() - began) * {PACE});
                globalThis.Date = class extends Real {{
                    constructor(...given) {{ if (given.length) super(...given); else super(now()); }}
                    static now() {{ return now(); }}
                }};
                const {{ dataset }} = document.documentElement;
                setInterval(() => {{ dataset.now = now(); }}, 20);
                URL.createObjectURL = file => {{
                    file.text().then(text => {{ dataset.written = text; }});
                    return '#log';
                }};
            }})();"
        );
        self.beforehand(&clock)
    }

    /// Waits until the page's clock has run so many minutes.
    async fn until_minute(&self, minute: i64) -> Result<()> {
        self.until(&format!("{NOW} >= {}", BEGIN_MS + minute * MINUTE_MS)).await
    }

    async fn records(&self, name: &str) -> Result<Vec<Value>> {
        let told = self.browser().execute_async(RECORDS, vec![json!(name)]).await?;
        told.json().as_array().cloned().context("a list")
    }

    /// Says what the meter wants of the setting that stands, in thirds, and takes it as a reading.
    async fn meter(&self, thirds_lighter: u32, count: usize) -> Result<()> {
        self.press("meter-says").await?;
        for _ in 0..thirds_lighter {
            self.press("meter-wants-on").await?;
        }
        self.press("take-reading").await?;
        self.until_text("#made-state", "A reading kept").await?;
        self.counts("reading", count).await
    }

    /// Waits for the evening's table to hold so many rows of a kind.
    async fn counts(&self, kind: &str, count: usize) -> Result<()> {
        let rows = format!("document.querySelectorAll('#sheet-table tr[data-kind={kind}]').length");
        self.until_told(&format!("{rows} === {count}"), &rows).await
    }

    /// Takes a photograph of this moment into the log, by its record.
    async fn photograph(&self, name: &str) -> Result<()> {
        self.script("location.hash = '#log/photo'", vec![]).await?;
        self.until("document.getElementById('photo-files')").await?;
        let now = format!(
            "return new Date({NOW}).toISOString().slice(0, 19).replace('T', ' ').replaceAll('-', ':')"
        );
        let at = self.script(&now, vec![]).await?;
        let file = photograph(at.as_str().context("a time")?);
        self.script(GIVE, vec![json!(name), json!(file)]).await?;
        let button = format!("document.querySelector('[aria-label=\"Into the log: {name}\"]')");
        self.until(&button).await?;
        self.script(&format!("{button}.click()"), vec![]).await?;
        self.until_text(".screen-photos", "In the log").await?;
        // A second touch makes no second frame of it.
        self.script(&format!("{button}.click()"), vec![]).await?;
        self.script("location.hash = '#evening'", vec![]).await?;
        self.until("document.getElementById('made-frame').offsetParent").await
    }

    /// How wide the band is at this moment, EV.
    async fn band(&self) -> Result<f64> {
        let told = self.text(".next-sure").await?;
        let ends = told.split("likely ").nth(1).context("no band")?.split(':').next().context("no band")?;
        let (low, high) = ends.split_once(" to ").context("no band")?;
        let number = |text: &str| text.trim().replace('\u{2212}', "-").parse::<f64>();
        Ok(number(high)? - number(low)?)
    }

    async fn windows(&self) -> Result<String> {
        self.script("location.hash = '#evening/window'", vec![]).await?;
        self.until("document.querySelector('#windows li')?.offsetParent").await?;
        let told = self.text("#windows").await?;
        self.script("location.hash = '#evening'", vec![]).await?;
        self.until("document.getElementById('made-frame').offsetParent").await?;
        Ok(told)
    }

    /// What the log writes.
    async fn written_log(&self) -> Result<String> {
        let open =
            "document.querySelectorAll('details').forEach(each => { each.open = each.name !== 'frame'; });";
        self.script(open, vec![]).await?;
        self.press("log-save").await?;
        let written = "document.documentElement.dataset.written";
        self.until(written).await?;
        let told = self.script(&format!("return {written}"), vec![]).await?;
        Ok(told.as_str().context("a text")?.to_owned())
    }

    async fn read_log(&self, text: &str) -> Result<()> {
        let give = "
            const chosen = new DataTransfer();
            chosen.items.add(new File([arguments[0]], 'log.csv', { type: 'text/csv' }));
            const input = document.getElementById('log-file');
            input.files = chosen.files;
            input.dispatchEvent(new Event('change'));";
        self.script(give, vec![json!(text)]).await?;
        Ok(())
    }
}

#[test]
fn an_evening_is_played_read_and_logged_with_no_signal() {
    on_stage("evening-played", async |stage| {
        stage.hurry()?;
        stage.open_quay().await?;
        stage.until_ready_offline().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.no_signal()?;
        stage.screen("Evening").await?;

        // A forecast, and it looks like the guess that it is.
        stage.until_minute(15).await?;
        stage.until_text("#next", "a guess until you meter").await?;
        stage.until("document.querySelector('.sheet.sheet-guess')").await?;
        let (guessed, fits) = (stage.band().await?, stage.windows().await?);

        // The light is a stop darker than the curve, and stays so.
        stage.meter(3, 1).await?;
        stage.until_text("#readings-told", "darker than the published curve").await?;
        stage.until("!document.getElementById('next').textContent.includes('a guess')").await?;
        stage.until("!document.querySelector('.sheet-guess')").await?;
        let read = stage.band().await?;
        ensure!(read < 0.5 * guessed, "one reading leaves {read} EV of {guessed}");
        let shifted = stage.windows().await?;
        ensure!(shifted != fits, "the window stays at {fits}");
        stage.until_minute(27).await?;
        stage.meter(0, 2).await?;
        stage.until_minute(39).await?;
        stage.meter(0, 3).await?;
        let late = stage.windows().await?;
        ensure!(late != fits, "the window stays at {fits}");
        println!(
            "band {guessed:.1} EV, {read:.1} after a reading\nbefore: {fits}\nafter one: {shifted}\nafter three: {late}"
        );

        stage.press("made-frame").await?;
        stage.counts("frame", 1).await?;
        stage.photograph("first.tif").await?;
        stage.counts("frame", 2).await?;
        stage.photograph("second.tif").await?;
        stage.counts("frame", 3).await?;

        // The page loads anew from its own copy, and the log is whole.
        stage.open("#log").await?;
        let lines = "document.querySelectorAll('#frames > li').length";
        stage.until_told(&format!("{lines} === 6"), lines).await?;
        stage.until("document.querySelectorAll('.evening-curve .mark').length === 6").await?;
        let before = stage.records("frames").await?;
        let text = stage.written_log().await?;
        ensure!(text.lines().count() == 7, "{text}");
        let delete = "
            document.querySelector('#frames details').open = true;
            setTimeout(() => document.getElementById('frame-delete').click(), 50);";
        for left in (0..6).rev() {
            stage.script(delete, vec![]).await?;
            stage.until_told(&format!("{lines} === {left}"), lines).await?;
        }
        stage.press("log-undo").await?;
        stage.until_told(&format!("{lines} === 1"), lines).await?;
        stage.read_log(&text).await?;
        stage.until_text("#log-state", "5 frames added, 1 here already").await?;
        let after = stage.records("frames").await?;
        ensure!(before == after, "{before:?}\ncame back as\n{after:?}");

        // Another's change of a line never takes the place of one's own unasked.
        stage.read_log(&text.replace(",hand,", ",desk,")).await?;
        stage.until_text("#log-state", "1 frame in the file differs from yours").await?;
        ensure!(stage.records("frames").await? == before, "overwritten");

        // What the evening taught is expected of the next.
        stage.script("location.hash = '#evening?date=2031-03-10'", vec![]).await?;
        stage.until_text("#readings-told", "From 1 evening here before").await?;
        stage.asked_only_here().await
    });
}

#[test]
fn a_frame_made_in_another_tab_is_in_this_log() {
    on_stage("log-tabs", async |stage| {
        stage.open_quay().await?;
        stage.screen("Log").await?;
        let first = stage.browser().window().await?;
        let second = stage.browser().new_tab().await?;
        stage.browser().switch_to_window(second).await?;
        stage.open_quay().await?;
        stage.screen("Log").await?;
        stage.press("log-frame").await?;
        stage.until_text("#log-state", "Kept in the log").await?;
        stage.browser().switch_to_window(first).await?;
        stage.until("document.querySelectorAll('#frames > li').length === 1").await
    });
}

/// At 2 in the night, at 9 in the forenoon and at 3 in the afternoon; Cormorant Quay keeps Greenwich's time in March.
#[test]
fn a_frame_of_any_hour_is_in_the_log_of_its_day() {
    for (hour, part) in [(2, "evening"), (9, "evening"), (15, "morning")] {
        on_stage("log-hours", async |stage| {
            let at_ms = (BEGIN_MS / DAY_MS * 24 + hour) * 3_600_000;
            stage.clock_on(at_ms - chrono::Utc::now().timestamp_millis())?;
            stage.open_quay().await?;
            stage.script(&format!("location.hash = '#evening?part={part}'"), vec![]).await?;
            stage.until(&format!("document.getElementById('part-{part}').checked")).await?;
            stage.screen("Log").await?;
            stage.press("log-frame").await?;
            stage.until("document.querySelectorAll('#frames > li').length === 1").await?;
            let clock = stage.text("#frames .frame-when").await?;
            let told = [hour, hour % 12].iter().any(|hour| clock.contains(&format!("{hour}:0")));
            ensure!(told, "made at {clock}");
            Ok(())
        });
    }
}

#[test]
fn two_tabs_under_different_skies_do_not_teach_against_each_other() {
    on_stage("skies", async |stage| {
        stage.hurry()?;
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.screen("Evening").await?;
        stage.until_minute(10).await?;
        stage.meter(3, 1).await?;
        let lesson = async |stage: &Stage| -> Result<Value> {
            Ok(stage.records("spots").await?.first().context("a spot")?["lesson"].clone())
        };
        let second = stage.browser().new_tab().await?;
        stage.browser().switch_to_window(second).await?;
        stage.open_quay().await?;
        stage.counts("reading", 1).await?;
        let before = lesson(stage).await?;
        let sky = "const cloud = document.getElementById('cloud'); cloud.value = 'dark'; cloud.dispatchEvent(new Event('change'));";
        stage.script(sky, vec![]).await?;
        for _ in 0..100 {
            if lesson(stage).await? != before {
                break;
            }
        }
        ensure!(lesson(stage).await? != before, "the other sky teaches nothing");
        // What either tab writes from here on.
        let count = "
            const done = arguments[0];
            let count = 0;
            new BroadcastChannel('duskbook').onmessage = () => { count += 1; };
            setTimeout(() => done(count), 3000);";
        let written = stage.browser().execute_async(count, vec![]).await?;
        ensure!(written.json().as_i64().is_some_and(|count| count <= 2), "written {} times", written.json());
        ensure!(lesson(stage).await?["light"]["cloud"] == "dark", "taught back");
        Ok(())
    });
}

#[test]
fn what_older_versions_kept_is_there_and_frames_can_be_kept() {
    on_stage("older-stores", async |stage| {
        let spot: Value = json!({
            "id": "old", "version": 1, "unknown": [["lens", "old"]], "light": { "scene": "skyline", "intent": "sky" },
            "spot": {
                "name": "Heron Weir", "latitudeDeg": 44, "longitudeDeg": -30, "elevationM": 12, "zone": "UTC",
                "bearingDeg": 265, "skylineDeg": 1.5, "format": "36x24", "focalMm": 35, "walkMin": 20, "setUpMin": 15,
                "notes": "",
            },
            "shot": {
                "apertureMin": 4, "apertureMax": 16, "isoMin": 100, "isoMax": 1600, "shutterWantedS": null, "filterStops": 0,
            },
        });
        for version in [1, 2] {
            stage.open_aside().await?;
            stage.browser().execute_async(OLDER, vec![json!(version), spot.clone()]).await?;
            stage.open("#log").await?;
            stage.until_text("#spot-name", "Heron Weir").await?;
            stage.until("document.documentElement.dataset.theme === 'dark'").await?;
            stage.press("log-frame").await?;
            stage.until_text("#log-state", "Kept in the log").await?;
            ensure!(
                stage.records("spots").await? == std::slice::from_ref(&spot),
                "of version {version}: another spot"
            );
            ensure!(
                stage.records("filters").await?.len() == version - 1,
                "of version {version}: other filters"
            );
            let frames = stage.records("frames").await?;
            ensure!(frames.len() == 1 && frames[0]["spotId"] == "old", "of version {version}: {frames:?}");
        }
        Ok(())
    });
}
