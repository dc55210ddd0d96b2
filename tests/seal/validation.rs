//! Validation data: lists of revoked certificates that travel with a certificate (B-LT).
use crate::seal_common::authority::{HONEST, certificate, oid, reply, sequence, value};
use crate::seal_common::{Kind, base, identity, key_file, later, signed_at, three_blue};
use warmlug::seal::report::{Answer, Changes};
use warmlug::seal::validation_data::{add, revocation_list};
use warmlug::seal::{
    Hand, Identity, SealError, Sealed, SignOptions, VerifyOptions, countersign, sign, verify,
};

fn issued() -> Identity {
    let folder = tempfile::tempdir().unwrap();
    Identity::load(&key_file(&folder, "issued.p12"), &three_blue()).unwrap()
}

fn list(name: &str) -> Vec<u8> {
    let folder = tempfile::tempdir().unwrap();
    revocation_list(&key_file(&folder, name)).unwrap()
}

fn options(identity: &Identity) -> SignOptions {
    SignOptions::at(identity.valid_from().fixed_offset())
}

fn sealed(identity: &Identity, kind: Kind) -> Sealed {
    sign(&base(kind, true), identity, &options(identity)).unwrap()
}

#[test]
fn a_list_travels_along_and_is_permitted() {
    let identity = issued();
    for kind in [Kind::Table, Kind::Stream] {
        let sealed = sealed(&identity, kind);
        let with = add(&sealed, &identity, &[list("nobody.crl")]).unwrap();
        assert!(with.bytes().starts_with(sealed.bytes()));
        let report = verify(with.bytes(), &VerifyOptions::default());
        assert!(report.unchanged(), "{:?}", report.objections());
        assert_eq!(
            report.changes,
            Changes::Permitted(vec!["validation data".to_owned()])
        );
        assert_eq!(report.signatures[0].not_revoked, Answer::Yes);
        assert_eq!(report.verified().unwrap().bytes(), sealed.bytes());
        // Others may still sign behind it.
        let client = countersign(with.bytes(), &identity, Hand::Client, &options(&identity));
        let report = verify(client.as_ref().unwrap().bytes(), &VerifyOptions::default());
        assert!(report.unchanged(), "{:?}", report.objections());
        // Without the list nobody says, and that is said.
        let report = verify(sealed.bytes(), &VerifyOptions::default());
        assert_eq!(
            report.signatures[0].not_revoked,
            Answer::NotDetermined(
                "no list of revoked certificates by its issuer is inside".to_owned()
            )
        );
    }
}

#[test]
fn nobody_seals_with_a_revoked_certificate() {
    let identity = issued();
    let sealed = sealed(&identity, Kind::Table);
    let refused = add(&sealed, &identity, &[list("nobody.crl"), list("ines.crl")]);
    let Err(SealError::Unfit(why)) = refused else {
        panic!("{refused:?}");
    };
    assert_eq!(why, "the signer's certificate was revoked on 2026-01-01");
}

#[test]
fn a_list_by_somebody_else_or_changed_proves_nothing() {
    let identity = issued();
    let sealed = sealed(&identity, Kind::Table);
    let honest = list("nobody.crl");
    let mut changed = honest.clone();
    let last = changed.len() - 1;
    changed[last] ^= 1;
    // The list is behind the seal, so this breaks no signature, and only the list itself counts.
    let says = |list: &[u8]| {
        let issuer = certificate("root.crt");
        let objects = [later::stream("", &issuer), later::stream("", list)];
        let bytes = store(sealed.bytes(), "<</Certs [@0]/CRLs [@1]>>", &objects);
        let report = verify(&bytes, &VerifyOptions::default());
        report.signatures[0].not_revoked.clone()
    };
    assert_eq!(says(&honest), Answer::Yes);
    assert!(matches!(says(&changed), Answer::NotDetermined(_)));
}

#[test]
fn a_self_signed_identity_has_no_list() {
    let rosa = identity();
    let sealed = sign(
        &base(Kind::Table, true),
        &rosa,
        &SignOptions::at(signed_at()),
    )
    .unwrap();
    let refused = add(&sealed, &rosa, &[list("nobody.crl")]).unwrap_err();
    assert!(refused.to_string().contains("no issuer"), "{refused}");
    let folder = tempfile::tempdir().unwrap();
    let error = revocation_list(&key_file(&folder, "root.crt")).unwrap_err();
    assert!(error.to_string().contains("no list of revoked"), "{error}");
}

