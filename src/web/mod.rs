//! The browser application's side of the program: one request in, one answer out, both in memory. The
//! same stages as every other command, compiled to WebAssembly.
//!
//! A request names what to `do`; without that it is one of [`page_engine`]. See [`message`] for how
//! files travel.

pub mod error;
#[cfg(not(target_family = "wasm"))]
pub mod host;
mod identities;
mod making;
pub mod message;
mod reading;
mod sheet;
#[cfg(not(target_family = "wasm"))]
pub mod site;
mod starting;
mod verifying;

use crate::compose::BUILD;
use crate::next::page_engine;
use error::WebError;
use message::Message;
use serde::Deserialize;
use serde_json::json;

/// What a request asks for.
#[derive(Debug, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
enum Request {
    /// The version of the engine.
    Version,
    /// Makes a certificate.
    Certify(making::Certify),
    /// Examines a certificate.
    Verify(verifying::Verify),
    /// Creates a signing identity.
    NewIdentity(identities::Create),
    /// Opens a signing identity.
    OpenIdentity(identities::Open),
    /// The usual facts of a circuit.
    Usual(starting::Usual),
    /// Begins a visit by questions.
    Begin(starting::Begin),
    /// Begins the visit after an earlier one.
    Next(starting::Next),
    /// The sheet to fill in.
    Sheet(sheet::Sheet),
}

/// Answers a request: what was asked for, or `problems` (as text).
pub fn answer(request: &[u8]) -> Vec<u8> {
    let answer = answered(request)
        .unwrap_or_else(|why| Message::without_files(json!({ "problems": why.to_string() })));
    answer.bytes()
}

