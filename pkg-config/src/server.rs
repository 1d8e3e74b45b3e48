//! A static server for one directory, on this machine alone.
//!
//! It answers as a plain host would: the headers file obeyed, text compressed, connections kept. Unlike most it
//! can be stopped for good within the same process, connections and all, which is what "no signal" means
//! in the checks: a browser's own offline switch does not reach its service workers.

use std::collections::HashMap;
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpListener, TcpStream};
use std::path::{Component, Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::Duration;

use anyhow::{Context, Result};

use crate::headers::Headers;
use crate::size::gzip;

/// A server that runs until it is stopped or dropped.
pub struct Server {
    address: SocketAddr,
    shared: Arc<Shared>,
    accepting: Option<JoinHandle<()>>,
}

/// What can be wrong with an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// 500, and no file.
    Refusal,
    /// The connection ends in the middle of the file.
    BreakOff,
    /// No answer until the server is stopped.
    Silence,
}

struct Shared {
    site: PathBuf,
    headers: Headers,
    faults: Mutex<HashMap<String, Fault>>,
    stopping: AtomicBool,
    open: Mutex<HashMap<SocketAddr, TcpStream>>,
}

impl Server {
    /// Serves a directory on a port of 127.0.0.1; port 0 lets the system choose.
    ///
    /// # Errors
    /// The port is taken, or the site has no headers file.
    pub fn start(site: &Path, port: u16) -> Result<Self> {
        let listener =
            TcpListener::bind((Ipv4Addr::LOCALHOST, port)).with_context(|| format!("port {port}"))?;
        let address = listener.local_addr()?;
        let shared = Arc::new(Shared {
            headers: Headers::read(&site.join("_headers"))?,
            site: site.to_owned(),
            faults: Mutex::default(),
            stopping: AtomicBool::new(false),
            open: Mutex::default(),
        });
        let accepting = {
            let shared = Arc::clone(&shared);
            std::thread::spawn(move || shared.accept(&listener))
        };
        Ok(Self { address, shared, accepting: Some(accepting) })
    }

    /// The same on the first free port from `port` on.
    ///
    /// # Errors
    /// None of a hundred ports is free, or the site has no headers file.
    pub fn start_near(site: &Path, port: u16) -> Result<Self> {
        let taken = |port: &u16| TcpStream::connect((Ipv4Addr::LOCALHOST, *port)).is_ok();
        let free = (port..port.saturating_add(100)).find(|port| !taken(port)).context("no free port")?;
        Self::start(site, free)
    }

    /// Where to point a browser, with a `/` at the end.
    pub fn address(&self) -> String {
        format!("http://{}/", self.address)
    }

    /// The port it answers on.
    pub fn port(&self) -> u16 {
        self.address.port()
    }

    /// From here on answers wrongly for one path, such as `/app.js`, or rightly again.
    pub fn spoil(&self, path: &str, fault: Option<Fault>) {
        let mut faults = self.shared.faults.lock().unwrap_or_else(PoisonError::into_inner);
        match fault {
            Some(fault) => faults.insert(path.to_owned(), fault),
            None => faults.remove(path),
        };
    }

    /// Serves until the process ends.
    pub fn wait(mut self) {
        if let Some(accepting) = self.accepting.take() {
            // A panic there was printed there.
            let _ = accepting.join();
        }
    }
}

impl Drop for Server {
    /// Stops: from here on the port refuses connections and those that were open are cut.
    fn drop(&mut self) {
        let Some(accepting) = self.accepting.take() else { return };
        self.shared.stopping.store(true, Ordering::SeqCst);
        // Wakes the thread that waits for connections.
        let _ = TcpStream::connect(self.address);
        let _ = accepting.join();
        for connection in self.shared.connections().values() {
            let _ = connection.shutdown(Shutdown::Both);
        }
    }
}

