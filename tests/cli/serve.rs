//! `warmlug serve`.

use crate::run::Bench;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::process::{Child, Stdio};

/// A running host, ended when it is dropped.
struct Running {
    child: Child,
    address: String,
}

impl Running {
    fn start(bench: &Bench, args: &[&str]) -> Self {
        let mut child = bench
            .command(args)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut address = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut address)
            .unwrap();
        let address = address.trim().to_owned();
        Self { child, address }
    }

    fn host(&self) -> &str {
        let host = self.address.strip_prefix("http://").unwrap();
        host.strip_suffix('/').unwrap()
    }

    /// The whole answer to what is sent.
    fn ask(&self, request: &str) -> Vec<u8> {
        let mut connection = TcpStream::connect(self.host()).unwrap();
        connection.write_all(request.as_bytes()).unwrap();
        let mut answer = Vec::new();
        connection.read_to_end(&mut answer).unwrap();
        answer
    }

    fn get(&self, name: &str) -> Vec<u8> {
        let host = self.host();
        let answer = self.ask(&format!("GET /{name} HTTP/1.1\r\nHost: {host}\r\n\r\n"));
        let end = answer.windows(4).position(|w| w == b"\r\n\r\n").unwrap();
        assert!(answer.starts_with(b"HTTP/1.1 200 OK\r\n"), "{name}");
        answer[end + 4..].to_vec()
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn it_serves_what_web_writes_on_this_computer_alone() {
    let bench = Bench::new();
    assert_eq!(bench.run(&["web", "site"]).code, 0);
    let running = Running::start(&bench, &["serve", "--port", "0"]);
    assert!(running.address.starts_with("http://localhost:"));
    for entry in std::fs::read_dir(bench.path("site")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let written = std::fs::read(bench.path("site").join(&name)).unwrap();
        assert!(running.get(&name) == written, "{name}");
    }
    assert!(
        String::from_utf8(running.get(""))
            .unwrap()
            .contains("<title>")
    );
    // What is no request, or one for something else, is answered and ends nothing.
    for strange in [
        "GET /../visit.yaml HTTP/1.1\r\n\r\n",
        "POST / HTTP/1.1\r\n\r\n",
        "\0\r\n\r\n",
    ] {
        let answer = running.ask(strange);
        assert!(answer.starts_with(b"HTTP/1.1 40"), "{strange:?}");
    }
    // More at once than are answered, all of them silent; those that follow are answered.
    let silent: Vec<_> = (0..100)
        .map(|_| TcpStream::connect(running.host()))
        .collect();
    drop(silent);
    for _ in 0..50 {
        let host = running.host();
        let mut connection = TcpStream::connect(host).unwrap();
        let _ = connection.write_all(b"GET /icon.svg HTTP/1.1\r\n\r\n");
        let mut answer = Vec::new();
        if connection.read_to_end(&mut answer).is_ok() && answer.starts_with(b"HTTP/1.1 200") {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    panic!("no answer any more");
}

#[test]
fn a_port_in_use_is_said_with_what_to_do() {
    let bench = Bench::new();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let ran = bench.run(&["serve", "--port", &port]);
    assert_eq!(ran.code, 4);
    assert!(ran.err.contains("is in use"), "{}", ran.err);
    assert!(ran.err.contains("--port"), "{}", ran.err);
}

#[test]
fn on_the_network_it_says_what_does_not_work_there() {
    let bench = Bench::new();
    let mut child = bench
        .command(&["serve", "--lan", "--port", "0"])
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut said = String::new();
    let mut err = BufReader::new(child.stderr.take().unwrap());
    while err.read_line(&mut said).unwrap() > 0 && !said.contains("Ctrl-C") {}
    let _ = child.kill();
    let _ = child.wait();
    // A machine without any network has no address to show, and is told so.
    if !said.contains("not connected to a network") {
        let said = said.replace('\n', " ");
        for part in ["█", "not encrypted", "keeps no key", "begins with https"] {
            assert!(said.contains(part), "{part}: {said}");
        }
    }
}
