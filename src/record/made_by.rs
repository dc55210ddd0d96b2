//! Which version of the program wrote a record, and how much of it this version can compare.
//!
//! A record says itself which format it has (`format` at the top of `assessment.json`, at that
//! place in every format) and which build wrote it (`build` under `tool`). The seal shows that this
//! was not changed; as for the whole record, the holder of the key is responsible for its truth. A
//! claim of another build therefore never makes a certificate a forgery, and never counts as proof
//! either: the facts on which all builds must agree are compared anyway, and the rest is reported
//! as not compared.

use crate::compose::BUILD;
use crate::seal::plain::shown;
use crate::visit::FORMAT;
use serde::Serialize;
use serde_json::Value;

/// The version that wrote a record, as the record says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum MadeBy {
    /// This build: everything can be computed again and compared.
    ThisVersion,
    /// Another build, with a record that this version reads: rules, words and pages may differ.
    OtherVersion {
        /// Version of the program, where the record names it.
        version: Option<String>,
        /// Its build, where the record names it; the first format did not.
        build: Option<String>,
        /// Format of the record.
        format: u64,
    },
    /// A version with a format that this one does not know.
    NewerFormat {
        /// Version of the program, where the record names it.
        version: Option<String>,
        /// Format of the record, as it is written there.
        format: String,
    },
}

/// Maximum number of characters of a version or build that are quoted, because they may be a
/// stranger's words.
const MOST: usize = 40;

impl MadeBy {
    /// Reads the version from a record's assessment. A record without a format has the first one,
    /// 0.
    pub fn of(assessment: &Value) -> Self {
        let plain = |text: &str| shown(&text.chars().take(MOST).collect::<String>());
        let text = |key: &str| Some(plain(assessment.pointer(key)?.as_str()?));
        let version = text("/tool/version");
        let build = text("/tool/build");
        let known = u64::from(FORMAT);
        let format = match assessment.get("format") {
            None => 0,
            Some(format) => match format.as_u64().filter(|format| *format <= known) {
                Some(format) => format,
                None => {
                    let format = plain(&format.to_string());
                    return Self::NewerFormat { version, format };
                }
            },
        };
        if format == known && build.as_deref() == Some(BUILD) {
            Self::ThisVersion
        } else {
            Self::OtherVersion {
                version,
                build,
                format,
            }
        }
    }

    /// Which version it was, in a few words.
    pub fn words(&self) -> String {
        let named = |version: &Option<String>, more: String| match version {
            Some(version) => format!("{version}, {more}"),
            None => more,
        };
        match self {
            Self::ThisVersion => "this version of warmlug".to_owned(),
            Self::OtherVersion { version, build, .. } => {
                let build = match build {
                    Some(build) => format!("build {build}"),
                    None => "from before builds were recorded".to_owned(),
                };
                format!("another version of warmlug ({})", named(version, build))
            }
            Self::NewerFormat { version, format } => {
                let format = format!("record format {format}");
                format!("a newer version of warmlug ({})", named(version, format))
            }
        }
    }
}

/// This version, in the same form.
pub fn this_version() -> String {
    format!("{}, build {BUILD}", env!("CARGO_PKG_VERSION"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_record_says_which_version_made_it() {
        let own = json!({"format": FORMAT, "tool": {"version": "0.1.0", "build": BUILD}});
        assert_eq!(MadeBy::of(&own), MadeBy::ThisVersion);
        let words = |value: Value| MadeBy::of(&value).words();
        assert_eq!(
            words(json!({"tool": {"name": "warmlug", "version": "0.1.0"}})),
            "another version of warmlug (0.1.0, from before builds were recorded)"
        );
        assert_eq!(
            words(json!({"format": FORMAT, "tool": {"version": "0.2.0", "build": "abc"}})),
            "another version of warmlug (0.2.0, build abc)"
        );
        assert_eq!(
            words(json!({"format": FORMAT + 1, "tool": {"version": "3.0.0", "build": BUILD}})),
            format!(
                "a newer version of warmlug (3.0.0, record format {})",
                FORMAT + 1
            )
        );
    }

    /// The build alone is not enough: this build never wrote an earlier format.
    #[test]
    fn a_build_without_its_format_is_another_version() {
        for value in [
            json!({"tool": {"version": "0.1.0", "build": BUILD}}),
            json!({"format": 0, "tool": {"build": BUILD}}),
        ] {
            assert!(matches!(MadeBy::of(&value), MadeBy::OtherVersion { .. }));
        }
    }

    #[test]
    fn what_a_stranger_wrote_is_repeated_in_part_and_without_control_characters() {
        let value = json!({"tool": {"version": format!("\u{1b}[2J{}", "9".repeat(500))}});
        let words = MadeBy::of(&value).words();
        assert!(
            words.chars().all(|c| !c.is_control()) && words.len() < 150,
            "{words}"
        );
        for format in [json!("1"), json!(-1), json!(1.5), json!(null)] {
            let made = MadeBy::of(&json!({ "format": format }));
            assert!(matches!(made, MadeBy::NewerFormat { .. }), "{made:?}");
        }
    }
}