/// A sealed file and the same with its lists, as the program itself adds them.
fn with_list() -> (Vec<u8>, Vec<u8>) {
    let identity = issued();
    let sealed = sealed(&identity, Kind::Table);
    let with = add(&sealed, &identity, &[list("nobody.crl")]).unwrap();
    (sealed.into_bytes(), with.into_bytes())
}

/// Validation data put behind a sealed file by hand: its dictionary, with `@` for the first of
/// the numbers of these objects.
fn store(pdf: &[u8], store: &str, objects: &[Vec<u8>]) -> Vec<u8> {
    let first = later::free(pdf);
    let numbered = |text: &str| {
        let mut text = text.to_owned();
        for n in 0..8 {
            text = text.replace(&format!("@{n}"), &format!("{} 0 R", first + n));
        }
        text
    };
    let mut all = vec![later::catalog_with(
        pdf,
        &format!("/DSS {}", numbered(store)),
    )];
    for (n, body) in (first..).zip(objects) {
        let body = match std::str::from_utf8(body) {
            Ok(text) => numbered(text).into_bytes(),
            Err(_) => body.clone(),
        };
        all.push((n, body));
    }
    later::append(pdf, &all, "")
}

#[track_caller]
fn refused(bytes: &[u8], what: &str) {
    let report = verify(bytes, &VerifyOptions::default());
    let Changes::NotPermitted(named) = &report.changes else {
        panic!("{what}: {:?}", report.changes);
    };
    assert!(
        named.iter().any(|name| name.contains(what)),
        "{what}: {named:?}"
    );
    assert!(!report.unchanged());
}

