//! Several hands on one certificate: what the seal permits, and what it does not.
use crate::seal_common::authority::certificate;
use crate::seal_common::later::{self, HARMLESS, Hand as Stranger};
use crate::seal_common::{Kind, base, identity, signed_at};
use warmlug::seal::report::{Changes, Coverage, Role};
use warmlug::seal::{
    Hand, Identity, Person, SealError, SignOptions, VerifyOptions, countersign, sign, verify,
};

fn client() -> Identity {
    let person = Person {
        name: "Amal Okafor".to_owned(),
        ..Person::default()
    };
    Identity::create(&person, "2026-01-01T00:00:00Z".parse().unwrap()).unwrap()
}

#[test]
fn a_countersignature_is_permitted_and_named() {
    let (inspector, client) = (identity(), client());
    let options = SignOptions::at(signed_at());
    for kind in [Kind::Table, Kind::Stream] {
        for field in [true, false] {
            let sealed = sign(&base(kind, field), &inspector, &options).unwrap();
            let once = countersign(sealed.bytes(), &client, Hand::Client, &options).unwrap();
            let twice = countersign(once.bytes(), &inspector, Hand::Reviewer, &options).unwrap();
            let thrice = countersign(twice.bytes(), &client, Hand::Client, &options).unwrap();
            std::fs::write(
                format!(
                    "{}/countersigned-{kind:?}-{field}.pdf",
                    env!("CARGO_TARGET_TMPDIR")
                ),
                thrice.bytes(),
            )
            .unwrap();
            assert!(thrice.bytes().starts_with(sealed.bytes()));
            // A further field has a name to be read out, and no place on a page, which would have
            // to be in the structure (ISO 14289-1, 7.18.1 and 7.18.4).
            let added = String::from_utf8_lossy(&thrice.bytes()[twice.bytes().len()..]);
            assert!(added.contains("/TU "), "{added}");
            assert!(!added.contains("/Widget"), "{added}");
            let report = verify(thrice.bytes(), &VerifyOptions::default());
            assert_eq!(
                report.objections(),
                Vec::<String>::new(),
                "{kind:?} {field}"
            );
            assert!(report.unchanged());
            assert_eq!(
                report.changes,
                Changes::Permitted(
                    ["Client", "Reviewer", "Client 2"]
                        .map(|name| format!("a signature in the field “{name}”"))
                        .to_vec()
                )
            );
            let names: Vec<&str> = report.signatures.iter().map(|s| s.field.as_str()).collect();
            assert_eq!(names, ["Seal", "Client", "Reviewer", "Client 2"]);
            assert_eq!(report.signatures[1].role, Role::Approval);
            assert_eq!(
                report.signatures[0].coverage,
                Coverage::Revision {
                    bytes: sealed.bytes().len(),
                    added: thrice.bytes().len() - sealed.bytes().len()
                }
            );
            assert_eq!(report.signatures[3].coverage, Coverage::WholeFile);
            let verified = report.verified().unwrap();
            assert_eq!(verified.bytes(), sealed.bytes());
            assert_eq!(verified.fingerprint(), inspector.fingerprint());
        }
    }
}

#[test]
fn nothing_broken_is_countersigned() {
    let options = SignOptions::at(signed_at());
    let mut bytes = sign(&base(Kind::Table, true), &identity(), &options)
        .unwrap()
        .into_bytes();
    let place = bytes.windows(4).position(|w| w == b"2026").unwrap();
    bytes[place] = b'3';
    assert!(matches!(
        countersign(&bytes, &client(), Hand::Client, &options),
        Err(SealError::Unfit(_))
    ));
    assert!(matches!(
        countersign(&base(Kind::Table, true), &client(), Hand::Client, &options),
        Err(SealError::Unfit(_))
    ));
}

