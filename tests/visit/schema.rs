//! The schema beside the reader: what one takes the other takes, and no key of either is
//! unknown to the other.

use crate::good::{DESIGN, FULL};
use crate::world::{SMALL, read, sound};
use serde_json::Value;
use std::collections::BTreeSet;
use warmlug::visit::schema;

/// A file as an editor loads it.
fn load(text: &str) -> Option<Value> {
    let options =
        serde_saphyr::options! { strict_booleans: true, leading_zero_numbers_as_strings: true };
    serde_saphyr::from_str_with_options(text, options).ok()
}

fn validator() -> jsonschema::Validator {
    jsonschema::draft202012::new(&schema()).unwrap()
}

#[test]
fn the_schema_is_a_schema() {
    assert!(jsonschema::draft202012::meta::is_valid(&schema()));
}

#[test]
fn sound_files_are_valid() {
    let validator = validator();
    for text in [SMALL, DESIGN, FULL] {
        let file = load(text).unwrap();
        let errors: Vec<String> = validator
            .iter_errors(&file)
            .map(|e| format!("{}: {e}", e.instance_path()))
            .collect();
        assert!(errors.is_empty(), "{}", errors.join("\n"));
    }
}

/// Bad files that only the reader can tell: they need the source as written, or more than one
/// value at a time, or the world around the file.
const READER_ALONE: &[&str] = &[
    "charging-after-loaded-round",
    "colour-pale",
    "condition-of-other-place",
    "current-before-charging",
    "current-of-one-leg",
    "cut-short",
    "date-calibrated-after-visit",
    "date-due-before-calibrated",
    "date-in-future",
    "date-not-in-calendar",
    "heat-after-too-early",
    "heat-after-without-repairs",
    "id-circuit-twice",
    "id-connection-twice",
    "id-connection-twice-and-used",
    "instrument-emissivity-of-tester",
    "instrument-of-wrong-kind",
    "instrument-repeatability-of-tester",
    "instrument-unknown",
    "isolation-pair-again",
    "isolation-tester",
    "isolation-unknown-leg",
    "left-as-limited",
    "leg-unknown",
    "mark-in-two-circuits",
    "mark-of-unknown-connection",
    "name-of-circuit-twice",
    "photo-cut",
    "photo-heavy",
    "photo-huge",
    "photo-link",
    "photo-locked",
    "photo-missing",
    "photo-not-a-picture",
    "place-unknown",
    "problems-counted",
    "quantity-900-degrees",
    "quantity-900-degrees-repeats",
    "quantity-below-absolute-zero",
    "quantity-emissivity",
    "quantity-hot-air",
    "quantity-low-voltage",
    "quantity-negative-current",
    "quantity-no-such-gauge",
    "quantity-torque-too-large",
    "quantity-without-unit",
    "reading-of-unknown-connection",
    "reading-of-unlike-connection",
    "receptacle-of-hardwired-charger",
    "round-at-the-same-time",
    "round-before-in-a-zone",
    "round-out-of-order",
    "supply-legs-and-phases",
    "text-not-in-font",
    "time-that-never-was",
    "torque-found-zero",
    "torque-of-unknown-connection",
    "torque-twice",
    "yaml-merge-key",
    "yaml-tag",
    "zone-name",
];

#[test]
fn bad_files_are_invalid_where_one_value_can_tell() {
    let validator = validator();
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad");
    let mut passing = BTreeSet::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "yaml") {
            continue;
        }
        // What is not YAML, no schema sees.
        let Some(file) = load(&std::fs::read_to_string(&path).unwrap()) else {
            continue;
        };
        if validator.is_valid(&file) {
            passing.insert(path.file_stem().unwrap().to_str().unwrap().to_owned());
        }
    }
    let known: BTreeSet<String> = READER_ALONE.iter().map(|s| (*s).to_owned()).collect();
    assert_eq!(passing, known);
}

/// Every map in a value, by JSON pointer.
fn maps(value: &Value, path: &str, out: &mut Vec<(String, String)>) {
    match value {
        Value::Object(map) => {
            for (key, inner) in map {
                out.push((path.to_owned(), key.clone()));
                maps(
                    inner,
                    &format!("{path}/{}", key.replace('~', "~0").replace('/', "~1")),
                    out,
                );
            }
        }
        Value::Array(items) => {
            for (i, inner) in items.iter().enumerate() {
                maps(inner, &format!("{path}/{i}"), out);
            }
        }
        _ => {}
    }
}

