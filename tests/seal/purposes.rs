//! What a signer's certificate must be for, and the chain above it (RFC 5280, 4.2.1.3, 4.2.1.9,
//! 4.2.1.12, 6.1; RFC 9336 for signing documents).
use crate::seal_common::issued::{AUTHORITY, Issued, SIGNER, Wish, issue};
use crate::seal_common::later::{HARMLESS, Hand};
use crate::seal_common::{Kind, base, identity, signed_at};
use warmlug::seal::report::Trust;
use warmlug::seal::{SignOptions, VerifyOptions, sign, verify};
use x509_cert::ext::pkix::KeyUsages;

const SERVER: &str = "1.3.6.1.5.5.7.3.1";
const DOCUMENTS: &str = "1.3.6.1.5.5.7.3.36";
const MAIL: &str = "1.3.6.1.5.5.7.3.4";

fn countersigned(by: &Issued) -> Vec<u8> {
    let options = SignOptions::at(signed_at());
    let sealed = sign(&base(Kind::Table, true), &identity(), &options).unwrap();
    let hand = Hand {
        by: Some(by),
        ..HARMLESS
    };
    hand.sign(sealed.bytes())
}

fn for_other_purposes() -> Vec<(&'static str, Wish)> {
    vec![
        (
            "not for signing documents",
            Wish {
                purposes: &[SERVER],
                ..SIGNER
            },
        ),
        (
            "not for signing",
            Wish {
                usage: Some(KeyUsages::KeyEncipherment),
                ..SIGNER
            },
        ),
        (
            "critical extension",
            Wish {
                unknown: Some(true),
                ..SIGNER
            },
        ),
    ]
}

#[test]
fn a_certificate_for_another_purpose_is_refused_without_trust_too() {
    for (why, wish) in for_other_purposes() {
        let signed = countersigned(&issue("Lee Park", None, &wish));
        let report = verify(&signed, &VerifyOptions::default());
        assert!(!report.unchanged(), "{why}");
        let objections = report.objections();
        assert!(objections.iter().any(|o| o.contains(why)), "{objections:?}");
    }
    for wish in [
        SIGNER,
        Wish {
            purposes: &[DOCUMENTS],
            ..SIGNER
        },
        Wish {
            purposes: &[SERVER, MAIL],
            ..SIGNER
        },
        Wish {
            usage: Some(KeyUsages::NonRepudiation),
            ..SIGNER
        },
        Wish {
            unknown: Some(false),
            ..SIGNER
        },
    ] {
        let signed = countersigned(&issue("Lee Park", None, &wish));
        let report = verify(&signed, &VerifyOptions::default());
        assert!(report.unchanged(), "{:?}", report.objections());
    }
}

#[test]
fn nobody_seals_with_a_certificate_for_another_purpose() {
    for (why, wish) in for_other_purposes() {
        let identity = issue("Lee Park", None, &wish).identity(&[]);
        let refused = sign(
            &base(Kind::Table, true),
            &identity,
            &SignOptions::at(signed_at()),
        );
        let error = refused.unwrap_err().to_string();
        assert!(error.contains(why) && error.contains("Lee Park"), "{error}");
    }
}

/// What is found of a signer below a chain of authorities, the root first, without and with a reader who
/// trusts the root: the names on the chain, or what is wrong.
fn below(chain: &[Wish], signer: &Wish) -> Result<Vec<String>, String> {
    let (alone, trusted) = both(chain, signer);
    if trusted.is_ok() {
        assert_eq!(alone, Ok(()));
    }
    trusted
}

type Both = (Result<(), String>, Result<Vec<String>, String>);

fn both(chain: &[Wish], signer: &Wish) -> Both {
    let mut issuers: Vec<Issued> = Vec::new();
    for (n, wish) in chain.iter().enumerate() {
        issuers.push(issue(&format!("Guild {n}"), issuers.last(), wish));
    }
    let signer = issue("Ines Moreau", issuers.last(), signer);
    let nearest_first: Vec<&Issued> = issuers.iter().skip(1).rev().collect();
    let identity = signer.identity(&nearest_first);
    let options = SignOptions::at(signed_at());
    let sealed = sign(&base(Kind::Table, true), &identity, &options).unwrap();
    let trusting = VerifyOptions {
        anchors: vec![issuers[0].der.clone()],
        ..VerifyOptions::default()
    };
    let alone = verify(sealed.bytes(), &VerifyOptions::default());
    let alone = match alone.unchanged() {
        true => Ok(()),
        false => Err(alone.objections().join("; ")),
    };
    // With a chain that readers refuse, `certify` does not sign.
    let chain = identity.require_chain(signed_at().to_utc());
    match &alone {
        Ok(()) => chain.unwrap(),
        Err(why) if why.contains("a certificate of the chain") => {
            let told = chain.unwrap_err().to_string();
            assert!(
                told.contains("nobody would accept what Ines Moreau signs"),
                "{told}"
            );
        }
        Err(_) => {}
    }
    let report = verify(sealed.bytes(), &trusting);
    let trusted = match &report.certification().unwrap().trust {
        Trust::Anchored { over } => {
            assert!(report.acceptable());
            Ok(over.clone())
        }
        Trust::Refused { because } => {
            assert!(!report.acceptable());
            Err(because.clone())
        }
        other => panic!("{other:?}"),
    };
    (alone, trusted)
}