#[track_caller]
fn permitted(bytes: &[u8]) {
    let report = verify(bytes, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
}

#[test]
fn validation_data_of_others_is_permitted() {
    let (sealed, with) = with_list();
    let root = certificate("root.crt");
    let crl = list("nobody.crl");
    let token = reply_token();
    let ocsp = response();
    let (root, crl, token, ocsp) = (
        later::stream("", &root),
        later::stream("", &crl),
        later::stream("", &token),
        later::stream("", &ocsp),
    );
    let name = "0123456789ABCDEF0123456789ABCDEF01234567";
    permitted(&store(
        &sealed,
        "<</Certs [@0]>>",
        std::slice::from_ref(&root),
    ));
    permitted(&store(
        &sealed,
        "@3",
        &[
            root.clone(),
            crl.clone(),
            token,
            b"<</Type /DSS/Certs [@0]/CRLs @4/OCSPs [@5]/VRI @6>>".to_vec(),
            b"[@1]".to_vec(),
            ocsp,
            format!(
                "<</{name} <</Type /VRI/Cert [@0]/CRL [@1]/OCSP [@5]/TS @2\
                 /TU (D:20261006114200-05'00')>>>>"
            )
            .into_bytes(),
        ],
    ));
    // More of it behind what is there already, and a signature in between.
    let compressed = {
        use std::io::Write;
        let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
        encoder.write_all(&certificate("tsa.crt")).unwrap();
        encoder.finish().unwrap()
    };
    let again = |pdf: &[u8]| {
        let (number, catalog) = later::catalog_with(pdf, "");
        let catalog = String::from_utf8(catalog).unwrap();
        let dss = catalog.find("/DSS").unwrap();
        let number_of_store: u32 = catalog[dss + 4..]
            .trim_start()
            .split(' ')
            .next()
            .unwrap()
            .parse()
            .unwrap();
        let old = later::source(pdf, number_of_store);
        let first = later::free(pdf);
        let new = old.replacen("/Certs [", &format!("/Certs [{first} 0 R "), 1);
        assert_ne!(old, new);
        later::append(
            pdf,
            &[
                (number, catalog.into_bytes()),
                (number_of_store, new.into_bytes()),
                (first, later::stream("/Filter /FlateDecode", &compressed)),
            ],
            "",
        )
    };
    permitted(&again(&with));
    let identity = issued();
    let signed = countersign(&with, &identity, Hand::Client, &options(&identity)).unwrap();
    permitted(&again(signed.bytes()));
}

/// The token out of a reply of the tests' own time-stamp authority.
fn reply_token() -> Vec<u8> {
    let request = [&[4, 32][..], &[7; 32]].concat();
    let reply = reply(&request, &HONEST);
    // The status takes five bytes.
    let at = reply
        .windows(5)
        .position(|w| w == [0x30, 3, 2, 1, 0])
        .unwrap()
        + 5;
    reply[at..].to_vec()
}

/// A response about a certificate (OCSP).
fn response() -> Vec<u8> {
    crate::seal_common::authority::ocsp_response(b"nonce")
}

#[test]
fn validation_data_that_is_none_is_refused() {
    let (sealed, _) = with_list();
    let root = certificate("root.crt");
    let one = |data: &[u8]| [later::stream("", data)];
    let is = "/Certs [@0]";
    let certs = |data: &[u8]| store(&sealed, "<</Certs [@0]>>", &one(data));
    let none = "not a valid certificate";
    refused(&certs(b"Satisfactory. Look again in 2036."), none);
    refused(&certs(&[0xA5; 100_000]), none);
    refused(&certs(&[&root[..], b"PK\x03\x04"].concat()), none);
    refused(&certs(&list("nobody.crl")), none);
    refused(&certs(&vec![0x30; 5 << 20]), "can't be read");
    for (list_of, what) in [
        ("<</CRLs [@0]>>", "not a valid list of revoked certificates"),
        ("<</OCSPs [@0]>>", "not a valid answer about a certificate"),
        (
            "<</VRI <</0123456789ABCDEF0123456789ABCDEF01234567 <</TS @0>>>>>>",
            "not a valid time-stamp",
        ),
    ] {
        refused(&store(&sealed, list_of, &one(&root)), what);
        let mut more = response();
        more.push(0);
        refused(&store(&sealed, list_of, &one(&more)), what);
    }
    let form = later::stream("/Type /XObject/Subtype /Form/BBox [0 0 612 792]", &root);
    refused(&store(&sealed, "<</Certs [@0]>>", &[form]), "/Type");
    let action = "<</S /JavaScript/JS (app.alert)>>";
    for (dictionary, what) in [
        (format!("<<{is}/AA {action}>>"), "/AA"),
        (format!("<<{is}/Type {action}>>"), "/Type"),
        (format!("<<{is}/VRI <</XX <<>>>>>>"), "/XX"),
        (
            format!("<<{is}/VRI <</0123456789ABCDEF0123456789ABCDEF01234567 <</AA {action}>>>>>>"),
            "/AA",
        ),
        (
            format!("<<{is}/VRI <</0123456789ABCDEF0123456789ABCDEF01234567 <</TU (today)>>>>>>"),
            "/TU",
        ),
        (
            format!("<<{is}/CRLs {action}>>"),
            "an entry that is not a list",
        ),
        (format!("<</Certs [@0 {action}]>>"), none),
        ("<</Certs []>>".to_owned(), "empty"),
        ("[]".to_owned(), "the validation data"),
    ] {
        refused(&store(&sealed, &dictionary, &one(&root)), what);
    }
    // Something older is not made validation data.
    let own = format!("<<{is}/CRLs [{} 0 R]>>", later::root(&sealed));
    refused(&store(&sealed, &own, &one(&root)), "was not added");
    let plain = store(&sealed, "<</Certs [@0]>>", &one(&root));
    permitted(&plain);
    let catalog = later::catalog_with(&sealed, "/AA <<>>/DSS <<>>");
    refused(&later::append(&sealed, &[catalog], ""), "/AA");
    // Once more, for nothing.
    let (number, catalog) = later::catalog_with(&plain, "");
    refused(
        &later::append(&plain, &[(number, catalog)], ""),
        "no signature needs",
    );
}

#[test]
fn nothing_stands_beside_validation_data() {
    let (sealed, with) = with_list();
    let root = certificate("root.crt");
    let first = later::free(&sealed);
    let objects = [
        later::catalog_with(&sealed, &format!("/DSS <</Certs [{first} 0 R]>>")),
        (first, later::stream("", &root)),
    ];
    permitted(&later::append(&sealed, &objects, ""));
    for trailer in [
        "/AA <</S /JavaScript/JS (1)>>",
        "/Foo (bar)",
        "/Type /XRef",
        "/Info (x)",
    ] {
        let key = &trailer[..trailer.find(' ').unwrap()];
        refused(&later::append(&sealed, &objects, trailer), key);
    }
    let nothing = "bytes were added that belong to no object";
    let put = |at: usize, what: &[u8]| {
        // Objects move, so their table is written anew.
        let mut pdf = sealed.clone();
        if at == 0 {
            pdf.extend(what);
        }
        let mut objects = objects.to_vec();
        if at == 1 {
            objects[0].1.extend(what);
        }
        if at == 2 {
            objects[1].1 = later::stream("", &root);
            objects[1].1.splice(2..2, what.iter().copied());
        }
        later::append(&pdf, &objects, "")
    };
    refused(&put(0, b"%PK\x03\x04\n"), nothing);
    refused(&put(0, b"9 0 obj\n(not listed)\nendobj\n"), nothing);
    refused(&put(0, &[b' '; 100]), nothing);
    refused(&put(1, b"%PK\x03\x04\n"), "unused bytes");
    refused(&put(1, &[b' '; 100]), "unused bytes");
    refused(&put(2, b"%PK\x03\x04\n"), "unused bytes");
    let tail = |from: &str, to: &str| {
        let pdf = later::append(&sealed, &objects, "");
        let at = sealed.len() + position(&pdf[sealed.len()..], from.as_bytes());
        [&pdf[..at], to.as_bytes(), &pdf[at + from.len()..]].concat()
    };
    refused(&tail("\nstartxref", "\n%x\nstartxref"), nothing);
    refused(&tail("trailer\n", "trailer % PK\n"), "holds more");
    refused(&tail("/Size", "/Size%x\n"), "holds more");
    refused(
        &tail("xref\n", "xref\n2 1\n0000000000 65535 f \n"),
        "was removed",
    );
    permitted(&tail("xref\n", "xref\n0 1\n0000000000 65535 f \n"));
    // A compressed stream with something behind what is decoded.
    let compressed = {
        use std::io::Write;
        let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
        encoder.write_all(&root).unwrap();
        encoder.finish().unwrap()
    };
    let with_stream =
        |body: Vec<u8>| later::append(&sealed, &[objects[0].clone(), (first, body)], "");
    permitted(&with_stream(later::stream(
        "/Filter /FlateDecode",
        &compressed,
    )));
    let longer = [&compressed[..], b"PK\x03\x04"].concat();
    refused(
        &with_stream(later::stream("/Filter /FlateDecode", &longer)),
        "follows a compressed stream",
    );
    refused(
        &with_stream(later::stream(
            "/Filter /FlateDecode/DecodeParms <</JS (1)>>",
            &compressed,
        )),
        "unusual stream parameters",
    );
    // What one revision brings in, the next does not hide.
    let junk = store(
        &sealed,
        "<</Certs [@0]>>",
        &[later::stream("", b"Satisfactory")],
    );
    let healed = later::append(&junk, &[(first, later::stream("", &root))], "");
    refused(&healed, "not a valid certificate");
    let report = verify(&[&with[..], b"\n"].concat(), &VerifyOptions::default()).unchanged();
    assert!(!report);
}

/// A list of so many revoked certificates (RFC 5280, 5.1), by somebody else.
fn long_list(entries: u32) -> Vec<u8> {
    let ecdsa = sequence(&[&oid("1.2.840.10045.4.3.2")]);
    let day = value(0x17, &[b"260101000000Z"]);
    let revoked: Vec<u8> = (0..entries)
        .flat_map(|n| sequence(&[&value(2, &[&[1], &n.to_be_bytes()]), &day]))
        .collect();
    let name = value(
        0x31,
        &[&sequence(&[&oid("2.5.4.3"), &value(12, &[b"Nobody"])])],
    );
    let list = [
        &[2, 1, 1],
        &ecdsa[..],
        &sequence(&[&name]),
        &day,
        &day,
        &sequence(&[&revoked]),
    ];
    sequence(&[&sequence(&list), &ecdsa, &value(3, &[&[0, 1, 2]])])
}

/// A list that is not about any of the keys changes nothing, however many signatures there are.
#[test]
fn a_long_list_of_somebody_else_revokes_nothing() {
    let identity = issued();
    let sealed = sealed(&identity, Kind::Table);
    let first = later::free(sealed.bytes());
    let stream = later::stream("", &long_list(20_000));
    let catalog = later::catalog_with(sealed.bytes(), &format!("/DSS <</CRLs [{first} 0 R]>>"));
    let mut pdf = later::append(sealed.bytes(), &[catalog, (first, stream)], "");
    for _ in 0..8 {
        let more = countersign(&pdf, &identity, Hand::Client, &options(&identity)).unwrap();
        pdf = more.bytes().to_vec();
    }
    let report = verify(&pdf, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
    assert_eq!(report.signatures.len(), 9);
}

fn position(bytes: &[u8], what: &[u8]) -> usize {
    bytes.windows(what.len()).position(|w| w == what).unwrap()
}
