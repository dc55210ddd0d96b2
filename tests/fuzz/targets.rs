//! What is tried with bytes from nowhere. The fuzz targets and the test that replays what they
//! have found share these functions; each panics when something is wrong.
#![allow(dead_code)] // a fuzz target uses one of them

use chrono::{DateTime, FixedOffset, NaiveDate};
use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::Path;
use std::sync::OnceLock;
use warmlug::compose::document::Document;
use warmlug::compose::{self, Images, Inputs, SealFacts, Wording};
use warmlug::next::saved_page::{Saved, with_photos};
use warmlug::next::{form_fields, merge as filling};
use warmlug::photo::{Detail, Original, Placement, Subject};
use warmlug::quantity::{self, ConductorSize, Quantity, TimeOfDay};
use warmlug::record::accepted::Accepted;
use warmlug::record::answers::Answers;
use warmlug::record::contents::OwnEvidence;
use warmlug::record::made_by::MadeBy;
use warmlug::register::cache::{Cache, KEY_BYTES};
use warmlug::register::row::Row;
use warmlug::register::wanted::Wanted;
use warmlug::register::{calendar, current, html_page, rows, text_table};
use warmlug::seal::known::KnownSigners;
use warmlug::seal::{
    self, Authority, Identity, Passphrase, Sealed, SignOptions, VerifyOptions, validation_data,
};
use warmlug::{assess, rules as rule_sets, typeset, visit as visits};

/// A visit file: read; one that is sound is judged, put into words and written again.
pub fn visit(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    let read = match visits::read(text, "visit.yaml", &Accepted) {
        Ok(read) => read,
        Err(problems) => {
            assert!(!problems.to_string().is_empty());
            return;
        }
    };
    let written = visits::write(&read);
    match visits::read(&written, "written.yaml", &Accepted) {
        Ok(again) => assert_eq!(again, read, "{written}"),
        Err(problems) => panic!("written so that it cannot be read: {problems}"),
    }
    let Some(rules) = rule_sets::built_in(&read.rules) else {
        return;
    };
    let assessment = assess::assess(&read, rules, &[]);
    let Ok(wording) = Wording::built_in(read.print.main_language()) else {
        return;
    };
    let told = compose::json(&assessment, &read, rules, wording);
    assert!(told["findings"].is_array());
    if read.photos.is_empty() && read.inspector.logo.is_none() {
        let midday = "2026-10-06T12:00:00Z";
        let _ = compose::certificate(Inputs {
            visit: &read,
            assessment: &assessment,
            rules,
            built_in: &[],
            wording,
            images: Images {
                photos: Vec::new(),
                logo: None,
                signature: None,
            },
            seal: None,
            draft: true,
            created: midday.parse().unwrap_or_default(),
            source: data,
        });
    }
}

/// A quantity: what is read is printed, and reads back as the same.
fn one<Q: Quantity + std::fmt::Display + std::str::FromStr>(text: &str) {
    if let Ok((value, unit)) = quantity::parse_with_unit::<Q>(text, None) {
        let exact = value.to_string();
        let again = quantity::parse::<Q>(&exact, None);
        let again = again.unwrap_or_else(|e| panic!("`{exact}` from `{text}`: {e}"));
        assert_eq!(
            again.si().to_bits(),
            value.si().to_bits(),
            "`{exact}` from `{text}`"
        );
        let _ = quantity::parse::<Q>(text, Some(unit));
    } else if let Err(problem) = quantity::parse::<Q>(text, None) {
        assert!(!problem.to_string().is_empty());
    }
}

/// Each kind of quantity from one text.
pub fn quantity(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    one::<quantity::Temperature>(text);
    one::<quantity::TemperatureDifference>(text);
    one::<quantity::Current>(text);
    one::<quantity::Voltage>(text);
    one::<quantity::Power>(text);
    one::<quantity::Torque>(text);
    one::<quantity::Length>(text);
    one::<quantity::Percentage>(text);
    one::<quantity::Ratio>(text);
    one::<quantity::Duration>(text);
    if let Ok(size) = text.parse::<ConductorSize>() {
        let again = size.to_string().parse::<ConductorSize>();
        assert!(again.is_ok_and(|a| a == size), "{size} from `{text}`");
    }
    if let Ok(time) = text.parse::<TimeOfDay>() {
        let again = time.to_string().parse::<TimeOfDay>();
        assert!(again.is_ok_and(|a| a == time), "{time} from `{text}`");
    }
}