impl Shared {
    fn connections(&self) -> std::sync::MutexGuard<'_, HashMap<SocketAddr, TcpStream>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn accept(self: &Arc<Self>, listener: &TcpListener) {
        for connection in listener.incoming() {
            if self.stopping.load(Ordering::SeqCst) {
                return;
            }
            let Ok(connection) = connection else { continue };
            let shared = Arc::clone(self);
            std::thread::spawn(move || shared.converse(&connection));
        }
    }

    /// Answers one connection's requests until either side ends it.
    fn converse(&self, connection: &TcpStream) {
        let (Ok(peer), Ok(kept)) = (connection.peer_addr(), connection.try_clone()) else { return };
        self.connections().insert(peer, kept);
        let mut reader = BufReader::new(connection);
        let mut writer = connection;
        while !self.stopping.load(Ordering::SeqCst) {
            let Some(request) = Request::read(&mut reader) else { break };
            let fault =
                self.faults.lock().unwrap_or_else(PoisonError::into_inner).get(&request.path).copied();
            while fault == Some(Fault::Silence) && !self.stopping.load(Ordering::SeqCst) {
                std::thread::sleep(Duration::from_millis(10));
            }
            let mut response = self.response(&request, fault);
            if fault == Some(Fault::BreakOff) {
                response.truncate(response.len() - response.len() / 4);
            }
            if writer.write_all(&response).is_err() || fault == Some(Fault::BreakOff) {
                break;
            }
        }
        self.connections().remove(&peer);
        let _ = connection.shutdown(Shutdown::Both);
    }

    fn response(&self, request: &Request, fault: Option<Fault>) -> Vec<u8> {
        let (status, kind, body) = match (request.method.as_str(), self.file(&request.path)) {
            _ if fault == Some(Fault::Refusal) => {
                ("500 Internal Server Error", "text/plain", b"no\n".to_vec())
            }
            ("GET" | "HEAD", Some((kind, body))) => ("200 OK", kind, body),
            ("GET" | "HEAD", None) => ("404 Not Found", "text/plain", b"not found\n".to_vec()),
            _ => ("405 Method Not Allowed", "text/plain", b"only GET and HEAD\n".to_vec()),
        };
        let (encoding, body) = match request.takes_gzip.then(|| gzip(&body)) {
            Some(Ok(smaller)) if smaller.len() < body.len() => ("Content-Encoding: gzip\r\n", smaller),
            _ => ("", body),
        };
        let mut head = format!(
            "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nVary: Accept-Encoding\r\n{encoding}",
            body.len()
        );
        for (name, value) in self.headers.of(&request.path) {
            head.extend([name, ": ", value, "\r\n"]);
        }
        head.push_str("\r\n");
        let mut response = head.into_bytes();
        if request.method != "HEAD" {
            response.extend(body);
        }
        response
    }

    /// A file and its media type, unless the path leads out of the site.
    fn file(&self, path: &str) -> Option<(&'static str, Vec<u8>)> {
        let path = path.strip_prefix('/')?;
        if !Path::new(path).components().all(|part| matches!(part, Component::Normal(_))) {
            return None;
        }
        let path =
            if path.is_empty() || path.ends_with('/') { format!("{path}index.html") } else { path.into() };
        let body = fs::read(self.site.join(&path)).ok()?;
        Some((media_type(&path), body))
    }
}

/// What a file's name says it is.
fn media_type(path: &str) -> &'static str {
    match path.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "wasm" => "application/wasm",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "txt" | "_headers" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// As much of a request as a static host needs.
struct Request {
    method: String,
    path: String,
    takes_gzip: bool,
}

