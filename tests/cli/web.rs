//! `warmlug web`.

use crate::run::Bench;

#[test]
fn the_site_is_written_once_and_not_over_other_files() {
    let bench = Bench::new();
    let ran = bench.run(&["web", "site"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let digest = ran.out.trim();
    assert_eq!(digest.len(), 64, "{digest}");
    let read = |name: &str| std::fs::read(bench.path("site").join(name)).unwrap();
    let text = |name: &str| String::from_utf8(read(name)).unwrap();
    // The digest stands on the page, and names what browsers keep.
    assert!(text("version.txt").contains(digest));
    assert!(text("sw.js").contains(digest));
    assert!(read("engine.wasm").starts_with(b"\0asm"));
    assert!(text("index.html").contains("Content-Security-Policy"));

    let again = bench.run(&["web", "site"]);
    assert_eq!(again.code, 1);
    assert!(again.err.contains("already exists"), "{}", again.err);
    let replaced = bench.run(&["web", "site", "--force"]);
    assert_eq!((replaced.code, replaced.out.trim()), (0, digest));
}
