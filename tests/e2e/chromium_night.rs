//! The night theme by its pixels: nothing painted may have any green or blue in it. The browser's own opened lists and
//! calendars are drawn by the system and are not looked at; the closed controls are.

use std::fs;

use anyhow::{Context, Result, ensure};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use serde_json::json;

use crate::page::QUAY;
use crate::stage::{Stage, on_stage};

/// All that was looked at so far, and what was not red in it.
#[derive(Default)]
struct Looked {
    pictures: u32,
    pixels: usize,
    /// The most green or blue of any pixel.
    brightest: u8,
    /// The most red.
    red: u8,
    told: Vec<String>,
}

impl Looked {
    /// Looks at every pixel of a PNG file.
    fn look(&mut self, what: &str, file: &[u8]) -> Result<()> {
        let mut reader = png::Decoder::new(std::io::Cursor::new(file)).read_info()?;
        let mut pixels = vec![0; reader.output_buffer_size().context("a size")?];
        let info = reader.next_frame(&mut pixels)?;
        ensure!(info.bit_depth == png::BitDepth::Eight, "{:?}", info.bit_depth);
        let width = match info.color_type {
            png::ColorType::Rgb => 3,
            png::ColorType::Rgba => 4,
            other => anyhow::bail!("{other:?}"),
        };
        let pixels = &pixels[..info.buffer_size()];
        self.pictures += 1;
        self.pixels += pixels.len() / width;
        let (mut red, mut other, mut place) = (0, 0, 0);
        for (index, pixel) in pixels.chunks_exact(width).enumerate() {
            red = red.max(pixel[0]);
            let brighter = pixel[1].max(pixel[2]);
            if brighter > other {
                (other, place) = (brighter, index);
            }
        }
        self.red = self.red.max(red);
        self.brightest = self.brightest.max(other);
        if other > 0 {
            let across = info.width as usize;
            self.told.push(format!("{what}: {other} at {}, {}", place % across, place / across));
        }
        Ok(())
    }
}

impl Stage {
    /// A picture of the window, or of the whole page beyond it.
    async fn picture(&self, whole: bool) -> Result<Vec<u8>> {
        let mut asked = json!({ "format": "png", "optimizeForSpeed": true });
        if whole {
            let size = self.look("[innerWidth, document.documentElement.scrollHeight]").await?;
            asked["captureBeyondViewport"] = true.into();
            asked["clip"] = json!({ "x": 0, "y": 0, "width": size[0], "height": size[1], "scale": 1 });
        }
        let taken = self.protocol("Page.captureScreenshot", asked).await?;
        Ok(BASE64_STANDARD.decode(taken["data"].as_str().context("a picture")?)?)
    }

    async fn looked_at(&self, seen: &mut Looked, what: &str, whole: bool) -> Result<()> {
        let file = self.picture(whole).await?;
        seen.look(what, &file)
    }

    async fn pointer(&self, x: f64, y: f64) -> Result<()> {
        self.protocol("Input.dispatchMouseEvent", json!({ "type": "mouseMoved", "x": x, "y": y })).await?;
        Ok(())
    }
}

/// One of each look of a control on the screen in front that no screen before it had, in the middle of the window.
const NEW_KINDS: &str = "(() => {
    globalThis.kinds ??= new Set();
    globalThis.fresh = hands.controls().filter(each => {
        const kind = [each.localName, each.type, each.className, each.hasAttribute('list'), each.disabled].join();
        return !kinds.has(kind) && kinds.add(kind);
    });
    return fresh.length;
})()";

