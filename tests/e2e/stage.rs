//! A stage for one test: a copy of the site, a server for it, a browser with a profile of its own.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, anyhow, ensure};
use duskbook_packager::engine::{Driver, Engine};
use duskbook_packager::server::{Fault, Server};
use duskbook_packager::workspace::Workspace;
use duskbook_packager::{files, precache, tools};
use serde_json::{Value, json};
use thirtyfour::{Capabilities, WebDriver};

use crate::processes::{below, signal};

/// How long a page may take to show what it should, on a busy machine.
const PATIENCE: Duration = Duration::from_secs(30);

/// Everything that the page keeps, by store and key: in lists, since a key may be `__proto__`.
const EVERYTHING: &str = "
    const done = arguments[arguments.length - 1];
    const opening = indexedDB.open('duskbook');
    opening.onerror = () => done(null);
    opening.onsuccess = () => {
        const { result } = opening;
        const names = [...result.objectStoreNames];
        const reading = result.transaction(names);
        const asked = names.map(name => [name, reading.objectStore(name).getAllKeys(), reading.objectStore(name).getAll()]);
        reading.oncomplete = () => {
            result.close();
            done(asked.map(([name, keys, all]) => [name, keys.result.map((key, i) => [key, all.result[i]])]));
        };
    };";

/// Whether the page would let itself be left: nothing waits to be kept.
pub const NOTHING_WAITS: &str = "dispatchEvent(new Event('beforeunload', { cancelable: true }))";

/// What a page that waits in vain looks like: where it is, how it came, how far, and its first words.
const PAGE_AS_IT_IS: &str = "
    const [visit] = performance.getEntriesByType('navigation');
    return [location.href, visit?.type, document.readyState, document.visibilityState,
        Math.round(performance.now()), document.querySelectorAll('.screen').length,
        document.querySelectorAll('[aria-busy]').length, navigator.serviceWorker?.controller?.state ?? null,
        document.body?.innerText.slice(0, 400)];";

/// The page's clock some milliseconds on.
const CLOCK_ON: &str = "(() => {
    const Real = Date;
    const now = () => Real.now() + (ON);
    globalThis.Date = class extends Real {
        constructor(...given) { if (given.length) super(...given); else super(now()); }
        static now() { return now(); }
    };
})();";

pub struct Stage {
    pub engine: Engine,
    pub workspace: Workspace,
    /// The copy of the site that is served; a test may change it.
    pub site: PathBuf,
    profile: PathBuf,
    driver: Driver,
    server: Option<Server>,
    port: u16,
    browser: Option<WebDriver>,
}

/// Runs a test on a stage of its own and clears the stage whatever the outcome. A failure leaves a picture of
/// the page under `target/e2e`.
pub fn on_stage(name: &str, test: impl AsyncFnOnce(&mut Stage) -> Result<()>) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
    runtime.block_on(async {
        let mut stage = Stage::set(name).await.expect("a stage");
        let outcome = test(&mut stage).await;
        let picture = stage.workspace.target().join(format!("e2e/{name}-{}.png", stage.engine.name()));
        if let (Err(_), Some(browser)) = (&outcome, &stage.browser) {
            let _ = browser.screenshot(&picture).await;
        }
        stage.quit().await;
        if let Err(told) = outcome {
            panic!("{told:?}\nsee {}", picture.display());
        }
    });
}

impl Stage {
    async fn set(name: &str) -> Result<Self> {
        let asked = std::env::var("DUSKBOOK_ENGINE").unwrap_or_else(|_| "chromium".into());
        let engine = Engine::named(&asked).with_context(|| format!("no engine is named {asked}"))?;
        let workspace = Workspace::find()?;
        let scene = files::emptied(workspace.target().join("e2e").join(format!("{name}-{asked}")))?;
        let (site, profile) = (scene.join("site"), scene.join("profile"));
        files::copy(&workspace.dist(), &site)?;
        std::fs::create_dir(&profile)?;
        let driver = Driver::start(&workspace, engine)?;
        let server = Server::start(&site, 0)?;
        let port = server.port();
        let mut stage =
            Self { engine, workspace, site, profile, driver, server: Some(server), port, browser: None };
        if let Ok(hours) = std::env::var("DUSKBOOK_HOURS_ON") {
            let hours: i64 = hours.parse().context("DUSKBOOK_HOURS_ON")?;
            stage.clock_on(hours * 3_600_000)?;
        }
        stage.browser = Some(stage.session().await?);
        Ok(stage)
    }

