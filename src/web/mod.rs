//! The engine of the browser application: one request in, one answer out, both in memory. It uses
//! the same stages as every other command, compiled to WebAssembly.
//!
//! The key `do` of a request names the task; without it, the request is one for [`page_engine`].
//! See [`message`] for the format.

mod code;
mod copying;
mod device;
mod dial;
pub mod error;
mod firm;
#[cfg(not(target_family = "wasm"))]
pub mod host;
mod identities;
mod last_photos;
#[cfg(not(target_family = "wasm"))]
pub mod link;
mod making;
pub mod message;
mod owner;
mod pictures;
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

/// The task of a request.
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
    /// Adds a circuit to the visit.
    Copy(copying::Copy),
    /// Enters the torque on the label of a device.
    Device(device::Device),
    /// Computes the effect of lower currents, for the values typed into a sheet.
    Dial(page_engine::Request),
    /// The contents of the panel's label for the owner's check.
    Label(page_engine::Request),
    /// Compares the owner's readings.
    Look(owner::Look),
    /// What the firm's file names.
    Firm(firm::Facts),
    /// The next certificate number, or the list of those given.
    Number(firm::Number),
    /// The visit without pictures that are not here.
    WithoutPictures(pictures::WithoutPictures),
    /// The photos of the last certificate.
    LastPhotos(last_photos::LastPhotos),
    /// A square code.
    Code(code::Code),
}

