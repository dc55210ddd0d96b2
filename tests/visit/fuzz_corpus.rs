//! Replays what fuzzing has found: files that reach as much of the code as all others tried, and
//! every file that ever went wrong. `tests/fuzz/corpus/TARGET/` holds them.
//!
//!     WARMLUG_MUTATE_SECONDS=600 cargo test --test visit fuzz_corpus::records -- --nocapture
//!
//! also tries changed copies of these files at random, on any toolchain; `WARMLUG_MUTATE_SEED` runs one
//! series again.

#[path = "../fuzz/targets.rs"]
mod targets;

use std::time::{Duration, Instant};

fn replay(target: &str, run: fn(&[u8])) {
    let folder = format!("{}/tests/fuzz/corpus/{target}", env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    for entry in std::fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let bytes = std::fs::read(&path).unwrap();
        let done = std::panic::catch_unwind(|| run(&bytes));
        assert!(done.is_ok(), "{}", path.display());
        files.push(bytes);
    }
    assert!(files.len() > 5, "{folder} has {} files", files.len());
    let number = |name: &str| std::env::var(name).ok()?.parse::<u64>().ok();
    if let Some(seconds) = number("WARMLUG_MUTATE_SECONDS") {
        let seed = number("WARMLUG_MUTATE_SEED").unwrap_or(std::process::id().into());
        mutate(target, &files, seed, Duration::from_secs(seconds), run);
    }
}

/// Tries changed copies of files for some time.
fn mutate(target: &str, files: &[Vec<u8>], seed: u64, time: Duration, run: fn(&[u8])) {
    // xorshift64 (Marsaglia, Journal of Statistical Software 8/14, 2003), which never leaves 0.
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    let mut below = |n: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as usize % n.max(1)
    };
    let start = Instant::now();
    let mut count = 0;
    while start.elapsed() < time {
        let mut bytes = files[below(files.len())].clone();
        for _ in 0..=below(4) {
            let at = below(bytes.len());
            let end = bytes.len().min(at + 1 + below(12));
            match below(5) {
                0 if at < bytes.len() => bytes[at] ^= 1 << below(8),
                1 => drop(bytes.drain(at..end)),
                2 => drop(bytes.splice(at..at, bytes[at..end].to_vec())),
                3 => {
                    let other = &files[below(files.len())];
                    let from = below(other.len());
                    let to = other.len().min(from + 1 + below(40));
                    drop(bytes.splice(at..end, other[from..to].iter().copied()));
                }
                _ => {
                    let words: [&[u8]; 6] = [b"0", b"-1", b"99999999999", b"null", b"\xFF", b"\""];
                    drop(bytes.splice(at..end, words[below(6)].iter().copied()));
                }
            }
        }
        let done = std::panic::catch_unwind(|| run(&bytes));
        if done.is_err() {
            let path = std::env::temp_dir().join(format!("{target}-{seed}-{count}"));
            std::fs::write(&path, &bytes).unwrap();
            panic!("{}, seed {seed}", path.display());
        }
        count += 1;
    }
    println!(
        "{target}, seed {seed}: {count} files in {:?}",
        start.elapsed()
    );
}

#[test]
fn visits() {
    replay("visit", targets::visit);
}

#[test]
fn quantities() {
    replay("quantity", targets::quantity);
}

#[test]
fn rule_sets() {
    replay("rules", targets::rules);
}

#[test]
fn images() {
    replay("image", targets::image);
}

#[test]
fn certificates() {
    replay("verify", targets::verify);
}

#[test]
fn worksheets() {
    replay("fill", targets::fill);
}

#[test]
fn parts_of_seals() {
    replay("signature", targets::signature);
}

#[test]
fn records() {
    replay("record", targets::record);
}

#[test]
fn registers() {
    replay("register", targets::register);
}
