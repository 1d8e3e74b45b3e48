//! What comes from outside to do harm: names that are markup, and files that are traps.

use anyhow::{Context, Result, ensure};
use duskbook_packager::files;
use serde_json::{Value, json};

use crate::stage::{Stage, on_stage};

/// Markup in a name of 80 letters at most.
const NAME: &str = "\"><img src=x onerror=\"window.hurt=1\"><b class=hurt>&lt;b&gt;</b>${hurt}";
/// Markup where more letters have room.
const NOTE: &str = "</textarea></svg><script>window.hurt=1</script><style>*{display:none}</style><iframe src=javascript:hurt=1></iframe>\
    <svg onload=window.hurt=1><a href=\"javascript:hurt=1\" class=hurt>{{hurt}}</a>";

/// Has the page write down what it must not do: break a policy, run into an error, call a window up.
const WATCH: &str = "(() => {
    const told = what => localStorage.setItem('test-trouble', `${localStorage.getItem('test-trouble') ?? ''}${what}\\n`);
    addEventListener('securitypolicyviolation', event => told(`policy: ${event.effectiveDirective} ${event.blockedURI}`));
    addEventListener('error', event => told(`error: ${event.message}`));
    addEventListener('unhandledrejection', event => told(`rejected: ${event.reason?.stack ?? event.reason}`));
    for (const name of ['alert', 'confirm', 'prompt']) globalThis[name] = () => told(name);
})();
";

/// Elements that only markup from outside can have made.
const FOREIGN: &str = "[...document.querySelectorAll('img, iframe, object, embed, base, video, audio, style, .hurt, [onerror], [onload], \
    [href^=\"javascript\"], script:not([src]), body form[action]')]";

impl Stage {
    fn watched(&self) -> Result<()> {
        self.beforehand(WATCH)
    }

    async fn unharmed(&self, when: &str) -> Result<()> {
        let body = format!(
            "return [localStorage.getItem('test-trouble') ?? '', String(globalThis.hurt ?? ({{}}).hurt ?? ''),
                {FOREIGN}.map(each => each.outerHTML).join(' ')]"
        );
        let told = self.script(&body, vec![]).await?;
        ensure!(told == json!(["", "", ""]), "{when}: {told}");
        Ok(())
    }

    /// Forgets what the policy said of documents that were only read: a browser's report of damaged XML has styles in it,
    /// and elements of XHTML in a GPX are looked at though nothing of them can run.
    async fn read_only(&self) -> Result<()> {
        let body = "const told = localStorage.getItem('test-trouble') ?? '';
            localStorage.setItem('test-trouble', told.replace(/^policy: (style|script)-src-attr inline\\n/gm, ''))";
        self.script(body, vec![]).await?;
        Ok(())
    }

    /// Gives the page a file by the pieces that make it.
    async fn give_file(&self, input: &str, name: &str, pieces: &str) -> Result<()> {
        let body = format!(
            "const files = new DataTransfer();
            files.items.add(new File({pieces}, arguments[1]));
            const input = document.getElementById(arguments[0]);
            input.files = files.files;
            input.dispatchEvent(new Event('change'));"
        );
        self.script(&body, vec![json!(input), json!(name)]).await?;
        Ok(())
    }

    /// The same for a backup or a file of spots; returns what the page says of it.
    async fn taken_up(&self, name: &str, pieces: &str) -> Result<String> {
        self.script("location.hash = '#backup'", vec![]).await?;
        self.until("document.getElementById('file-in')?.offsetParent !== undefined").await?;
        self.script("document.getElementById('in-state').textContent = 'Reading…'", vec![]).await?;
        self.give_file("file-in", name, pieces).await?;
        self.until("!document.getElementById('in-state').textContent.startsWith('Reading')").await?;
        self.text("#in-state").await
    }

    /// Takes in whatever is offered, the file's where it differs.
    async fn take_in(&self) -> Result<()> {
        self.script("document.getElementById('merge-all-theirs')?.click()", vec![]).await?;
        self.script("document.getElementById('merge-0-theirs')?.click()", vec![]).await?;
        self.press("take-in").await?;
        self.until_text("#in-state", "Taken in:").await
    }

    /// Every card by its address.
    async fn cards(&self) -> Result<Vec<String>> {
        let body = "return [...document.querySelectorAll('#nav a, #other-cards a')].map(each => each.hash)";
        let cards: Vec<String> = serde_json::from_value(self.script(body, vec![]).await?)?;
        ensure!(cards.len() >= 20, "{cards:?}");
        Ok(cards)
    }

    /// Brings every card to the front with its folds open, and has each looked at.
    async fn each_card(&self, look: impl AsyncFn(&str) -> Result<()>) -> Result<()> {
        for card in self.cards().await? {
            self.script("location.hash = arguments[0]", vec![json!(card)]).await?;
            let in_front = "document.querySelectorAll('.screen:not([hidden])').length === 1 && \
                document.querySelector('.screen:not([hidden])').ariaLabel";
            self.until(&format!("{in_front} && location.hash.startsWith({})", json!(card))).await?;
            // A screen is drawn in a task of its own.
            self.browser().execute_async("setTimeout(arguments[0], 60)", vec![]).await?;
            self.script("document.querySelectorAll('.screen:not([hidden]) details').forEach(each => { each.open = true; })", vec![]).await?;
            self.browser().execute_async("setTimeout(arguments[0], 60)", vec![]).await?;
            look(&card).await?;
        }
        Ok(())
    }
}

