//! The verification report: a document to be filed that states what was checked. It is not signed,
//! and says so.

use super::answers::Answers;
use super::contents::{Contents, Extent, Findings, Paper, Photos};
use super::made_by::{MadeBy, this_version};
use super::printed_words::{Compared, Pages};
use super::stated::{Proof, Stated};
use super::time_warnings;
use crate::compose::document::{
    About, Attachment, Block, Document, Format, Letterhead, Signal, Text,
};
use crate::seal::field_names::in_words;
use crate::seal::plain::{quoted, quoted_name};
use crate::seal::report::{Answer, Changes, Coverage, Role, SignatureReport};
use crate::typeset;
use crate::visit;
use chrono::{DateTime, FixedOffset};
use sha2::{Digest, Sha256};

/// A file that was checked.
#[derive(Debug, Clone, Copy)]
pub struct Checked<'a> {
    /// Its name as given.
    pub name: &'a str,
    /// Its bytes.
    pub bytes: &'a [u8],
}

/// The report about a file. `acceptable` says whether the reader's own conditions are met; the
/// answers are attached as JSON.
pub fn document(
    file: Checked<'_>,
    answers: &Answers<'_>,
    acceptable: bool,
    now: DateTime<FixedOffset>,
) -> Document {
    let sha256 = base16ct::lower::encode_string(&Sha256::digest(file.bytes));
    let name = printable(file.name);
    let title = format!("Verification of {name}");
    let mut body = vec![
        Block::Heading {
            level: 1,
            text: "Verification of a certificate".to_owned(),
            anchor: None,
        },
        verdict(answers),
        Block::Paragraph(Text::plain(format!(
            "This paper is not signed and proves nothing by itself. It says what {} found on {} in the \
             file with the digest below. To check it, run “warmlug verify” on the same file.",
            this_version(),
            now.format("%Y-%m-%d %H:%M %:z")
        ))),
    ];
    let odd = time_warnings::warnings(&answers.report, now);
    if !odd.is_empty() {
        heading("Warnings about times", &mut body);
        let items = odd.iter().map(|odd| Text::plain(printable(odd)));
        body.push(Block::List {
            numbered: false,
            items: items.collect(),
        });
    }
    heading("File", &mut body);
    body.push(Block::Facts(facts(&file_facts(
        &name, file, &sha256, answers,
    ))));
    if let Some(stated) = Stated::of(answers) {
        heading("What the record says", &mut body);
        body.push(Block::Facts(facts(&stated_facts(&stated))));
    }
    for signature in &answers.report.signatures {
        let what = match signature.role {
            Role::Certification { .. } => "Seal",
            Role::Approval => "Countersignature",
            Role::DocumentStamp => "Time-stamp of the file",
        };
        heading(what, &mut body);
        body.push(Block::Facts(facts(&signature_facts(signature))));
    }
    heading("What was checked", &mut body);
    body.push(Block::Facts(facts(&check_facts(answers))));
    if let Some(proof) = Proof::of(answers, now) {
        for (name, list) in [
            ("Proved", &proof.proved),
            ("Claimed only", &proof.claimed),
            ("Not looked at", &proof.not_looked_at),
        ] {
            heading(name, &mut body);
            let items = list.iter().map(|what| Text::plain(printable(what)));
            body.push(Block::List {
                numbered: false,
                items: items.collect(),
            });
        }
    }
    let json = format!("{:#}\n", answers.json(acceptable, now));
    Document {
        about: About {
            title: title.clone(),
            author: "warmlug".to_owned(),
            subject: title,
            identifier: format!("verification sha256:{sha256}"),
            language: "en".to_owned(),
            further_languages: Vec::new(),
            created: now,
            producer: format!("warmlug {}", env!("CARGO_PKG_VERSION")),
        },
        format: Format::Sheets(
            answers
                .again
                .as_ref()
                .map_or(visit::Paper::A4, |again| again.visit.print.paper),
        ),
        decimal_mark: '.',
        letterhead: Letterhead {
            name: "warmlug verify".to_owned(),
            lines: Vec::new(),
            logo: None,
            accent: None,
        },
        running_left: format!("Verification, {}", now.format("%Y-%m-%d")),
        running_middle: name,
        running_right: "page {page} of {pages}".to_owned(),
        draft: None,
        body,
        images: Vec::new(),
        attachments: vec![Attachment {
            name: "verification.json".to_owned(),
            mime: "application/json".to_owned(),
            description: "The answers of warmlug verify".to_owned(),
            relationship: "Data",
            bytes: json.into_bytes(),
        }],
    }
}

fn heading(text: &str, body: &mut Vec<Block>) {
    body.push(Block::Heading {
        level: 2,
        text: text.to_owned(),
        anchor: None,
    });
}

