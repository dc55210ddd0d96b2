//! Verify under mutations: thousands of broken files made from whole ones by a seeded generator.
//! None may panic or take long, and whatever is called genuine must be what was sealed.
//!
//!     cargo test --release --test seal mutations                  some seconds, always the same
//!     WARMLUG_MUTATE_SECONDS=1800 cargo test --release --test seal mutations -- --nocapture
//!
//! The second takes another seed every run and prints it; `WARMLUG_MUTATE_SEED` runs one again.
//! A file that ever went wrong is kept in `tests/seal_corpus` and judged first.
use crate::compose_common::Case;
use crate::seal_common::authority::{HONEST, NONCE, reply};
use crate::seal_common::{Kind, base, identity, key_file, signed_at, three_blue};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};
use warmlug::record::answers::Answers;
use warmlug::record::contents::OwnEvidence;
use warmlug::seal::validation_data::{add, revocation_list};
use warmlug::seal::{
    Authority, Hand, Identity, SignOptions, VerifyOptions, countersign, sign, sign_stamped, verify,
};
use warmlug::typeset;

/// Mutations of one ordinary run.
const USUAL: usize = 3_000;
/// Longest that one file may take.
const LIMIT: Duration = Duration::from_secs(2);
/// Words that mean something in a PDF, to be put where they do not belong.
const WORDS: [&str; 28] = [
    "obj",
    "endobj",
    "stream\n",
    "endstream",
    "xref\n0 1\n",
    "trailer",
    "startxref\n",
    "%%EOF\n",
    "/ByteRange [0 1 2 3]",
    "/Contents <",
    "/Prev 0",
    "/XRefStm 9",
    "/Root 1 0 R",
    "/Size 1",
    "/Kids [1 0 R 1 0 R]",
    "/Length 99999999",
    "/Filter /FlateDecode",
    "/Type /ObjStm /N 9 /First 9",
    "<<",
    ">>",
    "[[[[[[[[",
    "]]",
    "0 0 R",
    "1 0 R",
    "null",
    "-1",
    "4294967296",
    "99999999999999999999",
];

/// SplitMix64 (Steele and others, OOPSLA 2014): one number from the last.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        (self.roll() % end.max(1) as u64) as usize
    }

    /// A range of a file, short more often than long.
    fn range(&mut self, length: usize) -> std::ops::Range<usize> {
        let start = self.below(length);
        let most = 1 << self.below(13);
        start..(start + self.below(most) + 1).min(length)
    }
}

/// A file as it was sealed, and with what others permitted themselves to add.
struct Seed {
    sealed: Vec<u8>,
    whole: Vec<u8>,
}

/// Changes a file in one to four places.
fn mutate(dice: &mut Dice, bytes: &mut Vec<u8>, other: &[u8]) {
    for _ in 0..=dice.below(4) {
        if bytes.is_empty() {
            return;
        }
        let at = dice.below(bytes.len());
        match dice.below(10) {
            0 => bytes[at] ^= 1 << dice.below(8),
            1 => bytes[at] = dice.roll() as u8,
            2 => {
                bytes.drain(dice.range(bytes.len()));
            }
            3 => {
                let piece = bytes[dice.range(bytes.len())].to_vec();
                bytes.splice(at..at, piece);
            }
            4 => {
                let piece = other[dice.range(other.len())].to_vec();
                bytes.splice(at..at, piece);
            }
            5 => {
                let word = WORDS[dice.below(WORDS.len())];
                bytes.splice(at..at, word.bytes());
            }
            6 => {
                let word = WORDS[dice.below(WORDS.len())];
                let end = (at + word.len()).min(bytes.len());
                bytes.splice(at..end, word.bytes());
            }
            7 => digits(dice, bytes, at),
            8 => message(dice, bytes),
            _ => bytes.truncate(at),
        }
    }
}

/// Another number in place of the next one.
fn digits(dice: &mut Dice, bytes: &mut Vec<u8>, from: usize) {
    let Some(start) = bytes[from..].iter().position(u8::is_ascii_digit) else {
        return;
    };
    let start = from + start;
    let length = bytes[start..]
        .iter()
        .take_while(|b| b.is_ascii_digit())
        .count();
    let number = match dice.below(4) {
        0 => dice.below(10),
        1 => dice.below(bytes.len()),
        2 => usize::from(u16::MAX),
        _ => dice.roll() as usize,
    };
    bytes.splice(start..start + length, number.to_string().bytes());
}

