//! Formats values for a visit file.

use crate::quantity::{
    Kind, Quantity, System, Temperature, TemperatureDifference, TimeOfDay, Unit,
};

/// Maximum length of a number that one would write by hand, in characters.
const SHORT: usize = 7;

/// The entries of a map, ready to be written.
#[derive(Default)]
pub(crate) struct Flow(pub Vec<(String, Written)>);

/// A value and its layout.
pub(crate) enum Written {
    /// Written unchanged after its key.
    Inline(String),
    /// A text that may have several lines.
    Lines(String),
    /// The items of a list, each on a line of its own.
    Items(Vec<String>),
}

impl Flow {
    pub(crate) fn put(&mut self, key: &str, value: impl Into<String>) {
        self.add(key, Written::Inline(value.into()));
    }

    pub(crate) fn maybe(&mut self, key: &str, value: Option<String>) {
        if let Some(value) = value {
            self.put(key, value);
        }
    }

    pub(crate) fn add(&mut self, key: &str, value: Written) {
        self.0.push((key.to_owned(), value));
    }

    /// The map on one line: `{ a: 1, b: 2 }`.
    pub(crate) fn text(self) -> String {
        let entries: Vec<String> = self
            .0
            .into_iter()
            .map(|(key, value)| format!("{key}: {}", value.text()))
            .collect();
        format!("{{ {} }}", entries.join(", "))
    }
}

impl Written {
    /// The value on one line.
    pub(crate) fn text(self) -> String {
        match self {
            Written::Inline(value) => value,
            Written::Lines(value) => text(&value),
            Written::Items(items) => flow_list(items.into_iter()),
        }
    }
}

/// The units used in a file.
#[derive(Clone, Copy)]
pub(crate) struct Style {
    /// The unit of the visit's print settings.
    pub system: System,
}

impl Style {
    /// A quantity in the visit's units, or in another unit that expresses it in fewer digits.
    pub(crate) fn q<Q: Quantity>(&self, value: Q) -> String {
        let own = match (Q::KIND, self.system) {
            (Kind::Length, System::Us) if value.si() < 3.0 * Unit::FOOT_M => Unit::Inch,
            (Kind::Length, System::Si) if value.si() < 1.0 => Unit::Millimetre,
            (Kind::TemperatureDifference, System::Si) => Unit::Celsius,
            (Kind::Voltage, _) if value.si() < 0.1 && value.si() > 0.0 => Unit::Millivolt,
            (kind, system) => system.unit(kind),
        };
        let number = |s: &String| s.split(' ').next().map_or(0, str::len);
        let own = value.exact(own);
        if number(&own) <= SHORT {
            return own;
        }
        Q::KIND
            .units()
            .iter()
            .map(|unit| value.exact(*unit))
            .chain((Q::KIND == Kind::Length).then(|| value.exact(Unit::Millimetre)))
            .filter(|s| number(s) < number(&own))
            .min_by_key(number)
            .unwrap_or(own)
    }

    /// A temperature difference in whichever degrees are shorter: manufacturers state 2 °C or 3 °F.
    pub(crate) fn difference(&self, value: TemperatureDifference) -> String {
        let own = self.q(value);
        let celsius = value.exact(Unit::Celsius);
        if celsius.len() < own.len() {
            celsius
        } else {
            own
        }
    }

    /// A temperature rating, always in degrees Celsius, as marked on devices and wire on both sides
    /// of the Atlantic.
    pub(crate) fn rating(&self, value: Temperature) -> String {
        let celsius = value.exact(Unit::Celsius);
        if celsius.len() <= SHORT + 4 {
            celsius
        } else {
            self.q(value)
        }
    }

    pub(crate) fn maybe_q<Q: Quantity>(&self, value: Option<Q>) -> Option<String> {
        value.map(|v| self.q(v))
    }
}

pub(crate) fn yes(flag: bool) -> String {
    if flag { "yes" } else { "no" }.to_owned()
}

pub(crate) fn time(time: TimeOfDay) -> String {
    quoted(&time.to_string())
}

/// A single value as itself, several as a list.
pub(crate) fn list(values: impl Iterator<Item = String>) -> String {
    let values: Vec<String> = values.collect();
    match values.as_slice() {
        [one] => one.clone(),
        _ => flow_list(values.into_iter()),
    }
}

pub(crate) fn flow_list(values: impl Iterator<Item = String>) -> String {
    let values: Vec<String> = values.collect();
    format!("[{}]", values.join(", "))
}

/// A text as a YAML value, quoted unless it is certain to be read unchanged without quotes.
pub(crate) fn text(value: &str) -> String {
    let plain = value.starts_with(char::is_alphanumeric)
        && !value.ends_with(' ')
        && value
            .chars()
            .all(|c| c.is_alphanumeric() || " -_./()+°·²µ'".contains(c))
        && !matches!(value, "null" | "Null" | "NULL");
    if plain {
        value.to_owned()
    } else {
        quoted(value)
    }
}

/// A text in double quotes.
pub(crate) fn quoted(value: &str) -> String {
    let mut out = String::with_capacity(value.len() + 2);
    out.push('"');
    for c in value.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