/// A name and a value.
type Fact = (&'static str, String);

fn facts(facts: &[Fact]) -> Vec<(String, Text)> {
    let fact = |(name, value): &Fact| ((*name).to_owned(), Text::plain(printable(value)));
    facts.iter().map(fact).collect()
}

/// Text with only the characters of the typeface; names may be a stranger's.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            c if c.is_control() => ' ',
            c if typeset::prints(c) => c,
            _ => '?',
        })
        .collect()
}

/// Hexadecimal digits in groups, between which lines can break.
fn grouped(hex: &str) -> String {
    let digits: Vec<char> = hex.chars().collect();
    let groups = digits
        .chunks(8)
        .map(|group| group.iter().collect::<String>());
    groups.collect::<Vec<_>>().join(" ")
}

fn verdict(answers: &Answers<'_>) -> Block {
    let (signal, title) = if answers.genuine() {
        (Signal::Good, "Genuine")
    } else if answers.good() {
        (Signal::Notice, "Unchanged; the key was not compared")
    } else if answers.report.unchanged() {
        (
            Signal::Danger,
            "The seal is unbroken, but something else is wrong",
        )
    } else {
        (Signal::Danger, "Not as it was sealed")
    };
    Block::Verdict {
        signal,
        title: title.to_owned(),
        text: vec![Text::plain(printable(&answers.sentence()))],
    }
}

fn file_facts(name: &str, file: Checked<'_>, sha256: &str, answers: &Answers<'_>) -> Vec<Fact> {
    let mut out = vec![
        ("Name", name.to_owned()),
        ("Size", format!("{} bytes", file.bytes.len())),
        ("SHA-256", grouped(sha256)),
    ];
    if let Some(standing) = &answers.standing {
        out.push(("SHA-256 as sealed", grouped(&standing.sha256)));
        out.push(("Number", standing.number.clone()));
        if let Some(earlier) = &standing.replaces {
            let value = format!("{} (SHA-256 {})", earlier.number, grouped(&earlier.sha256));
            out.push(("Replaces", value));
        }
    }
    if let Some(made_by) = answers.contents.as_ref().and_then(|c| c.made_by.as_ref()) {
        out.push(("Made by", made_by.words()));
    }
    out.push((
        "Since the seal",
        match &answers.report.changes {
            Changes::None => "nothing was added or changed".to_owned(),
            Changes::Permitted(named) => format!("added, as permitted: {}", named.join("; ")),
            Changes::NotPermitted(named) => format!("NOT permitted: {}", named.join("; ")),
            Changes::NotJudged(named) => format!("not judged: {}", named.join("; ")),
            Changes::NotDetermined(why) => format!("not determined: {why}"),
        },
    ));
    out
}

fn stated_facts(stated: &Stated) -> Vec<Fact> {
    let mut out = vec![
        ("Outcome", stated.outcome_words()),
        (
            "Complete",
            match stated.complete {
                Some(true) => "yes",
                Some(false) => "NO: the inspection was not complete",
                None => "not stated",
            }
            .to_owned(),
        ),
    ];
    out.extend(stated.charging_words().map(|words| ("Charging", words)));
    out.extend(
        stated
            .circuit_words()
            .into_iter()
            .map(|words| ("Circuits", words)),
    );
    out.push(("Site", quoted(&stated.site)));
    out.push(("Inspected", stated.date.to_string()));
    let due = stated.next_due.map(|day| day.to_string());
    let due = due.unwrap_or_else(|| "before it is used again".to_owned());
    out.push(("Next due", due));
    out.extend(stated.signed.clone().map(|odd| ("Warning", odd)));
    out
}