    async fn session(&self) -> Result<WebDriver> {
        let mut capabilities = Capabilities::new();
        for (key, value) in self.wanted()?.as_object().context("an object")? {
            capabilities.set(key, value)?;
        }
        let browser = WebDriver::new(self.driver.address(), capabilities).await?;
        browser.set_script_timeout(PATIENCE).await?;
        Ok(browser)
    }

    /// What each engine needs to run unseen, with the stage's profile where it takes one.
    fn wanted(&self) -> Result<Value> {
        let profile = self.profile.display().to_string();
        Ok(match self.engine {
            Engine::Chromium => json!({
                "browserName": "chrome",
                "goog:chromeOptions": { "args": [
                    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                    "--no-first-run", "--disable-background-networking", "--disable-component-update",
                    "--disable-sync", "--disable-quic", "--window-size=390,844",
                    format!("--user-data-dir={profile}"),
                ] },
            }),
            Engine::Firefox => json!({
                "browserName": "firefox",
                "moz:firefoxOptions": { "args": ["-headless", "-profile", profile] },
            }),
            Engine::WebKit => json!({
                "browserName": "MiniBrowser",
                "webkitgtk:browserOptions": {
                    "binary": tools::minibrowser().context("WebKitGTK's MiniBrowser is missing")?,
                    "args": ["--automation"],
                },
            }),
        })
    }

    pub fn browser(&self) -> &WebDriver {
        self.browser.as_ref().expect("a browser")
    }

    /// Where the browser keeps what it knows of itself.
    pub fn profile(&self) -> &Path {
        &self.profile
    }

    /// An address of the site.
    pub fn address(&self, rest: &str) -> String {
        format!("http://127.0.0.1:{}/{rest}", self.port)
    }