fn backup(stores: &Value) -> String {
    json!({ "format": "duskbook-backup", "version": 1, "stores": stores }).to_string()
}

fn record(text: &str, change: impl FnOnce(&mut Value)) -> Result<Value> {
    let mut record = serde_json::from_str(text)?;
    change(&mut record);
    Ok(record)
}

const SPOT: &str = include_str!("../data/records/spot-2.json");
const FRAME: &str = include_str!("../data/records/frame-1.json");
const FILTER: &str = include_str!("../data/records/filter-1.json");
const DESK: &str = include_str!("../data/records/desk.json");
const KIT: &str = include_str!("../data/records/kit.json");
const OPEN: &str = include_str!("../data/records/open.json");

/// Percent-encoding of every byte (RFC 3986).
fn encoded(text: &str) -> String {
    text.bytes().flat_map(|byte| format!("%{byte:02X}").into_bytes()).map(char::from).collect()
}

/// A photograph's record with a camera, by the fields of TIFF 6.0 alone.
fn photograph(camera: &str) -> Vec<u8> {
    let mut file = b"II*\0\x08\0\0\0\x01\0\x10\x01\x02\0".to_vec();
    file.extend((camera.len() as u32 + 1).to_le_bytes());
    file.extend(26_u32.to_le_bytes());
    file.extend([0; 4]);
    file.extend(camera.bytes().chain([0]));
    file
}