fn signature_facts(signature: &SignatureReport) -> Vec<Fact> {
    let mut out = vec![("Field", in_words(&signature.field))];
    let failed = signature
        .questions()
        .into_iter()
        .filter_map(|(what, answer)| match answer {
            Answer::Yes => None,
            Answer::No(why) | Answer::NotDetermined(why) => Some(format!("{what}: {why}")),
        });
    let failed: Vec<String> = failed.collect();
    out.push((
        "Cryptography",
        if failed.is_empty() {
            "holds".to_owned()
        } else {
            format!("does NOT hold: {}", failed.join("; "))
        },
    ));
    if let Some(signer) = &signature.signer {
        out.push(("Key of", signer.named()));
        out.extend(signer.firm.as_ref().map(|firm| ("Firm", quoted_name(firm))));
        let licence = signer.licence.as_ref();
        out.extend(licence.map(|licence| ("Licence", quoted_name(licence))));
        out.push(("Fingerprint", signer.fingerprint.to_string()));
        let issuer = if signer.self_signed {
            "itself (self-signed)".to_owned()
        } else if signer.issuer_checked {
            quoted_name(&signer.issuer)
        } else {
            format!("{}, by its own word", quoted_name(&signer.issuer))
        };
        out.push(("Issued by", issuer));
        out.push(("Trust", signature.trust.sentence()));
        out.push((
            "Certificate",
            format!(
                "{}, valid from {} to {}",
                signer.algorithm,
                signer.valid_from.format("%Y-%m-%d"),
                signer.valid_until.format("%Y-%m-%d")
            ),
        ));
    }
    if let Some(at) = signature.signed.at {
        let at = at.format("%Y-%m-%d %H:%M:%S %:z");
        out.push(("Signed on", format!("{at} by the signer's own clock")));
    }
    if let Some(stamp) = &signature.stamp {
        let trusted = match &stamp.trusted {
            Answer::Yes => "which the reader trusts".to_owned(),
            Answer::No(why) => format!("which you do NOT trust: {why}"),
            Answer::NotDetermined(why) => format!("NOT checked: {why}"),
        };
        let at = stamp.at.format("%Y-%m-%d %H:%M:%S UTC");
        out.push(("Stamped", format!("{at} by {}, {trusted}", stamp.by())));
        out.push(("Authority's key", stamp.fingerprint.to_string()));
    }
    let reason = signature.reason.as_ref();
    out.extend(reason.map(|reason| {
        (
            "Reason",
            format!("{} (the signer's own words)", quoted(reason)),
        )
    }));
    out.push((
        "Covers",
        match &signature.coverage {
            Coverage::WholeFile => "the whole file".to_owned(),
            Coverage::Revision { bytes, .. } => {
                format!("the file as it was then, {bytes} bytes")
            }
            Coverage::Broken { because } => format!("NOT what it must cover: {because}"),
        },
    ));
    out
}

fn check_facts(answers: &Answers<'_>) -> Vec<Fact> {
    let Some(contents) = &answers.contents else {
        let why = "not checked: the record is read only if the seal is unbroken";
        return vec![("Record", why.to_owned())];
    };
    vec![
        ("Compared", extent(contents).to_owned()),
        ("Findings", findings(&contents.findings)),
        ("Pages", pages(&contents.pages)),
        ("Tables", tables(contents)),
        ("Photos", photos(&contents.photos)),
        ("Paper copy", paper(&contents.paper)),
    ]
}

fn extent(contents: &Contents) -> &'static str {
    let own = contents.made_by == Some(MadeBy::ThisVersion);
    match contents.extent() {
        Extent::Whole => "everything: the findings were recomputed and the pages written again",
        Extent::Words => "the findings were recomputed and the words of the pages compared",
        Extent::Part if own => "in part",
        Extent::Part => "what this version has in common with the one that made the certificate",
    }
}

fn findings(answer: &Findings) -> String {
    match answer {
        Findings::Yes { findings } => {
            format!("recomputed from the record; they are the same ({findings})")
        }
        Findings::No { differences } => format!(
            "they do NOT follow from the record ({} differences)",
            differences.len()
        ),
        Findings::OtherVersion { .. } => {
            "another version computed them, and this one computes different findings".to_owned()
        }
        Findings::NotDetermined { because } => format!("not recomputed: {because}"),
    }
}

fn pages(answer: &Pages) -> String {
    match answer {
        Pages::Yes { compared, .. } => match compared {
            Compared::Pages => "exactly what this version writes from this record",
            Compared::Words => "their words agree with the record",
            Compared::Facts => "number, dates, persons and findings are those of the record",
        }
        .to_owned(),
        Pages::No { differences } => {
            format!(
                "they do NOT agree with the record: {}",
                differences.join("; ")
            )
        }
        Pages::NotDetermined { because } => format!("not compared: {because}"),
    }
}

fn tables(contents: &Contents) -> String {
    match &contents.tables {
        Some(tables) if tables.differences.is_empty() => tables.words(),
        Some(tables) => format!(
            "they do NOT agree with the record: {}",
            tables.differences.join("; ")
        ),
        None if contents.made_by == Some(MadeBy::ThisVersion) => {
            "compared with the pages".to_owned()
        }
        None => "not compared".to_owned(),
    }
}

fn photos(answer: &Photos) -> String {
    match answer {
        Photos::None => "none".to_owned(),
        Photos::Digests { photos } => {
            format!("digests of {photos} inside; the originals were not looked at")
        }
        Photos::Yes { photos, shown } => format!(
            "all {photos} originals are the certified ones{}",
            if *shown {
                ", and the pages show them"
            } else {
                ""
            }
        ),
        Photos::No { differences } => format!("NOT the certified ones: {}", differences.join("; ")),
        Photos::Missing { missing } => format!("missing: {}", missing.join("; ")),
        Photos::NotDetermined { because } => format!("not checked: {because}"),
    }
}

fn paper(answer: &Paper) -> String {
    match answer {
        Paper::NotAsked => "not looked at".to_owned(),
        Paper::Yes => "its check line is that of this file".to_owned(),
        Paper::No { because } => format!("NOT this file: {because}"),
        Paper::NotDetermined { because } => format!("not compared: {because}"),
    }
}
