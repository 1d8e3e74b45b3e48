//! Everything out and in as one file, and spots of other programs: what is taken in, what is refused and why, and that
//! a name stays text.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

use crate::stage::{Stage, on_stage};

impl Stage {
    /// What a button of the page hands over as a file.
    async fn handed_over(&self, button: &str) -> Result<String> {
        let watch = "
            window.handed = null;
            HTMLAnchorElement.prototype.click = () => undefined;
            URL.createObjectURL = file => { file.text().then(text => window.handed = text); return '#'; };";
        self.script(watch, vec![]).await?;
        self.press(button).await?;
        self.until("window.handed !== null").await?;
        let text = self.script("return window.handed", vec![]).await?;
        Ok(text.as_str().context("no text")?.to_owned())
    }

    /// Gives the page a file and waits for a word of what it says of it.
    pub async fn give(&self, name: &str, text: &str, word: &str) -> Result<()> {
        let body = "
            const [name, text] = arguments;
            const files = new DataTransfer();
            files.items.add(new File([text], name));
            const input = document.getElementById('file-in');
            input.files = files.files;
            input.dispatchEvent(new Event('change'));";
        self.script(body, vec![json!(name), json!(text)]).await?;
        self.until(&format!("!document.getElementById('in-state').textContent.startsWith('Reading') && document.querySelector('.screen-backup').textContent.includes({})", json!(word))).await
    }

    /// The names and bearings of the kept spots, in the order of their names, with a field that this version does not know.
    async fn kept_spots(&self) -> Result<Value> {
        let body = "
            const done = arguments[arguments.length - 1];
            const opening = indexedDB.open('duskbook');
            opening.onsuccess = () => {
                const all = opening.result.transaction('spots').objectStore('spots').getAll();
                all.onsuccess = () => {
                    opening.result.close();
                    const told = all.result.map(({ spot, later }) => [spot.name, spot.bearingDeg, later ?? null]);
                    done(told.sort((a, b) => a[0] < b[0] ? -1 : 1));
                };
            };";
        Ok(self.browser().execute_async(body, vec![]).await?.json().clone())
    }
}

#[test]
fn a_backup_comes_back_record_by_record_and_a_bad_one_stays_out() {
    on_stage("backup", async |stage| {
        const NAME: &str = "<img src=x onerror=\"window.hurt = true\">";
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.script("location.hash = '#backup'", vec![]).await?;
        stage.until_text("#held", "1 spot").await?;
        let whole = stage.handed_over("save-backup").await?;
        let before = stage.kept_spots().await?;
        ensure!(before == json!([["Cormorant Quay", 248, null]]), "{before}");

        stage.give("own.json", &whole, "there is nothing to take in").await?;
        stage.give("cut.json", &whole[..whole.len() / 2], "damaged or cut short").await?;
        stage.give("other.json", "{\"type\":\"Topology\"}", "a backup made here").await?;
        stage.give("cut.gpx", "<gpx><wpt lat=\"1\" lon=\"2\">", "damaged or cut short").await?;
        stage.give("trap.gpx", "<!DOCTYPE gpx [<!ENTITY a \"a\">]><gpx/>", "document type").await?;
        ensure!(stage.kept_spots().await? == before, "something was written");

        let mut file: Value = serde_json::from_str(&whole)?;
        let spots = file["stores"]["spots"].as_object_mut().context("no spots")?;
        let (id, own) =
            spots.iter().next().map(|(id, spot)| (id.clone(), spot.clone())).context("no spot")?;
        spots[&id]["spot"]["bearingDeg"] = json!(111);
        let mut old = own.clone();
        (old["id"], old["version"], old["spot"]["name"], old["later"]) =
            (json!("old"), json!(1), json!(NAME), json!({ "a": [1] }));
        spots.insert("old".into(), old);
        let mut bad = own;
        (bad["id"], bad["spot"]["latitudeDeg"]) = (json!("bad"), json!(95));
        spots.insert("bad".into(), bad);
        stage.give("merge.json", &file.to_string(), "1 to choose · 1 refused").await?;
        ensure!(
            stage.text(".plan-counts").await?.starts_with("1 new"),
            "{}",
            stage.text(".plan-counts").await?
        );
        ensure!(stage.kept_spots().await? == before, "written before it was chosen");
        stage.script("document.getElementById('merge-0-theirs').click()", vec![]).await?;
        stage.press("take-in").await?;
        stage.until_text("#in-state", "Taken in: 2 spots").await?;
        let after = stage.kept_spots().await?;
        ensure!(after == json!([[NAME, 248, { "a": [1] }], ["Cormorant Quay", 111, null]]), "{after}");

        stage.spot_form().await?;
        stage.until_text("#spot-list", NAME).await?;
        let hurt =
            stage.script("return Boolean(window.hurt || document.querySelector('main img'))", vec![]).await?;
        ensure!(hurt == json!(false), "a name became an element");
        stage.asked_only_here().await
    });
}