#[test]
fn every_key_counts_and_both_miss_the_same() {
    // JSON is YAML: the loaded file can be read again after a change.
    let validator = validator();
    let full = load(FULL).unwrap();
    let whole = sound(&full.to_string());
    let mut entries = Vec::new();
    maps(&full, "", &mut entries);
    assert!(entries.len() > 150, "{}", entries.len());
    for (path, key) in entries {
        let mut less = full.clone();
        let map = less.pointer_mut(&path).unwrap().as_object_mut().unwrap();
        map.remove(&key);
        let empty = map.is_empty();
        let result = read(&less.to_string());
        // The format is about the file; a visit is the same with and without it.
        let counts = (path.as_str(), key.as_str()) != ("", "format");
        assert_eq!(
            result.as_ref().is_err() || *result.as_ref().unwrap() != whole,
            counts,
            "without {path}/{key} nothing changes"
        );
        if !validator.is_valid(&less) {
            assert!(result.is_err(), "only the schema misses {path}/{key}");
        } else if let Err(problems) = result {
            let missing = problems
                .shown
                .iter()
                .any(|p| p.message.contains("is missing from"));
            assert!(
                !missing && !empty,
                "only the reader misses {path}/{key}:\n{problems}"
            );
        }
        // A key that is not known is refused by both; which connections there are, only the
        // reader knows.
        let mut more = full.clone();
        more.pointer_mut(&path).unwrap()[format!("{key}x")] = "1".into();
        assert!(read(&more.to_string()).is_err(), "{path}/{key}x");
        let open = path.ends_with("/readings") || path.ends_with("/marks");
        // The id of an instrument may be one of the firm's, whose file the reader is not given.
        let open = open || path == "/instruments";
        assert!(open || !validator.is_valid(&more), "{path}/{key}x");
    }
}

/// Property names of an object schema and of all it refers to, as `definition/key`.
fn known_keys(schema: &Value) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    let mut add = |name: &str, object: &Value| {
        for key in object["properties"]
            .as_object()
            .into_iter()
            .flatten()
            .map(|(k, _)| k)
        {
            out.insert(format!("{name}/{key}"));
        }
    };
    add("file", schema);
    for (name, def) in schema["$defs"].as_object().unwrap() {
        add(name, def);
    }
    out
}

/// Collects the keys that a value uses.
fn used_keys(root: &Value, schema: &Value, name: &str, value: &Value, out: &mut BTreeSet<String>) {
    if let Some(reference) = schema["$ref"].as_str() {
        let name = reference.trim_start_matches("#/$defs/");
        return used_keys(root, &root["$defs"][name], name, value, out);
    }
    for option in schema["anyOf"].as_array().into_iter().flatten() {
        used_keys(root, option, name, value, out);
    }
    match value {
        Value::Object(map) => {
            for (key, inner) in map {
                if let Some(property) = schema["properties"].get(key) {
                    out.insert(format!("{name}/{key}"));
                    used_keys(root, property, name, inner, out);
                } else if schema["additionalProperties"].is_object() {
                    used_keys(root, &schema["additionalProperties"], name, inner, out);
                }
            }
        }
        Value::Array(items) => {
            for item in items {
                used_keys(root, &schema["items"], name, item, out);
            }
        }
        _ => {}
    }
}

#[test]
fn the_full_file_has_every_key() {
    let schema = schema();
    let mut used = BTreeSet::new();
    used_keys(&schema, &schema, "file", &load(FULL).unwrap(), &mut used);
    let unused: Vec<String> = known_keys(&schema).difference(&used).cloned().collect();
    assert!(unused.is_empty(), "{unused:?}");
}

#[test]
fn every_key_is_described() {
    fn check(value: &Value, path: &str) {
        for (key, property) in value["properties"].as_object().into_iter().flatten() {
            let about = property["description"].as_str().unwrap_or("");
            assert!(about.len() > 3, "{path}/{key} has no description");
        }
    }
    let schema = schema();
    check(&schema, "");
    for (name, def) in schema["$defs"].as_object().unwrap() {
        check(def, name);
    }
}
