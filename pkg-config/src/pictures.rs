//! The pictures of the README: taken of the built page at an invented spot, on a fixed evening, at a fixed minute.
//!
//! They are committed; this takes them anew after a change of the page. A browser is asked through its
//! driver by plain requests, since a library for that is for the tests alone.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};

use crate::engine::{Driver, Engine};
use crate::server::Server;
use crate::workspace::Workspace;

/// The quay of the pictures, as its own address has it.
const SPOT: &str = "#spot?v=1&name=Sandpiper+Mole&lat=49.82&lon=-5.63&elev=6&zone=Europe%2FLondon&bearing=248&skyline=1.5&format=36x24&focal=28&walk=15&setup=20&aperture=2.8-11&iso=100-3200";

/// The minute at which every clock stands still: a quarter of an hour after that evening's sunset.
const NOW: &str = "2031-03-09T18:33:00Z";

/// Width and height of a phone, pixels.
const SIZE: (u32, u32) = (390, 844);

/// Of WebP, in which a page weighs a third of what it does in PNG.
const QUALITY: u32 = 88;

/// The most that a picture may weigh.
const MOST_BYTES: usize = 60 * 1024;

/// File, theme, card.
const PICTURES: [(&str, &str, &str); 6] = [
    ("evening-day.webp", "day", "evening"),
    ("evening-night.webp", "night", "evening"),
    ("sky-dark.webp", "dark", "sky"),
    ("exposure-day.webp", "day", "exposure"),
    ("trails-dark.webp", "dark", "lens/trails"),
    ("log-day.webp", "day", "log"),
];

/// What was made and metered that evening: minutes before now, f-number, seconds, stops that the meter wanted.
const FRAMES: [(i64, f64, f64, Option<f64>); 4] = [
    (41, 11.0, 0.04, None),
    (26, 11.0, 0.125, Some(0.33)),
    (12, 11.0, 0.5, None),
    (4, 11.0, 1.26, Some(-0.33)),
];

/// Takes every picture.
///
/// # Errors
/// No Chromium or no driver of it, the page does not come up, or a picture is too heavy.
pub fn take(workspace: &Workspace) -> Result<()> {
    let server = Server::start(&workspace.dist(), 0)?;
    let driver = Driver::start(workspace, Engine::Chromium)?;
    let browser = Browser::open(&driver)?;
    browser.before_each_page(&format!(
        "const [Before, now] = [Date, Date.parse('{NOW}')];
        Date = class extends Before {{
            constructor(...given) {{ super(...(given.length ? given : [now])); }}
            static now() {{ return now; }}
        }};"
    ))?;
    browser.go(&server.address())?;
    browser.until("document.querySelector('#sheet-table')")?;
    browser.keep_frames()?;
    browser.go(&format!("{}{SPOT}", server.address()))?;
    browser.until("document.getElementById('spot-name').textContent === 'Sandpiper Mole'")?;
    for (file, theme, card) in PICTURES {
        browser.script(
            "const [theme, card] = arguments;
            const list = document.getElementById('theme');
            list.value = theme;
            list.dispatchEvent(new Event('change'));
            location.hash = card;",
            &[theme, card],
        )?;
        browser.until(&format!("document.documentElement.dataset.theme === '{theme}'"))?;
        browser.until(&format!(
            "location.hash === '#{card}' && document.querySelector('.screen:not([hidden])')"
        ))?;
        browser.script("scrollTo(0, 0)", &[])?;
        std::thread::sleep(Duration::from_millis(600));
        let picture = browser.picture()?;
        ensure!(picture.len() <= MOST_BYTES, "{file} weighs {} bytes, more than {MOST_BYTES}", picture.len());
        println!("{file}  {} bytes", picture.len());
        fs::write(workspace.packaging().join("pictures").join(file), picture)?;
    }
    Ok(())
}

/// A session with a browser (W3C WebDriver), ended with its driver.
struct Browser {
    /// Where the driver listens, without the scheme.
    host: String,
    session: String,
}

impl Browser {
    fn open(driver: &Driver) -> Result<Self> {
        let host = driver.address().trim_start_matches("http://").to_owned();
        let mut browser = Self { host, session: String::new() };
        let arguments = [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--hide-scrollbars",
            "--lang=en-GB",
            "--accept-lang=en-GB",
        ];
        let wanted = json!({ "browserName": "chrome", "goog:chromeOptions": { "args": arguments } });
        let made = browser.ask("", &json!({ "capabilities": { "alwaysMatch": wanted } }))?;
        browser.session = format!("/{}", made["sessionId"].as_str().context("no session")?);
        let (width, height) = SIZE;
        let phone = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": true });
        browser.chromium("Emulation.setDeviceMetricsOverride", &phone)?;
        Ok(browser)
    }

    /// Asks the driver; what it answers, or refuses with.
    fn ask(&self, path: &str, body: &Value) -> Result<Value> {
        let body = body.to_string();
        let mut stream = TcpStream::connect(&self.host)?;
        write!(
            stream,
            "POST /session{}{path} HTTP/1.1\r\nHost: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
            self.session,
            self.host,
            body.len()
        )?;
        // The driver may keep the connection open: the head says how much comes.
        let mut reader = BufReader::new(stream);
        let mut length = 0;
        loop {
            let mut line = String::new();
            reader.read_line(&mut line)?;
            match line.trim_end().split_once(':') {
                Some((name, value)) if name.eq_ignore_ascii_case("content-length") => {
                    length = value.trim().parse()?;
                }
                None if line.trim_end().is_empty() => break,
                _ => {}
            }
        }
        let mut answer = vec![0; length];
        reader.read_exact(&mut answer)?;
        let mut answer: Value = serde_json::from_slice(&answer)?;
        let value = answer["value"].take();
        if let Some(error) = value["error"].as_str() {
            bail!("{error}: {}", value["message"]);
        }
        Ok(value)
    }