impl Request {
    /// The next request of a connection; `None` when it ends or is no HTTP.
    fn read(reader: &mut impl BufRead) -> Option<Self> {
        let mut line = String::new();
        reader.read_line(&mut line).ok()?;
        let mut words = line.split_whitespace();
        let (method, target) = (words.next()?.to_owned(), words.next()?);
        let path = target.split(['?', '#']).next()?.to_owned();
        let mut takes_gzip = false;
        loop {
            let mut header = String::new();
            if reader.read_line(&mut header).ok()? == 0 {
                return None;
            }
            let header = header.trim().to_ascii_lowercase();
            if header.is_empty() {
                return Some(Self { method, path, takes_gzip });
            }
            takes_gzip |= header.starts_with("accept-encoding:") && header.contains("gzip");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files;
    use std::io::Read;

    fn site(name: &str) -> PathBuf {
        let site = files::emptied(std::env::temp_dir().join(name)).unwrap();
        fs::write(site.join("_headers"), "/*\n  X-Content-Type-Options: nosniff\n").unwrap();
        fs::write(site.join("index.html"), "<p>dusk</p>").unwrap();
        site
    }

    fn ask(port: u16, request: &str) -> std::io::Result<String> {
        let mut connection = TcpStream::connect((Ipv4Addr::LOCALHOST, port))?;
        connection.write_all(request.as_bytes())?;
        connection.shutdown(Shutdown::Write)?;
        let mut told = Vec::new();
        connection.read_to_end(&mut told)?;
        Ok(String::from_utf8_lossy(&told).into_owned())
    }

    #[test]
    fn a_directory_answers_with_its_index_and_the_headers_of_the_file() {
        let server = Server::start(&site("duskbook-server-index"), 0).unwrap();
        let told = ask(server.port(), "GET /?x=1 HTTP/1.1\r\nHost: x\r\n\r\n").unwrap();
        assert!(told.starts_with("HTTP/1.1 200 OK\r\nContent-Type: text/html"), "{told}");
        assert!(
            told.contains("X-Content-Type-Options: nosniff\r\n") && told.ends_with("<p>dusk</p>"),
            "{told}"
        );
    }

    #[test]
    fn nothing_outside_the_site_is_served() {
        let server = Server::start(&site("duskbook-server-outside"), 0).unwrap();
        for path in ["/../Cargo.toml", "/x/../../y", "//etc/passwd", "/missing"] {
            let told = ask(server.port(), &format!("GET {path} HTTP/1.1\r\n\r\n")).unwrap();
            assert!(told.starts_with("HTTP/1.1 404"), "{path}: {told}");
        }
        let told = ask(server.port(), "POST / HTTP/1.1\r\n\r\n").unwrap();
        assert!(told.starts_with("HTTP/1.1 405"), "{told}");
    }

    #[test]
    fn a_spoilt_answer_is_a_refusal_or_half_a_file_and_then_right_again() {
        let site = site("duskbook-server-spoilt");
        let server = Server::start(&site, 0).unwrap();
        let request = "GET /index.html HTTP/1.1\r\n\r\n";
        server.spoil("/index.html", Some(Fault::Refusal));
        assert!(ask(server.port(), request).unwrap().starts_with("HTTP/1.1 500"));
        server.spoil("/index.html", Some(Fault::BreakOff));
        let told = ask(server.port(), request).unwrap();
        assert!(told.starts_with("HTTP/1.1 200") && !told.ends_with("</p>"), "{told}");
        server.spoil("/index.html", None);
        assert!(ask(server.port(), request).unwrap().ends_with("<p>dusk</p>"));
    }

    #[test]
    fn a_stopped_server_refuses_new_connections_and_cuts_old_ones() {
        let server = Server::start(&site("duskbook-server-stop"), 0).unwrap();
        let port = server.port();
        let mut old = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).unwrap();
        old.write_all(b"GET / HTTP/1.1\r\n\r\n").unwrap();
        let mut first = [0; 4];
        old.read_exact(&mut first).unwrap();
        drop(server);
        let mut rest = Vec::new();
        old.read_to_end(&mut rest).unwrap();
        assert!(ask(port, "GET / HTTP/1.1\r\n\r\n").is_err());
    }
}
