//! What follows a seal is spelled in the regular way, and contains nothing that a reader which
//! repairs broken files would take for another page.
//!
//! How readers rebuild a file is common practice, no source: they look for `N N obj` and `trailer`
//! anywhere. The regular spelling is that of ISO 32000-1, 7.3.10, 7.5.4 and 7.5.5.
use crate::seal_common::authority::ocsp_response as response;
use crate::seal_common::authority::{certificate, ocsp_with};
use crate::seal_common::authority::{octets, oid, sequence, value};
use crate::seal_common::issued::{SIGNER, Wish, issue};
use crate::seal_common::later::{self, HARMLESS, Hand as Stranger};
use crate::seal_common::{Kind, base, identity, signed_at};
use crate::seal_common::{key_file, three_blue};
use warmlug::seal::report::Changes;
use warmlug::seal::validation_data::{add, revocation_list};
use warmlug::seal::{
    Hand, Identity, SealError, SignOptions, VerifyOptions, countersign, sign, verify,
};

fn sealed(kind: Kind) -> Vec<u8> {
    let options = SignOptions::at(signed_at());
    sign(&base(kind, true), &identity(), &options)
        .unwrap()
        .into_bytes()
}

#[track_caller]
fn refused(bytes: &[u8], what: &str) {
    let report = verify(bytes, &VerifyOptions::default());
    assert!(!report.unchanged(), "{what}: passed as genuine");
    let Changes::NotPermitted(named) = &report.changes else {
        panic!("{what}: {:?}, {:?}", report.changes, report.objections());
    };
    assert!(
        named.iter().any(|name| name.contains(what)),
        "{what}: {named:?}"
    );
}

#[track_caller]
fn permitted(bytes: &[u8]) {
    let report = verify(bytes, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
}

/// A sealed file with validation data of one stream behind it.
fn with_stream(pdf: &[u8], stream: Vec<u8>) -> Vec<u8> {
    let first = later::free(pdf);
    let catalog = later::catalog_with(pdf, &format!("/DSS <</OCSPs [{first} 0 R]>>"));
    later::append(pdf, &[catalog, (first, stream)], "")
}

fn deflated(data: &[u8], level: flate2::Compression) -> Vec<u8> {
    use std::io::Write;
    let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), level);
    encoder.write_all(data).unwrap();
    encoder.finish().unwrap()
}

const ANOTHER_PAGE: [&[u8]; 13] = [
    b"\n4 0 obj\n<</Type /Page>>\nendobj\n",
    b"\r4\r0\robj<<>>",
    b"4 0obj <<>>",
    b"4\x000\x0cobj <<>>",
    b"4 -0 obj <<>>",
    b"4 %\n0 % x\robj <<>>",
    b"\ntrailer\n<</Root 4 0 R>>",
    b"\nstartxref\n9\n",
    // One reader takes the last two numbers, whatever is between.
    b"4 x 0 y obj <<>>",
    b"\nobj<</Type /Page>>",
    // Bytes that single readers skip like white space.
    b"4\x800\xFFobj\x80<<>>",
    b"\x80trailer\x80<</Root 4 0 R>>",
    // A reader that was misled about a length looks for the end.
    b"\nendstream\nendobj\n",
];

#[test]
fn no_stream_holds_what_a_repaired_file_would_show() {
    let sealed = sealed(Kind::Table);
    permitted(&with_stream(
        &sealed,
        later::stream(
            "",
            &response(b"No objection, 2 objections; trailers; xreference"),
        ),
    ));
    for what in ANOTHER_PAGE.into_iter().chain([&b"\nxref\n0 1\n"[..]]) {
        let der = response(what);
        let broken = "repairs broken files";
        refused(&with_stream(&sealed, later::stream("", &der)), broken);
        // Compression that only stores leaves the bytes as they are.
        let stored = deflated(&der, flate2::Compression::none());
        let stream = later::stream("/Filter /FlateDecode", &stored);
        refused(&with_stream(&sealed, stream), broken);
    }
    // Once compressed, it can't be found by looking for it.
    let long = ANOTHER_PAGE[0].repeat(3);
    let packed = deflated(&response(&long), flate2::Compression::best());
    if !packed.windows(5).any(|w| w == b"0 obj") {
        permitted(&with_stream(
            &sealed,
            later::stream("/Filter /FlateDecode", &packed),
        ));
    }
}

