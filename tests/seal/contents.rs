//! What an unbroken seal does not show by itself: a signer whose pages, findings or photos say
//! something else than the record inside is found out.
use crate::compose_common::{Case, EXAMPLES};
use crate::rules_files::whole_rules;
use std::sync::LazyLock;

use crate::pdf_common::Pdf;
use crate::seal_common::{identity, signed_at};
use warmlug::compose::document::Block;
use warmlug::compose::{Document, SealFacts};
use warmlug::pdf::{Dict, Object};
use warmlug::record::answers::Answers;
use warmlug::record::contents::{Contents, Findings, Original, OwnEvidence, Paper, Photos};
use warmlug::record::printed_words::Pages;
use warmlug::record::recompute::attachments;
use warmlug::seal::report::Changes;
use warmlug::seal::{Hand, Identity, SignOptions, VerifyOptions, countersign, sign, verify};
use warmlug::typeset;

/// The key that seals is the one that the pages name.
pub static KEY: LazyLock<Identity> = LazyLock::new(identity);

fn contents(document: &Document, originals: Option<&dyn Fn(&str) -> Original>) -> Contents {
    let beside = OwnEvidence {
        originals,
        ..OwnEvidence::default()
    };
    contents_beside(document, &KEY, &beside)
}

fn contents_beside(document: &Document, key: &Identity, beside: &OwnEvidence<'_>) -> Contents {
    let pdf = typeset::render(document).unwrap();
    let sealed = sign(&pdf, key, &SignOptions::at(signed_at())).unwrap();
    answers(sealed.bytes(), beside)
}

pub fn answers(sealed: &[u8], beside: &OwnEvidence<'_>) -> Contents {
    let answers = Answers::of(sealed, &VerifyOptions::default(), beside);
    answers.contents.expect("genuine")
}

/// What the pages of an honest certificate print of its seal.
pub fn seal_of(key: &Identity) -> SealFacts {
    let person = key.subject();
    SealFacts {
        signer: person.name,
        firm: person.firm,
        licence: person.licence,
        time: signed_at(),
        fingerprint: key.fingerprint().to_string(),
        self_signed: true,
    }
}

pub fn certificate(case: &Case) -> Document {
    case.sealed_by(seal_of(&KEY))
}

/// A certificate with the one earlier visit that the program would carry along.
pub fn document(name: &str) -> Document {
    document_of(name, &Case::example(name))
}

fn document_of(name: &str, case: &Case) -> Document {
    let mut document = certificate(case);
    let earlier = case.visit.earlier.iter();
    let earlier = earlier.map(|path| std::fs::read_to_string(format!("examples/{name}/{path}")));
    let earlier: Vec<String> = earlier.collect::<Result<_, _>>().unwrap();
    document.attachments.extend(attachments(None, &earlier));
    document
}

/// Changes an attachment's text in one place.
fn edit(document: &mut Document, name: &str, from: &str, to: &str) {
    let file = document
        .attachments
        .iter_mut()
        .find(|a| a.name == name)
        .unwrap();
    let text = String::from_utf8(file.bytes.clone()).unwrap();
    assert!(text.contains(from), "{name} says {from}");
    file.bytes = text.replacen(from, to, 1).into_bytes();
}

#[test]
fn an_honest_certificate_holds() {
    for name in EXAMPLES {
        let contents = contents(&document(name), None);
        assert!(contents.hold(), "{name}: {contents:?}");
    }
}

#[test]
fn an_honest_certificate_holds_in_every_language() {
    for (language, second) in [("en", "de"), ("es", "fr"), ("fr", "en"), ("de", "es")] {
        for name in EXAMPLES {
            let case = Case::in_languages(name, &[language, second]);
            let document = document_of(name, &case);
            let contents = contents(&document, None);
            assert!(contents.hold(), "{name} in {language}: {contents:?}");
            // Line ends of a narrow language hide nothing: words are divided in some of them.
            let one = contents_of_one(&case, name);
            let (
                Pages::Yes {
                    looked_for: both, ..
                },
                Pages::Yes {
                    looked_for: one, ..
                },
            ) = (&contents.pages, &one.pages)
            else {
                panic!("{name} in {language}: {contents:?}");
            };
            assert!(both > one, "{name} in {language}: {both} and {one}");
        }
    }
}

