//! Time-stamps: an authority made of a few lines stamps, and lies in every way it can.
use crate::seal_common::authority::{HONEST, Lies, NONCE, POLICY, certificate, reply};
use crate::seal_common::issued::{TIMES, Wish, issue};
use crate::seal_common::{Kind, base, identity, signed_at};
use warmlug::seal::report::{Answer, Report, Stamp};
use warmlug::seal::{Authority, SealError, SignOptions, VerifyOptions, sign_stamped, verify};

fn stamped(lies: &Lies) -> Result<Vec<u8>, SealError> {
    let authority = Authority {
        send: &|request| Ok(reply(request, lies)),
        nonce: NONCE,
        policy: Some(POLICY),
    };
    let options = SignOptions::at(signed_at());
    sign_stamped(
        &base(Kind::Table, true),
        &identity(),
        &options,
        Some(&authority),
    )
    .map(|sealed| sealed.into_bytes())
}

fn told(report: Report<'_>) -> Stamp {
    report.signatures[0].stamp.clone().expect("a stamp")
}

#[test]
fn an_honest_stamp_is_told_and_trusted_when_its_authority_is() {
    let pdf = stamped(&HONEST).unwrap();
    let report = verify(&pdf, &VerifyOptions::default());
    assert!(report.unchanged(), "{:?}", report.objections());
    let stamp = told(report);
    assert_eq!(stamp.at.to_rfc3339(), "2027-01-06T16:42:01+00:00");
    assert_eq!(stamp.authority, "Guild Clock");
    assert_eq!(stamp.valid, Answer::Yes);
    assert!(matches!(stamp.trusted, Answer::NotDetermined(_)));
    let trusting = |name: &str| VerifyOptions {
        anchors: vec![certificate(name)],
        ..VerifyOptions::default()
    };
    assert_eq!(
        told(verify(&pdf, &trusting("root.crt"))).trusted,
        Answer::Yes
    );
    let stranger = verify(&pdf, &trusting("p384.crt"));
    assert!(matches!(told(stranger).trusted, Answer::No(_)));
}

/// An authority's certificate counts like a signer's: at its time, and only if all of it is understood.
#[test]
fn an_authority_is_judged_by_its_certificate() {
    let by = |wish: &Wish| {
        let lies = Lies {
            by: Some(issue("Guild Clock 2", None, wish)),
            ..HONEST
        };
        match stamped(&lies) {
            Ok(_) => "taken".to_owned(),
            Err(SealError::TimeStamp(why)) => why,
            Err(other) => panic!("{other:?}"),
        }
    };
    assert_eq!(by(&TIMES), "taken");
    let unknown = Wish {
        unknown: Some(false),
        ..TIMES
    };
    assert_eq!(by(&unknown), "taken");
    let unknown = Wish {
        unknown: Some(true),
        ..TIMES
    };
    let told = by(&unknown);
    assert!(
        told.contains("critical extension (1.3.6.1.4.1.99999.7)"),
        "{told}"
    );
    // The stamp says 2027-01-06T16:42:01Z.
    for (from, until, fine) in [
        ("2026-01-01T00:00:00Z", "2027-01-06T16:42:00Z", false),
        ("2026-01-01T00:00:00Z", "2027-01-06T16:42:01Z", true),
        ("2027-01-06T16:42:01Z", "2031-01-01T00:00:00Z", true),
        ("2027-01-06T16:42:02Z", "2031-01-01T00:00:00Z", false),
    ] {
        let told = by(&Wish {
            from,
            until,
            ..TIMES
        });
        let expected = if fine {
            "taken"
        } else {
            "not valid at the time stamped"
        };
        assert!(told.contains(expected), "{from} {until}: {told}");
    }
}

#[test]
fn a_stamp_that_lies_is_not_taken() {
    let lie = |change: &dyn Fn(&mut Lies)| {
        let mut lies = HONEST;
        change(&mut lies);
        match stamped(&lies) {
            Err(SealError::TimeStamp(why)) => why,
            other => panic!("{other:?}"),
        }
    };
    for (why, told) in [
        ("another signature", lie(&|l| l.salt = b"other")),
        ("another request", lie(&|l| l.nonce = [1; 16])),
        ("its policy 1.2.3.4", lie(&|l| l.policy = "1.2.3.4")),
        ("was changed after", lie(&|l| l.content_salt = b"other")),
        (
            "does not match its authority's key",
            lie(&|l| l.key = "issued.key"),
        ),
        ("does not state a time", lie(&|l| l.time = "2027Z")),
        (
            "not for stamping times",
            lie(&|l| (l.certificate, l.key) = ("issued.crt", "issued.key")),
        ),
        (
            "not for stamping times",
            lie(&|l| (l.certificate, l.key) = ("p256.crt", "p256.key")),
        ),
    ] {
        assert!(told.contains(why), "{told}");
    }
}

#[test]
fn a_stamp_put_on_another_signature_is_found() {
    let good = stamped(&HONEST).unwrap();
    // The signature's own digits, where nobody's signature reaches: each changed byte of the
    // token must be noticed, and so must a token that is taken from elsewhere.
    let open = good.windows(11).position(|w| w == b"/Contents <").unwrap() + 11;
    let close = open + good[open..].iter().position(|b| *b == b'>').unwrap();
    let digits = std::str::from_utf8(&good[open..close]).unwrap();
    let oid = "060b2a864886f70d010910020e";
    let token = open + digits.find(oid).unwrap() + oid.len();
    let end = open + digits.trim_end_matches('0').len();
    assert!(end - token > 1500, "a token of some length");
    for at in (token..end).step_by(7) {
        let mut bad = good.clone();
        bad[at] = if bad[at] == b'0' { b'1' } else { b'0' };
        assert!(
            !verify(&bad, &VerifyOptions::default()).unchanged(),
            "digit {at} of {token}..{end}"
        );
    }
}

#[test]
fn nothing_that_the_way_brings_panics() {
    for answer in [&b""[..], b"\x30", b"\x30\x80\0\0", b"<html>", &[0xFF; 4096]] {
        let authority = Authority {
            send: &|_| Ok(answer.to_vec()),
            nonce: NONCE,
            policy: None,
        };
        let options = SignOptions::at(signed_at());
        let done = sign_stamped(
            &base(Kind::Table, true),
            &identity(),
            &options,
            Some(&authority),
        );
        assert!(matches!(done, Err(SealError::TimeStamp(_))));
    }
    let authority = Authority {
        send: &|_| Err("the server is away".to_owned()),
        nonce: NONCE,
        policy: None,
    };
    let options = SignOptions::at(signed_at());
    let done = sign_stamped(
        &base(Kind::Table, true),
        &identity(),
        &options,
        Some(&authority),
    );
    assert_eq!(
        done.unwrap_err().to_string(),
        "no time-stamp: the server is away"
    );
}