fn signed_for(pdf: &[u8], reason: &str) -> Vec<u8> {
    let signature = HARMLESS
        .signature
        .replace("(Received)", &format!("({reason})"));
    Stranger {
        signature: &signature,
        ..HARMLESS
    }
    .sign(pdf)
}

#[test]
fn no_string_holds_what_a_repaired_file_would_show() {
    let sealed = sealed(Kind::Table);
    for fine in [
        "No objection",
        "2 objections",
        "Circuits 4 and 0 objected to",
        "the trailers",
        "100 % of 4 0 ok",
    ] {
        permitted(&signed_for(&sealed, fine));
    }
    for reason in [
        "Received\n4 0 obj\n<</Type /Page>>",
        "4 0 obj",
        "4 0obj",
        "4 %\n0 obj",
        "\\064 \\060 obj",
        "4\\n0\\nob\\\nj",
        "x trailer<</Size 5>>",
        "trailer",
        "startxref",
        "x\nxref\n0 1",
    ] {
        refused(&signed_for(&sealed, reason), "repairs broken files");
    }
}

#[test]
fn what_is_said_of_a_signature_is_short() {
    let sealed = sealed(Kind::Table);
    permitted(&signed_for(&sealed, &"x".repeat(500)));
    refused(
        &signed_for(&sealed, &"x".repeat(501)),
        "/Reason of more than 500 characters",
    );
    let name = format!("({})", "x".repeat(501));
    let hand = Stranger {
        name: &name,
        ..HARMLESS
    };
    refused(&hand.sign(&sealed), "name of more than 500 characters");
}

/// The bytes behind the seal with the first of these pieces exchanged for another.
fn spelled(sealed: &[u8], whole: &[u8], from: &str, to: &str) -> Vec<u8> {
    let behind = &whole[sealed.len()..];
    let at = behind
        .windows(from.len())
        .position(|w| w == from.as_bytes())
        .unwrap_or_else(|| panic!("{from:?} is missing"));
    [
        sealed,
        &behind[..at],
        to.as_bytes(),
        &behind[at + from.len()..],
    ]
    .concat()
}