    /// A command of Chromium's own protocol.
    fn chromium(&self, command: &str, parameters: &Value) -> Result<Value> {
        self.ask("/goog/cdp/execute", &json!({ "cmd": command, "params": parameters }))
    }

    fn before_each_page(&self, script: &str) -> Result<()> {
        self.chromium("Page.addScriptToEvaluateOnNewDocument", &json!({ "source": script })).map(|_| ())
    }

    /// Loads an address anew, even where only the fragment differs.
    fn go(&self, address: &str) -> Result<()> {
        for address in ["about:blank", address] {
            self.ask("/url", &json!({ "url": address }))?;
        }
        Ok(())
    }

    fn script(&self, body: &str, arguments: &[&str]) -> Result<Value> {
        self.ask("/execute/sync", &json!({ "script": body, "args": arguments }))
    }

    fn until(&self, expression: &str) -> Result<()> {
        let began = Instant::now();
        while self.script(&format!("return Boolean({expression})"), &[])? != json!(true) {
            ensure!(began.elapsed() < Duration::from_secs(60), "never: {expression}");
            std::thread::sleep(Duration::from_millis(100));
        }
        Ok(())
    }

    /// Puts the evening's frames into the page's own store.
    fn keep_frames(&self) -> Result<()> {
        let frames: Vec<Value> = FRAMES
            .iter()
            .enumerate()
            .map(|(number, (minutes, aperture, shutter_s, wants))| {
                json!({
                    "id": format!("picture-{number}"), "version": 1, "spotId": null, "spotName": "Sandpiper Mole", "minutes": minutes,
                    "aperture": aperture, "shutterS": shutter_s, "iso": 100, "filterStops": 0, "compensationStops": wants.map_or(0.0, |stops| -stops),
                    "focalMm": 28, "whiteBalance": "", "intent": "frame", "note": "", "rating": 0, "reading": wants.is_some(), "source": "desk",
                })
            })
            .collect();
        let body = "const [frames, done] = arguments;
            const opening = indexedDB.open('duskbook');
            opening.onsuccess = () => {
                const writing = opening.result.transaction('frames', 'readwrite');
                for (const { minutes, ...frame } of frames) writing.objectStore('frames').put({ ...frame, atMs: Date.now() - minutes * 60_000 });
                writing.oncomplete = () => { opening.result.close(); done(true); };
            };";
        self.ask("/execute/async", &json!({ "script": body, "args": [frames] })).map(|_| ())
    }

    fn picture(&self) -> Result<Vec<u8>> {
        let shot =
            self.chromium("Page.captureScreenshot", &json!({ "format": "webp", "quality": QUALITY }))?;
        from_base64(shot["data"].as_str().context("no picture")?).context("the picture is not base64")
    }
}

/// The bytes of a text in base64 (RFC 4648); `None` for anything else.
fn from_base64(text: &str) -> Option<Vec<u8>> {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut held, mut bits) = (0_u32, 0);
    for letter in text.trim_end_matches('=').bytes() {
        let six = LETTERS.iter().position(|each| *each == letter)?;
        held = (held << 6 | u32::try_from(six).ok()?) & 0xFFFF;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push(u8::try_from(held >> bits & 0xFF).ok()?);
        }
    }
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 4648, section 10.
    #[test]
    fn base64_is_read() {
        for (text, bytes) in
            [("", ""), ("Zg==", "f"), ("Zm8=", "fo"), ("Zm9v", "foo"), ("Zm9vYmFy", "foobar")]
        {
            assert_eq!(from_base64(text).unwrap(), bytes.as_bytes());
        }
        assert_eq!(from_base64("a?"), None);
    }

    #[test]
    fn the_readme_shows_every_picture_told_in_words_and_none_is_heavy() {
        let workspace = Workspace::find().unwrap();
        let readme = fs::read_to_string(workspace.root().join("README.md")).unwrap();
        let shown: Vec<&str> = readme.split("![").skip(1).collect();
        assert_eq!(shown.len(), PICTURES.len());
        for (file, ..) in PICTURES {
            let place = format!("](pkg-config/pictures/{file})");
            let told =
                shown.iter().find_map(|each| each.split_once(&place)).unwrap_or_else(|| panic!("{file}")).0;
            assert!(
                told.len() > 60 && told.contains(|letter: char| letter.is_ascii_digit()),
                "{file}: {told}"
            );
            let bytes = fs::metadata(workspace.packaging().join("pictures").join(file)).unwrap().len();
            assert!((5_000..=MOST_BYTES as u64).contains(&bytes), "{file}: {bytes}");
        }
        let kept = fs::read_dir(workspace.packaging().join("pictures")).unwrap().count();
        assert_eq!(kept, PICTURES.len(), "pictures that nobody shows");
    }
}
