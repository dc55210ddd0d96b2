//! Replays what fuzzing has found: files that reach as much of the code as all others tried, and
//! every file that ever went wrong. `tests/fuzz/corpus/TARGET/` holds them.

#[path = "../fuzz/targets.rs"]
mod targets;

fn replay(target: &str, run: fn(&[u8])) {
    let folder = format!("{}/tests/fuzz/corpus/{target}", env!("CARGO_MANIFEST_DIR"));
    let mut count = 0;
    for entry in std::fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let bytes = std::fs::read(&path).unwrap();
        let done = std::panic::catch_unwind(|| run(&bytes));
        assert!(done.is_ok(), "{}", path.display());
        count += 1;
    }
    assert!(count > 5, "{folder} has {count} files");
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