/// A rules file: what loads can be listed, and judges a visit.
pub fn rules(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    match rule_sets::load(text, "rules.yaml") {
        Ok(loaded) => {
            assert!(!rule_sets::text(&loaded).is_empty());
            assert!(rule_sets::json(&loaded).is_object());
            let visit = sample();
            let _ = assess::assess(&visit, &loaded, &[]);
        }
        Err(problems) => assert!(!problems.to_string().is_empty()),
    }
}

/// An image: what is taken in can be embedded or is refused with a reason.
pub fn image(data: &[u8]) {
    let Ok(original) = Original::from_bytes(data.to_vec()) else {
        return;
    };
    let facts = original.facts();
    // Larger ones cost time and show nothing new.
    if u64::from(facts.width) * u64::from(facts.height) > 1 << 18 {
        return;
    }
    for (detail, subject) in [
        (Detail::Print, Subject::Photo),
        (Detail::Full, Subject::Photo),
        (Detail::Print, Subject::LineArt),
    ] {
        let placement = Placement {
            width_mm: 2.0,
            detail,
            subject,
        };
        match original.prepare(placement) {
            Ok(_) => {}
            Err(problem) => assert!(!problem.to_string().is_empty()),
        }
    }
}

/// A certificate: judged, and where its seal holds, its record and its pages read.
pub fn verify(data: &[u8]) {
    let answers = Answers::of(data, &VerifyOptions::default(), &OwnEvidence::default());
    assert!(!answers.report.sentence().is_empty());
    let _ = answers.objections();
    assert!(!rows::rows("certificate.pdf", data, &VerifyOptions::default(), false).is_empty());
}

/// The visit that worksheets are merged into.
const SAMPLE: &str = include_str!("sample.yaml");

fn sample() -> visits::Visit {
    match visits::read(SAMPLE, "sample.yaml", &Accepted) {
        Ok(visit) => visit,
        Err(problems) => panic!("{problems}"),
    }
}

/// A worksheet that comes back: a PDF, the zip of the page, or lines of `field=value`.
pub fn fill(data: &[u8]) {
    let values = if data.starts_with(b"%PDF") {
        form_fields::values(data).unwrap_or_default()
    } else if data.starts_with(b"PK") {
        let source = Box::new(Cursor::new(data.to_vec()));
        let Ok(mut saved) = Saved::open(source) else {
            return;
        };
        for photo in saved.photos.clone() {
            let _ = saved.image(&photo);
        }
        let visit = sample();
        let (text, _) = with_photos(SAMPLE.to_owned(), &visit, &saved.photos);
        let _ = visits::read(&text, "filled.yaml", &Accepted);
        saved.values
    } else {
        String::from_utf8_lossy(data)
            .lines()
            .filter_map(|line| line.split_once('='))
            .map(|(name, value)| (name.to_owned(), value.replace('\u{1f}', "\n")))
            .collect::<BTreeMap<_, _>>()
    };
    let visit = sample();
    for replace in [false, true] {
        match filling::fill(SAMPLE, &visit, &values, replace) {
            Ok(text) => {
                // Readable or refused with reasons; the rest of the file stays what it was.
                if let Err(problems) = visits::read(&text, "filled.yaml", &Accepted) {
                    assert!(!problems.to_string().is_empty());
                }
                assert!(text.starts_with(&SAMPLE[..SAMPLE.find("circuits:").unwrap_or(0)]));
            }
            Err(problem) => assert!(!problem.to_string().is_empty()),
        }
    }
}

/// Keys for tests.
const SOLE: &[u8] = include_bytes!("../seal_keys/p256.p12");
const ISSUED: &[u8] = include_bytes!("../seal_keys/issued.p12");
const PASSPHRASE: &str = "three blue";