#[test]
fn a_chain_is_as_good_as_every_certificate_on_it() {
    let good = below(&[AUTHORITY, AUTHORITY], &SIGNER).unwrap();
    assert_eq!(good, ["Guild 1", "Guild 0"]);
    let expired = Wish {
        until: "2026-10-06T16:41:59Z",
        ..AUTHORITY
    };
    let to_come = Wish {
        from: "2026-10-06T16:42:01Z",
        ..AUTHORITY
    };
    // The moment of signing itself still counts.
    let just = Wish {
        until: "2026-10-06T16:42:00Z",
        ..AUTHORITY
    };
    assert!(below(&[AUTHORITY, just], &SIGNER).is_ok());
    let none_below = Wish {
        authority: Some(0),
        ..AUTHORITY
    };
    let no_issuer = Wish {
        usage: Some(KeyUsages::DigitalSignature),
        ..AUTHORITY
    };
    let unknown = Wish {
        unknown: Some(true),
        ..AUTHORITY
    };
    for bad in [expired, to_come, no_issuer, unknown, SIGNER] {
        for chain in [
            vec![AUTHORITY, bad],
            vec![bad, AUTHORITY],
            vec![AUTHORITY, bad, AUTHORITY],
        ] {
            let found = below(&chain, &SIGNER);
            assert!(found.is_err(), "{found:?}");
        }
    }
    // RFC 5280, 4.2.1.9: so many authorities may follow, the signer not counted.
    assert!(below(&[none_below], &SIGNER).is_ok());
    assert!(below(&[AUTHORITY, none_below], &SIGNER).is_ok());
    assert!(below(&[none_below, AUTHORITY], &SIGNER).is_err());
}

#[test]
fn a_chain_has_at_most_eight_certificates() {
    // The signer's own and seven authorities beside it, then one that is trusted.
    assert!(below(&[AUTHORITY; 8], &SIGNER).is_ok());
    let too_long = below(&[AUTHORITY; 9], &SIGNER);
    assert!(too_long.is_err(), "{too_long:?}");
}

#[test]
fn a_chain_that_is_included_must_hold_without_trust_too() {
    let expired = Wish {
        until: "2026-10-06T16:41:59Z",
        ..AUTHORITY
    };
    for (chain, why) in [
        (vec![AUTHORITY; 9], "has more than 8"),
        (vec![AUTHORITY; 12], "has more than 8"),
        (vec![AUTHORITY, expired], "not valid at the time of signing"),
        (
            vec![AUTHORITY, expired, AUTHORITY],
            "not valid at the time of signing",
        ),
        (vec![AUTHORITY, SIGNER], "does not belong to an authority"),
    ] {
        let (alone, trusted) = both(&chain, &SIGNER);
        assert!(trusted.is_err());
        let told = alone.expect_err(why);
        assert!(told.contains(why), "{told}");
    }
    // An expired root that is not included cannot be seen.
    assert_eq!(both(&[expired, AUTHORITY], &SIGNER).0, Ok(()));
}

#[test]
fn an_authority_for_other_purposes_or_other_names_vouches_for_nobody() {
    let server = Wish {
        purposes: &[SERVER],
        ..AUTHORITY
    };
    let constrained = Wish {
        constrained: true,
        ..AUTHORITY
    };
    for (bad, why) in [
        (server, "an authority for other purposes"),
        (constrained, "may issue only certain names"),
    ] {
        for chain in [vec![AUTHORITY, bad], vec![AUTHORITY, bad, AUTHORITY]] {
            let (alone, trusted) = both(&chain, &SIGNER);
            assert!(trusted.is_err(), "{trusted:?}");
            let told = alone.expect_err(why);
            assert!(told.contains(why), "{told}");
        }
    }
    for purposes in [&[DOCUMENTS][..], &[SERVER, MAIL], &["2.5.29.37.0"]] {
        let fine = Wish {
            purposes,
            ..AUTHORITY
        };
        let found = below(&[AUTHORITY, fine], &SIGNER);
        assert!(found.is_ok(), "{found:?}");
    }
}

#[test]
fn a_certificate_with_two_common_names_is_refused() {
    let identity = issue("Lee Park,CN=Maren Ody", None, &SIGNER).identity(&[]);
    let options = SignOptions::at(signed_at());
    let refused = sign(&base(Kind::Table, true), &identity, &options);
    let error = refused.unwrap_err().to_string();
    assert!(error.contains("several common names"), "{error}");
    for name in ["Lee Park,CN=Maren Ody", "Lee Park+CN=Maren Ody"] {
        let signed = countersigned(&issue(name, None, &SIGNER));
        let report = verify(&signed, &VerifyOptions::default());
        let objections = report.objections().join("; ");
        assert!(objections.contains("several common names"), "{objections}");
    }
}
