//! Time-stamps of the whole file, added after the seal (ISO 32000-2, 12.8.5; ETSI EN 319 142-1, 5.4.3).
use crate::seal_common::authority::{HONEST, Lies, NONCE, POLICY, certificate, reply};
use crate::seal_common::issued::{TIMES, Wish, issue};
use crate::seal_common::later::{HARMLESS, Hand as Stranger};
use crate::seal_common::{Kind, base, identity, signed_at};
use chrono::DateTime;
use warmlug::record::time_warnings::{contradicting, warnings};
use warmlug::seal::report::{Answer, Changes, Role};
use warmlug::seal::{
    Authority, Hand, SealError, SignOptions, VerifyOptions, countersign, sign, stamp, verify,
};

fn sealed(kind: Kind) -> Vec<u8> {
    let options = SignOptions::at(signed_at());
    sign(&base(kind, true), &identity(), &options)
        .unwrap()
        .into_bytes()
}

fn stamped_by(pdf: &[u8], lies: &Lies) -> Result<Vec<u8>, SealError> {
    let authority = Authority {
        send: &|request| Ok(reply(request, lies)),
        nonce: NONCE,
        policy: Some(POLICY),
    };
    stamp(pdf, &authority).map(|stamped| stamped.into_bytes())
}

fn stamped(pdf: &[u8]) -> Vec<u8> {
    stamped_by(pdf, &HONEST).unwrap()
}

fn countersigned(pdf: &[u8]) -> Vec<u8> {
    let options = SignOptions::at(signed_at());
    countersign(pdf, &identity(), Hand::Client, &options)
        .unwrap()
        .into_bytes()
}

#[test]
fn a_stamp_added_later_is_permitted_and_told() {
    for kind in [Kind::Table, Kind::Stream] {
        let sealed = sealed(kind);
        let pdf = stamped(&sealed);
        assert!(pdf.starts_with(&sealed));
        let report = verify(&pdf, &VerifyOptions::default());
        assert!(report.unchanged(), "{:?}", report.objections());
        let told = "a time-stamp in the field “Time-stamp”";
        assert_eq!(report.changes, Changes::Permitted(vec![told.to_owned()]));
        let [seal, late] = &report.signatures[..] else {
            panic!("{:?}", report.signatures);
        };
        assert!(seal.stamp.is_none());
        assert_eq!(late.role, Role::DocumentStamp);
        assert_eq!((&late.signed.at, &late.signer), (&None, &None));
        let told = late.stamp.clone().unwrap();
        assert_eq!(told.at.to_rfc3339(), "2027-01-06T16:42:01+00:00");
        assert_eq!(told.authority, "Guild Clock");
        assert!(matches!(told.trusted, Answer::NotDetermined(_)));
        // Nothing in it says who signed: the key of the certificate stays that of the seal.
        assert_eq!(
            report.new_key().map(|key| key.fingerprint),
            verify(&sealed, &VerifyOptions::default())
                .new_key()
                .map(|key| key.fingerprint)
        );
        let options = VerifyOptions {
            anchors: vec![certificate("root.crt")],
            ..VerifyOptions::default()
        };
        let report = verify(&pdf, &options);
        let trusted = report.signatures[1].stamp.clone().unwrap().trusted;
        assert_eq!(trusted, Answer::Yes);
    }
}