/// Rules files as firms write them: milder, stricter, of other sources, and complete ones.
fn rules_files() -> Vec<(&'static str, String)> {
    let milder = "
thermal:
  rise: { mildest: pass, edges: [{ from: 5 K, grade: note }], source: own }
  leg_difference: { mildest: pass, edges: [{ from: 1 K, grade: note }], source: own }
  projected_margin: { mildest: pass, edges: [{ under: 10 K, grade: note }], source: own }
  worse_than_before: { mildest: pass, edges: [{ from: 1 K, grade: note }], source: own }
  contact_resistance: { mildest: pass, edges: [{ over: 1.5, grade: note }], source: own }
  contact_drop: { mildest: pass, edges: [{ over: 22.5 mV, grade: note }], source: own }
  over_rating: { value: note, source: own }
  hottest_air: { value: 60 °C, source: own }
conditions:
  corroded: { value: note, source: own }
  discoloured: { value: note, source: own }
  melted: { value: note, source: own }
";
    let stricter = "
thermal:
  rise: { mildest: note, edges: [{ from: 1 K, grade: stop }], source: 'Werknorm „Heiß“, Blatt 7' }
  leg_difference: { mildest: watch, edges: [{ from: 1 K, grade: stop }], source: own }
conditions:
  clean: { value: watch, source: own }
";
    vec![
        ("unchanged", "extends: us\nid: acme\n".to_owned()),
        (
            "iec",
            "extends: iec\nid: acme-iec\nedition: '7'\ntitle: Hauseigene Regeln\n".to_owned(),
        ),
        ("milder", format!("extends: us\nid: acme-milder\n{milder}")),
        (
            "milder iec",
            format!("extends: iec\nid: acme-milder\n{milder}"),
        ),
        (
            "stricter",
            format!("extends: us\nid: acme-stricter\n{stricter}"),
        ),
        ("whole", whole_rules("us", "acme-whole")),
        ("whole iec", whole_rules("iec", "acme-all")),
    ]
}

fn judged_by(name: &str, languages: &[&str], rules: &str) -> Document {
    let typed = warmlug::rules::load(rules, "rules.yaml").unwrap_or_else(|e| panic!("{e}"));
    let case = Case::by_rules(name, languages, Some(Box::leak(Box::new(typed))));
    let mut document = document_of(name, &case);
    attach_rules(&mut document, rules);
    document
}

fn attach_rules(document: &mut Document, rules: &str) {
    let files = &mut document.attachments;
    let earlier = files.iter().position(|a| a.name.starts_with("earlier-"));
    let place = earlier.unwrap_or(files.len());
    files.splice(place..place, attachments(Some(rules), &[]));
}

#[test]
fn an_honest_certificate_by_a_firms_rules_holds() {
    let languages = ["en", "es", "fr", "de"];
    for (i, (which, rules)) in rules_files().iter().enumerate() {
        for (j, language) in languages.into_iter().enumerate() {
            let second = languages[(i + j + 1) % 4];
            let both = [language, second];
            let printed = if second == language {
                &both[..1]
            } else {
                &both
            };
            for name in [EXAMPLES[(i + j) % 5], EXAMPLES[(i + j + 2) % 5]] {
                let contents = contents(&judged_by(name, printed, rules), None);
                assert!(
                    contents.hold(),
                    "{name}, {which}, {printed:?}: {contents:?}"
                );
            }
        }
    }
}