fn opened(key: &[u8]) -> Identity {
    match Identity::open(key, &Passphrase::new(PASSPHRASE.to_owned())) {
        Ok(identity) => identity,
        Err(problem) => panic!("{problem}"),
    }
}

fn sealing_time() -> DateTime<FixedOffset> {
    "2027-01-10T12:00:00-05:00".parse().unwrap_or_default()
}

/// The certificate of the sample, before it is typeset and sealed.
fn document(identity: &Identity) -> Document {
    let visit = sample();
    let (Some(rules), Ok(wording)) = (
        rule_sets::built_in(&visit.rules),
        Wording::built_in(visit.print.main_language()),
    ) else {
        panic!("rules and words of the sample are built in");
    };
    let composed = compose::certificate(Inputs {
        visit: &visit,
        assessment: &assess::assess(&visit, rules, &[]),
        rules,
        built_in: &[],
        wording,
        images: Images::default(),
        seal: Some(SealFacts {
            signer: visit.inspector.name.clone(),
            firm: visit.inspector.firm.clone(),
            licence: visit.inspector.licence.clone(),
            time: sealing_time(),
            fingerprint: identity.fingerprint().to_string(),
            self_signed: identity.is_self_signed(),
        }),
        draft: false,
        created: sealing_time(),
        source: SAMPLE.as_bytes(),
    });
    match composed {
        Ok(document) => document,
        Err(problem) => panic!("{problem}"),
    }
}

fn sealed(document: &Document, identity: &Identity) -> Option<Sealed> {
    let pdf = typeset::render(document).ok()?;
    seal::sign(&pdf, identity, &SignOptions::of(identity, sealing_time())).ok()
}

/// Parts of a seal, by the first byte: an identity, a signature, a time-stamp reply, a list of revoked
/// certificates, known signers.
pub fn signature(data: &[u8]) {
    static CERTIFICATES: OnceLock<[(Sealed, Identity); 2]> = OnceLock::new();
    let certificates = CERTIFICATES.get_or_init(|| {
        [SOLE, ISSUED].map(|key| {
            let identity = opened(key);
            match sealed(&document(&identity), &identity) {
                Some(certificate) => (certificate, identity),
                None => panic!("the sample can be sealed"),
            }
        })
    });
    let Some((kind, bytes)) = data.split_first() else {
        return;
    };
    let [(certificate, _), (issued, issued_identity)] = certificates;
    match kind {
        0 => match Identity::open(bytes, &Passphrase::new(PASSPHRASE.to_owned())) {
            Ok(identity) => {
                assert!(!identity.fingerprint().to_string().is_empty());
                let _ = identity.subject();
                let _ = identity.lifetime(sealing_time().to_utc());
            }
            Err(problem) => assert!(!problem.to_string().is_empty()),
        },
        1 | 2 => {
            let certificate = if *kind == 1 { certificate } else { issued };
            let mut pdf = certificate.bytes().to_vec();
            // The digits of the signature are all that the seal does not cover.
            let Some(start) = position(&pdf, b"/Contents <").map(|at| at + 11) else {
                panic!("a sealed file has a signature");
            };
            let room = position(&pdf[start..], b">").unwrap_or(0);
            let digits: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
            let taken = digits.len().min(room);
            pdf[start..start + room].fill(b'0');
            pdf[start..start + taken].copy_from_slice(&digits.as_bytes()[..taken]);
            let answers = Answers::of(&pdf, &VerifyOptions::default(), &OwnEvidence::default());
            assert!(!answers.report.sentence().is_empty());
        }
        3 => {
            let send = |_: &[u8]| Ok(bytes.to_vec());
            let authority = Authority {
                send: &send,
                nonce: [7; 16],
                policy: None,
            };
            let stamped = seal::stamp(certificate.bytes(), &authority);
            assert!(
                stamped.is_err(),
                "no reply repeats the nonce and the digest"
            );
        }
        4 => {
            let _ = validation_data::add(issued, issued_identity, &[bytes.to_vec()]);
        }
        _ => {
            let text = String::from_utf8_lossy(bytes);
            if let Ok(known) = KnownSigners::parse(&text, Path::new("known-signers")) {
                let again = KnownSigners::parse(&known.text(), Path::new("known-signers"));
                assert!(again.is_ok_and(|again| again.text() == known.text()));
            }
        }
    }
}

