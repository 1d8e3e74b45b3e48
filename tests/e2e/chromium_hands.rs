//! Hands and eyes at the page by the measures of WCAG 2.2: contrast, large text, narrow windows, targets, keys, names,
//! stillness, forced colours. On every screen, with everything on show.

use std::collections::BTreeMap;

use anyhow::{Context, Result, ensure};
use serde::Deserialize;
use serde_json::{Value, json};
use thirtyfour::Key;

use crate::page::QUAY;
use crate::stage::{Stage, on_stage};

/// The looks themselves, in the page.
const LOOKS: &str = include_str!("hands.js");

/// When the page's clock stands at its start: between the sun's going and the end of its light at the quay.
const DUSK_MS: i64 = 1_930_846_500_000;

/// The smaller and the larger phone, CSS pixels.
const NARROW: u32 = 320;
const PHONE: u32 = 390;

/// What a glove hits, CSS pixels.
const TARGET_PX: u32 = 48;

impl Stage {
    /// Gives the page everything to show: the quay at dusk, kept, with frames, a reading, filters, photographs, a surveyed
    /// skyline and a file to take in; and returns the screens' addresses.
    pub async fn dressed(&self) -> Result<Vec<String>> {
        let clock = format!(
            "(() => {{
                const Real = Date;
                const ahead = {DUSK_MS} - Real.now();
                globalThis.Date = class extends Real {{
                    constructor(...given) {{ if (given.length) super(...given); else super(Real.now() + ahead); }}
                    static now() {{ return Real.now() + ahead; }}
                }};
            }})();"
        );
        self.protocol("Page.addScriptToEvaluateOnNewDocument", json!({ "source": clock })).await?;
        self.protocol("Emulation.setFocusEmulationEnabled", json!({ "enabled": true })).await?;
        self.window(PHONE, 844).await?;
        self.open(QUAY).await?;
        self.until_text("#spot-name", "Cormorant Quay").await?;
        self.script(LOOKS, vec![]).await?;
        self.look("hands.dress()").await?;
        let screens: Vec<String> = serde_json::from_value(self.look("hands.screens()").await?)?;
        ensure!(screens.len() >= 20, "only {screens:?}");
        Ok(screens)
    }

    /// The value of an expression of the page, also of one that is promised.
    pub async fn look(&self, expression: &str) -> Result<Value> {
        let body = format!(
            "const done = arguments[arguments.length - 1];
            Promise.resolve().then(() => {expression}).then(value => done({{ value }}), error => done({{ error: error.stack ?? String(error) }}));"
        );
        let mut told = self.browser().execute_async(body, vec![]).await?.json().clone();
        ensure!(told["error"].is_null(), "{expression}: {}", told["error"]);
        Ok(told["value"].take())
    }

    pub async fn window(&self, width: u32, height: u32) -> Result<()> {
        let size = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        self.protocol("Emulation.setDeviceMetricsOverride", size).await?;
        Ok(())
    }

    pub async fn wear(&self, theme: &str) -> Result<()> {
        let change = "const theme = document.getElementById('theme');
            theme.value = arguments[0];
            theme.dispatchEvent(new Event('change'));";
        self.script(change, vec![theme.into()]).await?;
        self.until(&format!("document.documentElement.dataset.theme === '{theme}'")).await
    }

    /// Brings a screen to the front with its folds open.
    pub async fn bring(&self, card: &str) -> Result<()> {
        self.look(&format!("hands.go('{card}')")).await?;
        Ok(())
    }
}

#[derive(Debug, Deserialize)]
struct Contrasts {
    text: f64,
    edges: f64,
    graphics: f64,
    looks: u32,
    faint: Vec<String>,
}