    /// Opens an address of the site as from a bookmark: the page loads anew. A page that asks to be left alone, since
    /// something is not kept yet, is given the time that a hand takes to get elsewhere.
    pub async fn open(&self, rest: &str) -> Result<()> {
        let began = Instant::now();
        let asks = format!("return !{NOTHING_WAITS}");
        while began.elapsed() < Duration::from_secs(1)
            && matches!(self.script(&asks, vec![]).await, Ok(Value::Bool(true)))
        {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
        // Where only the fragment differs, a browser would stay on the page.
        self.browser().goto("about:blank").await?;
        self.browser().goto(self.address(rest)).await?;
        Ok(())
    }

    /// A page of the same place that opens no store.
    pub async fn open_aside(&self) -> Result<()> {
        self.open("lib/first-paint.js").await
    }

    /// What the page keeps: a list of stores, each with its name and a list of keys and records.
    pub async fn everything(&self) -> Result<Value> {
        Ok(self.browser().execute_async(EVERYTHING, vec![]).await?.json().clone())
    }

    /// Takes the server away, and makes sure of it.
    pub fn no_signal(&mut self) -> Result<()> {
        self.server = None;
        let reached = std::net::TcpStream::connect(("127.0.0.1", self.port));
        ensure!(reached.is_err(), "the server still answers");
        Ok(())
    }

    /// Sets the server up at the same address: again, or anew for what it reads only once.
    pub fn signal_again(&mut self) -> Result<()> {
        self.server = None;
        self.server = Some(Server::start(&self.site, self.port)?);
        Ok(())
    }

    /// Has the server answer wrongly for one path, or rightly again.
    pub fn spoil(&self, path: &str, fault: Option<Fault>) {
        if let Some(server) = &self.server {
            server.spoil(path, fault);
        }
    }

    /// Has every page of the site run a script before its own.
    pub fn beforehand(&self, script: &str) -> Result<()> {
        let first = self.site.join("lib/first-paint.js");
        let own = std::fs::read_to_string(&first)?;
        std::fs::write(first, format!("{script}\n{own}"))?;
        precache::write(&self.site)?;
        Ok(())
    }

    /// Sets the page's clock some milliseconds on: it must do its work at every time of day, not only at that of the test.
    pub fn clock_on(&self, ms: i64) -> Result<()> {
        self.beforehand(&CLOCK_ON.replace("ON", &ms.to_string()))
    }

    /// Ends the browser and starts it again with what it kept on disk. WebKitGTK's driver gives every session a
    /// store in memory alone, so there the window is closed and another opened.
    pub async fn restart_browser(&mut self) -> Result<()> {
        if self.engine == Engine::WebKit {
            let old = self.browser().window().await?;
            let new = self.browser().new_window().await?;
            self.browser().switch_to_window(old).await?;
            self.browser().close_window().await?;
            self.browser().switch_to_window(new).await?;
            return Ok(());
        }
        self.quit().await;
        self.browser = Some(self.session().await?);
        Ok(())
    }

    /// Kills the browser as a system short of memory does, and starts it again with what it kept on disk. Tells of how
    /// many processes it was.
    /// WebKitGTK's driver ends the session, and the store with it, when a page dies: there the page is closed.
    pub async fn kill_browser(&mut self) -> Result<usize> {
        if self.engine == Engine::WebKit {
            self.restart_browser().await?;
            return Ok(0);
        }
        let processes = below(self.driver.process())?;
        signal("KILL", &processes)?;
        // Nobody is left to be asked to quit.
        if let Some(browser) = self.browser.take() {
            browser.leak()?;
        }
        self.driver = Driver::start(&self.workspace, self.engine)?;
        self.browser = Some(self.session().await?);
        Ok(processes.len())
    }

    /// Holds every process of the browser for a while, as a device does that sleeps.
    pub async fn sleep(&self, how_long: Duration) -> Result<()> {
        let processes = below(self.driver.process())?;
        ensure!(!processes.is_empty(), "no process of a browser");
        signal("STOP", &processes)?;
        tokio::time::sleep(how_long).await;
        signal("CONT", &processes)
    }

    async fn quit(&mut self) {
        if let Some(browser) = self.browser.take() {
            // The driver's end takes the browser along if this fails.
            let _ = browser.quit().await;
        }
    }

    /// Runs a script in the page: the body of a function, its arguments in `arguments`.
    pub async fn script(&self, body: &str, arguments: Vec<Value>) -> Result<Value> {
        Ok(self.browser().execute(body, arguments).await?.json().clone())
    }

    /// Asks Chromium by its own protocol.
    pub async fn protocol(&self, method: &str, parameters: Value) -> Result<Value> {
        Ok(self.browser().cdp().send_raw(method, parameters).await?)
    }

    /// Waits until an expression of the page is true.
    pub async fn until(&self, expression: &str) -> Result<()> {
        self.until_told(expression, "").await
    }

    /// The same; a failure also tells the value of another expression.
    pub async fn until_told(&self, expression: &str, instead: &str) -> Result<()> {
        let began = Instant::now();
        let body = format!("return Boolean({expression})");
        loop {
            let outcome = self.script(&body, vec![]).await;
            match outcome {
                Ok(Value::Bool(true)) => return Ok(()),
                // While a page loads there may be nothing to run a script in.
                Err(told) if began.elapsed() > PATIENCE => return Err(told.context(expression.to_owned())),
                Ok(_) if began.elapsed() > PATIENCE => break,
                _ => tokio::time::sleep(Duration::from_millis(50)).await,
            }
        }
        let seen = if instead.is_empty() {
            Value::Null
        } else {
            self.script(&format!("return {instead}"), vec![]).await?
        };
        let page = self.script(PAGE_AS_IT_IS, vec![]).await.unwrap_or_default();
        Err(anyhow!("waited in vain for {expression}; there is {seen}; the page: {page}"))
    }
}