#[test]
// One story, told in order.
#[allow(clippy::too_many_lines)]
fn markup_from_outside_stays_text_wherever_it_is_shown() {
    on_stage("markup", async |stage| {
        stage.watched()?;
        let link = format!(
            "#spot?v=1&name={}&lat=50.31&lon=-4.87&zone=Europe%2FLondon&bearing=248&notes={}&later={}",
            encoded(NAME),
            encoded(NOTE),
            encoded(NOTE)
        );
        stage.open(&link).await?;
        stage.until_text("#spot-name", NAME).await?;
        ensure!(
            stage
                .script("return document.title", vec![])
                .await?
                .as_str()
                .is_some_and(|title| title.contains(NAME))
        );
        stage.until("document.querySelector('#sheet-table tr[data-kind=sunset]')").await?;
        stage.spot_form().await?;
        ensure!(
            stage.value("name").await? == NAME && stage.value("notes").await? == NOTE,
            "the form holds something else"
        );
        stage.keep_spot().await?;
        stage.until_text("#spot-list", NAME).await?;
        stage.unharmed("a link").await?;

        // Values that cannot be: told beside their fields.
        stage
            .open(&format!(
                "#spot?v={0}&name=%00{0}&lat={0}&lon=1&zone={0}&bearing={0}&format={0}&aperture={0}&{0}",
                encoded(NAME)
            ))
            .await?;
        stage.until_text("#zone-error", "<img").await?;
        stage.unharmed("a bad link").await?;

        // Records of every kind; what is refused says why, and the file has a name too.
        let frame = |id: &str, name: &str, note: &str| {
            record(FRAME, |frame| {
                for (field, text) in [("id", id), ("spotName", name), ("whiteBalance", name), ("note", note)]
                {
                    frame[field] = json!(text);
                }
            })
        };
        let text = |field: &'static str| record(FRAME, move |frame| frame[field] = json!(NAME));
        let own = record(SPOT, |spot| {
            (spot["spot"]["name"], spot["spot"]["notes"], spot["unknown"]) =
                (json!(NAME), json!(NOTE), json!([[NAME, NOTE]]));
            spot[NAME] = json!({ NAME: NAME });
        })?;
        let marks = |record: &mut Value| {
            for dial in ["aperture", "shutter", "iso"] {
                record["metered"][dial]["label"] = json!(NAME);
            }
            (record["sheet"], record["onLens"], record["from"]) =
                (json!(NAME), json!([NAME]), json!("reader"));
        };
        let formats = |record: &mut Value| {
            (record["other"], record["lens"]["format"], record["ownFormats"]) =
                (json!(NAME), json!(NAME), json!([NAME, NOTE]));
        };
        let file = backup(&json!({
            "spots": { "weir": own, NAME: own, "other": record(SPOT, |spot| spot["spot"]["zone"] = json!(NAME))? },
            "frames": { "third": frame("third", NAME, NOTE)?, "bad": text("intent")?, NAME: text("source")? },
            "filters": { "ten": record(FILTER, |filter| filter["glass"]["text"] = json!(NAME))? },
            "settings": { "desk": record(DESK, marks)?, "kit": record(KIT, formats)?, NAME: {} },
            NAME: { NAME: NAME },
        }));
        let told = stage.taken_up(&format!("{NAME}.json"), &format!("[{}]", json!(file))).await?;
        ensure!(told.starts_with(NAME) && told.contains("nothing is written yet"), "{told}");
        stage.until_text(".plan-counts", "7 refused").await?;
        stage.until_text(".plan-counts ~ details", NAME).await?;
        stage.unharmed("the plan of a backup").await?;
        stage.take_in().await?;

        let spot = |name: &str| {
            format!(
                "<wpt lat=\"44.5\" lon=\"-30.25\"><name><![CDATA[{name}]]></name><desc><![CDATA[{NOTE}]]></desc></wpt>"
            )
        };
        let gpx = format!(
            "<gpx xmlns:h=\"http://www.w3.org/1999/xhtml\">{}<wpt lat=\"2\" lon=\"3\"><name>Plover <h:script>window.hurt=1</h:script></name>\
            <desc>a <h:img src=\"x\" onerror=\"hurt=1\"/></desc></wpt></gpx>",
            spot(NAME)
        );
        stage.taken_up("a.gpx", &format!("[{}]", json!(gpx))).await?;
        stage.until_text(".plan-counts", "2 new").await?;
        stage.read_only().await?;
        stage.take_in().await?;
        let geojson = json!({ "type": "FeatureCollection", "features": [
            { "type": "Feature", "id": NAME, "geometry": { "type": "Point", "coordinates": [-3.5, 51.5] },
              "properties": { "name": NAME, "notes": NOTE, NAME: NAME } },
            // A word that is the key to all objects names a record like any other.
            { "type": "Feature", "id": "__proto__", "geometry": { "type": "Point", "coordinates": [-3.75, 51.5] }, "properties": { "name": "Proto" } },
            { "type": "Feature", "id": "x", "geometry": { "type": "Point", "coordinates": [NAME, NAME] }, "properties": { "name": NAME } },
        ] });
        stage.taken_up("a.geojson", &format!("[{}]", json!(geojson.to_string()))).await?;
        stage.until_text(".plan-counts", "2 new · 1 refused").await?;
        stage.take_in().await?;
        let kept = stage.everything().await?.to_string();
        ensure!(kept.contains("[\"__proto__\",{"), "{kept}");

        // A table and photographs.
        stage.script("location.hash = '#log'", vec![]).await?;
        stage.until("document.getElementById('log-file')?.offsetParent !== undefined").await?;
        let quoted = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
        let table = format!(
            "at,aperture,shutterS,iso,note,intent,{}\r\n2031-03-09T18:42Z,8,0.5,100,{},,\r\n{2},{2},{2},{2},{2},{2},{2}\r\n",
            quoted(NAME),
            quoted(NOTE),
            quoted(NAME)
        );
        stage.give_file("log-file", NAME, &format!("[{}]", json!(table))).await?;
        stage.until_text("#log-state", "<img").await?;
        stage.script("location.hash = '#log/photo'", vec![]).await?;
        stage.until("document.getElementById('photo-files')?.offsetParent !== undefined").await?;
        stage
            .give_file(
                "photo-files",
                &format!("{NAME}.tif"),
                &format!("[new Uint8Array({})]", json!(photograph(NAME))),
            )
            .await?;
        stage.until_text("#photo-list", NAME).await?;
        stage.until("document.querySelector('.photo-told')?.textContent.includes('<img')").await?;
        stage.unharmed("a table and a photograph").await?;

        // Every card with all of it kept, as it stands and started anew, at the quay and at the spot of that name.
        stage.open(&link).await?;
        stage.until_text("#spot-name", NAME).await?;
        stage.each_card(async |card| stage.unharmed(card).await).await?;
        stage.script("location.hash = '#log'", vec![]).await?;
        stage.until("document.getElementById('log-scope-all')").await?;
        stage.script("document.getElementById('log-scope-all').click()", vec![]).await?;
        stage.until_text("#frames", NAME).await?;
        stage.script("document.querySelector('#frames details').open = true", vec![]).await?;
        stage
            .until("document.querySelector('#frames details textarea, #frames details input[type=text]')")
            .await?;
        stage.unharmed("the log").await?;
        stage.asked_only_here().await
    });
}