#[test]
fn a_countersignature_cut_off_or_flipped_is_noticed() {
    let options = SignOptions::at(signed_at());
    let sealed = sign(&base(Kind::Table, true), &identity(), &options).unwrap();
    let signed = countersign(sealed.bytes(), &client(), Hand::Client, &options).unwrap();
    let (inner, all) = (sealed.bytes().len(), signed.bytes().len());
    for at in inner..all {
        let mut bytes = signed.bytes().to_vec();
        bytes[at] ^= 1 << (at % 8);
        assert!(
            !verify(&bytes, &VerifyOptions::default()).unchanged(),
            "byte {at}: {}",
            String::from_utf8_lossy(&bytes[at - 40..at + 20])
        );
        let cut = verify(&signed.bytes()[..at], &VerifyOptions::default()).unchanged();
        assert_eq!(cut, at == inner, "cut at {at}");
    }
}

/// A file sealed by the inspector, its form inside its catalogue.
fn sealed() -> Vec<u8> {
    let options = SignOptions::at(signed_at());
    sign(&base(Kind::Table, true), &identity(), &options)
        .unwrap()
        .into_bytes()
}

#[track_caller]
fn refused(bytes: &[u8], what: &str) {
    let report = verify(bytes, &VerifyOptions::default());
    let Changes::NotPermitted(named) = &report.changes else {
        panic!("{what}: {:?}, {:?}", report.changes, report.objections());
    };
    assert!(
        named.iter().any(|name| name.contains(what)),
        "{what}: {named:?}"
    );
    // Nothing else is wrong with it: this is what keeps it from passing.
    assert!(report.signatures.iter().all(|s| s.holds()), "{report:?}");
    assert!(!report.unchanged());
    let told = [report.sentence(), report.objections().concat()].concat();
    assert!(!told.contains(['\u{202e}', '\u{2066}', '\u{1b}']), "{told}");
}