#[test]
fn only_regular_spelling_stands_behind_a_seal() {
    let sealed = sealed(Kind::Table);
    let whole = with_stream(&sealed, later::stream("", &response(b"data")));
    permitted(&whole);
    let new = later::free(&sealed);
    let size = format!("/Size {}", new + 1);
    let head = format!("{new} 0 obj\n");
    let put = |from: &str, to: &str| spelled(&sealed, &whole, from, to);
    // The same length, so that all places stay true.
    for (from, to) in [
        (head.as_str(), format!("{new} 0obj \n")),
        (&head, format!("{new}\x000 obj\n")),
        (&head, format!("{new} 0 obj\x00")),
        (&head, format!("{new} 0 obj\x0c")),
        (&head, format!("{new}\n0 obj\n")),
        ("\nendobj\n", "\0endobj\n".to_owned()),
        ("\nendobj\n", "\nendobj\0".to_owned()),
        ("\nendobj\n", "\nendobj ".to_owned()),
        ("\nendstream", "\0endstream".to_owned()),
        ("/DSS <", "/DSS\0<".to_owned()),
        ("xref\n", "xref\0".to_owned()),
        ("xref\n", "xref\x0c".to_owned()),
        ("xref\n", "xref ".to_owned()),
        (" 1\n00", " 1\x0000".to_owned()),
        (" 00000 n", "\x0000000 n".to_owned()),
        (" n \n", " n\0\n".to_owned()),
        (" n \n", " n\n\n".to_owned()),
        ("trailer\n", "trailer\0".to_owned()),
        ("trailer\n", "trailer\x0c".to_owned()),
        (">>\nstartxref", ">>\0startxref".to_owned()),
        (">>\nstartxref", ">> startxref".to_owned()),
        ("startxref\n", "startxref\0".to_owned()),
        ("startxref\n", "startxref\x0c".to_owned()),
        ("startxref\n", "startxref ".to_owned()),
        ("startxref\n", "startxref\n\n".to_owned()),
        ("\n%%EOF", "\0%%EOF".to_owned()),
        ("\n%%EOF", " %%EOF".to_owned()),
        (&size, "/Size -1".to_owned()),
        (&size, format!("/Size {}", new + 2)),
        (&size, "/Size 1".to_owned()),
        (&size, format!("/Size +{}", new + 1)),
        (&size, format!("/Size 0{}", new + 1)),
        (&size, format!("/S#69ze {}", new + 1)),
        (&size, format!("/Size\0{}", new + 1)),
        // Readers cut long tokens.
        ("/Root ", format!("/Root {}", "0".repeat(40))),
        ("/Root ", "/Root +".to_owned()),
        ("/Root ", "/R#6fot ".to_owned()),
        ("/Prev ", format!("/Prev {}", "0".repeat(300))),
        (" 0 R/Prev", format!(" {} R/Prev", "0".repeat(300))),
    ] {
        let bytes = put(from, &to);
        let report = verify(&bytes, &VerifyOptions::default());
        assert!(!report.unchanged(), "{from:?} became {to:?}");
    }
    // Both usual line ends are fine.
    for (from, to) in [
        ("startxref\n", "startxref\r\n"),
        ("\n%%EOF\n", "\r\n%%EOF\r\n"),
        ("\n%%EOF\n", "\n%%EOF"),
        (" n \n", " n\r\n"),
        (">>\nstartxref", ">>\n\nstartxref"),
    ] {
        permitted(&put(from, to));
    }
}

#[test]
fn strings_hold_no_filler() {
    let sealed = sealed(Kind::Table);
    for reason in ["x\\\nx", "x\\\r\nx", "x\ry", "\\777"] {
        refused(&signed_for(&sealed, reason), "unused bytes");
    }
    permitted(&signed_for(&sealed, "\\(x\\)\\\\ \\101\\n"));
    let whole = with_stream(&sealed, later::stream("", &response(b"data")));
    let id = whole.windows(3).rposition(|w| w == b"/ID").unwrap();
    let open = id + whole[id..].iter().position(|b| *b == b'<').unwrap() + 1;
    let filled = [&whole[..open], &b" ".repeat(200), &whole[open..]].concat();
    refused(&filled, "a table was added that holds more");
    let blank = [&whole[..open], b" ", &whole[open..]].concat();
    permitted(&blank);
}