#[test]
// One story, told in order.
#[allow(clippy::too_many_lines)]
fn hostile_files_are_refused_with_a_reason_and_nothing_changes() {
    on_stage("traps", async |stage| {
        stage.watched()?;
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.until_written().await?;
        let before = stage.everything().await?;
        let whole = backup(&json!({ "spots": { "weir": serde_json::from_str::<Value>(SPOT)? } }));
        let cut = &whole[..whole.len() - 1];
        let own = |text: &str| format!("[{}]", json!(text));
        let in_stores = |stores: &str| {
            own(&format!("{{\"format\":\"duskbook-backup\",\"version\":1,\"stores\":{stores}}}"))
        };
        let many = |count: &str| {
            let head = json!("{\"format\":\"duskbook-backup\",\"version\":1,\"stores\":{\"spots\":{");
            format!("[{head}, Array.from({{ length: {count} }}, (_, i) => `\"${{i}}\":0`).join(), '}}}}}}']")
        };
        for (name, pieces, reason) in [
            ("empty", own(""), "damaged or cut short"),
            ("cut", own(cut), "damaged or cut short"),
            ("two", own(&whole.repeat(2)), "damaged or cut short"),
            ("bytes", "[new Uint8Array(4096).map((_, i) => i * 7)]".into(), "damaged or cut short"),
            (
                "wide letters",
                format!("[new Uint16Array([...{}].map(letter => letter.charCodeAt(0)))]", json!(whole)),
                "damaged or cut short",
            ),
            ("open lists", "['['.repeat(2e6)]".into(), "is not taken in"),
            ("deep lists", "['['.repeat(1e5), ']'.repeat(1e5)]".into(), "is not taken in"),
            ("deep objects", "['{\"stores\":'.repeat(1e5), '1', '}'.repeat(1e5)]".into(), "is not taken in"),
            ("50 megabytes", "[new Uint8Array(50e6)]".into(), "too large"),
            ("many", many("100_001"), "too many records"),
            ("number", own("7"), "a backup made here"),
            ("null", own("null"), "a backup made here"),
            ("list", own("[]"), "a backup made here"),
            ("foreign", own("{\"type\":\"Topology\",\"format\":{}}"), "a backup made here"),
            (
                "proto",
                own(
                    "{\"__proto__\":{\"format\":\"duskbook-backup\",\"version\":1,\"stores\":{},\"hurt\":1}}",
                ),
                "a backup made here",
            ),
            ("constructor", own("{\"constructor\":{\"prototype\":{\"hurt\":1}}}"), "a backup made here"),
            ("newer", own("{\"format\":\"duskbook-backup\",\"version\":2,\"stores\":{}}"), "outside 1 to 1"),
            (
                "version in words",
                own("{\"format\":\"duskbook-backup\",\"version\":\"1\",\"stores\":{}}"),
                "version: nothing given",
            ),
            ("no stores", in_stores("[]"), "records by store and key"),
            ("stores as text", in_stores("\"spots\""), "records by store and key"),
            (
                "store of nothing",
                in_stores("{\"spots\":null,\"frames\":\"x\",\"filters\":[],\"settings\":7}"),
                "nothing to take in",
            ),
            (
                "keys of all objects",
                in_stores(
                    "{\"__proto__\":{\"hurt\":1},\"constructor\":{\"prototype\":{\"hurt\":1}},\"spots\":{\"__proto__\":{\"hurt\":1},\"toString\":{\"id\":\"toString\"}}}",
                ),
                "nothing to take in",
            ),
            (
                "names that are no text",
                in_stores(
                    "{\"spots\":{\"a\":{\"spot\":{\"name\":{\"toString\":1}}},\"b\":{\"spot\":{\"name\":[[[[1]]]]}}}}",
                ),
                "nothing to take in",
            ),
            (
                "numbers past all numbers",
                in_stores(
                    "{\"settings\":{\"desk\":{\"exponent\":1e999},\"choices\":{\"goldenDeg\":[1e999,-1e999]}}}",
                ),
                "nothing to take in",
            ),
            (
                "deep record",
                format!(
                    "['{{\"format\":\"duskbook-backup\",\"version\":1,\"stores\":{{\"spots\":{{\"weir\":{},\"later\":', '['.repeat(5000), ']'.repeat(5000), '}}}}}}}}']",
                    SPOT.trim().trim_end_matches('}').replace('\n', "")
                ),
                "nothing to take in",
            ),
            ("long list of refusals", many("90_000"), "nothing to take in"),
            ("cut.gpx", own("<gpx><wpt lat=\"1\" lon=\"2\">"), "damaged or cut short"),
            (
                "laughs.gpx",
                own(
                    "<!DOCTYPE g [<!ENTITY a \"ha\"><!ENTITY b \"&a;&a;&a;&a;\">]><gpx><wpt lat=\"1\" lon=\"2\"><name>&b;</name></wpt></gpx>",
                ),
                "document type",
            ),
            ("outside.gpx", own("<!doctype gpx SYSTEM \"http://127.0.0.1:1/x.dtd\"><gpx/>"), "document type"),
            ("deep.gpx", "['<gpx>', '<a>'.repeat(1e5), '</a>'.repeat(1e5), '</gpx>']".into(), "in"),
            (
                "page.html",
                own(
                    "<html xmlns=\"http://www.w3.org/1999/xhtml\"><script>window.hurt=1</script><img src=\"x\" onerror=\"window.hurt=1\"/></html>",
                ),
                "no GPX",
            ),
            (
                "page.svg",
                own(
                    "<svg xmlns=\"http://www.w3.org/2000/svg\" onload=\"window.hurt=1\"><script>window.hurt=1</script></svg>",
                ),
                "no GPX",
            ),
            (
                "styled.gpx",
                own("<?xml-stylesheet href=\"http://127.0.0.1:1/x.xsl\" type=\"text/xsl\"?><gpx/>"),
                "nothing to take in",
            ),
            (
                "off.gpx",
                own("<gpx><wpt lat=\"NaN\" lon=\"1e400\"><name>x</name></wpt><wpt/></gpx>"),
                "nothing to take in",
            ),
            (
                "off.geojson",
                own(
                    "{\"type\":\"FeatureCollection\",\"features\":[null,7,[],{\"geometry\":7},{\"geometry\":{\"type\":\"Point\",\"coordinates\":[null,{}]}},{\"geometry\":{\"type\":\"Point\",\"coordinates\":[1e999,2]},\"properties\":\"x\"}]}",
                ),
                "nothing to take in",
            ),
            (
                "no list.geojson",
                own("{\"type\":\"FeatureCollection\",\"features\":{\"length\":5}}"),
                "nothing to take in",
            ),
        ] {
            let told = stage.taken_up(name, &pieces).await?;
            ensure!(told.contains(reason) && told.len() < 700, "{name}: {told}");
            let offered = stage.script("return !document.getElementById('take-in').hidden", vec![]).await?;
            ensure!(offered == json!(false), "{name} may be taken in: {told}");
            if name.contains(".gpx") || name.starts_with("page.") {
                stage.read_only().await?;
            }
            stage.unharmed(name).await?;
        }
        ensure!(stage.everything().await? == before, "something was written");
        // The page is as able as before: the same file, whole, is taken.
        stage.taken_up("whole.json", &own(&whole)).await?;
        stage.until_text(".plan-counts", "1 new").await?;
        stage.take_in().await?;
        stage.unharmed("the whole file").await
    });
}