#[test]
fn a_certificate_by_a_firms_rules_is_named_with_what_the_built_in_sets_find() {
    let files = rules_files();
    let told = |which: &str, example: &str| {
        let (_, rules) = files.iter().find(|(name, _)| *name == which).unwrap();
        let document = judged_by(example, &["de"], rules);
        let pdf = typeset::render(&document).unwrap();
        let sealed = sign(&pdf, &KEY, &SignOptions::at(signed_at())).unwrap();
        let answers = Answers::of(
            sealed.bytes(),
            &VerifyOptions::default(),
            &OwnEvidence::default(),
        );
        let rules = answers.contents.as_ref().unwrap().other_rules.clone();
        (answers.sentence(), rules.unwrap())
    };
    let (sentence, rules) = told("stricter", "townhouse-first");
    let own = "It was judged by the firm's own rules “acme-stricter” (edition 2026.1), not by a \
               built-in rule set; by the built-in set us, edition 2026.1, the result is “Satisfactory” \
               where the certificate says “Unsatisfactory";
    assert!(sentence.contains(own), "{sentence}");
    assert_eq!(rules.built_in[0].worse, [""; 0]);
    let (_, rules) = told("milder", "receptacle-aluminium");
    let [us] = &rules.built_in[..] else {
        panic!("{rules:?}");
    };
    let graded = |grade: &str| us.worse.iter().any(|w| w.starts_with(grade));
    assert!(graded("Repair: ") || graded("Stop using: "), "{us:?}");
    // A later date is softer too, though no grade is.
    let later =
        "extends: us\nid: acme-later\nnext_due: { first: { value: 60 months, source: own } }\n";
    let judged = judged_by("townhouse-first", &["en"], later);
    let page = first_page(&judged);
    let told_there = "the next inspection is due by 13 May 2025";
    assert!(page.contains(told_there), "{page}");
    assert!(!page.contains("nothing here more strictly"), "{page}");
    let contents_of_it = contents(&judged, None);
    assert!(contents_of_it.hold(), "{contents_of_it:?}");
    let rules = contents_of_it.other_rules.unwrap();
    let strict = "gives the same result, but judges one point more strictly.";
    assert!(rules.sentence().ends_with(strict), "{}", rules.sentence());
    let us = &rules.built_in[0];
    assert_eq!(us.worse, ["The next inspection is due by 2025-05-13."]);
    // Nothing is milder, and a file that extends no set is compared with all of them.
    let (sentence, rules) = told("whole", "receptacle-aluminium");
    assert!(
        sentence.contains("; the built-in set us, edition 2026.1, gives the same result"),
        "{sentence}"
    );
    let ids: Vec<&str> = rules.built_in.iter().map(|by| by.id.as_str()).collect();
    assert_eq!(ids, ["iec", "us"]);
    assert_eq!(rules.built_in[1].worse, [""; 0]);
    assert_eq!(
        contents(&document("townhouse-first"), None).other_rules,
        None
    );
}

/// Certificates whose rules file has the title of a built-in set exist: no new one is written, but
/// theirs are recomputed, and named as by the firm's own rules.
#[test]
fn a_certificate_by_rules_with_a_built_in_title_is_still_recomputed() {
    let title = "United States, NFPA 70 (NEC) 2023";
    let file = |title: &str| format!("extends: us\nid: acme\ntitle: {title}\n");
    assert!(warmlug::rules::load(&file(title), "rules.yaml").is_err());
    let mut typed = warmlug::rules::load(&file("Rules of Acme"), "rules.yaml").unwrap();
    typed.title = title.to_owned();
    let case = Case::by_rules("townhouse-first", &["en"], Some(Box::leak(Box::new(typed))));
    let mut document = document_of("townhouse-first", &case);
    attach_rules(&mut document, &file(title));
    let contents = contents(&document, None);
    assert!(contents.hold(), "{contents:?}");
    assert_eq!(contents.other_rules.unwrap().id, "acme");
}

