//! Sealing and verifying beside the raw cost of their hash and signature, and beside what
//! `openssl speed` says of the same kinds of key on this machine.
//!
//!     cargo bench --bench seal
//!
//! Raw is SHA-256 (P-384: SHA-384) over the sealed bytes and one signature by the same crates.
//! Prints a table; nothing here passes or fails.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/seal_common/mod.rs"]
mod seal_common;

use p256::ecdsa::signature::hazmat::PrehashSigner;
use p256::pkcs8::DecodePrivateKey;
use seal_common::{Kind, base_with, key_file, three_blue};
use sha2::{Digest, Sha256, Sha384};
use std::hint::black_box;
use std::time::Instant;
use warmlug::seal::{Identity, SignOptions, VerifyOptions, sign, verify};

const RUNS: usize = 200;

/// Least time of a call in microseconds: whatever else the machine does only adds to it.
fn least(mut call: impl FnMut()) -> f64 {
    (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            call();
            start.elapsed().as_secs_f64() * 1e6
        })
        .fold(f64::MAX, f64::min)
}

/// A file with as many bytes of pictures as a certificate has.
fn file(bytes: usize) -> Vec<u8> {
    let noise: Vec<u8> = (0..bytes as u32)
        .map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8)
        .collect();
    base_with(Kind::Stream, true, &noise)
}

/// Microseconds a signature and a check take openssl.
fn openssl(kind: &str) -> Option<(f64, f64)> {
    let done = std::process::Command::new("openssl")
        .args(["speed", "-mr", "-seconds", "1", kind])
        .output()
        .ok()?;
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    // +F2 or +F4, number, bits, signatures a second, checks a second.
    let line = text
        .lines()
        .find(|l| l.starts_with("+F2:") || l.starts_with("+F4:"))?;
    let mut fields = line.split(':').skip(3).map(|f| f.parse::<f64>());
    Some((1e6 / fields.next()?.ok()?, 1e6 / fields.next()?.ok()?))
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    println!("microseconds, least of {RUNS}; raw is hash and signature alone");
    println!(
        "{:8} {:>9} {:>9} {:>9} {:>6} {:>9} {:>13} {:>14}",
        "key", "bytes", "seal", "raw", "ratio", "verify", "openssl sign", "openssl check"
    );
    for size in [2_000, 75_000, 450_000] {
        let unsigned = file(size);
        for (name, kind) in [
            ("p256", "ecdsap256"),
            ("p384", "ecdsap384"),
            ("rsa2048", "rsa2048"),
        ] {
            let identity =
                Identity::load(&key_file(&folder, &format!("{name}.p12")), &three_blue()).unwrap();
            let options = SignOptions::at(identity.valid_from().fixed_offset());
            let sealed = sign(&unsigned, &identity, &options).unwrap().into_bytes();
            let pem = std::fs::read_to_string(key_file(&folder, &format!("{name}.key"))).unwrap();
            let raw = match name {
                "p256" => {
                    let key = p256::ecdsa::SigningKey::from_pkcs8_pem(&pem).unwrap();
                    least(|| {
                        let digest = Sha256::digest(&sealed);
                        let made: p256::ecdsa::Signature = key.sign_prehash(&digest).unwrap();
                        black_box(made);
                    })
                }
                "p384" => {
                    let key = p384::ecdsa::SigningKey::from_pkcs8_pem(&pem).unwrap();
                    least(|| {
                        let digest = Sha384::digest(&sealed);
                        let made: p384::ecdsa::Signature = key.sign_prehash(&digest).unwrap();
                        black_box(made);
                    })
                }
                _ => {
                    let key = rsa::PrivateKey::from_pkcs8_pem(&pem).unwrap();
                    least(|| {
                        let digest = Sha256::digest(&sealed);
                        let padding = rsa::Pkcs1v15Sign::new::<Sha256>();
                        black_box(key.sign(padding, &digest).unwrap());
                    })
                }
            };
            let ours = least(|| {
                black_box(sign(&unsigned, &identity, &options).unwrap());
            });
            let checked = least(|| {
                assert!(verify(&sealed, &VerifyOptions::default()).unchanged());
            });
            let (theirs, their_check) = match openssl(kind) {
                Some((sign, check)) => (format!("{sign:.0}"), format!("{check:.0}")),
                None => ("none".to_owned(), "none".to_owned()),
            };
            println!(
                "{name:8} {:9} {ours:9.0} {raw:9.0} {:6.2} {checked:9.0} {theirs:>13} {their_check:>14}",
                sealed.len(),
                ours / raw,
            );
        }
    }
}