/// Another byte in the signature message itself, its digits left in form.
fn message(dice: &mut Dice, bytes: &mut [u8]) {
    let opening = b"/Contents <";
    let places: Vec<usize> = bytes
        .windows(opening.len())
        .enumerate()
        .filter(|(_, w)| w == opening)
        .map(|(at, _)| at + opening.len())
        .collect();
    let Some(&open) = places.get(dice.below(places.len())) else {
        return;
    };
    let length = bytes[open..]
        .iter()
        .take_while(|b| b.is_ascii_hexdigit())
        .count();
    for _ in 0..=dice.below(3) {
        // The message is at the front, padding behind it.
        let pair = open + 2 * dice.below((length / 2).min(1200));
        if let Some(place) = bytes.get_mut(pair..pair + 2) {
            place.copy_from_slice(format!("{:02x}", dice.roll() as u8).as_bytes());
        }
    }
}

/// A certificate whose pages, record and fonts are whole.
fn certificate(identity: &Identity) -> Vec<u8> {
    let mut case = Case::example("limited-visit");
    case.visit.photos.clear();
    case.visit.inspector.logo = None;
    case.visit.inspector.signature_image = None;
    let mut document = case.sealed_by(warmlug::compose::SealFacts {
        fingerprint: identity.fingerprint().to_string(),
        ..crate::compose_common::seal()
    });
    document.images.clear();
    typeset::render(&document).unwrap()
}

/// A sealed file with a time-stamp.
fn stamped(inspector: &Identity) -> Seed {
    let authority = Authority {
        send: &|request| Ok(reply(request, &HONEST)),
        nonce: NONCE,
        policy: None,
    };
    let options = SignOptions::at(signed_at());
    let sealed = sign_stamped(
        &base(Kind::Table, true),
        inspector,
        &options,
        Some(&authority),
    );
    let sealed = sealed.unwrap().into_bytes();
    Seed {
        whole: sealed.clone(),
        sealed,
    }
}

/// A sealed file with a list of revoked certificates behind the seal.
fn with_validation_data() -> Seed {
    let folder = tempfile::tempdir().unwrap();
    let issued = Identity::load(&key_file(&folder, "issued.p12"), &three_blue()).unwrap();
    let list = revocation_list(&key_file(&folder, "nobody.crl")).unwrap();
    let options = SignOptions::at(issued.valid_from().fixed_offset());
    let sealed = sign(&base(Kind::Stream, true), &issued, &options).unwrap();
    let whole = add(&sealed, &issued, &[list]).unwrap();
    Seed {
        sealed: sealed.into_bytes(),
        whole: whole.into_bytes(),
    }
}

/// Whether two sealed files are the same. Next to the signature of the issued identity is its
/// issuer's certificate, which no signature covers; there the message may differ.
fn same(sealed: &[u8], found: &[u8]) -> bool {
    if sealed == found {
        return true;
    }
    let opening = b"/Contents <";
    let message = |file: &[u8]| {
        let at = file.windows(opening.len()).position(|w| w == opening)? + opening.len();
        let length = file[at..].iter().position(|b| *b == b'>')?;
        Some(at..at + length)
    };
    let (Some(one), Some(other)) = (message(sealed), message(found)) else {
        return false;
    };
    // “Guild Root”, the name of that issuer, is in no other seed's message.
    let issuer = "4775696c6420526f6f74";
    one == other
        && sealed[..one.start] == found[..one.start]
        && sealed[one.end..] == found[one.end..]
        && String::from_utf8_lossy(&sealed[one.clone()])
            .matches(issuer)
            .count()
            > 3
}