/// Page 1 of a document, without what layout makes of its spaces.
fn first_page(document: &Document) -> String {
    let sealed = typeset::render(document).unwrap();
    let sealed = sign(&sealed, &KEY, &SignOptions::at(signed_at())).unwrap();
    let report = warmlug::seal::verify(sealed.bytes(), &VerifyOptions::default());
    let texts = report.verified().unwrap().page_texts().unwrap();
    texts[0].split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn page_1_says_whose_rules_they_are_and_what_they_soften() {
    let files = rules_files();
    let rules = |which: &str| {
        let (_, rules) = files.iter().find(|(name, _)| *name == which).unwrap();
        rules.as_str()
    };
    for (language, own, stricter, here) in [
        (
            "en",
            "the firm's own rules",
            "judges more strictly:",
            "here",
        ),
        (
            "de",
            "eigenen Regeln der Firma",
            "urteilt strenger:",
            "hier",
        ),
        (
            "fr",
            "propres à l’entreprise",
            "juge plus sévèrement",
            "ici",
        ),
        ("es", "reglas propias", "juzga con más rigor:", "aquí"),
    ] {
        let page = first_page(&judged_by(
            "receptacle-aluminium",
            &[language],
            rules("milder"),
        ));
        assert!(page.contains(own) && page.contains("(acme-"), "{page}");
        let points = page.split(stricter).nth(1).unwrap();
        let points = &points[..points.find("2025-06-03").unwrap_or(points.len())];
        // One for each result that the built-in set grades worse.
        let case = Case::by_rules(
            "receptacle-aluminium",
            &[language],
            Some(Box::leak(Box::new(
                warmlug::rules::load(rules("milder"), "rules.yaml").unwrap(),
            ))),
        );
        let [us] = &case.built_in[..] else {
            panic!("{:?}", case.built_in);
        };
        assert!(us.stricter.len() > 2, "{us:?}");
        let speaker = case.speaker();
        let milder = us.stricter.iter().map(|s| {
            let there = speaker.grade(s.check.effective_grade());
            format!("{there}, {here} {}", speaker.grade(s.here))
        });
        for grades in milder {
            assert!(points.contains(&grades), "{grades}: {points}");
        }
        let unchanged = judged_by("receptacle-aluminium", &[language], rules("unchanged"));
        let page = first_page(&unchanged);
        assert!(page.contains(own) && !page.contains(stricter), "{page}");
        let built_in = document_of(
            "receptacle-aluminium",
            &Case::in_languages("receptacle-aluminium", &[language]),
        );
        assert!(!first_page(&built_in).contains(own), "{language}");
    }
}

#[test]
fn rules_that_pass_for_a_built_in_set_are_refused() {
    for id in ["us", "US", "u\u{455}"] {
        let mut document = document("townhouse-first");
        let rules = whole_rules("us", id);
        attach_rules(&mut document, &rules);
        let contents = contents(&document, None);
        assert!(!contents.hold(), "{id}");
        let Findings::NotDetermined { because } = contents.findings else {
            panic!("{id}: {:?}", contents.findings);
        };
        assert!(because.contains("id is, or looks like"), "{because}");
    }
}

/// A place whose name no line holds.
const COMPOUND: &str = "Hauptleitungsabzweigklemmenkastenüberwachungseinrichtung \
                        mit Fehlerstromschutzeinrichtungsanschlussklemmenblock";

#[test]
fn words_that_are_divided_on_the_pages_are_found_whole() {
    let case = Case::in_languages("townhouse-first", &["de"]);
    let source = case.source.replace("Breaker terminals, panel A", COMPOUND);
    assert_ne!(source, case.source);
    let mut case = Case::new(&source, &[]);
    case.wording = warmlug::compose::Wording::built_in("de").unwrap();
    let document = certificate(&case);
    let pdf = typeset::render(&document).unwrap();
    let divided = Pdf::load(&pdf)
        .streams()
        .any(|s| String::from_utf8_lossy(s).contains("<00AD>"));
    assert!(divided, "no soft hyphen on any page");
    let contents = contents(&document, None);
    assert!(contents.hold(), "{contents:?}");
}

/// The same certificate in its main language alone.
fn contents_of_one(case: &Case, name: &str) -> Contents {
    contents(
        &document_of(name, &Case::in_languages(name, &[case.wording.language()])),
        None,
    )
}

/// Position of the result told again.
fn again(document: &Document) -> usize {
    document
        .body
        .iter()
        .position(|b| matches!(b, Block::Language(_)))
        .unwrap()
}

#[test]
fn another_result_told_again_in_another_language_is_found() {
    let case = Case::in_languages("townhouse-return", &["de", "en"]);
    let mut document = document_of("townhouse-return", &case);
    let at = again(&document);
    let verdict = document.body[at..]
        .iter_mut()
        .find_map(|block| match block {
            Block::Verdict { title, .. } => Some(title),
            _ => None,
        })
        .unwrap();
    *verdict = "Satisfactory, with notes".to_owned();
    let contents = contents(&document, None);
    assert!(!contents.hold());
    let Pages::No { differences } = contents.pages else {
        panic!("{:?}", contents.pages);
    };
    assert_eq!(
        differences,
        [
            "“Unsatisfactory: repair needed” is not on the page that repeats the result in English",
            "page 2 says “Satisfactory, with notes”, but the result of the record is “Unsatisfactory: repair needed”",
            "page 2 says “Satisfactory”, but the result of the record is “Unsatisfactory: repair needed”",
        ]
    );
}

#[test]
fn a_result_that_is_not_told_again_is_found() {
    let case = Case::in_languages("townhouse-return", &["de", "fr"]);
    let mut document = document_of("townhouse-return", &case);
    let at = again(&document);
    let end = document.body[at + 1..]
        .iter()
        .position(|b| matches!(b, Block::Language(_)))
        .unwrap();
    document.body.drain(at..=at + 1 + end);
    let Pages::No { differences } = contents(&document, None).pages else {
        panic!("not found");
    };
    assert_eq!(
        differences,
        ["the result is not repeated on the pages in French"]
    );
}

#[test]
fn pages_of_another_visit_are_found() {
    let mut clean = document("townhouse-first");
    clean.attachments = document("limited-visit").attachments;
    let contents = contents(&clean, None);
    assert!(!contents.hold());
    assert!(matches!(contents.findings, Findings::Yes { .. }));
    let Pages::No { differences } = contents.pages else {
        panic!("{:?}", contents.pages);
    };
    assert!(
        differences
            .iter()
            .any(|d| d.starts_with("the first page says “Satisfactory”, but the result of")),
        "{differences:?}"
    );
}

#[test]
fn a_finding_left_off_the_pages_is_named() {
    let mut document = document("townhouse-return");
    let case = Case::example("townhouse-return");
    let finding = case
        .assessment
        .findings
        .iter()
        .find(|f| f.grade > warmlug::visit::Grade::Pass)
        .unwrap();
    let text = case.speaker().diagnosis(finding).text;
    // The words stay inside for machines, and leave the pages.
    let mut other = certificate(&case);
    let printed = format!("{text:?}");
    other
        .body
        .retain(|block| !format!("{block:?}").contains(printed.trim_matches('"')));
    document.body = other.body;
    let Pages::No { differences } = contents(&document, None).pages else {
        panic!("not found");
    };
    assert!(
        differences.contains(&format!("the finding “{text}” is not on the pages")),
        "{differences:?}"
    );
}

#[test]
fn findings_that_do_not_follow_are_found() {
    let mut document = document("townhouse-return");
    edit(
        &mut document,
        "assessment.json",
        "\"outcome\": \"unsatisfactory\"",
        "\"outcome\": \"satisfactory\"",
    );
    let contents = contents(&document, None);
    assert!(!contents.hold());
    let Findings::No { differences } = contents.findings else {
        panic!("{:?}", contents.findings);
    };
    assert_eq!(differences.len(), 1);
    assert_eq!(differences[0].path, "/outcome");
}

#[test]
fn photos_are_held_against_their_digests() {
    let document = document("townhouse-first");
    let listed = document
        .attachments
        .iter()
        .find(|a| a.name == "photos.sha256")
        .map(|a| String::from_utf8(a.bytes.clone()).unwrap())
        .unwrap();
    let file = listed.lines().next().unwrap().split_once("  ").unwrap().1;
    let photos = listed.lines().count();
    let right = |path: &str| {
        let line = listed.lines().find(|l| l.ends_with(path)).unwrap();
        Original::Digest(line.split_once("  ").unwrap().0.to_owned())
    };
    assert_eq!(contents(&document, None).photos, Photos::Digests { photos });
    assert_eq!(
        contents(&document, Some(&right)).photos,
        Photos::Yes {
            photos,
            shown: false
        }
    );
    let wrong = |path: &str| match path {
        _ if path == file => Original::Digest("f".repeat(64)),
        _ => right(path),
    };
    let answers = contents(&document, Some(&wrong));
    assert!(!answers.hold());
    assert_eq!(
        answers.photos,
        Photos::No {
            differences: vec![format!("{file} is a different picture, or was changed")]
        }
    );
}

#[test]
fn a_list_of_other_photos_is_found() {
    let mut document = document("townhouse-first");
    edit(&mut document, "photos.sha256", "photos/", "elsewhere/");
    assert!(matches!(
        contents(&document, None).photos,
        Photos::No { .. }
    ));
}

/// What the first page prints behind its word for the check line.
fn check_line(document: &Document) -> String {
    let seal = document.body.iter().find_map(|block| match block {
        Block::Seal(seal) => Some(seal),
        _ => None,
    });
    let line = seal.unwrap().lines.last().unwrap().characters();
    line.strip_prefix("Check ").unwrap().to_owned()
}

#[test]
fn a_paper_copy_is_held_against_the_file() {
    let document = document("limited-visit");
    let line = check_line(&document);
    let paper = |line: &str| {
        let beside = OwnEvidence {
            check_line: Some(line),
            ..OwnEvidence::default()
        };
        let contents = contents_beside(&document, &KEY, &beside);
        (contents.paper.clone(), contents.hold())
    };
    assert_eq!(paper(&line), (Paper::Yes, true));
    let other = check_line(&self::document("townhouse-first"));
    let (answer, holds) = paper(&other);
    assert!(matches!(answer, Paper::No { .. }) && !holds);
    let (answer, holds) = paper("");
    assert!(matches!(answer, Paper::NotDetermined { .. }) && !holds);
}

#[test]
fn pages_that_name_another_key_are_found() {
    let contents = contents_beside(
        &document("limited-visit"),
        &identity(),
        &OwnEvidence::default(),
    );
    let Pages::No { differences } = contents.pages else {
        panic!("{:?}", contents.pages);
    };
    assert!(
        differences[0].starts_with("the check line, “"),
        "{differences:?}"
    );
}

/// The answer about the pages of a certificate that was changed before it was sealed.
fn pages_after(change: impl FnOnce(&mut Pdf)) -> Pages {
    let pdf = typeset::render(&document("townhouse-first")).unwrap();
    let mut pdf = Pdf::load(&pdf);
    change(&mut pdf);
    let sealed = sign(&pdf.save(), &KEY, &SignOptions::at(signed_at())).unwrap();
    answers(sealed.bytes(), &OwnEvidence::default()).pages
}

fn dict_mut<'a>(dict: &'a mut Dict, key: &[u8]) -> &'a mut Dict {
    match dict.get_mut(key) {
        Some(Object::Dictionary(dict)) => dict,
        other => panic!("{other:?}"),
    }
}

