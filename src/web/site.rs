//! The files of the browser application, for any web host.

use crate::compose::BUILD;
use sha2::{Digest, Sha256};

/// The published files, except those that are derived.
const FILES: [(&str, &[u8]); 25] = [
    ("aim.js", include_bytes!("../../templates/web/aim.js")),
    ("app.js", include_bytes!("../../templates/web/app.js")),
    ("check.js", include_bytes!("../../templates/web/check.js")),
    ("device.js", include_bytes!("../../templates/web/device.js")),
    ("dial.js", include_bytes!("../../templates/web/dial.js")),
    ("dom.js", include_bytes!("../../templates/web/dom.js")),
    ("engine.js", include_bytes!("../../templates/web/engine.js")),
    (
        "engine.wasm",
        include_bytes!("../../templates/page/engine.wasm"),
    ),
    ("exif.js", include_bytes!("../../templates/web/exif.js")),
    ("firm.js", include_bytes!("../../templates/web/firm.js")),
    ("icon.svg", include_bytes!("../../templates/web/icon.svg")),
    (
        "index.html",
        include_bytes!("../../templates/web/index.html"),
    ),
    (
        "inspect.js",
        include_bytes!("../../templates/web/inspect.js"),
    ),
    ("keep.js", include_bytes!("../../templates/web/keep.js")),
    ("keys.js", include_bytes!("../../templates/web/keys.js")),
    ("link.js", include_bytes!("../../templates/web/link.js")),
    ("owner.js", include_bytes!("../../templates/web/owner.js")),
    ("photos.js", include_bytes!("../../templates/web/photos.js")),
    ("store.js", include_bytes!("../../templates/web/store.js")),
    ("style.css", include_bytes!("../../templates/web/style.css")),
    ("unlock.js", include_bytes!("../../templates/web/unlock.js")),
    (
        "verdict.js",
        include_bytes!("../../templates/web/verdict.js"),
    ),
    ("visit.js", include_bytes!("../../templates/web/visit.js")),
    ("words.js", include_bytes!("../../templates/web/words.js")),
    ("zip.js", include_bytes!("../../templates/web/zip.js")),
];
/// Classic scripts, because not every browser supports modules as workers.
const WORKERS: [(&str, &[u8]); 2] = [
    ("shrink.js", include_bytes!("../../templates/web/shrink.js")),
    ("worker.js", include_bytes!("../../templates/web/worker.js")),
];
const MANIFEST: (&str, &[u8]) = (
    "manifest.webmanifest",
    include_bytes!("../../templates/web/manifest.webmanifest"),
);
/// The script that makes the application work offline; it lists the other files.
const OFFLINE: &str = include_str!("../../templates/web/sw.js");

/// The browser application.
#[derive(Debug)]
pub struct Site {
    /// Names and contents.
    pub files: Vec<(&'static str, Vec<u8>)>,
    /// SHA-256 over the names, lengths and contents of all files but `sw.js` and `version.txt`, which
    /// contain it: 64 lower-case hexadecimal digits.
    pub digest: String,
}

impl Site {
    /// All files.
    pub fn new() -> Self {
        let mut files: Vec<(&'static str, Vec<u8>)> = FILES
            .into_iter()
            .chain(WORKERS)
            .chain([MANIFEST])
            .map(|(name, bytes)| (name, bytes.to_vec()))
            .collect();
        let mut hash = Sha256::new();
        for (name, bytes) in &files {
            hash.update(format!("{name}\0{}\0", bytes.len()));
            hash.update(bytes);
        }
        let digest = base16ct::lower::encode_string(&hash.finalize());
        let version = format!(
            "warmlug {} (build {BUILD}), SHA-256 of this page {digest}\n",
            env!("CARGO_PKG_VERSION")
        );
        files.push(("version.txt", version.into_bytes()));
        let mut names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
        names.push("./");
        let offline = OFFLINE
            .replace("{digest}", &digest)
            .replace("{files}", &serde_json::json!(names).to_string());
        files.push(("sw.js", offline.into_bytes()));
        Self { files, digest }
    }
}

impl Default for Site {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn what_works_offline_is_every_file_and_every_import() {
        let site = Site::new();
        let names: Vec<&str> = site.files.iter().map(|(name, _)| *name).collect();
        let text = |name: &str| {
            let (_, bytes) = site.files.iter().find(|(n, _)| *n == name).unwrap();
            String::from_utf8(bytes.clone()).unwrap()
        };
        let offline = text("sw.js");
        for name in names.iter().filter(|name| **name != "sw.js") {
            assert!(offline.contains(&format!("\"{name}\"")), "{name}");
        }
        for script in names.iter().filter(|name| name.ends_with(".js")) {
            for (_, after) in text(script).match_indices(" from \"./").map(|(at, m)| {
                let text = text(script);
                (at, text[at + m.len()..].to_owned())
            }) {
                let imported = after.split('"').next().unwrap();
                assert!(names.contains(&imported), "{script} imports {imported}");
            }
        }
        // Every file in templates/web is published.
        for entry in std::fs::read_dir("templates/web").unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            assert!(names.contains(&name.as_str()), "{name}");
        }
    }