/// Records that pass every check, as far from usual as these let them be: the page lives with them, also started anew.
#[test]
fn strange_records_that_may_be_kept_leave_every_card_working() {
    on_stage("strange", async |stage| {
        stage.watched()?;
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        let mark = |exact: f64| json!({ "label": "", "exact": exact });
        let dials =
            |exact: f64| json!({ "aperture": mark(exact), "shutter": mark(-exact), "iso": mark(0.0) });
        let wild = |number: f64| {
            json!({
                "choices": { "theme": null, "lengths": null, "goldenDeg": null, "homeId": "nobody", "hours": "12" },
                "desk": {
                    "metered": dials(number), "from": "reader", "sinceMs": number, "dials": dials(number), "hold": null, "steps": null,
                    "offsetStops": number, "compensationStops": -number, "onLens": ["nobody", "__proto__"], "meterLowEv": number,
                    "sheet": "constructor", "exponent": number, "sensorStops": number, "stepStops": -number, "fitMinS": number,
                    "fitMaxS": -number, "fullWellE": -number, "readNoiseE": -number, "baseIso": 0,
                },
                "kit": {
                    "lens": { "focalMm": -number, "format": "no format" }, "upright": true, "other": "", "ownFormats": ["", "x", "0x0", "__proto__"],
                    "basis": "print", "printCm": -number, "viewingCm": 0, "pitchUm": -number, "blades": -number,
                },
                "timer-plan": { "shutterS": number, "frames": -number, "gapS": number, "fillMin": -number, "frameMb": number, "batteryMin": -number, "delayS": "soon" },
                "open": record(OPEN, |open| (open["id"], open["unknown"], open["edited"], open["spot"]["bearingDeg"]) =
                    (json!("nobody"), json!([["", ""]]), json!(true), json!(null))).unwrap_or_default(),
            })
        };
        let nothing = json!({
            "choices": {}, "desk": { "onLens": null, "metered": null, "sheet": null, "exponent": null, "hold": null },
            "kit": { "ownFormats": null, "other": null, "basis": null, "blades": null }, "timer-plan": { "shutterS": null, "way": null },
        });
        for settings in [wild(1e300), wild(-1e9), nothing] {
            let file = backup(&json!({ "settings": settings, "spots": { "bare": record(SPOT, |spot| {
                *spot = json!({ "id": "bare", "version": 1, "keptMs": "soon", "light": { "scene": "skyline", "intent": "frame", "cloud": null },
                    "spot": spot["spot"], "shot": spot["shot"], "unknown": [], "skyline": { "profile": [[0, 1], [90, 2], [200, 1]], "observerHeightM": 2 } });
                for field in ["latitudeDeg", "bearingDeg", "focalMm", "walkMin"] { spot["spot"][field] = json!(null); }
            })? } }));
            stage.taken_up("strange.json", &format!("[{}]", json!(file))).await?;
            ensure!(
                !stage.text(".plan-counts").await?.contains("refused"),
                "{}",
                stage.text(".screen-backup").await?
            );
            stage.take_in().await?;
            stage.unharmed("taken in").await?;
            stage.each_card(async |card| stage.unharmed(card).await).await?;
            // Anew, in a sitting of its own.
            stage.script("sessionStorage.clear()", vec![]).await?;
            stage.open("").await?;
            stage.until("document.querySelector('.screen:not([hidden])')").await?;
            stage.each_card(async |card| stage.unharmed(&format!("{card} started anew")).await).await?;
        }
        Ok(())
    });
}

