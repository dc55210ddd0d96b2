//! The JSON Schema of the visit file, generated from the tables that the reader uses, for editors
//! with completion and checking.
//!
//! It is checked against YAML as editors load it: an unquoted value may arrive as a number or a
//! boolean. Checks that need more than one value (references, the order of rounds, images, bare
//! numbers without a unit in `units:`) are made only by the reader.

use super::key_table::{Form, Key, Table};
use super::keys::FILE;
use super::limits;
use crate::quantity::{Kind, Unit};
use serde_json::{Map, Value, json};

/// The pattern of an id.
const ID: &str = r"^[\p{L}\p{N}][\p{L}\p{N}._-]*$";

/// The schema, draft 2020-12.
pub fn schema() -> Value {
    schema_of(
        &FILE,
        "Visit to an EV-charger circuit",
        "One inspection visit, from which findings and a certificate are made",
    )
}

/// The schema of a file with the keys of this table.
pub(crate) fn schema_of(file: &'static Table, title: &str, about: &str) -> Value {
    let mut defs = Map::new();
    let mut root = table(file, &mut defs);
    let mut out = Map::new();
    out.insert(
        "$schema".into(),
        json!("https://json-schema.org/draft/2020-12/schema"),
    );
    out.insert("title".into(), json!(title));
    out.insert("description".into(), json!(about));
    if let Some(map) = root.as_object_mut() {
        out.append(map);
    }
    out.insert("$defs".into(), Value::Object(defs));
    Value::Object(out)
}