/// Readers differ about a reference that is spelled in another way: some take it for nothing, and show an
/// empty page (ISO 32000-1, 7.2.2 and 7.3.10).
#[test]
fn a_reference_has_one_spelling() {
    let sealed = sealed(Kind::Table);
    let catalog = later::source(&sealed, later::root(&sealed));
    let (_, pages) = catalog.split_once("/Pages ").unwrap();
    let pages = &pages[..pages.find(' ').unwrap()];
    let first = later::free(&sealed);
    let data = (first, later::stream("", &response(b"data")));
    let with = |entry: &str, of: &str| {
        let (root, catalog) = later::catalog_with(&sealed, &format!("/DSS <</OCSPs [{of}]>>"));
        let catalog = String::from_utf8(catalog).unwrap();
        let regular = format!("/Pages {pages} 0 R");
        assert_eq!(catalog.matches(&regular).count(), 1);
        let catalog = catalog.replace(&regular, entry).into_bytes();
        later::append(&sealed, &[(root, catalog), data.clone()], "")
    };
    let regular = |number: &str| format!("/Pages {number} 0 R");
    let own = format!("{first} 0 R");
    permitted(&with(&regular(pages), &own));
    for spelling in [
        "@ 0R", "@ 00R", "@ 0 R0", "@ 00 R", "0@ 0 R", "@  0 R", "@ 0  R", "@\t0 R", "@ 0\tR",
        "@\n0 R", "@ 0%\nR", "@%\n0 R", "@ 0\0R", "@ +0 R", "@ -0 R", "+@ 0 R", "@ 0. R", "@.0 R",
        "@ 0 Rx",
    ] {
        let in_pages = format!("/Pages {}", spelling.replace('@', pages));
        let in_list = spelling.replace('@', &first.to_string());
        for bytes in [with(&in_pages, &own), with(&regular(pages), &in_list)] {
            let report = verify(&bytes, &VerifyOptions::default());
            assert!(
                !report.unchanged(),
                "{spelling:?} was taken for a reference"
            );
        }
    }
    // Other tokens that run into each other, and names that readers cut.
    for more in [
        "/TU 5true".to_owned(),
        "/TU 5null".to_owned(),
        "/TU truefalse".to_owned(),
        "/TU 5R".to_owned(),
        "/TU [5]R".to_owned(),
        "/TU <414>".to_owned(),
        "/TU <41\x0042>".to_owned(),
        "/ 5".to_owned(),
        format!("/{} 5", "x".repeat(128)),
    ] {
        let list = format!("/OCSPs [{own}]{more}");
        let (root, catalog) = later::catalog_with(&sealed, &format!("/DSS <<{list}>>"));
        let bytes = later::append(&sealed, &[(root, catalog), data.clone()], "");
        let report = verify(&bytes, &VerifyOptions::default());
        assert!(
            matches!(
                report.changes,
                Changes::NotPermitted(_) | Changes::NotDetermined(_)
            ) || !report.readable.is_yes(),
            "{more:?}: {:?}",
            report.changes
        );
    }
}

#[test]
fn an_update_follows_the_one_before_it_directly() {
    let sealed = sealed(Kind::Table);
    let behind = |what: &[u8]| {
        let pdf = [&sealed, what].concat();
        with_stream(&pdf, later::stream("", &response(b"data")))
    };
    permitted(&behind(b""));
    permitted(&behind(b"\n"));
    for what in [&b" "[..], b"\0", b"\x0c", b"\t", b"\n \n", b"%x\n"] {
        refused(&behind(what), "bytes were added that belong to no object");
    }
    // Without a line end before it, an object would continue the comment `%%EOF`.
    let once = with_stream(&sealed, later::stream("", &response(b"data")));
    let signed = HARMLESS.sign(once.strip_suffix(b"\n").unwrap());
    refused(&signed, "bytes were added that belong to no object");
    permitted(&HARMLESS.sign(&once));
}

#[test]
fn a_table_is_of_the_kind_that_the_file_has() {
    let sealed = sealed(Kind::Stream);
    let whole = with_stream(&sealed, later::stream("", &response(b"data")));
    refused(&whole, "is of another kind than the file's");
}

/// A reason with everything in it that is refused as plain text.
fn daring() -> SignOptions {
    SignOptions {
        reason: Some("4 0 obj <</Type /Page>>\ntrailer <</Root 4 0 R>>\nstartxref".to_owned()),
        location: Some("xref (a trailer)".to_owned()),
        ..SignOptions::at(signed_at())
    }
}