/// Text 4.5 (large 3), edges of controls and graphics 3: WCAG 2.2, criteria 1.4.3 and 1.4.11, by its relative luminance.
#[test]
fn text_edges_and_graphics_stand_out_in_every_theme() {
    on_stage("contrast", async |stage| {
        let screens = stage.dressed().await?;
        // As high as the longest page, so that every point is in the window.
        stage.window(PHONE, 9000).await?;
        let mut faint = Vec::new();
        for theme in ["day", "dark", "night"] {
            stage.wear(theme).await?;
            let (mut least, mut looks) = ([f64::MAX; 3], 0);
            for card in &screens {
                stage.bring(card).await?;
                let seen: Contrasts = serde_json::from_value(stage.look("hands.contrasts()").await?)?;
                least = [seen.text.min(least[0]), seen.edges.min(least[1]), seen.graphics.min(least[2])];
                looks += seen.looks;
                faint.extend(seen.faint.into_iter().map(|what| format!("{theme}, {card}: {what}")));
            }
            let [text, edges, graphics] = least;
            println!(
                "{theme}: least contrast of text {text:.2}, edges {edges:.2}, graphics {graphics:.2} in {looks} looks"
            );
            ensure!(looks > 2000, "{theme}: only {looks} looks");
        }
        ensure!(faint.is_empty(), "{faint:#?}");
        // The measure itself, by WCAG's ends: black on white is 21, #767676 on white the first grey over 4.5.
        let ends = "[['#000', '#fff'], ['#767676', '#fff'], ['#f00', '#000']].map(pair => hands.ratio(...pair.map(hands.colour)))";
        let ends: [f64; 3] = serde_json::from_value(stage.look(ends).await?)?;
        ensure!((ends[0] - 21.0).abs() < 1e-9, "{ends:?}");
        ensure!((ends[1] - 4.54).abs() < 0.005 && (ends[2] - 5.25).abs() < 0.005, "{ends:?}");
        // And that it sees what is faint.
        let planted = "(() => {
            const grey = document.createElement('p');
            grey.textContent = 'faint';
            grey.style.color = '#300';
            document.querySelector('.screen:not([hidden])').prepend(grey);
            const { faint } = hands.contrasts();
            grey.remove();
            return faint;
        })()";
        let planted: Vec<String> = serde_json::from_value(stage.look(planted).await?)?;
        ensure!(planted.len() == 1 && planted[0].contains("faint"), "{planted:?}");
        Ok(())
    });
}

#[derive(Debug, Deserialize)]
struct Targets {
    count: u32,
    small: Vec<String>,
    excepted: Vec<String>,
}

/// Reflow at 320 CSS px, text at 200 %, its spacing widened, and targets: WCAG 2.2, criteria 1.4.10, 1.4.4, 1.4.12 and, at
/// twice its size, 2.5.8.
#[test]
fn nothing_is_lost_or_missed_on_a_narrow_phone_in_large_or_loose_text() {
    on_stage("room", async |stage| {
        let screens = stage.dressed().await?;
        let mut told = Vec::new();
        let mut excepted = BTreeMap::new();
        // The spacing that WCAG 1.4.12 names.
        let loose = "(() => {
            const sheet = new CSSStyleSheet();
            sheet.replaceSync('* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; } p { margin-block-end: 2em !important; }');
            document.adoptedStyleSheets = [sheet];
        })()";
        let plain =
            "(() => { document.adoptedStyleSheets = []; document.documentElement.style.fontSize = ''; })()";
        let large = "(() => { document.documentElement.style.fontSize = '200%'; })()";
        for (what, width, change) in [
            ("320 px", NARROW, plain),
            ("390 px", PHONE, plain),
            ("text at 200 %", PHONE, large),
            ("loose text", PHONE, loose),
        ] {
            stage.window(width, 844).await?;
            stage.look(plain).await?;
            stage.look(change).await?;
            let mut targets = 0;
            for card in &screens {
                stage.bring(card).await?;
                // A picture that measures its text is drawn anew, as when the page starts with text of this size.
                stage.look("document.dispatchEvent(new Event('visibilitychange'))").await?;
                stage.look("hands.settled()").await?;
                let lost: Vec<String> = serde_json::from_value(stage.look("hands.lost()").await?)?;
                told.extend(lost.into_iter().map(|each| format!("{what}, {card}: {each}")));
                let hit: Targets =
                    serde_json::from_value(stage.look(&format!("hands.targets({TARGET_PX})")).await?)?;
                targets += hit.count;
                told.extend(hit.small.into_iter().map(|each| format!("{what}, {card}: {each}")));
                excepted.extend(hit.excepted.into_iter().map(|each| (each, card.clone())));
            }
            println!("{what}: {targets} targets of {TARGET_PX} px or more");
            ensure!(targets > 900, "{what}: only {targets} targets");
        }
        println!("links within sentences: {excepted:?}");
        ensure!(told.is_empty(), "{told:#?}");
        // A sentence excuses few links.
        ensure!(excepted.len() < 6, "{excepted:?}");
        Ok(())
    });
}

#[derive(Debug, Deserialize)]
struct Walked {
    count: usize,
    ring: f64,
    told: Vec<String>,
}

#[test]
fn keys_reach_and_work_everything_and_the_focus_is_seen() {
    on_stage("keys", async |stage| {
        let screens = stage.dressed().await?;
        let mut told = Vec::new();
        let (mut stops, mut ring) = (0, f64::MAX);
        for (theme, card) in
            screens.iter().enumerate().map(|(i, card)| (["day", "dark", "night"][i % 3], card))
        {
            stage.wear(theme).await?;
            stage.bring(card).await?;
            let count = stage.look("hands.begin()").await?.as_u64().context("a count")?;
            // A date takes three stops, and the walk comes round to where it began.
            let tabs: String = std::iter::repeat_n(char::from(Key::Tab), count as usize + 6).collect();
            stage.browser().active_element().await?.send_keys(tabs).await?;
            let walked: Walked = serde_json::from_value(stage.look("hands.walked(3)").await?)?;
            stops += walked.count;
            ring = ring.min(walked.ring);
            told.extend(walked.told.into_iter().map(|each| format!("{theme}, {card}: {each}")));
        }
        println!("{stops} stops reached by Tab, the faintest ring {ring:.2}");
        ensure!(stops > 900 && told.is_empty(), "{stops} stops, {told:#?}");
        stage.works_by_keys().await
    });
}

