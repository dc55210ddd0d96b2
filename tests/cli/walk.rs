//! The walk of the README, exactly as written there.

use crate::run::Bench;

#[test]
fn the_readme_leads_from_nothing_to_a_verified_certificate() {
    let readme = include_str!("../../README.md");
    let steps: Vec<&str> = readme
        .split("<!-- walk -->\n```sh\n")
        .skip(1)
        .map(|rest| rest.split("```").next().unwrap())
        .collect();
    assert_eq!(steps.len(), 4);
    let bench = Bench::new();
    let program = crate::run::program();
    let program = std::path::Path::new(&program);
    let path = format!(
        "{}:{}",
        program.parent().unwrap().display(),
        std::env::var("PATH").unwrap()
    );
    let output = bench
        .other("/bin/bash", &["-euc", &steps.concat()])
        .env("PATH", path)
        .output()
        .unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    let out = out.replace('\u{a0}', " ");
    let err = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{out}{err}");
    // What the README shows of the answers, but for the day and what it leaves out.
    for line in readme.split("```text\n").skip(1).take(2) {
        let shown = line.split("```").next().unwrap().lines();
        for line in shown
            .filter(|l| !l.is_empty() && *l != "…" && !l.starts_with("Have it checked again by"))
        {
            assert!(out.contains(line), "`{line}` is not in\n{out}");
        }
    }
}
