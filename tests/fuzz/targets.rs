//! What is tried with bytes from nowhere. The fuzz targets and the test that replays what they
//! have found share these functions; each panics when something is wrong.
#![allow(dead_code)] // a fuzz target uses one of them

use std::collections::BTreeMap;
use std::io::Cursor;
use warmlug::compose::{self, Images, Inputs, Wording};
use warmlug::next::saved_page::{Saved, with_photos};
use warmlug::next::{form_fields, merge as filling};
use warmlug::photo::{Detail, Original, Placement, Subject};
use warmlug::quantity::{self, ConductorSize, Quantity, TimeOfDay};
use warmlug::record::accepted::Accepted;
use warmlug::record::answers::Answers;
use warmlug::record::contents::OwnEvidence;
use warmlug::register::rows;
use warmlug::seal::VerifyOptions;
use warmlug::{assess, rules as rule_sets, visit as visits};

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