fn answered(request: &[u8]) -> Result<Message, WebError> {
    let mut request = Message::read(request)?;
    let what = request.head.get("do");
    if what.is_none_or(|what| what == "judge") {
        if let Some(head) = request.head.as_object_mut() {
            head.remove("do");
        }
        return Ok(Message::without_files(page_engine::answer(request.head)));
    }
    let asked = serde_json::from_value(request.head).map_err(WebError::Request)?;
    match asked {
        Request::Version => Ok(Message::without_files(
            json!({ "version": env!("CARGO_PKG_VERSION"), "build": BUILD }),
        )),
        Request::Certify(certify) => certify.answer(request.files),
        Request::Verify(verify) => verify.answer(request.files),
        Request::NewIdentity(create) => create.answer(),
        Request::OpenIdentity(open) => open.answer(request.files),
        Request::Usual(usual) => usual.answer(),
        Request::Begin(begin) => begin.answer(),
        Request::Next(next) => next.answer(request.files),
        Request::Sheet(sheet) => sheet.answer(request.files),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::seal::{VerifyOptions, verify};
    use serde_json::Value;

    const NOW: &str = "2026-11-02T18:00:00+00:00";

    fn ask(head: Value, files: &[(&str, &[u8])]) -> Message {
        let files = files.iter();
        let message = Message {
            head,
            files: files.map(|(n, b)| ((*n).to_owned(), b.to_vec())).collect(),
        };
        Message::read(&answer(&message.bytes())).unwrap()
    }

    fn key() -> Vec<u8> {
        let head = json!({ "do": "new-identity", "name": "Ida Bergqvist", "firm": null,
            "licence": "E-1", "passphrase": "eight or more", "now": "2026-01-01T00:00:00+00:00" });
        let mut made = ask(head, &[]);
        assert_eq!(made.head["name"], "Ida Bergqvist", "{:?}", made.head);
        made.files.remove(0).1
    }

    fn visit(name: &str) -> String {
        std::fs::read_to_string(format!("examples/{name}/visit.yaml")).unwrap()
    }

    fn photo(name: &str, file: &str) -> Vec<u8> {
        std::fs::read(format!("examples/{name}/photos/{file}")).unwrap()
    }

    /// The certificate of the example with two photos.
    fn certified() -> Message {
        let (panel, charger) = (
            photo("limited-visit", "panel.jpg"),
            photo("limited-visit", "charger.jpg"),
        );
        let head = json!({ "do": "certify", "visit": visit("limited-visit"),
            "passphrase": "eight or more", "now": NOW });
        // Named as on a phone, without the folder.
        let files = [
            ("identity.p12", key()),
            ("panel.jpg", panel),
            ("charger.jpg", charger),
        ];
        let files = files.each_ref().map(|(n, b)| (*n, b.as_slice()));
        ask(head, &files)
    }

    #[test]
    fn a_certificate_made_on_the_page_is_sealed_and_verifies_there() {
        let made = certified();
        assert_eq!(made.head["draft"], false, "{:?}", made.head);
        let pdf = &made.files[0].1;
        assert!(verify(pdf, &VerifyOptions::default()).unchanged());
        let answers = ask(json!({ "do": "verify", "now": NOW }), &[("c.pdf", pdf)]).head;
        assert_eq!(answers["good"], true, "{answers}");
        assert_eq!(answers["answers"]["genuine"], false);
        let known = answers["known"].as_str().unwrap();
        assert!(known.contains("Ida Bergqvist"), "{known}");
        // The key as the reader got it from the firm.
        let pin = &answers["answers"]["seal"]["signatures"][0]["signer"]["fingerprint"];
        let asked = json!({ "do": "verify", "now": NOW, "known": known, "pin": pin });
        let answers = ask(asked, &[("c.pdf", pdf)]).head;
        assert_eq!(answers["answers"]["genuine"], true, "{answers}");
        let mut forged = pdf.clone();
        forged[4000] ^= 1;
        let answers = ask(json!({ "do": "verify", "now": NOW }), &[("c.pdf", &forged)]).head;
        assert_eq!(answers["good"], false, "{answers}");
    }

    #[test]
    fn without_a_key_it_is_a_draft() {
        let head = json!({ "do": "certify", "visit": visit("limited-visit"), "now": NOW });
        let (a, b) = (
            photo("limited-visit", "panel.jpg"),
            photo("limited-visit", "charger.jpg"),
        );
        let made = ask(
            head,
            &[("photos/panel.jpg", &a), ("photos/charger.jpg", &b)],
        );
        assert_eq!(made.head["draft"], true, "{:?}", made.head);
        assert!(!verify(&made.files[0].1, &VerifyOptions::default()).unchanged());
    }

    #[test]
    fn what_is_wrong_is_said() {
        let wrong = |head: Value, files: &[(&str, &[u8])], part: &str| {
            let said = ask(head, files).head;
            let said = said["problems"].as_str().unwrap_or_default().to_owned();
            assert!(said.contains(part), "{said}");
        };
        let lacking = json!({ "do": "certify", "visit": visit("limited-visit"), "now": NOW });
        wrong(lacking, &[], "photos/panel.jpg");
        let key = key();
        let asked = json!({ "do": "open-identity", "passphrase": "another one" });
        wrong(asked, &[("k", &key)], "the passphrase is wrong");
        let early = json!({ "do": "certify", "visit": visit("limited-visit"),
            "passphrase": "eight or more", "now": "2025-07-07T00:00:00+00:00" });
        wrong(early, &[("k", &key)], "today is 2025-07-07");
        let pin = json!({ "do": "verify", "now": NOW, "pin": "abc" });
        wrong(pin, &[("c.pdf", b"%PDF-")], "64 hexadecimal digits");
        wrong(json!({ "do": "something" }), &[], "reload the page");
    }

    #[test]
    fn questions_become_a_visit_and_a_visit_a_sheet() {
        let usual = ask(json!({ "do": "usual", "rules": "us" }), &[]).head;
        let mut facts = usual["usual"].as_object().unwrap().clone();
        let begin = |facts: &Value, answers: &[(String, String)]| {
            ask(
                json!({ "do": "begin", "rules": "us", "number": "2026-0009", "date": "2026-11-02",
                    "facts": facts, "answers": answers }),
                &[],
            )
            .head
        };
        facts.insert("rated".to_owned(), json!("much"));
        let wrong = begin(&Value::Object(facts.clone()), &[]);
        assert_eq!(wrong["wrong"], "rated", "{wrong}");
        for (name, value) in [
            ("rated", "40 A"),
            ("inspector", "Ida Bergqvist"),
            ("client", "Mr. Oyelaran"),
            ("site", "Mill Lane 4"),
        ] {
            facts.insert(name.to_owned(), json!(value));
        }
        let facts = Value::Object(facts);
        let mut answers = Vec::new();
        let text = loop {
            let said = begin(&facts, &answers);
            if let Some(text) = said["visit"].as_str() {
                break text.to_owned();
            }
            let asked = &said["ask"];
            let key = asked["key"].as_str().unwrap_or_else(|| panic!("{said}"));
            let usual = asked["usual"].as_str().unwrap_or_default();
            answers.push((key.to_owned(), usual.to_owned()));
            assert!(answers.len() < 30, "{answers:?}");
        };
        assert!(!answers.is_empty());
        let sheet = ask(json!({ "do": "sheet", "visit": text, "now": NOW }), &[]).head;
        let html = sheet["html"]
            .as_str()
            .unwrap_or_else(|| panic!("no sheet: {}", sheet["problems"]));
        assert!(html.contains("<input"), "{html}");
        // The sheet's own request is answered, with `do` or without.
        let mut judged = sheet["request"].clone();
        assert_eq!(ask(judged.clone(), &[]).head["findings"]["complete"], false);
        judged["do"] = json!("judge");
        assert_eq!(ask(judged, &[]).head["findings"]["complete"], false);
    }

    #[test]
    fn the_next_visit_begins_from_a_certificate() {
        let made = certified();
        let pdf = made.files[0].1.as_slice();
        let asked = json!({ "do": "next", "date": "2026-11-02" });
        let next = ask(asked, &[("2025-0071.pdf", pdf)]).head;
        let text = next["visit"].as_str().unwrap_or_else(|| panic!("{next}"));
        assert!(text.contains("2025-0071.pdf"), "{text}");
        let sheet = json!({ "do": "sheet", "visit": text, "now": NOW });
        let sheet = ask(sheet, &[("2025-0071.pdf", pdf)]).head;
        let html = sheet["html"].as_str().unwrap_or_default();
        assert!(html.contains("last time 30.4"));
        // Chosen on a phone, without the folder that the visit file names.
        let text = text.replace("2025-0071.pdf", "../2025/2025-0071.pdf");
        let sheet = json!({ "do": "sheet", "visit": text, "now": NOW });
        let sheet = ask(sheet, &[("2025-0071.pdf", pdf)]).head;
        let html = sheet["html"].as_str().unwrap_or_default();
        assert!(html.contains("last time 30.4"), "{}", sheet["problems"]);
        let asked = json!({ "do": "next", "date": "2026-11-02" });
        let mut forged = pdf.to_vec();
        forged[4000] ^= 1;
        let refused = ask(asked, &[("x.pdf", &forged)]).head;
        assert!(
            refused["problems"].as_str().unwrap().starts_with("x.pdf:"),
            "{refused}"
        );
    }
}