impl Stage {
    /// Puts the focus on something and presses a key there.
    async fn type_at(&self, selector: &str, key: &str) -> Result<()> {
        self.look(&format!("document.querySelector({}).focus({{ focusVisible: true }})", json!(selector)))
            .await?;
        self.strike(key).await
    }

    /// Presses a key where the focus is.
    async fn strike(&self, key: &str) -> Result<()> {
        let (key, code, number, text) = match key {
            "Enter" => (key, key, 13, "\r"),
            "Space" => (" ", key, 32, " "),
            "ArrowLeft" => (key, key, 37, ""),
            "ArrowRight" => (key, key, 39, ""),
            _ => (key, key, 27, ""),
        };
        let down = if text.is_empty() { "rawKeyDown" } else { "keyDown" };
        let mut event = json!({ "type": down, "key": key, "code": code, "windowsVirtualKeyCode": number });
        if !text.is_empty() {
            event["text"] = text.into();
        }
        self.protocol("Input.dispatchKeyEvent", event.clone()).await?;
        event["type"] = "keyUp".into();
        self.protocol("Input.dispatchKeyEvent", event).await?;
        Ok(())
    }

    /// One of each kind of control, by keys alone.
    async fn works_by_keys(&self) -> Result<()> {
        // The skip link, and a change of screen, go to the page.
        self.type_at("#skip", "Enter").await?;
        self.until("document.activeElement.id === 'main'").await?;
        self.type_at("#nav a[href='#lens']", "Enter").await?;
        self.until("hands.title() === 'Lens' && document.activeElement.id === 'main'").await?;
        // A stepper, a row of choices, a fold.
        let shown = self.value("lens-distanceM").await?;
        self.type_at(".screen:not([hidden]) [aria-label^='More: How far off']", "Space").await?;
        ensure!(self.value("lens-distanceM").await? != shown, "the stepper did not step");
        self.type_at("#lens-held-level", "ArrowRight").await?;
        self.until("document.activeElement.id === 'lens-held-upright' && document.activeElement.checked")
            .await?;
        self.type_at("#lens-held-upright", "ArrowLeft").await?;
        let fold = ".screen:not([hidden]) summary";
        let open = format!("document.querySelector(\"{fold}\").parentElement.open");
        let was = self.look(&open).await?;
        self.type_at(fold, "Enter").await?;
        ensure!(self.look(&open).await? != was, "the fold did not turn");
        // A dial, which stays where it can turn no further.
        self.bring("exposure/film").await?;
        self.look("(() => { document.getElementById('meteredS').selectedIndex = 1; document.getElementById('meteredS').dispatchEvent(new Event('change')); })()").await?;
        self.type_at("#meteredS-back", "Space").await?;
        self.type_at("#meteredS-back", "Space").await?;
        self.until("document.activeElement.id === 'meteredS-back' && document.getElementById('meteredS').selectedIndex === 0 && document.activeElement.ariaDisabled === 'true'").await?;
        // The cue, which Escape answers.
        self.open_timer_in_page(1.0).await?;
        self.type_at("#timer-start", "Enter").await?;
        self.until("document.activeElement.id === 'timer-stop'").await?;
        self.until("document.getElementById('timer-cue').matches(':modal')").await?;
        self.until("document.activeElement.id === 'timer-done'").await?;
        self.strike("Escape").await?;
        self.until(
            "!document.getElementById('timer-cue').open && !document.getElementById('timer-plan').hidden",
        )
        .await
    }
}

/// One node of the browser's accessibility tree.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
struct Told {
    ignored: bool,
    role: Option<Value>,
    name: Option<Value>,
    #[serde(default)]
    properties: Vec<Value>,
}

impl Told {
    fn role(&self) -> &str {
        self.role.as_ref().and_then(|role| role["value"].as_str()).unwrap_or_default()
    }

    fn name(&self) -> &str {
        self.name.as_ref().and_then(|name| name["value"].as_str()).unwrap_or_default().trim()
    }

    fn takes_focus(&self) -> bool {
        self.properties.iter().any(|each| each["name"] == "focusable" && each["value"]["value"] == true)
    }
}