#[test]
fn a_countersignature_of_this_program_can_be_worded_freely() {
    for kind in [Kind::Table, Kind::Stream] {
        let sealed = sealed(kind);
        let signed = countersign(&sealed, &identity(), Hand::Client, &daring()).unwrap();
        permitted(signed.bytes());
        let behind = &signed.bytes()[sealed.len()..];
        assert!(
            !behind
                .windows(9)
                .any(|w| w == b"4 0 obj <" || w == b"a trailer")
        );
        let mut options = daring();
        options.reason = Some("é".repeat(500));
        let signed = countersign(&sealed, &identity(), Hand::Client, &options).unwrap();
        permitted(signed.bytes());
        options.reason = Some("é".repeat(501));
        let refused = countersign(&sealed, &identity(), Hand::Client, &options);
        let Err(SealError::Unfit(why)) = refused else {
            panic!("{refused:?}");
        };
        assert_eq!(
            why,
            "the reason of the countersignature has more than 500 characters"
        );
    }
}

#[test]
fn validation_data_of_this_program_is_compressed() {
    let folder = tempfile::tempdir().unwrap();
    let identity = Identity::load(&key_file(&folder, "issued.p12"), &three_blue()).unwrap();
    let options = SignOptions::at(identity.valid_from().fixed_offset());
    let list = revocation_list(&key_file(&folder, "nobody.crl")).unwrap();
    let sealed = sign(&base(Kind::Table, true), &identity, &options).unwrap();
    let with = add(&sealed, &identity, std::slice::from_ref(&list)).unwrap();
    permitted(with.bytes());
    // The list is too short to gain by it.
    let plain = identity.certificate_der();
    let behind = &with.bytes()[sealed.bytes().len()..];
    assert!(!behind.windows(40).any(|w| w == &plain[20..60]));
}

#[track_caller]
fn not_judged(bytes: &[u8], what: &str) {
    let report = verify(bytes, &VerifyOptions::default());
    assert!(!report.unchanged(), "{what}: passed as genuine");
    let Changes::NotJudged(named) = &report.changes else {
        panic!("{what}: {:?}, {:?}", report.changes, report.objections());
    };
    assert!(
        named.iter().any(|name| name.contains(what)),
        "{what}: {named:?}"
    );
    let sentence = report.sentence();
    assert!(
        sentence.starts_with("This file cannot be judged as it is now: ")
            && sentence.contains("added by another program, cannot be judged")
            && sentence.ends_with("What was sealed by “Rosa Lindqvist” is unchanged."),
        "{sentence}"
    );
}

/// Signatures of other kinds (ISO 32000-1, table 257; EN 319 142-1, 5.4.3) and notes that other programs
/// leave.
#[test]
fn what_another_program_adds_is_neither_genuine_nor_called_forged() {
    let sealed = sealed(Kind::Table);
    let signature = |from: &str, to: &str| {
        let signature = HARMLESS.signature.replace(from, to);
        assert_ne!(signature, HARMLESS.signature);
        let hand = Stranger {
            signature: &signature,
            ..HARMLESS
        };
        hand.sign(&sealed)
    };
    for kind in ["adbe.pkcs7.detached", "adbe.pkcs7.sha1", "ETSI.RFC3161"] {
        not_judged(&signature("ETSI.CAdES.detached", kind), kind);
    }
    let build = "/Name (Lee Park)/Prop_Build <</App <</Name /Other/R 65536>>>>";
    not_judged(&signature("/Name (Lee Park)", build), "/Prop_Build");
    let hand = Stranger {
        catalog: "/Extensions <</ESIC <</BaseVersion /1.7/ExtensionLevel 2>>>>",
        ..HARMLESS
    };
    not_judged(&hand.sign(&sealed), "/Extensions");
    // A kind that nobody defined, a stamp of the wrong kind.
    for (from, to, what) in [
        ("ETSI.CAdES.detached", "Anything.Goes", "/SubFilter"),
        ("/Type /Sig", "/Type /DocTimeStamp", "/Type"),
        ("/Type /Sig", "/Type /Page", "/Type"),
        (
            "/Name (Lee Park)",
            "/Name (Lee Park)/Prop_Build <</S /JavaScript/JS (1)>>",
            "/Prop_Build",
        ),
    ] {
        refused(&signature(from, to), what);
    }
    // What is wrong is not excused by what is unknown.
    let dangerous = "/Name (Lee Park)/Prop_Build <</App (4 0 obj)>>";
    refused(
        &signature("/Name (Lee Park)", dangerous),
        "repairs broken files",
    );
}

