//! Published test vectors for signing and verifying: RFC 6979 (deterministic ECDSA) and Project
//! Wycheproof (wrong signatures that careless checks accept). They run against our own entry
//! points, so that a change of crate or of feature that weakens one is noticed.

use super::super::private_key::PrivateKey;
use super::*;
use der::Decode;
use wycheproof::{TestResult, ecdsa, rsa_pkcs1_verify};

fn bytes(hex: &str) -> Vec<u8> {
    let digits: Vec<u8> = hex.bytes().filter(u8::is_ascii_hexdigit).collect();
    digits
        .chunks(2)
        .map(|pair| u8::from_str_radix(std::str::from_utf8(pair).unwrap(), 16).unwrap())
        .collect()
}

/// The published s, or the order of the curve less s if that is smaller. Subtracted by hand, with the
/// orders of FIPS 186-4, D.1.2.3 and D.1.2.4.
fn smaller(s: &str, order: &str) -> Vec<u8> {
    let s = bytes(s);
    let mut borrow = 0;
    let mut less: Vec<u8> = bytes(order)
        .iter()
        .zip(&s)
        .rev()
        .map(|(n, s)| {
            let difference = 256 + i32::from(*n) - i32::from(*s) - borrow;
            borrow = 1 - difference / 256;
            (difference % 256) as u8
        })
        .collect();
    less.reverse();
    less.min(s)
}

const ORDER_OF_P256: &str = "FFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551";
const ORDER_OF_P384: &str = "FFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFFF\
                             C7634D81F4372DDF581A0DB248B0A77AECEC196ACCC52973";

/// RFC 6979, appendix A.2.5: P-256 with SHA-256.
#[test]
fn p256_signs_as_rfc_6979_says() {
    let key = bytes("C9AFA9D845BA75166B5C215767B1D6934E50C3DB36E89B127B8A622B120F6721");
    let key = PrivateKey::P256(p256::ecdsa::SigningKey::from_slice(&key).unwrap());
    for (message, r, s) in [
        (
            "sample",
            "EFD48B2AACB6A8FD1140DD9CD45E81D69D2C877B56AAF991C34D0EA84EAF3716",
            "F7CB1C942D657C41D436C7A1B6E29F65F3E900DBB9AFF4064DC4AB2F843ACDA8",
        ),
        (
            "test",
            "F1ABB023518351CD71D881567B1EA663ED3EFCF6C5132B354F28D3B0B7D38367",
            "019F4113742A2B14BD25926B49C649155F267E60D3814B4C0CC84250E46F0083",
        ),
    ] {
        let der = key.sign(message.as_bytes()).unwrap();
        let signature = p256::ecdsa::Signature::from_der(&der).unwrap();
        let expected = [bytes(r), smaller(s, ORDER_OF_P256)].concat();
        assert_eq!(signature.to_bytes()[..], expected, "{message}");
    }
}

/// RFC 6979, appendix A.2.6: P-384 with SHA-384.
#[test]
fn p384_signs_as_rfc_6979_says() {
    let key = bytes(
        "6B9D3DAD2E1B8C1C05B19875B6659F4DE23C3B667BF297BA9AA47740787137D8\
         96D5724E4C70A825F872C9EA60D2EDF5",
    );
    let key = PrivateKey::P384(p384::ecdsa::SigningKey::from_slice(&key).unwrap());
    for (message, r, s) in [
        (
            "sample",
            "94EDBB92A5ECB8AAD4736E56C691916B3F88140666CE9FA73D64C4EA95AD133C\
             81A648152E44ACF96E36DD1E80FABE46",
            "99EF4AEB15F178CEA1FE40DB2603138F130E740A19624526203B6351D0A3A94F\
             A329C145786E679E7B82C71A38628AC8",
        ),
        (
            "test",
            "8203B63D3C853E8D77227FB377BCF7B7B772E97892A80F36AB775D509D7A5FEB\
             0542A7F0812998DA8F1DD3CA3CF023DB",
            "DDD0760448D42D8A43AF45AF836FCE4DE8BE06B485E9B61B827C2F13173923E0\
             6A739F040649A667BF3B828246BAA5A5",
        ),
    ] {
        let der = key.sign(message.as_bytes()).unwrap();
        let signature = p384::ecdsa::Signature::from_der(&der).unwrap();
        let expected = [bytes(r), smaller(s, ORDER_OF_P384)].concat();
        assert_eq!(signature.to_bytes()[..], expected, "{message}");
    }
}