/// Judges one file; the reason when something is wrong with the judgement.
fn judge(bytes: &[u8], sealed: &[&[u8]], limit: Duration) -> Result<(), String> {
    let start = Instant::now();
    let done = catch_unwind(AssertUnwindSafe(|| {
        let answers = Answers::of(bytes, &VerifyOptions::default(), &OwnEvidence::default());
        let _ = (answers.report.sentence(), answers.objections());
        let verified = answers.report.verified();
        verified.map(|verified| verified.bytes().to_vec())
    }));
    let took = start.elapsed();
    match done {
        Err(_) => Err("it panics".to_owned()),
        Ok(Some(found)) if !sealed.iter().any(|file| same(file, &found)) => {
            Err("it is called genuine, but nobody sealed it".to_owned())
        }
        Ok(_) if took > limit => Err(format!("it takes {took:?}")),
        Ok(_) => Ok(()),
    }
}

fn fail(dice_before: u64, bytes: &[u8], why: &str) -> ! {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("mutation.pdf");
    std::fs::write(&path, bytes).unwrap();
    panic!("seed {dice_before}: {why}; the file is {}", path.display());
}

#[test]
fn no_file_that_ever_went_wrong_goes_wrong_again() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/seal_corpus");
    let mut count = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let bytes = std::fs::read(&path).unwrap();
        if let Err(why) = judge(&bytes, &[], Duration::MAX) {
            panic!("{}: {why}", path.display());
        }
        count += 1;
    }
    assert!(count > 0);
}

#[test]
fn no_mutation_panics_hangs_or_passes_for_genuine() {
    let seconds: Option<u64> = std::env::var("WARMLUG_MUTATE_SECONDS")
        .ok()
        .map(|text| text.parse().expect("WARMLUG_MUTATE_SECONDS is a number"));
    // Times are measured where somebody looks on, not in every test run.
    let limit = seconds.map_or(Duration::MAX, |_| LIMIT);
    let seed = match std::env::var("WARMLUG_MUTATE_SEED") {
        Ok(text) => text.parse().expect("WARMLUG_MUTATE_SEED is a number"),
        Err(_) if seconds.is_some() => std::process::id().into(),
        Err(_) => 20261006,
    };
    let inspector = identity();
    let options = SignOptions::at(signed_at());
    let mut seeds = Vec::new();
    let mut unsigned = vec![certificate(&inspector)];
    for kind in [Kind::Table, Kind::Stream] {
        for field in [true, false] {
            unsigned.push(base(kind, field));
        }
    }
    for file in &unsigned {
        let sealed = sign(file, &inspector, &options).unwrap().into_bytes();
        let whole = countersign(&sealed, &inspector, Hand::Client, &options)
            .unwrap()
            .into_bytes();
        seeds.push(Seed { sealed, whole });
    }
    seeds.extend([stamped(&inspector), with_validation_data()]);
    let sealed: Vec<&[u8]> = seeds.iter().map(|seed| seed.sealed.as_slice()).collect();
    let mut dice = Dice(seed);
    let (mut judged, mut genuine_again, mut resealed) = (0, 0, 0);
    let start = Instant::now();
    let going = |judged: usize| match seconds {
        Some(seconds) => start.elapsed().as_secs() < seconds,
        None => judged < USUAL,
    };
    while going(judged) {
        let before = dice.0;
        let one = &seeds[dice.below(seeds.len())];
        let other = &seeds[dice.below(seeds.len())].whole;
        let mut bytes = if dice.below(2) == 0 {
            one.sealed.clone()
        } else {
            one.whole.clone()
        };
        mutate(&mut dice, &mut bytes, other);
        if let Err(why) = judge(&bytes, &sealed, limit) {
            fail(before, &bytes, &why);
        }
        genuine_again += usize::from(verify(&bytes, &VerifyOptions::default()).unchanged());
        judged += 1;
        // A signer can be the attacker: what is broken before sealing is sealed all the same.
        if judged % 4 == 0 {
            let mut bytes = unsigned[dice.below(unsigned.len())].clone();
            mutate(&mut dice, &mut bytes, other);
            if let Ok(file) = sign(&bytes, &inspector, &options) {
                if let Err(why) = judge(file.bytes(), &[file.bytes()], limit) {
                    fail(before, file.bytes(), &why);
                }
                resealed += 1;
            }
            judged += 1;
        }
    }
    println!(
        "seed {seed}: {judged} files in {:?}, {resealed} of them sealed after they were broken, \
         {genuine_again} cut back to what was sealed",
        start.elapsed()
    );
    assert!(resealed > 0 && genuine_again < judged / 10);
}