#[test]
fn long_names_do_not_widen_a_narrow_page() {
    on_stage("long-names", async |stage| {
        stage.watched()?;
        stage.browser().set_window_rect(0, 0, 320, 844).await?;
        let (name, notes) = ("W".repeat(80), "M".repeat(2000));
        stage.open(&format!("#spot?v=1&name={name}&lat=50.31&lon=-4.87&zone=Europe%2FLondon&bearing=248&notes={notes}&skyline=1")).await?;
        stage.until_text("#spot-name", &name).await?;
        stage.spot_form().await?;
        // By script: where a scroll bar narrows the window the row at its foot takes two lines, over the button.
        stage.script("document.getElementById('keep').click()", vec![]).await?;
        stage.until_text("#keep-state", "Kept on this device").await?;
        let long = |record: &mut Value| {
            for field in ["spotName", "whiteBalance"] {
                record[field] = json!(name);
            }
            record["note"] = json!(notes);
        };
        let file = backup(&json!({
            "frames": { "third": record(FRAME, long)?, "bad": record(FRAME, |bad| bad["intent"] = json!(notes))? },
            "spots": { notes.as_str(): {}, "bad": { "spot": { "name": notes } } }, notes.as_str(): { "a": 1 },
        }));
        stage.taken_up(&format!("{}.json", "W".repeat(200)), &format!("[{}]", json!(file))).await?;
        let fits = "document.scrollingElement.scrollWidth <= innerWidth";
        let wide = "innerWidth + ' px: ' + [...document.querySelectorAll('body *')].filter(each => each.getBoundingClientRect().right > innerWidth + 1) \
            .map(each => `${each.tagName}#${each.id}.${each.className}`).slice(0, 9).join(' ')";
        stage.until_told(fits, wide).await?;
        stage.take_in().await?;
        stage.script("location.hash = '#log/photo'", vec![]).await?;
        stage.until("document.getElementById('photo-files')?.offsetParent !== undefined").await?;
        stage
            .give_file(
                "photo-files",
                &format!("{}.tif", "W".repeat(200)),
                &format!("[new Uint8Array({})]", json!(photograph(&name))),
            )
            .await?;
        stage.until_text("#photo-list", "W").await?;
        stage
            .each_card(async |card| stage.until_told(fits, wide).await.with_context(|| card.to_owned()))
            .await?;
        println!("{}", stage.script("return `at ${innerWidth} px`", vec![]).await?);
        stage.unharmed("long names").await
    });
}