#[test]
fn everything_has_a_name_that_says_what_is_seen_and_nothing_chatters() {
    on_stage("names", async |stage| {
        let screens = stage.dressed().await?;
        stage.protocol("Accessibility.enable", json!({})).await?;
        let mut told = Vec::new();
        let (mut named, mut pictures) = (0, 0);
        for card in &screens {
            stage.bring(card).await?;
            let mut tree = stage.protocol("Accessibility.getFullAXTree", json!({})).await?;
            let nodes: Vec<Told> = serde_json::from_value(tree["nodes"].take())?;
            for node in nodes.iter().filter(|node| !node.ignored) {
                let picture = node.role() == "image";
                // What takes the focus to be told or scrolled has its name within.
                if !(picture || node.takes_focus()) || matches!(node.role(), "RootWebArea" | "main") {
                    continue;
                }
                pictures += usize::from(picture);
                named += 1;
                if node.name().is_empty() {
                    told.push(format!("{card}: a {} without a name", node.role()));
                }
            }
            let said: Vec<String> = serde_json::from_value(stage.look("hands.misnamed()").await?)?;
            told.extend(said.into_iter().map(|each| format!("{card}: {each}")));
        }
        println!("{named} names, {pictures} of them pictures'");
        ensure!(named > 900 && pictures >= 10, "{named} names, {pictures} pictures");
        ensure!(told.is_empty(), "{told:#?}");

        // Nothing speaks by itself while the clock goes on.
        for card in ["evening", "sky/skyline", "exposure/timer", "log"] {
            stage.bring(card).await?;
            let spoken = stage.look("hands.spoken(() => hands.wait(2200))").await?;
            ensure!(spoken == json!([]), "{card} says by itself {spoken}");
        }
        // A change says its outcome, once, and nothing else.
        stage.bring("exposure/film").await?;
        let turn = "hands.spoken(async () => { hands.byId('meteredS').value = '30 s'; hands.byId('meteredS').dispatchEvent(new Event('change')); await hands.wait(100); })";
        let spoken = stage.look(turn).await?;
        ensure!(spoken.as_array().is_some_and(|said| said.len() == 1), "{spoken}");
        // The countdown says its start and its end, and not the seconds between.
        stage.open_timer_in_page(4.0).await?;
        let run = "hands.spoken(async () => {
            hands.byId('timer-start').click();
            await hands.until(() => hands.byId('timer-cue').matches(':modal'), 'the end');
            await hands.wait(300);
        })";
        let spoken: Vec<String> = serde_json::from_value(stage.look(run).await?)?;
        println!("a run of 4 s says {spoken:?}");
        ensure!((1..=3).contains(&spoken.len()), "{spoken:?}");
        ensure!(spoken.last().is_some_and(|last| last.contains("Time is up")), "{spoken:?}");
        Ok(())
    });
}

#[test]
fn nothing_moves_that_should_not_and_forced_colours_show_everything() {
    on_stage("still", async |stage| {
        let screens = stage.dressed().await?;
        let media = |name: &str, value: &str| json!({ "features": [{ "name": name, "value": value }] });
        // With motion the cue's word pulses, so that the look below can fail.
        stage
            .protocol("Emulation.setEmulatedMedia", media("prefers-reduced-motion", "no-preference"))
            .await?;
        stage.open_timer_in_page(1.0).await?;
        stage.press("timer-start").await?;
        stage.until("document.getElementById('timer-cue').matches(':modal')").await?;
        ensure!(stage.look("hands.moving()").await? != json!([]), "the cue does not move at all");
        stage.protocol("Emulation.setEmulatedMedia", media("prefers-reduced-motion", "reduce")).await?;
        let moving = stage.look("hands.settled().then(hands.moving)").await?;
        ensure!(moving == json!([]), "the cue: {moving}");
        stage.press("timer-done").await?;
        for card in &screens {
            stage.bring(card).await?;
            let moving = stage.look("hands.moving()").await?;
            ensure!(moving == json!([]), "{card}: {moving}");
        }

        stage.protocol("Emulation.setEmulatedMedia", media("forced-colors", "active")).await?;
        stage.window(PHONE, 9000).await?;
        let mut faint = Vec::new();
        for theme in ["day", "night"] {
            stage.wear(theme).await?;
            for card in &screens {
                stage.bring(card).await?;
                let seen: Contrasts = serde_json::from_value(stage.look("hands.contrasts()").await?)?;
                faint.extend(seen.faint.into_iter().map(|what| format!("{theme}, {card}: {what}")));
                let taken: Vec<String> = serde_json::from_value(stage.look("hands.untold()").await?)?;
                faint.extend(taken.into_iter().map(|what| format!("{theme}, {card}: {what}")));
            }
        }
        ensure!(faint.is_empty(), "in forced colours: {faint:#?}");
        Ok(())
    });
}