/// The place for a countersignature, signed in by a program that draws its own text into the frame
/// (ISO 32000-1, 12.7.4.5 and 12.5.5).
#[test]
fn what_another_program_draws_into_its_own_field_is_not_judged() {
    let (open, field) = later::with_field(&base(Kind::Table, true));
    let options = SignOptions::at(signed_at());
    let sealed = sign(&open, &identity(), &options).unwrap().into_bytes();
    let old = {
        let source = later::source(&sealed, field);
        let at = source.find("/AP").unwrap();
        let end = at + source[at..].find(">>").unwrap() + 2;
        source[at..end].to_owned()
    };
    // Nothing is drawn anew.
    permitted(&later::sign_in(&sealed, field, "", "", &[]));
    let first = later::free(&sealed) + 1;
    let looks = format!("/AP <</N {first} 0 R>>");
    let form = |more: &str| {
        let dict = format!("/Type /XObject/Subtype /Form/BBox [0 0 100 50]{more}");
        later::stream(&dict, b"BT /F1 8 Tf 4 20 Td (Signed by Lee Park) Tj ET")
    };
    let font = b"<</Type /Font/Subtype /Type1/BaseFont /Courier>>".to_vec();
    let resources = format!(
        "/Group <</Type /Group/S /Transparency>>/Resources <</Font <</F1 {} 0 R>>>>",
        first + 1
    );
    let by = |looks: &str, more: &[Vec<u8>]| later::sign_in(&sealed, field, &old, looks, more);
    let what = "another look of the field “Client”";
    not_judged(&by(&looks, &[form("")]), what);
    not_judged(&by(&looks, &[form(&resources), font.clone()]), what);
    let page = later::page(&sealed);
    for (looks, more, why) in [
        ("", vec![], "/AP of the field “Client” was changed"),
        ("/AP 7", vec![], "is none"),
        (
            &format!("/AP <</N {first} 0 R/D {first} 0 R>>"),
            vec![form("")],
            "is more than one",
        ),
        (
            &format!("/AP <</D {first} 0 R>>"),
            vec![form("")],
            "is none",
        ),
        (&format!("/AP <</N {page} 0 R>>"), vec![], "was not added"),
        (&looks, vec![font.clone()], "is none"),
        (
            &looks,
            vec![later::stream("/Type /XObject/Subtype /Form", b"")],
            "has no bounds",
        ),
        (
            &looks,
            vec![form("/A <</S /JavaScript/JS (1)>>")],
            "does more than draw",
        ),
        (
            &looks,
            vec![form(&format!("/Resources {page} 0 R"))],
            "was not added",
        ),
        (
            &looks,
            vec![form(&resources), b"<</Type /Page/Contents 1>>".to_vec()],
            "does more than draw",
        ),
        // Another object is not excused by it, nor another rectangle.
        (
            &looks,
            vec![form(""), font],
            "was added, which no signature needs",
        ),
        (
            &format!("{looks}/Ff 1"),
            vec![form("")],
            "/Ff of the field “Client” was changed",
        ),
    ] {
        refused(&by(looks, &more), why);
    }
    let moved = later::sign_in(
        &sealed,
        field,
        "/Rect [300 72 400 122]",
        "/Rect [0 0 600 700]",
        &[],
    );
    refused(&moved, "/Rect of the field “Client” was changed");
    // Without a signature, nothing is drawn either.
    let (number, now) = (
        field,
        later::source(&sealed, field).replacen(&old, &looks, 1),
    );
    let objects = [(number, now.into_bytes()), (first, form(""))];
    refused(
        &later::append(&sealed, &objects, ""),
        "/AP of the field “Client” was changed",
    );
}