/// A map with known keys.
fn table(table: &'static Table, defs: &mut Map<String, Value>) -> Value {
    let properties: Map<String, Value> = table
        .keys
        .iter()
        .map(|key| (key.name.to_owned(), described(key, defs)))
        .collect();
    let required: Vec<&str> = table
        .keys
        .iter()
        .filter(|k| k.required)
        .map(|k| k.name)
        .collect();
    let mut out = json!({
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty() {
        out["required"] = json!(required);
    } else {
        out["minProperties"] = json!(1);
    }
    out
}

/// The schema of a key with its description and, for a single value, an example.
fn described(key: &'static Key, defs: &mut Map<String, Value>) -> Value {
    let mut out = Map::new();
    out.insert("description".into(), json!(key.about));
    if !key.example.starts_with(['{', '[']) {
        out.insert("examples".into(), json!([key.example.trim_matches('"')]));
    }
    if let Value::Object(mut map) = form(&key.form, defs) {
        out.append(&mut map);
    }
    Value::Object(out)
}

/// A reference to a definition, which is created on first use.
fn def(
    name: &str,
    defs: &mut Map<String, Value>,
    make: impl FnOnce(&mut Map<String, Value>) -> Value,
) -> Value {
    if !defs.contains_key(name) {
        // Reserved first, so that definitions are in order of first use.
        defs.insert(name.to_owned(), Value::Null);
        let value = make(defs);
        defs.insert(name.to_owned(), value);
    }
    json!({ "$ref": format!("#/$defs/{name}") })
}

fn form(form: &'static Form, defs: &mut Map<String, Value>) -> Value {
    // Unquoted text may be loaded as a number or a boolean. No control characters and no characters
    // that hide or reorder text; line breaks only if several lines are allowed.
    let text = |most: usize, lines: bool| {
        let control = if lines {
            r"\u0000-\u0009\u000b-\u001f"
        } else {
            r"\u0000-\u001f"
        };
        json!({
            "type": ["string", "number", "boolean"],
            "pattern": format!(r"^[^{control}\u007f-\u009f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]+$"),
            "maxLength": most,
        })
    };
    let pattern = |p: &str| json!({ "type": "string", "pattern": p });
    match form {
        Form::Line(most) => text(*most, false),
        Form::Text(most) => text(*most, true),
        Form::Id | Form::Reference => def("id", defs, |_| {
            json!({
                "type": ["string", "integer"],
                "pattern": ID,
                "maxLength": limits::ID,
            })
        }),
        Form::Image => def("image", defs, |_| {
            json!({
                "type": "string",
                "pattern": r"^(?!.*(^|/)\.{0,2}(/|$))[^/~\\:][^\\:]*$",
                "maxLength": limits::PATH,
            })
        }),
        Form::Path => json!({ "type": "string", "minLength": 1, "maxLength": limits::PATH }),
        Form::Date => def(
            "date",
            defs,
            |_| json!({ "type": "string", "pattern": r"^2\d{3}-\d{2}-\d{2}$", "format": "date" }),
        ),
        Form::Time => def("time", defs, |_| {
            pattern(
                r"^([01]?\d|2[0-3]):[0-5]?\d(:[0-5]?\d)?$|^(0?[1-9]|1[0-2]):[0-5]?\d(:[0-5]?\d)? *[aApP](\.?[mM]\.?)$",
            )
        }),
        Form::Zone => {
            pattern(r"^(Z|[-−+]\d{2}:[0-5]\d|[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+)*)$")
        }
        Form::Colour => json!({ "type": ["string", "integer"], "pattern": "^#?[0-9a-fA-F]{6}$" }),
        Form::Sha256 => pattern("^[0-9a-fA-F]{64}$"),
        Form::Language => json!({ "enum": super::words::LANGUAGES }),
        Form::Quantity(kind) => quantity(*kind, defs),
        Form::UnitOf(kind) => pattern(&format!("^{}$", alternatives(Unit::all_of(*kind)))),
        Form::Word(words) => {
            let words = words();
            if words == ["true", "yes", "false", "no"] {
                def(
                    "yes-or-no",
                    defs,
                    |_| json!({ "enum": ["yes", "no", "true", "false", true, false] }),
                )
            } else {
                json!({ "enum": words })
            }
        }
        Form::Phases => json!({ "enum": [1, 3] }),
        Form::Whole(least, most) => {
            json!({ "type": "integer", "minimum": least, "maximum": most })
        }
        Form::Price => json!({ "anyOf": [
            { "type": "number", "minimum": 0 },
            pattern(r"^\d+(\.\d{1,2})?$"),
        ] }),
        Form::Share => json!({ "type": "number", "minimum": 0, "maximum": 1 }),
        Form::Band => json!({ "anyOf": [
            pattern(r"^\d+(\.\d+)?\s*[-–−]\s*\d+(\.\d+)?\s*(µm|μm|um)$"),
            { "type": "array", "items": quantity(Kind::Length, defs), "minItems": 2, "maxItems": 2 },
        ] }),
        Form::Map(inner) => def(
            &inner
                .what
                .replace("the ", "")
                .replace("an ", "")
                .replace("a ", "")
                .replace(' ', "-"),
            defs,
            |defs| table(inner, defs),
        ),
        Form::Named(inner) => json!({
            "type": "object",
            "propertyNames": { "pattern": ID, "maxLength": limits::ID },
            "additionalProperties": self::form(inner, defs),
            "minProperties": 1,
        }),
        Form::Legs(inner) => json!({
            "type": "object",
            "propertyNames": { "pattern": "^(L[123]|N)$" },
            "additionalProperties": self::form(inner, defs),
            "minProperties": 1,
        }),
        Form::Pairs(inner) => json!({
            "type": "object",
            "propertyNames": { "pattern": "^(L[123]|N|G|PE)-(L[123]|N|G|PE)$" },
            "additionalProperties": self::form(inner, defs),
            "minProperties": 1,
        }),
        Form::List(inner, most) => json!({
            "type": "array",
            "items": self::form(inner, defs),
            "minItems": 1,
            "maxItems": most,
        }),
        Form::Pair(inner) => json!({
            "type": "array",
            "items": self::form(inner, defs),
            "minItems": 2,
            "maxItems": 2,
        }),
        Form::Either(forms) => {
            let any: Vec<Value> = forms.iter().map(|f| self::form(f, defs)).collect();
            json!({ "anyOf": any })
        }
    }
}

/// A quantity with its unit; a bare number if the `units:` map can define its unit.
fn quantity(kind: Kind, defs: &mut Map<String, Value>) -> Value {
    let name = kind.words().trim_start_matches("a ").replace(' ', "-");
    def(&name, defs, |_| {
        let text = json!({
            "type": "string",
            "pattern": format!("^{}$", expression(kind)),
            "description": format!("{}, such as {}", capital(kind.words()), kind.examples()),
        });
        match kind {
            Kind::Ratio => json!({ "anyOf": [{ "type": "number" }, text] }),
            _ if kind.key().is_some() => json!({ "anyOf": [
                { "type": "number", "description": "Only with its unit named under `units`" },
                text,
            ] }),
            _ => text,
        }
    })
}

/// The regular expression for the text forms of a kind.
fn expression(kind: Kind) -> String {
    const NUMBER: &str = r"[-−–+]?\s*(\d+\.?\d*|\.\d+)";
    let units =
        |filter: &dyn Fn(Unit) -> bool| alternatives(Unit::all_of(kind).filter(|u| filter(*u)));
    match kind {
        Kind::Ratio => format!(r"{NUMBER}\s*(:\s*1)?"),
        Kind::ConductorSize => {
            let gauge = r"(\d+/0|\d+)";
            let name = r"(#|[nN][oO]\.?|[aA][wW][gG]\s*(#|[nN][oO]\.?)?)";
            format!(
                r"({name}\s*{gauge}\s*({awg})?|\d+/0\s*({awg})?|\d+(\.\d+)?\s*({all})?)",
                awg = units(&|u| u == Unit::Awg),
                all = units(&|_| true),
            )
        }
        Kind::Length => {
            let (foot, inch) = (units(&|u| u == Unit::Foot), units(&|u| u == Unit::Inch));
            let fraction = r"(\d+/\d+|\d+[ -]\d+/\d+)";
            let number = format!(r"[-−–+]?\s*({fraction}|\d+\.?\d*|\.\d+)");
            format!(
                r"({number}\s*({all})?|{number}\s*{foot}\s*{number}\s*{inch})",
                all = units(&|_| true)
            )
        }
        Kind::Duration => {
            let (h, m, s) = (
                units(&|u| u == Unit::Hour),
                units(&|u| u == Unit::Minute),
                units(&|u| matches!(u, Unit::Second | Unit::Millisecond)),
            );
            format!(r"({NUMBER}\s*{h}\s*)?({NUMBER}\s*{m}\s*)?({NUMBER}\s*{s})?")
        }
        _ if kind.key().is_some() => format!(r"{NUMBER}\s*({})?", units(&|_| true)),
        _ => format!(r"{NUMBER}\s*{}", units(&|_| true)),
    }
}

/// Units as a regular expression: letters in either case with dots, hyphens and spaces between
/// them. The `m` of milli must be lower case, since `M` is mega.
fn alternatives(units: impl Iterator<Item = Unit>) -> String {
    const BETWEEN: &str = r"[\s·⋅∙•×*.‐‑–_^-]*";
    let mut out: Vec<String> = Vec::new();
    for unit in units {
        let milli = matches!(unit, Unit::Milliampere | Unit::Millivolt);
        for spelling in unit.spellings() {
            let mut text = String::from(BETWEEN);
            for (i, c) in spelling.chars().enumerate() {
                match c {
                    '°' => text.push_str("[°º˚]"),
                    '2' => text.push_str("[2²]"),
                    // The Greek capital and the sign of its own.
                    'ω' => text.push_str("[ωΩ\u{2126}]"),
                    c if c.is_ascii_alphabetic() && !(milli && i == 0) => {
                        text.push('[');
                        text.push(c);
                        text.push(c.to_ascii_uppercase());
                        text.push(']');
                    }
                    c => text.push(c),
                }
                text.push_str(BETWEEN);
            }
            if !out.contains(&text) {
                out.push(text);
            }
        }
    }
    format!("({})", out.join("|"))
}

/// A text with its first letter in upper case.
fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