/// Compares our answer with the expected one.
fn judge(what: &str, verdict: TestResult, ours: &Checked) {
    match verdict {
        TestResult::Valid => assert_eq!(*ours, Checked::Valid, "{what}"),
        TestResult::Invalid => assert_ne!(*ours, Checked::Valid, "{what}"),
        // Such as a missing NULL in old RSA signatures: either answer is right.
        TestResult::Acceptable => {}
    }
}

#[test]
fn wycheproof_ecdsa() {
    let mut count = 0;
    for (set, hash, algorithm) in [
        (
            ecdsa::TestName::EcdsaSecp256r1Sha256,
            Hash::Sha256,
            ECDSA_SHA_256,
        ),
        (
            ecdsa::TestName::EcdsaSecp256r1Sha512,
            Hash::Sha512,
            ECDSA_SHA_512,
        ),
        (
            ecdsa::TestName::EcdsaSecp384r1Sha256,
            Hash::Sha256,
            ECDSA_SHA_256,
        ),
        (
            ecdsa::TestName::EcdsaSecp384r1Sha384,
            Hash::Sha384,
            ECDSA_SHA_384,
        ),
        (
            ecdsa::TestName::EcdsaSecp384r1Sha512,
            Hash::Sha512,
            ECDSA_SHA_512,
        ),
    ] {
        let set = ecdsa::TestSet::load(set).unwrap();
        for group in set.test_groups {
            let key = SubjectPublicKeyInfoOwned::from_der(&group.der).unwrap();
            for test in group.tests {
                let ours = check(&key, &bare(algorithm), hash, &test.msg, &test.sig);
                judge(
                    &format!(
                        "{:?} {:?} case {}: {}",
                        group.key.curve, hash, test.tc_id, test.comment
                    ),
                    test.result,
                    &ours,
                );
                count += 1;
            }
        }
    }
    assert!(count > 2000, "{count} cases");
}

#[test]
fn wycheproof_rsa() {
    use rsa_pkcs1_verify::TestName;
    let mut count = 0;
    for (set, hash, algorithm) in [
        (TestName::Rsa2048Sha256, Hash::Sha256, SHA_256_WITH_RSA),
        (TestName::Rsa2048Sha384, Hash::Sha384, SHA_384_WITH_RSA),
        (TestName::Rsa2048Sha512, Hash::Sha512, SHA_512_WITH_RSA),
        (TestName::Rsa3072Sha256, Hash::Sha256, SHA_256_WITH_RSA),
        (TestName::Rsa4096Sha256, Hash::Sha256, SHA_256_WITH_RSA),
        (TestName::Rsa4096Sha512, Hash::Sha512, SHA_512_WITH_RSA),
    ] {
        let set = rsa_pkcs1_verify::TestSet::load(set).unwrap();
        for group in set.test_groups {
            let key = SubjectPublicKeyInfoOwned::from_der(&group.der).unwrap();
            for test in group.tests {
                let ours = check(&key, &bare(algorithm), hash, &test.msg, &test.sig);
                judge(
                    &format!(
                        "RSA {} {hash:?} case {}: {}",
                        group.key_size, test.tc_id, test.comment
                    ),
                    test.result,
                    &ours,
                );
                // As CMS names it, with the hash stated elsewhere, the answer is the same.
                assert_eq!(
                    check(&key, &bare(RSA_ENCRYPTION), hash, &test.msg, &test.sig),
                    ours
                );
                count += 1;
            }
        }
    }
    assert!(count > 1000, "{count} cases");
}

#[test]
fn weak_and_unknown_keys_are_named() {
    use rsa_pkcs1_verify::{TestName, TestSet};
    // 8192 bits are past what an identity may have, but a signature of such a key is no weaker.
    let set = TestSet::load(TestName::Rsa8192Sha256).unwrap();
    let group = &set.test_groups[0];
    let key = SubjectPublicKeyInfoOwned::from_der(&group.der).unwrap();
    let test = &group.tests[0];
    let ours = check(
        &key,
        &bare(SHA_256_WITH_RSA),
        Hash::Sha256,
        &test.msg,
        &test.sig,
    );
    assert!(!matches!(ours, Checked::Weak(_)), "{ours:?}");
    // The same key under an elliptic algorithm's name.
    let ours = check(
        &key,
        &bare(ECDSA_SHA_256),
        Hash::Sha256,
        &test.msg,
        &test.sig,
    );
    assert_eq!(ours, Checked::Invalid);
    // A hash that the algorithm's name does not fit.
    let ours = check(
        &key,
        &bare(SHA_256_WITH_RSA),
        Hash::Sha384,
        &test.msg,
        &test.sig,
    );
    assert_eq!(ours, Checked::Invalid);
}
