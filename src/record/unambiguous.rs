//! JSON in which no object has a key twice. Of such a key some programs take the first value and others
//! the last, so that they would read different records.

use crate::seal::plain::quoted;
use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::Value;
use std::collections::HashSet;
use std::fmt;

/// Reads JSON.
///
/// # Errors
/// It is no JSON, or an object has a key twice.
pub(super) fn read(text: &str) -> Result<Value, serde_json::Error> {
    serde_json::from_str::<Unambiguous>(text)?;
    serde_json::from_str(text)
}

/// A value of which nothing but its keys was looked at.
struct Unambiguous;

impl<'de> Deserialize<'de> for Unambiguous {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Keys)
    }
}

struct Keys;

impl<'de> Visitor<'de> for Keys {
    type Value = Unambiguous;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_unit<E>(self) -> Result<Unambiguous, E> {
        Ok(Unambiguous)
    }

    fn visit_bool<E>(self, _: bool) -> Result<Unambiguous, E> {
        Ok(Unambiguous)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Unambiguous, E> {
        Ok(Unambiguous)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Unambiguous, E> {
        Ok(Unambiguous)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Unambiguous, E> {
        Ok(Unambiguous)
    }

    fn visit_str<E>(self, _: &str) -> Result<Unambiguous, E> {
        Ok(Unambiguous)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Unambiguous, A::Error> {
        while list.next_element::<Unambiguous>()?.is_some() {}
        Ok(Unambiguous)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Unambiguous, A::Error> {
        let mut seen = HashSet::new();
        while let Some((key, Unambiguous)) = map.next_entry::<String, Unambiguous>()? {
            if let Some(twice) = seen.replace(key) {
                let said = format!("the key {} is there twice", quoted(&twice));
                return Err(A::Error::custom(said));
            }
        }
        Ok(Unambiguous)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::read;
    use serde_json::json;

    #[test]
    fn a_key_that_is_there_twice_is_refused_at_any_depth() {
        for text in [
            r#"{"outcome": "satisfactory", "outcome": "unsatisfactory"}"#,
            r#"{"circuits": [{"id": "a"}, {"outcome": 1, "deep": {}, "outcome": 1}]}"#,
            r#"{"outcome": 1, "\u006futcome": 2}"#,
        ] {
            let why = read(text).unwrap_err().to_string();
            assert!(why.starts_with("the key “outcome” is there twice"), "{why}");
        }
        let text = r#"{"a": [null, true, -1, 18446744073709551615, 1.5, "é\n"], "b": {"a": {}}}"#;
        let value = json!({"a": [null, true, -1, 18_446_744_073_709_551_615_u64, 1.5, "é\n"], "b": {"a": {}}});
        assert_eq!(read(text).unwrap(), value);
        assert!(read("{").is_err());
    }
}