fn with_entry(pdf: &[u8], key: &str, der: &[u8]) -> Vec<u8> {
    let first = later::free(pdf);
    let catalog = later::catalog_with(pdf, &format!("/DSS <</{key} [{first} 0 R]>>"));
    later::append(pdf, &[catalog, (first, later::stream("", der))], "")
}

#[test]
fn validation_data_has_only_known_parts() {
    let sealed = sealed(Kind::Table);
    for name in ["root.crt", "issued.crt", "tsa.crt", "rsa2048.crt"] {
        permitted(&with_entry(&sealed, "Certs", &certificate(name)));
    }
    let own = identity();
    permitted(&with_entry(&sealed, "Certs", own.certificate_der()));
    permitted(&with_entry(&sealed, "OCSPs", &response(&[7; 32])));
    let unknown = Wish {
        unknown: Some(false),
        ..SIGNER
    };
    let unknown = issue("Lee Park", None, &unknown);
    not_judged(
        &with_entry(&sealed, "Certs", &unknown.der),
        "an extension (1.3.6.1.4.1.99999.7)",
    );
    not_judged(
        &with_entry(&sealed, "OCSPs", &response(&[b'x'; 129])),
        "an extension (1.3.6.1.5.5.7.48.1.2)",
    );
    for data in [
        sequence(&[&octets(b"data")]),
        sequence(&[&value(0xA2, &[&octets(&[3; 65])])]),
        sequence(&[&value(0xA2, &[&octets(&[3; 20])]), &octets(b"x")]),
        sequence(&[&oid("1.2.3")]),
    ] {
        not_judged(
            &with_entry(&sealed, "OCSPs", &ocsp_with(&data)),
            "data of another structure",
        );
    }
    let first = later::free(&sealed);
    let catalog = later::catalog_with(&sealed, &format!("/DSS <</Certs [{first} 0 R]/Foo (bar)>>"));
    let stream = (first, later::stream("", &certificate("root.crt")));
    not_judged(&later::append(&sealed, &[catalog, stream], ""), "/Foo");
}

#[test]
fn no_older_object_becomes_a_part_of_the_form() {
    let sealed = sealed(Kind::Table);
    let stream = later::free(&sealed);
    let (root, catalog) = later::catalog_with(&sealed, &format!("/DSS <</OCSPs [{stream} 0 R]>>"));
    let catalog = String::from_utf8(catalog).unwrap();
    let data = (stream, later::stream("", &response(b"data")));
    permitted(&later::append(
        &sealed,
        &[(root, catalog.clone().into_bytes()), data.clone()],
        "",
    ));
    let (head, rest) = catalog.split_once("/Fields").unwrap();
    let (fields, tail) = rest.split_once(']').unwrap();
    let fields = format!("{fields}]");
    // The content of a page, the page itself, and the information about the document.
    let page = later::page(&sealed);
    let content = later::source(&sealed, page);
    let (_, content) = content.split_once("/Contents ").unwrap();
    let content: u32 = content.split(' ').next().unwrap().parse().unwrap();
    for taken in [content, page] {
        let catalog = format!("{head}/Fields {taken} 0 R{tail}");
        let forged = later::append(
            &sealed,
            &[
                (root, catalog.into_bytes()),
                (taken, fields.clone().into_bytes()),
                data.clone(),
            ],
            "",
        );
        let report = verify(&forged, &VerifyOptions::default());
        assert!(
            !report.unchanged(),
            "object {taken} was taken for the fields"
        );
    }
    let (head, rest) = catalog.split_once("/AcroForm").unwrap();
    let (form, tail) = rest.split_once(">>").unwrap();
    for taken in [content, page] {
        let catalog = format!("{head}/AcroForm {taken} 0 R{tail}");
        let forged = later::append(
            &sealed,
            &[
                (root, catalog.into_bytes()),
                (taken, format!("{form}>>").into_bytes()),
                data.clone(),
            ],
            "",
        );
        let report = verify(&forged, &VerifyOptions::default());
        assert!(!report.unchanged(), "object {taken} was taken for the form");
    }
}
