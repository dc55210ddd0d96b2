//! `--watch`: every save is judged at once.

use crate::run::{Bench, alone};
use std::io::{BufRead, BufReader};
use std::process::{Child, ChildStdout};

/// Ends the program whatever the test does.
struct Stopped(Child);

impl Drop for Stopped {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Reads lines until one has this in it; a program that ends instead fails the test.
fn until(out: &mut BufReader<ChildStdout>, wanted: &str) -> String {
    let mut told = String::new();
    loop {
        let mut line = String::new();
        let read = out.read_line(&mut line).unwrap();
        assert!(
            read > 0,
            "the program ended before it said {wanted}:\n{told}"
        );
        told.push_str(&line);
        if line.contains(wanted) {
            return told;
        }
    }
}

#[test]
fn a_save_is_checked_at_once() {
    let bench = Bench::new();
    let text = alone("townhouse-first");
    bench.write("visit.yaml", &text);
    let mut program = Stopped(bench.start(&["check", "visit.yaml", "--watch"]));
    let mut out = BufReader::new(program.0.stdout.take().unwrap());
    until(&mut out, "2024-0117  Garage");
    // Saved as editors do: a new file in the place of the old one. A file is never half there.
    bench.write("new.tmp", &text.replace("2024-0117", "2024-9999"));
    std::fs::rename(bench.path("new.tmp"), bench.path("visit.yaml")).unwrap();
    until(&mut out, "2024-9999  Garage");
    // A mistake does not end it.
    bench.write("new.tmp", "visit: {}\n");
    std::fs::rename(bench.path("new.tmp"), bench.path("visit.yaml")).unwrap();
    bench.write("new.tmp", &text.replace("2024-0117", "2024-8888"));
    std::fs::rename(bench.path("new.tmp"), bench.path("visit.yaml")).unwrap();
    until(&mut out, "2024-8888  Garage");
}

#[test]
fn only_a_draft_is_written_again_and_again() {
    let bench = Bench::new();
    let ran = bench.run(&["certify", "visit.yaml", "--watch"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let ran = bench.run(&["check", "-", "--watch"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(
        ran.err.contains("standard input cannot be watched"),
        "{}",
        ran.err
    );
}