    #[test]
    fn no_page_of_it_asks_another_host() {
        for (name, bytes) in Site::new().files {
            let Ok(text) = String::from_utf8(bytes) else {
                continue;
            };
            for (at, _) in text.match_indices("://") {
                let from = &text[at.saturating_sub(5)..(at + 20).min(text.len())];
                assert!(from.contains("://www.w3.org/"), "{name}: {from}");
            }
        }
    }

    /// The keys of a language's words.
    fn keys(words: &str, language: &str) -> Vec<String> {
        let start = words.find(&format!("\n  {language}: {{")).unwrap();
        let block = words[start..].split("\n  },").next().unwrap();
        let lines = block.lines().filter_map(|line| line.strip_prefix("    \""));
        lines
            .map(|line| line.split('"').next().unwrap().to_owned())
            .collect()
    }

    /// The page and the certificate say the same of an inspection that was not complete.
    #[test]
    fn an_incomplete_inspection_is_answered_as_on_the_certificate() {
        let words = include_str!("../../templates/web/words.js");
        for language in ["en", "de", "fr", "es"] {
            let wording = std::fs::read_to_string(format!("templates/wording/{language}.yaml"));
            let said = wording.unwrap();
            let mut said = said
                .lines()
                .filter_map(|l| l.strip_prefix("  as-usual-incomplete: "));
            let said = said.next().unwrap();
            let start = words.find(&format!("\n  {language}: {{")).unwrap();
            let line = format!("\n    \"charging.not-fully-checked\": \"{said}\",\n");
            let block = words[start..].split("\n  },").next().unwrap();
            assert!(block.contains(&line), "{language}: {line}");
        }
    }

    #[test]
    fn every_language_says_everything_that_is_asked_for() {
        let words = include_str!("../../templates/web/words.js");
        let english = keys(words, "en");
        assert!(english.len() > 100);
        for language in ["de", "fr", "es"] {
            assert_eq!(keys(words, language), english, "{language}");
        }
        for (name, bytes) in Site::new().files {
            if !name.ends_with(".js") || name == "words.js" {
                continue;
            }
            let text = String::from_utf8(bytes).unwrap();
            for (at, call) in text
                .match_indices(" t(\"")
                .chain(text.match_indices("(t(\""))
            {
                let key = text[at + call.len()..].split('"').next().unwrap();
                assert!(english.iter().any(|k| k == key), "{name}: {key}");
            }
        }
        // Keys that are composed from parts.
        for key in [
            "check.good",
            "check.open",
            "check.bad",
            "charging.as-usual",
            "charging.limited",
            "charging.not-at-all",
            "charging.not-fully-checked",
            "outcome.incomplete",
            "outcome.satisfactory",
            "outcome.satisfactory-with-notes",
            "outcome.unsatisfactory",
            "box.unreadable",
            "box.impossible",
            "box.doubtful",
            "box.empty",
        ] {
            assert!(english.iter().any(|k| k == key), "{key}");
        }
    }

    /// Words for every error that the engine names, and for every choice that certificates have no words
    /// for.
    #[test]
    fn every_language_has_words_for_what_the_engine_names() {
        use crate::compose::Wording;
        use crate::next::needed_keys;
        use crate::vocabulary::{MissingKey, Word};
        let english = keys(include_str!("../../templates/web/words.js"), "en");
        let mut named: Vec<String> = include_str!("error.rs")
            .split("(\"")
            .filter_map(|after| after.split_once("\", json!"))
            .map(|(id, _)| format!("error.{id}"))
            .collect();
        // Over several lines.
        named.extend(
            include_str!("error.rs")
                .lines()
                .filter_map(|line| line.trim().strip_prefix('"')?.strip_suffix("\","))
                .map(|id| format!("error.{id}")),
        );
        assert!(named.len() > 15, "{named:?}");
        for (_, key) in <MissingKey as Word>::TABLE {
            for word in needed_keys::choices(*key) {
                if Wording::built_in("en")
                    .unwrap()
                    .choice(*key, word)
                    .is_none()
                {
                    named.push(format!("choice.{word}"));
                }
            }
        }
        for key in named {
            assert!(english.contains(&key), "{key}");
        }
    }
}