#[test]
fn every_pixel_of_the_night_is_red() {
    on_stage("night", async |stage| {
        let screens = stage.dressed().await?;
        stage.wear("night").await?;
        let mut seen = Looked::default();
        let mut kinds = 0;
        for card in &screens {
            stage.bring(card).await?;
            stage.looked_at(&mut seen, card, true).await?;
            // As the window shows it, with its scrollbar, and all of it selected.
            stage.look("getSelection().selectAllChildren(document.body)").await?;
            stage.looked_at(&mut seen, &format!("{card}, selected"), false).await?;
            stage.look("getSelection().empty()").await?;
            let fresh = stage.look(NEW_KINDS).await?.as_u64().context("a count")?;
            kinds += fresh;
            for index in 0..fresh {
                let show = format!(
                    "(() => {{
                        const each = fresh[{index}];
                        each.scrollIntoView({{ block: 'center' }});
                        each.focus({{ focusVisible: true }});
                        each.select?.();
                        const box = each.getBoundingClientRect();
                        return [box.right - Math.min(14, box.width / 2), box.top + box.height / 2, hands.called(each)];
                    }})()"
                );
                let place = stage.look(&show).await?;
                stage
                    .pointer(place[0].as_f64().unwrap_or_default(), place[1].as_f64().unwrap_or_default())
                    .await?;
                stage.looked_at(&mut seen, &format!("{card}, pointed at {}", place[2]), false).await?;
            }
        }
        // The timer running, on its card and beside another, and its cue; the offer of a new version.
        stage.look("(() => { const prompt = document.getElementById('update-prompt'); prompt.innerHTML = '<p>A new version is ready.</p><button>Use it</button><button class=quiet>Later</button>'; prompt.hidden = false; })()").await?;
        stage.looked_at(&mut seen, "a new version", false).await?;
        stage.open_timer_in_page(60.0).await?;
        stage.press("timer-start").await?;
        stage.looked_at(&mut seen, "the timer running", true).await?;
        stage.bring("settings").await?;
        stage.until("!document.getElementById('timer-strip').hidden").await?;
        stage.looked_at(&mut seen, "the timer beside another card", true).await?;
        stage.bring("exposure/timer").await?;
        for _ in 0..2 {
            stage.press("timer-stop").await?;
        }
        stage.open_timer_in_page(1.0).await?;
        stage.press("timer-start").await?;
        stage.until("document.getElementById('timer-cue').matches(':modal')").await?;
        for beat in 0..3 {
            stage.looked_at(&mut seen, &format!("the cue, {beat}"), false).await?;
            tokio::time::sleep(std::time::Duration::from_millis(400)).await;
        }
        stage.press("timer-done").await?;
        // What is wrong, said beside every field at once.
        for card in &screens {
            stage.bring(card).await?;
            let wrong = "(() => {
                const typed = hands.all('.screen:not([hidden]) :is(input[type=text], textarea)');
                for (const each of typed) {
                    each.value = '?';
                    for (const kind of ['input', 'change']) each.dispatchEvent(new Event(kind));
                }
                return typed.length;
            })()";
            if stage.look(wrong).await? != json!(0) {
                stage.looked_at(&mut seen, &format!("{card}, wrong"), true).await?;
            }
        }
        let wrong = stage.look("hands.all('[aria-invalid=true]').length").await?;
        ensure!(wrong.as_u64() > Some(15), "only {wrong} fields were wrong");
        println!(
            "night: {} pixels in {} pictures, {kinds} kinds of control pointed at; green or blue up to {}, red up to {}",
            seen.pixels, seen.pictures, seen.brightest, seen.red
        );
        ensure!(kinds > 15 && seen.pixels > 40_000_000 && seen.red == 255, "too little was seen");
        ensure!(seen.told.is_empty(), "{:#?}", seen.told);
        ensure!(stage.look("document.querySelector('meta[name=theme-color]').content").await? == "#000");
        // And the look sees the least of it.
        let dot = "(() => {
            const dot = document.createElement('i');
            dot.style = 'position: fixed; inset: 50% auto auto 50%; width: 1px; height: 1px; background: #f00001; z-index: 9';
            document.body.append(dot);
        })()";
        stage.look(dot).await?;
        let mut planted = Looked::default();
        stage.looked_at(&mut planted, "planted", false).await?;
        ensure!(planted.brightest == 1 && planted.told.len() == 1, "{:?}", planted.told);
        Ok(())
    });
}

/// A page whose scripts are late shows what is there before them.
#[test]
fn the_first_paint_of_the_night_is_black_and_red() {
    on_stage("first-paint", async |stage| {
        let app = fs::read_to_string(stage.site.join("app.js"))?;
        for (theme, paper) in [("day", "#f6f3ec"), ("dark", "#12151b"), ("night", "#000")] {
            fs::write(stage.site.join("app.js"), &app)?;
            stage.open(QUAY).await?;
            stage.until_text("#spot-name", "Cormorant Quay").await?;
            stage.wear(theme).await?;
            ensure!(
                stage.look("document.documentElement.style.background").await? == "",
                "{theme} stays painted over"
            );
            let token = "getComputedStyle(document.documentElement).getPropertyValue('--paper').trim()";
            ensure!(stage.look(token).await? == paper, "{theme}: the papers differ");
            // From now on the page gets no module and no worker.
            fs::write(stage.site.join("app.js"), "")?;
            stage.look("navigator.serviceWorker.getRegistrations().then(all => Promise.all(all.map(each => each.unregister())))").await?;
            stage.open(QUAY).await?;
            ensure!(
                stage.look("Boolean(document.querySelector('.starting'))").await? == true,
                "it started all the same"
            );
            let told = "[document.documentElement.dataset.theme, document.querySelector('meta[name=theme-color]').content]";
            ensure!(stage.look(told).await? == json!([theme, paper]), "{theme}: {}", stage.look(told).await?);
            if theme == "night" {
                let mut seen = Looked::default();
                stage.looked_at(&mut seen, "the first paint", true).await?;
                println!("first paint: {} pixels, green or blue up to {}", seen.pixels, seen.brightest);
                ensure!(seen.told.is_empty() && seen.red == 255, "{:?}", seen.told);
            }
        }
        // Not even the styles are there yet: the ground is black by then.
        let bare =
            fs::read_to_string(stage.site.join("index.html"))?.replace("rel=\"stylesheet\"", "rel=\"later\"");
        fs::write(stage.site.join("index.html"), bare)?;
        stage.open(QUAY).await?;
        let ground = "[getComputedStyle(document.documentElement).backgroundColor, getComputedStyle(document.documentElement).getPropertyValue('--paper')]";
        ensure!(stage.look(ground).await? == json!(["rgb(0, 0, 0)", ""]), "{}", stage.look(ground).await?);
        Ok(())
    });
}