#[test]
fn stamps_and_countersignatures_follow_each_other() {
    let pdf = stamped(&countersigned(&stamped(&sealed(Kind::Table))));
    let report = verify(&pdf, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
    let fields: Vec<&str> = report.signatures.iter().map(|s| s.field.as_str()).collect();
    assert_eq!(fields, ["Seal", "Time-stamp", "Client", "Time-stamp 2"]);
}

#[test]
fn a_changed_certificate_is_not_stamped() {
    let mut pdf = sealed(Kind::Table);
    let at = pdf
        .windows(16)
        .position(|w| w == b"Certificate 2026")
        .unwrap();
    pdf[at] = b'c';
    match stamped_by(&pdf, &HONEST) {
        Err(SealError::Unfit(why)) => assert!(why.contains("changed after it was signed"), "{why}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn an_authority_that_lies_is_not_taken() {
    let mut lies = HONEST;
    lies.salt = b"other";
    match stamped_by(&sealed(Kind::Table), &lies) {
        Err(SealError::TimeStamp(why)) => {
            assert!(why.contains("another signature or file"), "{why}")
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn every_changed_byte_of_a_stamp_is_found() {
    let sealed = sealed(Kind::Table);
    let good = stamped(&sealed);
    let padding = good.windows(64).position(|w| w == [b'0'; 64]).unwrap();
    let after = padding + good[padding..].iter().position(|b| *b != b'0').unwrap();
    let places = (sealed.len()..padding).chain(after..good.len()).step_by(23);
    let places: Vec<usize> = places.chain([padding + 200, after - 1]).collect();
    assert!(places.len() > 100);
    for at in places {
        let mut bad = good.clone();
        bad[at] = if bad[at] == b'0' { b'1' } else { b'0' };
        let report = verify(&bad, &VerifyOptions::default());
        assert!(!report.unchanged(), "byte {at} of {}", good.len());
    }
}

const STAMP: &str = "/Type /DocTimeStamp/Filter /Adobe.PPKLite/SubFilter /ETSI.RFC3161";

#[track_caller]
fn by_stranger(signature: &str, lies: &Lies) -> Changes {
    let hand = Stranger {
        signature,
        stamp: Some(lies),
        ..HARMLESS
    };
    let pdf = hand.sign(&sealed(Kind::Table));
    let report = verify(&pdf, &VerifyOptions::default());
    let fine = matches!(report.changes, Changes::Permitted(_));
    assert_eq!(
        report.unchanged(),
        fine && lies.salt.is_empty(),
        "{:?}",
        report.objections()
    );
    report.changes
}

#[test]
fn stamps_of_other_programs_are_judged_too() {
    let permitted = "a time-stamp in the field “Client”".to_owned();
    let permitted = Changes::Permitted(vec![permitted]);
    assert_eq!(by_stranger(STAMP, &HONEST), permitted);
    let with = |more: &str| by_stranger(&format!("{STAMP}{more}"), &HONEST);
    assert_eq!(with("/V 0"), permitted);
    assert_eq!(with("/M (D:20270106164201Z)"), permitted);
    // Its digest is that of another file.
    let mut lies = HONEST;
    lies.salt = b"other";
    by_stranger(STAMP, &lies);
}

/// An authority vouches for a time and says nothing else.
#[test]
fn a_stamp_says_nothing_in_its_own_words() {
    for (more, key) in [
        ("/Name (Rosa Lindqvist)", "Name"),
        ("/Reason (Reviewed and found sound)", "Reason"),
        ("/Location (Maple Court)", "Location"),
        ("/ContactInfo (555 0100)", "ContactInfo"),
        ("/V 1", "V"),
        ("/Reference []", "Reference"),
    ] {
        let Changes::NotPermitted(named) = by_stranger(&format!("{STAMP}{more}"), &HONEST) else {
            panic!("{more} passed");
        };
        let what = if key == "Reference" {
            "changes the permissions".to_owned()
        } else {
            format!("time-stamp of “Client” has a /{key} that no time-stamp needs")
        };
        assert!(named.iter().any(|n| n.contains(&what)), "{named:?}");
    }
}

/// What is said of a certificate with a stamp of this time, read at this moment. The signer's certificate is
/// valid from 2026-01-01, and the seal says 2026-10-06 16:42 UTC.
fn odd(time: &'static str, now: &str, trusted: bool) -> Vec<String> {
    let authority = issue("Guild Clock 2", None, &LONG);
    let mut options = VerifyOptions::default();
    if trusted {
        options.anchors.push(authority.der.clone());
    }
    let lies = Lies {
        time,
        by: Some(authority),
        ..HONEST
    };
    let pdf = stamped_by(&sealed(Kind::Table), &lies).unwrap();
    let now = DateTime::parse_from_rfc3339(now).unwrap();
    let report = verify(&pdf, &options);
    let all = warnings(&report, now);
    // What whoever stamps is warned of, whether or not they trust the authority.
    let contradicting = contradicting(&report.signatures, now);
    assert_eq!(contradicting.len(), all.len() - usize::from(!trusted));
    assert!(all.starts_with(&contradicting), "{all:?}");
    all
}

const LONG: Wish = Wish {
    from: "2000-01-01T00:00:00Z",
    until: "2049-01-01T00:00:00Z",
    ..TIMES
};

#[test]
fn odd_times_of_a_stamp_are_told_in_plain_words() {
    let by = "by the authority “Guild Clock 2”";
    let now = "2027-02-01T12:00:00+01:00";
    assert_eq!(odd("20270106164201Z", now, true), [""; 0]);
    // No certificate of the authority was given.
    let unknown = odd("20270106164201Z", now, false);
    let [told] = &unknown[..] else {
        panic!("{unknown:?}")
    };
    assert!(
        told.contains("anybody can run an authority of this name"),
        "{told}"
    );
    // 26 hours may be a wrong time zone.
    assert_eq!(odd("20270202130000Z", now, true), [""; 0]);
    let told = format!(
        "the time-stamp of 2027-02-02 13:00:01 UTC {by} is from the future: the authority's clock was \
         wrong, or this computer's is"
    );
    assert_eq!(odd("20270202130001Z", now, true), [told]);
    let before = odd("20251231235959Z", now, true);
    assert!(
        before[0]
            .contains("from before the signer's certificate existed (2026-01-01 00:00:00 UTC)"),
        "{before:?}"
    );
    assert!(
        before[1].contains("earlier than the signing time"),
        "{before:?}"
    );
    // An hour may be a slow clock.
    assert_eq!(odd("20261006154200Z", now, true), [""; 0]);
    let early = odd("20261006154159Z", now, true);
    assert!(
        early[0].contains("2026-10-06 11:42:00 -05:00, although"),
        "{early:?}"
    );
    let late = odd("20450101000000Z", "2045-01-02T00:00:00Z", true);
    assert!(
        late[0].contains("from after the signer's certificate had expired"),
        "{late:?}"
    );
}