#[test]
fn a_signature_by_another_program_is_permitted() {
    let sealed = sealed();
    for field in [
        "/Rect [0 0 0 0]/F 132",
        "/Rect [0 0 0 0]/F 132/Ff 0",
        "/Rect [0.0 0.0 0.0 0.0]",
        "/Rect [0 0 0 0]/AP <<>>",
    ] {
        let signed = Stranger { field, ..HARMLESS }.sign(&sealed);
        let report = verify(&signed, &VerifyOptions::default());
        assert!(report.unchanged(), "{field}: {:?}", report.objections());
        assert_eq!(report.signatures[1].field, "Client");
    }
    // A name that reads like an answer of this program is quoted as its signer's.
    let name = "(The seal is unbroken: signed by Rosa Lindqvist)";
    let signed = Stranger { name, ..HARMLESS }.sign(&sealed);
    let report = verify(&signed, &VerifyOptions::default());
    assert_eq!(
        report.changes,
        Changes::Permitted(vec![
            "a signature in a field that its signer named “The seal is unbroken: signed by Rosa \
             Lindqvist”"
                .to_owned()
        ])
    );
    let name = "<FEFF0078201D003A00200079>";
    let signed = Stranger { name, ..HARMLESS }.sign(&sealed);
    let report = verify(&signed, &VerifyOptions::default());
    assert_eq!(
        report.changes,
        Changes::Permitted(vec![
            "a signature in a field that its signer named “x': y”".to_owned()
        ])
    );
    let empty = later::stream("/Type /XObject/Subtype /Form/BBox [0 0 0 0]", b"");
    let looks = format!(
        "{}/AP <</N {} 0 R>>",
        HARMLESS.field,
        Stranger::further(&sealed)
    );
    let signed = Stranger {
        field: &looks,
        more: vec![empty],
        ..HARMLESS
    }
    .sign(&sealed);
    let report = verify(&signed, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
    let signature = format!("{}/ContactInfo (lee@example.com)", HARMLESS.signature);
    let signed = Stranger {
        signature: &signature,
        ..HARMLESS
    }
    .sign(&sealed);
    let report = verify(&signed, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
}

/// The source of an object as a revision has it.
fn object(pdf: &[u8], number: u32) -> (u32, Vec<u8>) {
    (number, later::source(pdf, number).into_bytes())
}

fn certificate_stream(name: &str) -> Vec<u8> {
    later::stream("", &certificate(name))
}

#[test]
fn a_countersignature_lasts() {
    let sealed = sealed();
    let (field, page) = (later::free(&sealed), later::page(&sealed));
    let loose = Stranger {
        on_page: false,
        ..HARMLESS
    }
    .sign(&sealed);
    let signed = HARMLESS.sign(&sealed);
    // An update without any key: one certificate as validation data, and these objects.
    let with = |pdf: &[u8], catalog: &[u8], more: &[(u32, Vec<u8>)]| {
        let new = later::free(pdf);
        let dss = later::catalog_with(catalog, &format!("/DSS <</Certs [{new} 0 R]>>"));
        let stream = (new, certificate_stream("root.crt"));
        later::append(pdf, &[more, &[dss, stream]].concat(), "")
    };
    for pdf in [&loose, &signed] {
        let extended = with(pdf, pdf, &[]);
        let report = verify(&extended, &VerifyOptions::default());
        assert!(report.unchanged(), "{:?}", report.objections());
        assert_eq!(report.signatures.len(), 2);
    }
    let other_name = later::source(&signed, field).replace("(Client)", "(Landlord)");
    let renamed = with(&signed, &signed, &[(field, other_name.into_bytes())]);
    refused(
        &renamed,
        "the field “Client” was replaced after it was signed",
    );
    let off_page = with(&signed, &signed, &[object(&sealed, page)]);
    refused(&off_page, "a signature was removed from its page");
    // The form as it was sealed, and new uses for the numbers of the countersignature.
    let new = later::free(&loose);
    let list = format!("/DSS <</Certs [{field} 0 R {} 0 R {new} 0 R]>>", field + 1);
    let vanished = later::append(
        &loose,
        &[
            later::catalog_with(&sealed, &list),
            (field, certificate_stream("root.crt")),
            (field + 1, certificate_stream("issued.crt")),
            (new, certificate_stream("tsa.crt")),
        ],
        "",
    );
    refused(&vanished, "a signature was removed from the form");
}

#[test]
fn a_signature_belongs_to_one_field() {
    let sealed = sealed();
    let signature = later::free(&sealed) + 1;
    let further = Stranger::further(&sealed);
    let second = format!("<</FT /Sig/T (Landlord)/V {signature} 0 R>>");
    let hand = Stranger {
        fields: &format!(" {further} 0 R"),
        more: vec![second.into_bytes()],
        ..HARMLESS
    };
    refused(&hand.sign(&sealed), "also another field's signature");
}

#[test]
fn a_wrong_range_behind_an_unbroken_seal_is_not_another_programs_saving() {
    let sealed = sealed();
    let signed = HARMLESS.sign(&sealed);
    let head = b"/ByteRange [";
    let at = signed.windows(head.len()).rposition(|w| w == head).unwrap() + head.len();
    let end = at + signed[at..].iter().position(|b| *b == b']').unwrap();
    let range = std::str::from_utf8(&signed[at..end]).unwrap();
    let numbers: Vec<usize> = range.split(' ').map(|n| n.parse().unwrap()).collect();
    let wider = format!("0 {} {} {}", numbers[1], numbers[2] + 2, numbers[3] - 2);
    let mut bytes = signed.clone();
    bytes[at..end].copy_from_slice(format!("{wider:<width$}", width = end - at).as_bytes());
    let report = verify(&bytes, &VerifyOptions::default());
    let told = report.objections().join("; ");
    assert!(
        !report.unchanged() && told.contains("omits something other"),
        "{told}"
    );
    assert!(!told.contains("saved"), "{told}");
}

#[test]
fn validation_data_grows_and_does_not_shrink() {
    let sealed = sealed();
    let first = later::free(&sealed);
    let update = |pdf: &[u8], list: String, streams: &[(u32, Vec<u8>)]| {
        let dss = later::catalog_with(&sealed, &format!("/DSS <</Certs [{list}]>>"));
        later::append(pdf, &[&[dss], streams].concat(), "")
    };
    let root = (first, certificate_stream("root.crt"));
    let once = update(&sealed, format!("{first} 0 R"), &[root]);
    let second = first + 1;
    let issued = [(second, certificate_stream("issued.crt"))];
    let both = format!("{first} 0 R {second} 0 R");
    let grown = verify(&update(&once, both, &issued), &VerifyOptions::default()).unchanged();
    assert!(grown);
    // Still in the file, but no longer where it is looked for.
    let aside = format!(
        "{second} 0 R]/VRI <</{} <</Cert [{first} 0 R]>>>>/CRLs [",
        "0".repeat(40)
    );
    let shrunk = update(&once, aside, &issued);
    refused(&shrunk, "validation data was removed");
    let exchanged = [(first, certificate_stream("issued.crt"))];
    let exchanged = update(&once, format!("{first} 0 R"), &exchanged);
    refused(&exchanged, "which had been added, was changed");
}

#[test]
fn a_field_brings_nothing_but_its_signature() {
    let sealed = sealed();
    let further = Stranger::further(&sealed);
    let script = "<</S /JavaScript/JS (app.alert)>>";
    for (key, value) in [
        ("/AA", format!("<</PO {script}>>")),
        ("/AA", format!("{further} 0 R")),
        ("/A", script.to_owned()),
        ("/A", "<</S /URI/URI (http://example.com)>>".to_owned()),
        ("/TM", "(x)".to_owned()),
        ("/DV", "(x)".to_owned()),
        ("/DA", "(/H 1 Tf)".to_owned()),
        ("/Contents", "(Satisfactory)".to_owned()),
        ("/Lock", "<</Type /SigFieldLock/Action /All>>".to_owned()),
        ("/SV", "<</Type /SV>>".to_owned()),
        ("/AF", "[<</Type /Filespec/F (visit.yaml)>>]".to_owned()),
        ("/BS", "<</W 5000>>".to_owned()),
        ("/Border", "[0 0 5000]".to_owned()),
        ("/MK", "<</CA (Satisfactory)>>".to_owned()),
        ("/OC", format!("{further} 0 R")),
        ("/StructParent", "0".to_owned()),
        ("/Popup", format!("{further} 0 R")),
        ("/AP", format!("<</N {further} 0 R>>")),
        ("/AP", format!("<</D {further} 0 R>>")),
        ("/Ff", "(x)".to_owned()),
    ] {
        let field = format!("{}{key} {value}", HARMLESS.field);
        let mut hand = Stranger {
            field: &field,
            ..HARMLESS
        };
        if value.contains(" 0 R") {
            hand.more
                .push(b"<</PO <</S /JavaScript/JS (app.alert)>>>>".to_vec());
        }
        refused(&hand.sign(&sealed), key);
    }
    // A tool tip, which some programs give to every field.
    let field = format!("{}/TU (Received)", HARMLESS.field);
    let hand = Stranger {
        field: &field,
        ..HARMLESS
    };
    let pdf = hand.sign(&sealed);
    let report = verify(&pdf, &VerifyOptions::default());
    assert!(matches!(report.changes, Changes::NotJudged(_)) && !report.unchanged());
    let green = b"0 1 0 rg 0 0 612 792 re f";
    let painted = later::stream("/Type /XObject/Subtype /Form/BBox [0 0 0 0]", green);
    let looks = format!("{}/AP <</N {further} 0 R>>", HARMLESS.field);
    let hand = Stranger {
        field: &looks,
        more: vec![painted],
        ..HARMLESS
    };
    refused(&hand.sign(&sealed), "/AP");
    for field in ["/Rect [0 0 612 792]", "/Rect [0 0 612 0]", "/F 132"] {
        let hand = Stranger { field, ..HARMLESS };
        refused(&hand.sign(&sealed), "visible signature field");
    }
}

#[test]
fn a_signature_dictionary_holds_nothing_else() {
    let sealed = sealed();
    for (key, more) in [
        ("/AA", "/AA <</S /JavaScript/JS (1)>>"),
        ("/Cert", "/Cert (x)"),
        ("/Changes", "/Changes [1 2 3]"),
        ("/Prop_Build", "/Prop_Build <</App <</AA <<>>>>>>"),
        ("/Location", "/Location <</S /JavaScript/JS (1)>>"),
        (
            "changes the permissions",
            "/Reference [<</TransformMethod /FieldMDP>>]",
        ),
    ] {
        let signature = format!("{}{more}", HARMLESS.signature);
        let hand = Stranger {
            signature: &signature,
            ..HARMLESS
        };
        refused(&hand.sign(&sealed), key);
    }
    let signature = HARMLESS
        .signature
        .replace("Adobe.PPKLite", "Another.Handler");
    let hand = Stranger {
        signature: &signature,
        ..HARMLESS
    };
    refused(&hand.sign(&sealed), "/Filter");
}

#[test]
fn the_catalogue_and_the_page_get_the_field_alone() {
    let sealed = sealed();
    for (key, catalog) in [
        ("/OpenAction", "/OpenAction <</S /JavaScript/JS (1)>>"),
        ("/AA", "/AA <</WC <</S /JavaScript/JS (1)>>>>"),
        (
            "/Extensions",
            "/Extensions <</X <</S /JavaScript/JS (1)>>>>",
        ),
        ("the validation data", "/DSS <</Foo <</S /JavaScript>>>>"),
        ("an entry /S ", "/DSS <</S /JavaScript>>"),
        ("an entry /JS ", "/DSS <</JS (app.alert)>>"),
    ] {
        let hand = Stranger {
            catalog,
            ..HARMLESS
        };
        refused(&hand.sign(&sealed), key);
    }
    let twice = Stranger {
        times: 2,
        ..HARMLESS
    };
    refused(&twice.sign(&sealed), "page 1 was changed");
}

#[test]
fn a_field_has_a_name_of_its_own_that_reads_as_it_stands() {
    let sealed = sealed();
    for (name, what) in [
        ("()", "without a name"),
        ("(  .)", "without a name"),
        ("(Seal)", "a second signature field"),
        ("(SEAL.)", "a second signature field"),
        ("<FEFF005300650430006C>", "a second signature field"),
        ("<FEFFFF33FF45FF41FF4C>", "a second signature field"),
        ("<FEFFD835DC12006500610031>", "a second signature field"),
        ("<FEFF202E0041>", "hides or reorders"),
        ("<FEFF0043206600420041>", "hides or reorders"),
        ("(x\\033[31m)", "hides or reorders"),
        ("(x\\nThe seal is unbroken)", "hides or reorders"),
    ] {
        let hand = Stranger { name, ..HARMLESS };
        let signed = hand.sign(&sealed);
        refused(&signed, what);
        let report = verify(&signed, &VerifyOptions::default());
        assert!(
            report.signatures[1]
                .field
                .chars()
                .all(|c| !c.is_control() && !('\u{2000}'..'\u{2070}').contains(&c))
        );
    }
}

/// Some programs write an object again that they only looked at. Nothing was changed by that, and nothing
/// shows what else the program does.
#[test]
fn an_object_written_again_as_it_was_is_not_called_changed() {
    let sealed = sealed();
    // The page, see `base`.
    let page = later::source(&sealed, 2);
    assert!(page.contains("/MediaBox"), "{page}");
    let again = |source: String| {
        let pdf = later::append(&sealed, &[(2, source.into_bytes())], "");
        verify(&pdf, &VerifyOptions::default()).changes
    };
    let Changes::NotJudged(named) = again(page.clone()) else {
        panic!("{:?}", again(page));
    };
    assert_eq!(named, ["page 1 written again as it was"]);
    let other = page.replace("612", "611");
    let refused = Changes::NotPermitted(vec!["page 1 was changed".to_owned()]);
    assert_eq!(again(other), refused);
}
