//! The three browser engines, each behind its WebDriver.

use std::ffi::OsStr;
use std::io::{BufRead, BufReader};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::os::unix::process::CommandExt;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};

use crate::tools;
use crate::workspace::Workspace;

/// A browser engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Engine {
    /// Blink.
    Chromium,
    /// Gecko.
    Firefox,
    /// WebKit, in its GTK port: the nearest to a phone of that engine that runs here.
    WebKit,
}

impl Engine {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Chromium, Self::Firefox, Self::WebKit];

    /// Its name in logs and in the environment.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Chromium => "chromium",
            Self::Firefox => "firefox",
            Self::WebKit => "webkit",
        }
    }

    /// The engine of a name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|engine| engine.name() == name)
    }
}

/// A running WebDriver, ended with everything it started when dropped.
pub struct Driver {
    address: String,
    process: Group,
    _display: Option<Display>,
}

/// How long a driver may take to answer on a busy machine.
const START: Duration = Duration::from_secs(60);

impl Driver {
    /// Starts an engine's driver.
    ///
    /// # Errors
    /// It is not installed or does not answer.
    pub fn start(workspace: &Workspace, engine: Engine) -> Result<Self> {
        let port = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?.local_addr()?.port();
        let mut display = None;
        let mut command = match engine {
            Engine::Chromium => Command::new("chromedriver"),
            Engine::Firefox => {
                let driver = tools::geckodriver(workspace).context("geckodriver is missing")?;
                // Two ports of its own besides: let the system choose those.
                let mut command = Command::new(driver);
                command.args(["--websocket-port=0", "--log=error"]).env("MOZ_HEADLESS", "1");
                command
            }
            Engine::WebKit => {
                let shown = display.insert(Display::start()?);
                let mut command = Command::new("WebKitWebDriver");
                command.env("DISPLAY", &shown.name).env("GDK_BACKEND", "x11");
                command
            }
        };
        command.arg(format!("--port={port}")).stdout(Stdio::null()).stderr(Stdio::null());
        let driver = Group::spawn(&mut command)?;
        let began = Instant::now();
        while TcpStream::connect((Ipv4Addr::LOCALHOST, port)).is_err() {
            if began.elapsed() > START {
                bail!("the driver of {} does not answer", engine.name());
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        Ok(Self { address: format!("http://127.0.0.1:{port}"), process: driver, _display: display })
    }

    /// The driver's own process; the browser's are below it.
    pub fn process(&self) -> u32 {
        self.process.child.id()
    }

    /// Where it listens.
    pub fn address(&self) -> &str {
        &self.address
    }
}

/// A screen that nobody sees, for an engine that has no mode without one.
struct Display {
    name: String,
    _server: Group,
}

impl Display {
    fn start() -> Result<Self> {
        let arguments = ["-displayfd", "1", "-screen", "0", "1280x1024x24", "-nolisten", "tcp"];
        let mut server =
            Group::spawn(Command::new("Xvfb").args(arguments).stdout(Stdio::piped()).stderr(Stdio::null()))?;
        let mut number = String::new();
        let told = server.child.stdout.take().context("Xvfb has no output")?;
        BufReader::new(told).read_line(&mut number)?;
        if number.trim().is_empty() {
            bail!("Xvfb did not start");
        }
        Ok(Self { name: format!(":{}", number.trim()), _server: server })
    }
}

/// A process and all it starts, killed together: a driver killed alone leaves its browser behind.
struct Group {
    child: Child,
}

impl Group {
    fn spawn(command: &mut Command) -> Result<Self> {
        let program = command.get_program().to_owned();
        let child = command.process_group(0).spawn();
        let named = || format!("cannot start {}", AsRef::<OsStr>::as_ref(&program).display());
        Ok(Self { child: child.with_context(named)? })
    }
}

impl Drop for Group {
    fn drop(&mut self) {
        let group = format!("-{}", self.child.id());
        // Already gone is as good as ended.
        let _ = Command::new("kill").args(["-KILL", "--", &group]).stderr(Stdio::null()).status();
        let _ = self.child.wait();
    }
}