/// Answers a request: with its result, or with `problems` (as text), and the `error` if the page has a
/// sentence of its own for it.
pub fn answer(request: &[u8]) -> Vec<u8> {
    let answer = answered(request).unwrap_or_else(|why| {
        Message::without_files(json!({ "problems": why.to_string(), "error": why.named() }))
    });
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
        Request::Begin(begin) => begin.answer(&request.files),
        Request::Next(next) => next.answer(request.files),
        Request::Sheet(sheet) => sheet.answer(request.files),
        Request::Copy(copy) => copy.answer(),
        Request::Device(device) => device.answer(),
        Request::Dial(asked) => dial::answer(&asked),
        Request::Label(asked) => owner::label(&asked),
        Request::Look(look) => look.answer(),
        Request::Firm(facts) => facts.answer(request.files),
        Request::Number(number) => number.answer(request.files),
        Request::WithoutPictures(without) => without.answer(&request.files),
        Request::LastPhotos(last) => last.answer(request.files),
        Request::Code(code) => code.answer(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::record::accepted::Accepted;
    use crate::seal::{VerifyOptions, verify};
    use crate::visit;
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

    fn example(name: &str) -> String {
        std::fs::read_to_string(format!("examples/{name}/visit.yaml")).unwrap()
    }

    fn photo(name: &str, file: &str) -> Vec<u8> {
        std::fs::read(format!("examples/{name}/photos/{file}")).unwrap()
    }

    /// The certificate of the example with two photos.
    fn certified() -> Message {
        sealed_with(key(), "eight or more")
    }

    fn sealed_with(key: Vec<u8>, passphrase: &str) -> Message {
        let (panel, charger) = (
            photo("limited-visit", "panel.jpg"),
            photo("limited-visit", "charger.jpg"),
        );
        let head = json!({ "do": "certify", "visit": example("limited-visit"),
            "passphrase": passphrase, "now": NOW });
        // Named as files are on a phone, without the folder.
        let files = [
            ("identity.p12", key),
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
    fn keys_in_the_file_of_the_firm_count_as_compared_until_it_revokes_them() {
        let made = certified();
        let pdf = &made.files[0].1;
        let verified = |firm: Option<&str>| {
            let mut files = vec![("c.pdf", pdf.as_slice())];
            files.extend(firm.map(|text| ("firm.yaml", text.as_bytes())));
            ask(json!({ "do": "verify", "now": NOW }), &files).head
        };
        let alone = verified(None);
        assert_eq!(alone["answers"]["genuine"], false);
        let fingerprint = alone["answers"]["seal"]["signatures"][0]["signer"]["fingerprint"]
            .as_str()
            .unwrap();
        let firm = |revoked: &str| {
            FIRM.replace(
                "licence: E-1 }",
                &format!("licence: E-1, keys: [{{ fingerprint: \"{fingerprint}\"{revoked} }}] }}"),
            )
        };
        let valid = verified(Some(&firm("")));
        assert_eq!(valid["answers"]["genuine"], true, "{valid}");
        assert_eq!(valid["firm"], "Hedgerow Electric");
        // The firm's file is asked again each time.
        assert!(!valid["known"].as_str().unwrap().contains("Ida"), "{valid}");
        let revoked = verified(Some(&firm(", revoked: 2026-06-01, because: phone lost")));
        assert_eq!(revoked["good"], false, "{revoked}");
        let said = revoked["answers"]["sentence"].as_str().unwrap();
        assert!(
            said.contains("the firm revoked this key on 2026-06-01 (phone lost)"),
            "{said}"
        );
        let wrong = verified(Some("firm: {}"));
        assert!(wrong["problems"].is_string(), "{wrong}");
    }

    #[test]
    fn a_key_is_opened_once_for_many_certificates() {
        let asked = json!({ "do": "open-identity", "passphrase": "eight or more" });
        let opened = ask(asked, &[("identity.p12", &key())]);
        assert_eq!(opened.head["name"], "Ida Bergqvist", "{:?}", opened.head);
        let made = sealed_with(opened.files[0].1.clone(), "");
        assert_eq!(made.head["draft"], false, "{:?}", made.head);
        assert!(verify(&made.files[0].1, &VerifyOptions::default()).unchanged());
    }

    #[test]
    fn without_a_key_it_is_a_draft() {
        let head = json!({ "do": "certify", "visit": example("limited-visit"), "now": NOW });
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
        let lacking = json!({ "do": "certify", "visit": example("limited-visit"), "now": NOW });
        wrong(lacking, &[], "photos/panel.jpg");
        let key = key();
        let asked = json!({ "do": "open-identity", "passphrase": "another one" });
        wrong(asked, &[("k", &key)], "the passphrase is wrong");
        let early = json!({ "do": "certify", "visit": example("limited-visit"),
            "passphrase": "eight or more", "now": "2025-07-07T00:00:00+00:00" });
        wrong(early, &[("k", &key)], "today is 2025-07-07");
        let pin = json!({ "do": "verify", "now": NOW, "pin": "abc" });
        wrong(pin, &[("c.pdf", b"%PDF-")], "64 hexadecimal digits");
        wrong(json!({ "do": "something" }), &[], "reload the page");
        // Those that the page says in four languages have a name.
        let named = |head: Value, files: &[(&str, &[u8])]| ask(head, files).head["error"].clone();
        let visit = example("limited-visit").replace("  rules: us", "  rules: ours.yaml");
        let photos = ["panel.jpg", "charger.jpg"].map(|file| (file, photo("limited-visit", file)));
        let photos = photos.each_ref().map(|(n, b)| (*n, b.as_slice()));
        let lacking = json!({ "do": "certify", "visit": visit, "now": NOW });
        let missing = json!({ "id": "missing", "values": { "name": "ours.yaml" } });
        assert_eq!(named(lacking, &photos), missing);
        let closed = json!({ "do": "open-identity", "passphrase": "another one" });
        assert_eq!(named(closed, &[("k", &key)])["id"], "passphrase");
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
        assert_eq!(wrong["kind"], "unreadable");
        // Questions are asked in the language of the page, choices are worded, and the sheet and the
        // certificate are in it.
        let german = ask(
            json!({ "do": "begin", "rules": "us", "number": "2026-0009", "date": "2026-11-02",
                "facts": facts, "answers": answers, "language": "de",
                "names": { "breaker": "Klemmen des Schutzschalters" } }),
            &[],
        );
        let german = german.head["visit"].as_str().unwrap().to_owned();
        let read = visit::read(&german, "v", &Accepted).unwrap();
        assert_eq!(read.print.language, ["de"]);
        assert_eq!(
            read.circuits[0].places[0].name,
            "Klemmen des Schutzschalters"
        );
        let answered: Vec<_> = answers
            .iter()
            .take_while(|(key, _)| key != "conductors.wiring")
            .collect();
        assert!(answered.len() < answers.len(), "{answers:?}");
        let wiring = ask(
            json!({ "do": "begin", "rules": "us", "number": "2026-0009", "date": "2026-11-02",
                "facts": facts, "answers": answered, "language": "de" }),
            &[],
        );
        let choices = wiring.head["ask"]["choices"].as_array().unwrap();
        let conduit = json!({ "word": "conduit", "text": "Einzeladern im Rohr" });
        assert!(choices.contains(&conduit), "{choices:?}");
        let asked = |language: Option<&str>| {
            let head = json!({ "do": "begin", "rules": "us", "number": "2026-0009", "date": "2026-11-02",
                "facts": facts, "language": language });
            ask(head, &[]).head["ask"]["question"]
                .as_str()
                .unwrap()
                .to_owned()
        };
        assert_ne!(asked(Some("de")), asked(None));
        let sheet = ask(json!({ "do": "sheet", "visit": text, "now": NOW }), &[]).head;
        let html = sheet["html"]
            .as_str()
            .unwrap_or_else(|| panic!("no sheet: {}", sheet["problems"]));
        assert!(html.contains("<input"), "{html}");
        // The sheet's own request is answered with or without `do`.
        let mut judged = sheet["request"].clone();
        assert_eq!(ask(judged.clone(), &[]).head["findings"]["complete"], false);
        judged["do"] = json!("judge");
        assert_eq!(ask(judged, &[]).head["findings"]["complete"], false);
    }

    const FIRM: &str = "firm: { name: Hedgerow Electric, address: 4 Example Road }\n\
        technicians: [{ name: Ida Bergqvist, licence: E-1 }]\n\
        instruments: { gun-2: { kind: infrared-thermometer, serial: A1 } }\n\
        calibrations: [{ instrument: gun-2, on: 2026-02-10, certificate: C-1182 }]\n\
        defaults: { rules: us, language: de }\n\
        hottest_air: [{ site: Mill Lane 4, air: 110 °F }]\n\
        numbers: [{ device: van-1, first: 1, last: 499 }, { device: phone-ida, first: 500, last: 501 }]\n";

    #[test]
    fn a_new_visit_takes_from_the_firm_what_it_can() {
        let firm = ("firm.yaml", FIRM.as_bytes());
        let facts = ask(json!({ "do": "firm" }), &[firm]).head;
        assert_eq!(facts["firm"], "Hedgerow Electric", "{facts}");
        assert_eq!(facts["devices"], json!(["van-1", "phone-ida"]));
        let begin = json!({ "do": "begin", "rules": "us", "number": "2026-0500", "date": "2026-11-02",
            "facts": { "inspector": "Ida Bergqvist", "client": "Mr. Oyelaran", "site": "Mill Lane 4",
                "rated": "40 A" },
            "answers": <crate::vocabulary::MissingKey as crate::vocabulary::Word>::TABLE.iter().map(|(word, _)| (*word, "")).collect::<Vec<_>>() });
        let made = ask(begin, &[firm]).head;
        let text = made["visit"].as_str().unwrap_or_else(|| panic!("{made}"));
        let visit = visit::read(text, "v", &Accepted).unwrap_or_else(|e| panic!("{e}\n{text}"));
        assert_eq!(visit.inspector.licence.as_deref(), Some("E-1"));
        assert_eq!(visit.inspector.firm.as_deref(), Some("Hedgerow Electric"));
        assert_eq!(visit.print.language, ["de"]);
        let gun = visit
            .instruments
            .iter()
            .find(|i| i.serial.as_deref() == Some("A1"));
        assert_eq!(gun.unwrap().certificate.as_deref(), Some("C-1182"));
        let air = visit.circuits[0].hottest_air.unwrap();
        assert!((air.fahrenheit() - 110.0).abs() < 1e-9);
    }

    #[test]
    fn a_visit_that_refers_to_the_firm_needs_its_file() {
        let text = example("limited-visit");
        let start = text.find("inspector:").unwrap();
        let end = start + text[start..].find("\n\n").unwrap();
        let text = text.replace(&text[start..end], "inspector: Ida Bergqvist");
        let visit = json!({ "do": "sheet", "visit": text, "now": NOW });
        let (panel, charger) = (
            photo("limited-visit", "panel.jpg"),
            photo("limited-visit", "charger.jpg"),
        );
        let photos = [
            ("panel.jpg", panel.as_slice()),
            ("charger.jpg", charger.as_slice()),
        ];
        let refused = ask(visit.clone(), &photos).head;
        let why = refused["problems"].as_str().unwrap();
        assert!(why.contains("firm.yaml"), "{why}");
        let mut files = photos.to_vec();
        files.push(("firm.yaml", FIRM.as_bytes()));
        let sheet = ask(visit, &files).head;
        let request = sheet["request"]["visit"].as_str();
        assert!(request.unwrap().contains("Hedgerow Electric"), "{sheet}");
    }

    #[test]
    fn numbers_are_given_once_and_from_the_range_of_the_device() {
        let firm = ("firm.yaml", FIRM.as_bytes());
        let number = |numbers: &str, device: Option<&str>, files: &[(&str, &[u8])]| {
            let asked = json!({ "do": "number", "numbers": numbers, "device": device, "date": "2026-11-02" });
            ask(asked, files).head
        };
        assert_eq!(
            number("", Some("phone-ida"), &[firm])["number"],
            "2026-0500"
        );
        assert!(number("", None, &[firm])["wrong"].is_string());
        let enter = |numbers: &str, number: &str| {
            let asked = json!({ "do": "number", "numbers": numbers, "device": "phone-ida",
                "date": "2026-11-02", "number": number, "site": "Mill Lane 4" });
            ask(asked, &[firm]).head
        };
        let one = enter("", "2026-0500")["numbers"]
            .as_str()
            .unwrap()
            .to_owned();
        assert_eq!(
            number(&one, Some("phone-ida"), &[firm])["number"],
            "2026-0501"
        );
        assert!(
            enter(&one, "2026-0500")["wrong"]
                .as_str()
                .unwrap()
                .contains("Mill Lane 4")
        );
        let two = enter(&one, "2026-0501")["numbers"]
            .as_str()
            .unwrap()
            .to_owned();
        assert!(
            number(&two, Some("phone-ida"), &[firm])["wrong"].is_string(),
            "{two}"
        );
        // Without a firm, this device's own numbers.
        assert_eq!(number("", None, &[])["number"], "2026-0001");
        assert_eq!(
            number(
                "number,date,device,site\n2026-0001,2026-11-02,,Mill Lane 4\n",
                None,
                &[]
            )["number"],
            "2026-0002"
        );
    }

    #[test]
    fn a_visit_goes_on_without_pictures_that_are_not_here() {
        let text = example("limited-visit");
        let panel = photo("limited-visit", "panel.jpg");
        let asked = json!({ "do": "without-pictures", "visit": text });
        let made = ask(asked, &[("photos/panel.jpg", &panel)]).head;
        assert_eq!(made["left_out"], json!(["photos/charger.jpg"]), "{made}");
        let visit = made["visit"].as_str().unwrap();
        let visit = visit::read(visit, "v", &Accepted).unwrap();
        assert_eq!(visit.photos.len(), 1);
        let sheet = json!({ "do": "sheet", "visit": made["visit"], "now": NOW });
        assert!(ask(sheet, &[("photos/panel.jpg", &panel)]).head["html"].is_string());
    }

    #[test]
    fn another_charger_is_like_the_first_but_not_measured() {
        let text = example("limited-visit");
        let id = visit::read(&text, "v", &Accepted).unwrap().circuits[0]
            .id
            .clone();
        let asked = json!({ "do": "copy", "visit": text, "like": id, "name": "Bay 2" });
        let made = ask(asked, &[]).head;
        let copied = made["visit"].as_str().unwrap_or_else(|| panic!("{made}"));
        let copied = visit::read(copied, "v", &Accepted).unwrap();
        let [first, second] = copied.circuits.as_slice() else {
            panic!("{} circuits", copied.circuits.len());
        };
        assert_ne!(first.id, second.id);
        assert_eq!(second.title(), "Bay 2");
        assert_eq!(first.places.len(), second.places.len());
        assert_eq!(first.breaker, second.breaker);
        assert!(first.heat.is_some() && second.heat.is_none());
        assert!(second.torque.is_empty() && second.isolation.is_empty());
        let asked = json!({ "do": "copy", "visit": text, "like": "elsewhere", "name": "" });
        assert!(ask(asked, &[]).head["problems"].is_string());
    }

    #[test]
    fn the_torque_of_a_label_goes_to_the_terminals_of_its_place() {
        let text = example("townhouse-first");
        let device = |torque: &str| {
            let asked = json!({ "do": "device", "visit": text, "circuit": "garage", "place": "charger",
                "torque": torque, "make": "Nimbrel", "model": "NB-48" });
            ask(asked, &[]).head
        };
        let made = device("25");
        let changed = made["visit"].as_str().unwrap_or_else(|| panic!("{made}"));
        let changed = visit::read(changed, "v", &Accepted).unwrap();
        let circuit = &changed.circuits[0];
        assert_eq!(circuit.charger.model.as_deref(), Some("NB-48"));
        for place in &circuit.places {
            for connection in &place.connections {
                // 25 in·lb are 2.825 N·m (NIST SP 811, appendix B).
                let is_new = connection
                    .torque
                    .is_some_and(|t| (t.newton_metre() - 2.825).abs() < 0.001);
                assert_eq!(is_new, place.id == "charger", "{}", connection.id);
            }
        }
        assert!(device("many")["wrong"].is_string());
        assert!(device("9000")["wrong"].is_string());
    }

    #[test]
    fn a_lower_current_is_cooler_and_no_answer_to_damage() {
        let dial = |text: &str| {
            let asked =
                json!({ "do": "dial", "visit": text, "rules": null, "earlier": [], "values": {} });
            ask(asked, &[]).head
        };
        let text = example("townhouse-first");
        let answer = dial(&text);
        let currents = answer["circuits"][0]["currents"]
            .as_array()
            .unwrap_or_else(|| panic!("{answer}"));
        assert!(currents.len() >= 3, "{answer}");
        let degrees = |n: usize| {
            let hottest = currents[n]["connections"][0]["hottest"].as_str().unwrap();
            let digits: String = hottest.chars().take_while(char::is_ascii_digit).collect();
            digits.parse::<f64>().unwrap()
        };
        for n in 1..currents.len() {
            assert!(degrees(n) < degrees(n - 1), "{answer}");
        }
        // At the current of the visit, the answer agrees with the findings.
        let asked = json!({ "visit": text, "rules": null, "earlier": [], "values": {} });
        let judged = ask(asked, &[]).head;
        assert_eq!(
            currents[0]["connections"][0]["margin"],
            judged["rises"][0]["margin"]
        );
        let hurt = dial(&example("receptacle-aluminium"));
        assert_eq!(hurt["circuits"][0]["refused"], true, "{hurt}");
        assert!(hurt["circuits"][0]["currents"].is_null());
    }

    #[test]
    fn the_owner_is_told_to_call_and_never_that_all_is_well() {
        let look = |reading: f64, current: f64| {
            let asked = json!({ "do": "look", "rules": "us", "rated_a": 40, "current_a": current, "air_c": 20,
                "points": [{ "rise_k": 10, "uncertainty_k": 2, "reading_c": reading }] });
            ask(asked, &[]).head["verdicts"][0].clone()
        };
        assert_eq!(look(31.0, 40.0), "like-baseline");
        assert_eq!(look(45.0, 40.0), "call");
        assert_eq!(look(31.0, 10.0), "too-little");
        let label = |visit: &str| {
            ask(
                json!({ "do": "label", "visit": visit, "rules": null, "earlier": [], "values": {} }),
                &[],
            )
            .head
        };
        // A visit without closed covers has nothing for a label.
        let text = example("townhouse-first");
        assert_eq!(label(&text)["labels"], json!([]));
        let cover = "      - id: cover\n        name: Cover of panel A\n        closed: yes\n        connections:\n          - { id: panel-cover, leg: none, kind: cover, surface: plastic }\n";
        let last = "charger-L2: { temperature: 68.2, distance: 18 in }";
        let covered = text
            .replace("    places:\n", &format!("    places:\n{cover}"))
            .replace(
                "    looked_at:\n",
                "    looked_at:\n      - { place: cover, seen: clean }\n",
            )
            .replace(
                "charger-L2: 58.1 }",
                "charger-L2: 58.1, panel-cover: 58.1 }",
            )
            .replace("charger-L2: 64.6 }", "charger-L2: 64.6, panel-cover: 60 }")
            .replace(
                last,
                &format!(
                    "{last}\n            panel-cover: {{ temperature: 61.5, distance: 18 in }}"
                ),
            );
        let labels = label(&covered);
        let first = &labels["labels"][0];
        assert_eq!(first["points"][0]["name"], "Cover of panel A", "{labels}");
        assert_eq!(first["rated_a"], 40.0);
        let rise = first["points"][0]["rise_k"].as_f64().unwrap();
        assert!((1.0..4.0).contains(&rise), "{labels}");
    }

    #[test]
    fn photos_of_the_last_certificate_come_with_their_marks() {
        let made = certified();
        let pdf = made.files[0].1.as_slice();
        let last = ask(json!({ "do": "last-photos" }), &[("2025-0071.pdf", pdf)]);
        let photos = last.head["photos"].as_array().unwrap();
        assert_eq!(photos.len(), last.files.len());
        assert!(!photos.is_empty(), "{:?}", last.head);
        assert!(last.files[0].1.starts_with(&[0xff, 0xd8, 0xff]), "a JPEG");
        let at = &photos[0]["marks"][0]["at"];
        assert!(
            at[0].as_f64().is_some_and(|x| (0.0..=1.0).contains(&x)),
            "{at}"
        );
        let none = ask(json!({ "do": "last-photos" }), &[("c.pdf", b"%PDF-1.7 no")]);
        assert_eq!(none.head["photos"], json!([]));
    }

    #[test]
    fn a_code_is_drawn_from_its_modules() {
        let code = ask(json!({ "do": "code", "text": "http://a" }), &[]).head;
        // Version 1 has 21 modules a side (ISO/IEC 18004, table 1).
        assert_eq!(code["side"], 21);
        assert!(code["modules"].as_str().unwrap().starts_with("1111111"));
        let long = ask(json!({ "do": "code", "text": "é".repeat(2000) }), &[]).head;
        assert!(long["problems"].as_str().unwrap().contains("too long"));
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