fn position(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).position(|w| w == wanted)
}

/// What a changed program seals: a certificate with one attachment, by the first byte, replaced by the
/// rest. The pages stay what they were.
pub fn record(data: &[u8]) {
    static SOUND: OnceLock<(Document, Identity)> = OnceLock::new();
    let (document, identity) = SOUND.get_or_init(|| {
        let identity = opened(SOLE);
        (document(&identity), identity)
    });
    let Some((which, bytes)) = data.split_first() else {
        return;
    };
    let mut changed = document.clone();
    let which = usize::from(*which) % changed.attachments.len();
    let same = changed.attachments[which].bytes == bytes;
    changed.attachments[which].bytes = bytes.to_vec();
    let Some(certificate) = sealed(&changed, identity) else {
        return;
    };
    let options = VerifyOptions {
        pins: vec![identity.fingerprint()],
        ..VerifyOptions::default()
    };
    let answers = Answers::of(certificate.bytes(), &options, &OwnEvidence::default());
    assert!(!answers.sentence().is_empty());
    // The bytes of a record of another version are not compared; what it says is.
    let made_by = answers.contents.as_ref().and_then(|c| c.made_by.as_ref());
    let of_this = made_by == Some(&MadeBy::ThisVersion);
    assert!(answers.genuine() || !same, "{}", answers.sentence());
    assert!(
        same || !(answers.genuine() && of_this),
        "{}",
        answers.sentence()
    );
    let told = answers.json(answers.genuine(), sealing_time());
    assert!(told.is_object());
    let read = rows::rows("certificate.pdf", certificate.bytes(), &options, false);
    assert!(!read.is_empty());
    shown(read);
}

/// What an earlier run of the register wrote: JSON lines, or, after a zero, the rows that it kept.
pub fn register(data: &[u8]) {
    if let Some(kept) = data.strip_prefix(&[0]) {
        const KEY: [u8; KEY_BYTES] = [7; KEY_BYTES];
        let Ok(body) = std::str::from_utf8(kept) else {
            return;
        };
        let head = format!(
            "{{\"form\":2,\"build\":\"{}\",\"state\":\"s\"}}\n{body}\n",
            compose::BUILD
        );
        let Ok(mut code) = <Hmac<Sha256> as KeyInit>::new_from_slice(&KEY) else {
            return;
        };
        code.update(head.as_bytes());
        let code: String = code
            .finalize()
            .into_bytes()
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        let cache = Cache::read(&format!("{head}{code}\n"), &KEY, "s");
        if let Some(text) = cache.text(&KEY, "s") {
            assert_eq!(Cache::read(&text, &KEY, "s"), cache);
        }
        return;
    }
    let Ok(text) = std::str::from_utf8(data) else {
        return;
    };
    match rows::from_json_lines(text) {
        Ok(read) => shown(read),
        Err((line, why)) => assert!(line > 0 && !why.is_empty()),
    }
}

/// Rows in every format.
fn shown(mut read: Vec<Row>) {
    current::mark(&mut read);
    let today = NaiveDate::from_ymd_opt(2026, 11, 1).unwrap_or_default();
    let wanted = Wanted::default();
    let _ = html_page::page(&read, &wanted, today, &|file| file.to_owned());
    let _ = calendar::calendar(&read, &wanted, today);
    let all: Vec<&Row> = read.iter().collect();
    let _ = text_table::text(&all);
    assert!(text_table::csv(&all).is_ok());
    let lines = text_table::json_lines(&all);
    let again = rows::from_json_lines(&lines);
    assert!(again.is_ok_and(|again| again.len() == all.len()), "{lines}");
}
