//! A host for the browser application on this computer.
//!
//! It answers `GET` and `HEAD` for a fixed list of files in memory, and nothing else: a path in a
//! request is never used as a path on the disk. Each connection has one request.

use super::site::Site;
use std::collections::HashMap;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

/// Maximum size of a request's first line and headers, in bytes.
const HEAD: u64 = 16 * 1024;
/// Maximum number of simultaneous connections; browsers open about six to a host.
const CONNECTIONS: usize = 64;
/// Time limit for one read or write.
const PATIENCE: Duration = Duration::from_secs(10);
/// Maximum number of reads for one request, so that a request that arrives byte by byte is refused.
const READS: usize = 64;

/// The files, by their path in the address.
#[derive(Debug)]
pub struct Host {
    files: HashMap<String, (&'static str, Vec<u8>)>,
}

/// The media type by the end of the name.
fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("wasm") => "application/wasm",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("webmanifest") => "application/manifest+json",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

impl Host {
    /// A host of the application's files; `/` is `index.html`.
    pub fn new(site: Site) -> Self {
        let mut files = HashMap::new();
        for (name, bytes) in site.files {
            if name == "index.html" {
                files.insert("/".to_owned(), (media_type(name), bytes.clone()));
            }
            files.insert(format!("/{name}"), (media_type(name), bytes));
        }
        Self { files }
    }

    /// Answers every connection, each in a thread of its own, until the process ends.
    ///
    /// # Errors
    /// The listener can accept no more connections. A broken connection is not an error.
    pub fn run(self, listener: &TcpListener) -> io::Result<()> {
        let host = Arc::new(self);
        let open = Arc::new(AtomicUsize::new(0));
        for connection in listener.incoming() {
            let connection = match connection {
                Ok(connection) => connection,
                // The other side closed the connection before it was accepted.
                Err(e) if e.kind() == io::ErrorKind::ConnectionAborted => continue,
                Err(e) => return Err(e),
            };
            if open.fetch_add(1, Ordering::AcqRel) >= CONNECTIONS {
                open.fetch_sub(1, Ordering::AcqRel);
                continue;
            }
            let (host, open) = (Arc::clone(&host), Arc::clone(&open));
            std::thread::spawn(move || {
                // Closing a browser tab breaks a connection; there is nobody to whom to report
                // that.
                let _ = host.answer(&connection);
                open.fetch_sub(1, Ordering::AcqRel);
            });
        }
        Ok(())
    }

    fn answer(&self, mut connection: &TcpStream) -> io::Result<()> {
        connection.set_read_timeout(Some(PATIENCE))?;
        connection.set_write_timeout(Some(PATIENCE))?;
        let line = request_line(connection)?;
        let (head, body) = self.response(&line);
        connection.write_all(head.as_bytes())?;
        connection.write_all(body)?;
        connection.flush()
    }

    /// The response to a request with this first line: status line with headers, and body.
    fn response(&self, line: &str) -> (String, &[u8]) {
        let mut words = line.split_ascii_whitespace();
        let (method, target) = (words.next(), words.next().unwrap_or_default());
        let path = target.split(['?', '#']).next().unwrap_or_default();
        let (status, kind, body): (_, _, &[u8]) = match (method, self.files.get(path)) {
            (Some("GET" | "HEAD"), Some((kind, bytes))) => ("200 OK", *kind, bytes),
            (Some("GET" | "HEAD"), None) => ("404 Not Found", "text/plain", b"not found\n"),
            _ => ("405 Method Not Allowed", "text/plain", b"only GET\n"),
        };
        let head = format!(
            "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nAllow: GET, HEAD\r\n\
             Cache-Control: no-cache\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n",
            body.len()
        );
        (head, if method == Some("HEAD") { b"" } else { body })
    }
}

/// The first line of a request, read together with all of its headers.
fn request_line(connection: &TcpStream) -> io::Result<String> {
    let mut lines = BufReader::new(connection.take(HEAD));
    let mut first = Vec::new();
    lines.read_until(b'\n', &mut first)?;
    // Closing with unread headers would reset the connection before the answer arrives.
    for _ in 0..READS {
        let mut header = Vec::new();
        if lines.read_until(b'\n', &mut header)? == 0 || header == b"\r\n" || header == b"\n" {
            break;
        }
    }
    Ok(String::from_utf8_lossy(&first).into_owned())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn host() -> Host {
        Host::new(Site::new())
    }

    #[test]
    fn only_the_files_of_the_site_are_there() {
        let host = host();
        let status = |line: &str| host.response(line).0[9..12].to_owned();
        for found in ["/", "/index.html", "/engine.wasm", "/?from=home", "/sw.js"] {
            assert_eq!(status(&format!("GET {found} HTTP/1.1")), "200", "{found}");
        }
        for strange in [
            "/../Cargo.toml",
            "/%2e%2e/Cargo.toml",
            "//etc/passwd",
            "C:\\",
            "http://localhost/",
            "",
            "*",
        ] {
            assert_eq!(
                status(&format!("GET {strange} HTTP/1.1")),
                "404",
                "{strange}"
            );
        }
        for method in ["POST / HTTP/1.1", "PUT /index.html HTTP/1.1", "\0\u{1}", ""] {
            assert_eq!(status(method), "405", "{method:?}");
        }
    }

    #[test]
    fn a_head_request_tells_the_length_alone() {
        let host = host();
        let (got, body) = host.response("GET /style.css HTTP/1.1");
        let (head, none) = host.response("HEAD /style.css HTTP/1.1");
        assert_eq!(head, got);
        assert!(head.contains(&format!("Content-Length: {}\r\n", body.len())));
        assert!(none.is_empty());
    }

    #[test]
    fn what_a_browser_runs_has_its_type() {
        // Browsers refuse modules and WebAssembly of another type (HTML, fetch a module script).
        let host = host();
        for (name, kind) in [
            ("/app.js", "text/javascript"),
            ("/engine.wasm", "application/wasm"),
        ] {
            let (head, _) = host.response(&format!("GET {name} HTTP/1.1"));
            assert!(head.contains(&format!("Content-Type: {kind}")), "{head}");
        }
        for name in host.files.keys().filter(|name| *name != "/") {
            assert_ne!(media_type(name), "application/octet-stream", "{name}");
        }
    }
}