/// A share sheet that keeps what it is handed, in the way that the page's own choice of answer says; the stand-in for what only a
/// system has.
const SHARE_SHEET: &str = "
    navigator.canShare = ({ files }) => files.length === 1;
    navigator.share = async ({ files: [file] }) => {
        const { answer } = document.documentElement.dataset;
        if (answer) throw new DOMException(answer, answer);
        document.documentElement.dataset.sent = JSON.stringify([file.name, file.type, await file.text()]);
    };
";

#[test]
fn an_older_backup_is_taken_in_and_everything_goes_out_by_the_share_sheet() {
    on_stage("share", async |stage| {
        stage.beforehand(SHARE_SHEET)?;
        stage.open("#backup").await?;
        stage.until("document.getElementById('send-backup')").await?;
        stage.give("older.json", include_str!("../data/records/backup-1.json"), "new").await?;
        stage.script("document.getElementById('merge-all-theirs')?.click()", vec![]).await?;
        stage.press("take-in").await?;
        stage.until_text("#in-state", "Taken in: 1 spot, 2 filters, 1 frame").await?;
        stage.press("send-backup").await?;
        let sent = "document.documentElement.dataset.sent";
        stage.until(sent).await?;
        let sent = stage.script(&format!("return JSON.parse({sent})"), vec![]).await?;
        ensure!(
            sent[1] == "application/json"
                && sent[0].as_str().is_some_and(|name| name.starts_with("duskbook-")),
            "{sent}"
        );
        let file: Value = serde_json::from_str(sent[2].as_str().context("a text")?)?;
        // What an older version wrote goes out as a record of this one.
        ensure!(file["stores"]["spots"]["weir"]["version"] == 2, "{file}");
        ensure!(file["stores"]["spots"]["weir"]["spot"]["name"] == "Heron Weir", "{file}");
        // Who thinks better of it is told nothing; what fails is told.
        for (answer, told) in [("AbortError", ""), ("NotAllowedError", "Not sent: NotAllowedError")] {
            stage
                .script("document.documentElement.dataset.answer = arguments[0]", vec![json!(answer)])
                .await?;
            stage.script("document.getElementById('out-state').textContent = 'waiting'", vec![]).await?;
            stage.press("send-backup").await?;
            stage
                .until_told(
                    &format!("document.getElementById('out-state').textContent === '{told}'"),
                    "document.getElementById('out-state').textContent",
                )
                .await?;
        }
        Ok(())
    });
}

#[test]
fn spots_of_other_programs_are_read_and_our_own_come_back() {
    on_stage("exchange", async |stage| {
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.keep_spot().await?;
        stage.script("location.hash = '#backup'", vec![]).await?;
        stage.until_text("#held", "1 spot").await?;
        for form in ["geojson", "gpx"] {
            let own = stage.handed_over(&format!("save-{form}")).await?;
            stage.give(&format!("own.{form}"), &own, "1 here already").await?;
        }
        // Written by gpxpy and geojson: tests/data/exchange_readers.py.
        stage.give("a.geojson", include_str!("../data/exchange_other.geojson"), "1 new · 1 refused").await?;
        stage.until_text("#in-state", "1 in it is no point").await?;
        stage.give("a.gpx", include_str!("../data/exchange_other.gpx"), "2 new").await?;
        stage.press("take-in").await?;
        stage.until_text("#in-state", "Taken in: 2 spots").await?;
        let kept = stage.kept_spots().await?;
        let names = [&kept[0][0], &kept[1][0], &kept[2][0]];
        ensure!(names == ["Cormorant Quay", "Curlew & Gate", "No height"], "{kept}");
        stage.until("document.getElementById('geo-link').href === 'geo:50.31,-4.87'").await?;
        let sheet = "location.hash = '#evening?date=2031-03-09'; document.getElementById('to-calendar').closest('details').open = true";
        stage.script("location.hash = '#evening?date=2031-03-09'", vec![]).await?;
        // Of that day: the table of today was there before.
        stage.until_text("#sheet-table caption", "2031").await?;
        stage.script(sheet, vec![]).await?;
        let calendar = stage.handed_over("to-calendar").await?;
        ensure!(
            calendar.starts_with("BEGIN:VCALENDAR\r\n") && calendar.contains("TRIGGER:-PT30M\r\n"),
            "{calendar}"
        );
        Ok(())
    });
}