/// How many damaged files the page's own reader is given; `cargo soak` gives it a million.
const FILES: u64 = 3000;
/// In one call of the page.
const AT_ONCE: u64 = 2000;

#[test]
fn damaged_files_are_read_or_refused_by_the_pages_own_reader() {
    on_stage("damaged-files", async |stage| {
        let number = |name: &str, usual: u64| {
            std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
        };
        let (cases, seed) = (number("DUSKBOOK_FUZZ_CASES", FILES), number("DUSKBOOK_FUZZ_SEED", 1));
        // The modules as they stand, beside the site that was made of them.
        let sources = stage.site.join("src");
        files::copy(&stage.workspace.path("www"), &sources)?;
        files::copy(&stage.site.join("wasm"), &sources.join("wasm"))?;
        stage.open_aside().await?;
        let spot: Value = serde_json::from_str(SPOT)?;
        let own = backup(&json!({
            "spots": { "weir": spot }, "frames": { "third": serde_json::from_str::<Value>(FRAME)? },
            "settings": { "desk": serde_json::from_str::<Value>(DESK)?, "kit": serde_json::from_str::<Value>(KIT)?, "open": serde_json::from_str::<Value>(OPEN)? },
        }));
        let good = json!({
            "json": [own, include_str!("../data/records/backup-1.json"), include_str!("../data/exchange_other.geojson")],
            "xml": [include_str!("../data/exchange_other.gpx")],
        });
        let mine = json!({ "spots": { "weir": spot }, "settings": { "desk": { "exponent": 2 } } });
        let body = format!(
            "{}
            const [good, spots, mine, cases, seed, done] = arguments;
            Promise.all([import('/src/lib/exchange.js'), import('/src/core.js')]).then(async ([{{ planFile }}, core]) => {{
                await core.ready;
                good.json.push(core.writeSpots({{ form: 'geojson', spots }}));
                good.xml.push(core.writeSpots({{ form: 'gpx', spots }}));
                done(fuzzed(planFile, good, mine, cases, seed));
            }}).catch(error => done({{ faults: [String(error.stack ?? error)] }}));",
            include_str!("hostile.js")
        );
        let began = std::time::Instant::now();
        let mut sums = [
            ("cases", 0),
            ("json", 0),
            ("xml", 0),
            ("planned", 0),
            ("refusedFiles", 0),
            ("records", 0),
            ("refusedRecords", 0),
        ];
        for place in 0..cases.div_ceil(AT_ONCE) {
            let arguments = vec![
                good.clone(),
                json!([spot]),
                mine.clone(),
                json!(AT_ONCE.min(cases - place * AT_ONCE)),
                json!(seed * 1_000_003 + place),
            ];
            let told = stage.browser().execute_async(&body, arguments).await?.json().clone();
            ensure!(told["faults"] == json!([]), "{told:#}");
            for (name, sum) in &mut sums {
                *sum += told[*name].as_u64().unwrap_or_default();
            }
        }
        println!("{} in {:.0} s: {sums:?}", stage.engine.name(), began.elapsed().as_secs_f64());
        ensure!(sums.iter().all(|(_, sum)| *sum > cases / 20), "too few of one kind: {sums:?}");
        Ok(())
    });
}
