//! Everything that the program says of the worked visits and of the examples, kept as approved (no figure
//! of a source, arithmetic alone):
//! the findings as JSON, and each step of `check --explain`. The hand arithmetic in `*.worked`
//! says what the main numbers must be; this shows any other number, sentence or source that
//! changes.

use super::{Around, folder, read};
use serde_json::Value;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use warmlug::assess::explain::{Explanation, Input, explain, explain_circuit};
use warmlug::assess::{Earlier, assess};
use warmlug::compose::{self, Wording};
use warmlug::photo::Folder;
use warmlug::visit::{ImageError, ImageFacts, Surroundings, Visit};
use warmlug::{rules, visit};

/// Six digits that count.
fn number(x: f64) -> String {
    if x == 0.0 || !x.is_finite() {
        return format!("{}", x + 0.0);
    }
    let decimals = usize::try_from(5 - x.abs().log10().floor() as i32).unwrap_or(0);
    let text = format!("{x:.decimals$}");
    match text.split_once('.') {
        Some(_) => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        None => text,
    }
}

/// Only the checks of a circuit have names here; a connection's are the same for all.
fn numbers(inputs: &[Input], named: bool) -> String {
    let each = |i: &Input| {
        let name = if named { i.name.as_str() } else { "" };
        format!("{name} {} = {} {}", i.symbol, number(i.value), i.unit)
    };
    inputs.iter().map(each).collect::<Vec<_>>().join("; ")
}

fn steps(out: &mut String, told: &Explanation) {
    writeln!(out, "\n# {} {}", told.place, told.connection).unwrap();
    let circuit = told.connection.is_empty();
    for s in &told.steps {
        let round = s.round.map_or_else(String::new, |r| format!(" [{r}]"));
        writeln!(out, "{}{round}", s.id).unwrap();
        if circuit {
            writeln!(out, "  {}: {}", s.name, s.formula).unwrap();
            writeln!(out, "  {}", s.note.as_deref().unwrap_or_default()).unwrap();
        }
        writeln!(out, "  {}", numbers(&s.inputs, circuit)).unwrap();
        writeln!(out, "  -> {}", numbers(&s.results, circuit)).unwrap();
        if let Some(u) = &s.uncertainty {
            let shares: Vec<String> = u
                .shares
                .iter()
                .map(|p| format!("{} {} ({})", p.name, number(p.standard), number(p.share)))
                .collect();
            let (u, k, expanded) = (number(u.standard), number(u.coverage), number(u.expanded));
            writeln!(
                out,
                "  u = {u}, k = {k}, U = {expanded}: {}",
                shares.join(", ")
            )
            .unwrap();
        }
        if s.source.is_empty() {
            writeln!(out, "  no source").unwrap();
        }
    }
}

/// What does not change with the arithmetic is left out: the rule set has tests of its own, and so
/// have the format and the build.
fn findings(json: &Value) -> String {
    let mut json = json.clone();
    if let Some(map) = json.as_object_mut() {
        map.shift_remove("format");
        for key in ["rules", "visit", "schema"] {
            map.remove(key);
        }
    }
    if let Some(tool) = json["tool"].as_object_mut() {
        tool.shift_remove("build");
    }
    let mut out = String::new();
    lines(&mut out, "", &json);
    out
}

/// One line for each list or map of plain values; sentences are the wording's.
fn lines(out: &mut String, path: &str, value: &Value) {
    let plain = |v: &Value| !v.is_object() && !v.is_array();
    let all: Vec<(String, &Value)> = match value {
        Value::Object(map) => map.iter().map(|(k, v)| (k.clone(), v)).collect(),
        Value::Array(list) => list
            .iter()
            .enumerate()
            .map(|(i, v)| (i.to_string(), v))
            .collect(),
        _ => return,
    };
    let own: Vec<String> = all
        .iter()
        .filter(|(k, v)| {
            plain(v) && !["text", "action", "source", "next_due_source"].contains(&k.as_str())
        })
        .filter(|(_, v)| !v.is_null())
        .map(|(k, v)| format!("{k} {v}"))
        .collect();
    if !own.is_empty() {
        writeln!(out, "{path}: {}", own.join(", ")).unwrap();
    }
    for (key, inner) in all.iter().filter(|(_, v)| !plain(v)) {
        lines(out, &format!("{path}/{key}"), inner);
    }
}

fn told(visit: &Visit, earlier: &[Earlier]) -> String {
    let rules = rules::built_in(&visit.rules).unwrap();
    let assessment = assess(visit, rules, earlier);
    let english = Wording::built_in("en").unwrap();
    let mut out = findings(&compose::json(&assessment, visit, rules, english));
    for circuit in &visit.circuits {
        if let Some(told) = explain_circuit(visit, rules, &circuit.id) {
            steps(&mut out, &told);
        }
        for (_, connection) in circuit.connections() {
            let told = explain(visit, rules, earlier, &circuit.id, &connection.id).unwrap();
            steps(&mut out, &told);
        }
    }
    out
}

fn before(visit: &Visit, read: impl Fn(&str) -> Visit) -> Vec<Earlier> {
    let rules = rules::built_in(&visit.rules).unwrap();
    let earlier = |path: &String| {
        let before = read(path);
        Earlier::new(&before, &assess(&before, rules, &[]))
    };
    visit.earlier.iter().map(earlier).collect()
}

#[test]
fn of_every_worked_visit() {
    let mut names: Vec<String> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".yaml"))
        .collect();
    names.sort();
    assert!(names.len() >= 29);
    for name in names {
        let visit = read(&name);
        let told = told(&visit, &before(&visit, read));
        insta::assert_snapshot!(name.trim_end_matches(".yaml"), told);
    }
}

/// What is around an example, on a day after all of them.
struct VisitFolder(Folder);

impl Surroundings for VisitFolder {
    fn today(&self) -> chrono::NaiveDate {
        chrono::NaiveDate::from_ymd_opt(2026, 11, 1).unwrap()
    }
    fn image(&self, path: &str) -> Result<ImageFacts, ImageError> {
        self.0.image(path)
    }
    fn prints(&self, c: char) -> bool {
        Around.prints(c)
    }
}

fn example(file: &Path) -> Visit {
    let text = fs::read_to_string(file).unwrap();
    let around = VisitFolder(Folder::new(file.parent().unwrap()).unwrap());
    visit::read(&text, "visit.yaml", &around).unwrap_or_else(|p| panic!("{p}"))
}

#[test]
fn of_every_example() {
    let mut count = 0;
    // Six chargers alike tell no more than one.
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples")).unwrap() {
        let folder = entry.unwrap().path();
        let file = folder.join("visit.yaml");
        if !file.exists() || folder.ends_with("landlord-six") {
            continue;
        }
        let visit = example(&file);
        let earlier = before(&visit, |path| example(&folder.join(path)));
        let name = folder.file_name().unwrap().to_str().unwrap();
        insta::assert_snapshot!(name, told(&visit, &earlier));
        count += 1;
    }
    assert!(count >= 5);
}