fn array_mut<'a>(dict: &'a mut Dict, key: &[u8]) -> &'a mut Vec<Object> {
    match dict.get_mut(key) {
        Some(Object::Array(items)) => items,
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_no_certificate_holds_is_found() {
    type Change = Box<dyn FnOnce(&mut Pdf)>;
    let script = || Dict::from([("S", "JavaScript".into()), ("JS", Object::text("1"))]);
    let page = |pdf: &mut Pdf, key: &str, value: Object| {
        let id = pdf.pages()[0];
        pdf.dict_mut(id).set(key, value);
    };
    assert!(matches!(pages_after(|_| {}), Pages::Yes { .. }));
    let small = || Object::from([0, 0, 10, 10]);
    let annotation = move |pdf: &mut Pdf| {
        let id = pdf.pages()[0];
        let stamp = pdf.add(Dict::from([
            ("Type", "Annot".into()),
            ("Subtype", "Stamp".into()),
            ("Rect", [0, 0, 612, 792].into()),
        ]));
        array_mut(pdf.dict_mut(id), b"Annots").push(stamp.into());
    };
    // The list of attached files, changed.
    let files = |change: fn(&mut Vec<Object>)| {
        move |pdf: &mut Pdf| {
            let names = dict_mut(pdf.catalog_mut(), b"Names");
            change(array_mut(dict_mut(names, b"EmbeddedFiles"), b"Names"));
        }
    };
    let cases: [(&str, Change); 9] = [
        (
            "/OpenAction",
            Box::new(move |pdf| pdf.catalog_mut().set("OpenAction", script())),
        ),
        (
            "/AA",
            Box::new(move |pdf| {
                let actions = Dict::from([("WC", script().into())]);
                pdf.catalog_mut().set("AA", actions);
            }),
        ),
        (
            "page 1 has a /AA",
            Box::new(move |pdf| page(pdf, "AA", Dict::from([("O", script().into())]).into())),
        ),
        (
            "page 1 has a /CropBox",
            Box::new(move |pdf| page(pdf, "CropBox", small())),
        ),
        (
            "page 1 has another size than a certificate's",
            Box::new(move |pdf| page(pdf, "MediaBox", Object::from([0, 0, 612, 300]))),
        ),
        ("an annotation of the kind /Stamp", Box::new(annotation)),
        (
            "two attached files are called “assessment.json”",
            Box::new(files(|list| list.extend_from_within(..2))),
        ),
        (
            "the attached file “zz.exe” has two names",
            Box::new(files(|list| {
                list.push(Object::text("zz.exe"));
                list.push(list[1].clone());
            })),
        ),
        (
            // It is told without the mark that turns what follows around.
            "the attached file “zzfdp.exe” is not part",
            Box::new(|pdf| {
                let visit = |dict: &&Dict| {
                    dict.is_name(b"Type", b"Filespec")
                        && dict.get(b"F") == Some(&Object::text("visit.yaml"))
                };
                let mut other = pdf.dicts().find(visit).unwrap().clone();
                let name = || Object::text("zz\u{202E}fdp.exe");
                other.set("F", name());
                other.set("UF", name());
                let names = dict_mut(pdf.catalog_mut(), b"Names");
                let list = array_mut(dict_mut(names, b"EmbeddedFiles"), b"Names");
                list.push(name());
                list.push(other.into());
            }),
        ),
    ];
    for (what, change) in cases {
        let Pages::No { differences } = pages_after(change) else {
            panic!("{what} was not found");
        };
        assert!(
            differences.iter().any(|d| d.contains(what)),
            "{what}: {differences:?}"
        );
    }
}

#[test]
fn places_of_countersignatures_are_made_before_sealing_and_filled_after_it() {
    let names = ["Client", "Landlord", "Reviewer"];
    let pdf = typeset::render(&document("townhouse-first")).unwrap();
    let sealed = sign(&pdf, &KEY, &SignOptions::at(signed_at())).unwrap();
    let fields = |bytes: &[u8]| -> Vec<Dict> {
        let pdf = Pdf::load(bytes);
        let form = pdf.follow(pdf.catalog().get(b"AcroForm").unwrap());
        let fields = form.as_dictionary().unwrap().get(b"Fields").unwrap();
        let fields = pdf.follow(fields).as_array().unwrap();
        fields
            .iter()
            .map(|field| pdf.dict(field.as_reference().unwrap()).clone())
            .collect()
    };
    let name = |field: &Dict| {
        let name = field.get(b"T").and_then(Object::as_string).unwrap();
        warmlug::pdf::text::decoded(&name.bytes)
    };
    let empty = fields(sealed.bytes());
    let named: Vec<String> = empty.iter().map(name).collect();
    assert_eq!(named, ["Seal", "Client", "Landlord", "Reviewer"]);
    for field in &empty[1..] {
        // A tooltip, a place in the structure and looks; no signature yet.
        for key in [b"TU".as_slice(), b"StructParent", b"AP", b"Rect"] {
            assert!(field.get(key).is_some(), "{}", name(field));
        }
        assert!(field.get(b"V").is_none());
        let rect = field.get(b"Rect").and_then(Object::as_array).unwrap();
        assert!(rect.iter().all(|side| side.as_integer() != Some(0)));
    }
    let mut bytes = sealed.bytes().to_vec();
    for hand in [Hand::Client, Hand::Landlord, Hand::Reviewer] {
        let signed = countersign(&bytes, &KEY, hand, &SignOptions::at(signed_at())).unwrap();
        bytes = signed.bytes().to_vec();
    }
    // Nothing but the signatures was added to the fields, and no field.
    let filled = fields(&bytes);
    for (before, after) in empty.iter().zip(&filled).skip(1) {
        let mut after = after.clone();
        assert!(after.get(b"V").is_some());
        after.0.retain(|(key, _)| key != b"V");
        assert_eq!(*before, after);
    }
    assert_eq!(filled.len(), empty.len());
    let report = verify(&bytes, &VerifyOptions::default());
    assert_eq!(
        report.changes,
        Changes::Permitted(
            names
                .map(|name| format!("a signature in the field “{name}”"))
                .to_vec()
        )
    );
    assert!(answers(&bytes, &OwnEvidence::default()).hold());
    // A further one is possible, without a place on a page; its name can be read out.
    let again = countersign(&bytes, &KEY, Hand::Client, &SignOptions::at(signed_at())).unwrap();
    let further = fields(again.bytes());
    assert_eq!(name(&further[4]), "Client 2");
    assert_eq!(further[4].get(b"TU"), further[4].get(b"T"));
    assert!(further[4].get(b"Rect").is_none() && further[4].get(b"Subtype").is_none());
}
