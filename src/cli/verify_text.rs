//! The answers of `warmlug verify` as text, each in a plain sentence.

use super::terminal::{self, WIDTH};
use crate::record::answers::Answers;
use crate::record::contents::{Findings, Paper, Photos, plain};
use crate::record::made_by::{MadeBy, this_version};
use crate::record::other_rules::OtherRules;
use crate::record::printed_words::{Compared, Pages};
use crate::record::recompute::Difference;
use crate::record::stated::{Proof, Stated};
use crate::record::time_warnings;
use crate::seal::field_names::in_words;
use crate::seal::plain::{quoted, quoted_name};
use crate::seal::report::{
    ADDED_BY_OTHERS, Allowed, Answer, Changes, Coverage, Report, Role, SignatureReport,
    SigningTime, TimeSource,
};
use chrono::{DateTime, FixedOffset};

/// Maximum number of differences printed; a changed visit file causes hundreds.
const MOST_DIFFERENCES: usize = 8;
/// Column at which values begin.
const INDENT: usize = 14;

/// The complete text, on a clock that shows `now`.
pub(super) fn text(answers: &Answers<'_>, now: DateTime<FixedOffset>) -> String {
    let report = &answers.report;
    let (contents, standing) = (answers.contents.as_ref(), answers.standing.as_ref());
    let mut out = terminal::wrap(&answers.sentence(), WIDTH, 0);
    for odd in time_warnings::warnings(report, now) {
        out.push('\n');
        out.push_str(&terminal::wrap(&format!("WARNING: {odd}."), WIDTH, 0));
    }
    out.push_str("\n\n");
    if let Some(stated) = Stated::of(answers) {
        said(&stated, &mut out);
        if let Some(Findings::OtherVersion { .. }) = contents.map(|c| &c.findings) {
            line(
                "WARNING",
                "what the certificate says of outcome, charging and next date was not shown \
                 to follow from its readings",
                &mut out,
            );
        }
        out.push('\n');
    }
    for signature in &report.signatures {
        signature_lines(signature, &mut out);
        out.push('\n');
    }
    if let Some(sentence) = since(report) {
        line("since then", &sentence, &mut out);
    }
    if let Some(whole) = &answers.extract_of {
        let value = format!(
            "certificate {}, sealed {} (SHA-256 {})",
            quoted_name(&whole.number),
            quoted_name(&whole.sealed),
            quoted_name(&whole.sha256)
        );
        line("extract of", &value, &mut out);
        line(
            "findings",
            "not checked: the record is only in the whole certificate",
            &mut out,
        );
        proof(answers, now, &mut out);
        return out;
    }
    if let Some(covered) = &answers.index_of {
        let days = match (covered.from, covered.to) {
            (Some(from), Some(to)) if from != to => format!(", inspected {from} to {to}"),
            (Some(day), _) => format!(", inspected {day}"),
            _ => String::new(),
        };
        let left_out = match covered.left_out {
            0 => String::new(),
            n => format!("; {n} more left out, which did not verify"),
        };
        let told = format!("{} certificates{days}{left_out}", covered.certificates);
        line("index of", &told, &mut out);
        line(
            "findings",
            "not checked: the records are only in the certificates",
            &mut out,
        );
        proof(answers, now, &mut out);
        return out;
    }
    let Some(contents) = contents else {
        line(
            "findings",
            "not checked: the record is read only if the seal is unbroken",
            &mut out,
        );
        out.push_str("\nproved:\n- nothing: whatever this file shows or says may be anybody's\n");
        return out;
    };
    if let Some(standing) = standing {
        line("number", &standing.number, &mut out);
        line("SHA-256", &standing.sha256, &mut out);
        if let Some(earlier) = &standing.replaces {
            let value = format!(
                "{} (SHA-256 {}), by its own word; give both files to compare them",
                earlier.number, earlier.sha256
            );
            line("replaces", &value, &mut out);
        }
    }
    if let Some(made_by) = contents
        .made_by
        .as_ref()
        .filter(|m| **m != MadeBy::ThisVersion)
    {
        let value = format!("{}; this is {}", made_by.words(), this_version());
        line("made by", &value, &mut out);
    }
    if let Some(rules) = &contents.other_rules {
        other_rules(rules, &mut out);
    }
    findings(&contents.findings, &mut out);
    pages(&contents.pages, &mut out);
    if let Some(tables) = &contents.tables {
        if tables.differences.is_empty() {
            line("tables", &tables.words(), &mut out);
            let unread = tables.unread();
            if !unread.is_empty() {
                let told = "rows not compared; look at them on the pages yourself:";
                line("", told, &mut out);
                named(unread.iter().map(String::as_str), &mut out);
            }
        } else {
            line("tables", "they do NOT agree with the record:", &mut out);
            named(tables.differences.iter().map(String::as_str), &mut out);
        }
    }
    photos(&contents.photos, &mut out);
    match &contents.paper {
        Paper::NotAsked => {}
        Paper::Yes => line("paper copy", "its check line matches this file", &mut out),
        Paper::No { because } => line("paper copy", &format!("NOT this file: {because}"), &mut out),
        Paper::NotDetermined { because } => {
            line("paper copy", &format!("not compared: {because}"), &mut out);
        }
    }
    proof(answers, now, &mut out);
    out
}

/// The three lists of what is known.
fn proof(answers: &Answers<'_>, now: DateTime<FixedOffset>, out: &mut String) {
    let Some(proof) = Proof::of(answers, now) else {
        return;
    };
    for (name, list) in [
        ("proved", &proof.proved),
        ("claimed only", &proof.claimed),
        ("not looked at", &proof.not_looked_at),
    ] {
        out.push_str(&format!("\n{name}:\n"));
        for what in list {
            out.push_str(&format!("- {}\n", terminal::wrap(what, WIDTH, 2)));
        }
    }
}

/// The facts about the visit in the record.
fn said(stated: &Stated, out: &mut String) {
    line("outcome", &stated.outcome_words(), out);
    if let Some(charging) = stated.charging_words() {
        line("charging", &charging, out);
    }
    let circuits = stated.circuit_words();
    if !circuits.is_empty() {
        line("", "that is the worst of its circuits:", out);
        for words in circuits {
            bullet(&words, out);
        }
    }
    line("site", &quoted(&stated.site), out);
    line("inspected", &stated.date.to_string(), out);
    let due = stated.next_due.map(|day| day.to_string());
    line(
        "next due",
        due.as_deref().unwrap_or("before it is used again"),
        out,
    );
    if let Some(odd) = &stated.signed {
        line("signing time", &format!("WARNING: {odd}"), out);
    }
}

fn line(name: &str, value: &str, out: &mut String) {
    out.push_str(&format!(
        "{name:<INDENT$}{}\n",
        terminal::wrap(value, WIDTH, INDENT)
    ));
}

fn bullet(text: &str, out: &mut String) {
    let text = terminal::wrap(text, WIDTH, INDENT + 2);
    out.push_str(&format!("{:INDENT$}- {text}\n", ""));
}

/// Prints the first lines of an answer and the number of those left out.
fn named<'s>(lines: impl ExactSizeIterator<Item = &'s str>, out: &mut String) {
    let more = lines.len().saturating_sub(MOST_DIFFERENCES);
    for text in lines.take(MOST_DIFFERENCES) {
        bullet(text, out);
    }
    if more > 0 {
        line("", &format!("and {more} more"), out);
    }
}

fn since(report: &Report<'_>) -> Option<String> {
    match &report.changes {
        // Nothing was sealed, so there is nothing to compare.
        Changes::NotDetermined(_) if !report.certified.is_yes() => None,
        // The sealed part itself was changed, so that this would contradict the first sentence.
        Changes::None
            if !report
                .certification()
                .is_some_and(|seal| seal.valid.is_yes()) =>
        {
            None
        }
        Changes::None => Some("nothing was added or changed".to_owned()),
        Changes::Permitted(named) => Some(format!(
            "added, as permitted by the seal: {}",
            named.join("; ")
        )),
        Changes::NotPermitted(named) => Some(format!("NOT permitted: {}", named.join("; "))),
        Changes::NotJudged(named) => Some(format!("{ADDED_BY_OTHERS}: {}", named.join("; "))),
        Changes::NotDetermined(why) => Some(format!("not determined: {why}")),
    }
}

fn other_rules(rules: &OtherRules, out: &mut String) {
    let value = format!("the firm's own, {}, edition {}", rules.id, rules.edition);
    line("rules", &value, out);
    for by in &rules.built_in {
        let about = format!("{}, edition {}", by.id, by.edition);
        if by.worse.is_empty() {
            line("", &format!("{about}, grades nothing worse"), out);
        } else {
            line("", &format!("{about}, grades worse:"), out);
            named(by.worse.iter().map(String::as_str), out);
        }
    }
}

fn findings(answer: &Findings, out: &mut String) {
    match answer {
        Findings::Yes { findings } => line(
            "findings",
            &match findings {
                0 => "recomputed from the visit file inside; there are none".to_owned(),
                1 => {
                    "recomputed from the visit file inside; the one finding is the same".to_owned()
                }
                _ => format!("recomputed from the visit file inside; all {findings} are the same"),
            },
            out,
        ),
        Findings::No { differences } => {
            line(
                "findings",
                "they do NOT follow from the visit file inside:",
                out,
            );
            named_differences(differences, out);
        }
        Findings::OtherVersion { differences, .. } => {
            line(
                "findings",
                "not shown to follow from the readings: another version computed them, and this \
                 one computes different findings. Circuits, connections and readings are those of \
                 the visit file inside. The differences:",
                out,
            );
            named_differences(differences, out);
        }
        Findings::NotDetermined { because } => {
            line("findings", &format!("not recomputed: {because}"), out);
        }
    }
}

fn named_differences(differences: &[Difference], out: &mut String) {
    let sentence = |d: &Difference| {
        let (sealed, now) = (plain(&d.sealed), plain(&d.now));
        format!("{}: sealed {sealed}, computed {now}", d.path)
    };
    let sentences: Vec<String> = differences.iter().map(sentence).collect();
    named(sentences.iter().map(String::as_str), out);
}

fn pages(answer: &Pages, out: &mut String) {
    match answer {
        Pages::Yes {
            compared: Compared::Pages,
            ..
        } => line(
            "pages",
            "written again: exactly what this version of warmlug writes from this record",
            out,
        ),
        Pages::Yes {
            looked_for,
            compared: Compared::Words,
        } => line(
            "pages",
            &format!(
                "their words agree with the record ({looked_for} sentences and facts compared); the \
                 pages were not written again"
            ),
            out,
        ),
        Pages::Yes {
            looked_for,
            compared: Compared::Facts,
        } => line(
            "pages",
            &format!(
                "number, dates, persons and findings are those of the record ({looked_for} looked \
                 for); the other words of another version were not compared"
            ),
            out,
        ),
        Pages::No { differences } => {
            line("pages", "they do NOT agree with the record:", out);
            named(differences.iter().map(String::as_str), out);
        }
        Pages::NotDetermined { because } => {
            line("pages", &format!("not compared: {because}"), out);
        }
    }
}

fn photos(answer: &Photos, out: &mut String) {
    match answer {
        Photos::None => line("photos", "none", out),
        Photos::Digests { photos } => line(
            "photos",
            &format!("digests of {photos} inside; compare the originals with --photos FOLDER"),
            out,
        ),
        Photos::Yes { photos, shown } => line(
            "photos",
            &format!(
                "all {photos} originals are the certified ones{}",
                if *shown {
                    ", and the pages show them"
                } else {
                    "; whether the pages show them was not compared"
                }
            ),
            out,
        ),
        Photos::No { differences } => {
            line("photos", "they are NOT the certified ones:", out);
            named(differences.iter().map(String::as_str), out);
        }
        Photos::Missing { missing } => {
            line(
                "photos",
                "missing in the folder given, so not compared:",
                out,
            );
            named(missing.iter().map(String::as_str), out);
        }
        Photos::NotDetermined { because } => {
            line("photos", &format!("not checked: {because}"), out);
        }
    }
}

fn signature_lines(signature: &SignatureReport, out: &mut String) {
    let mut line = |name: &str, value: &str| line(name, value, out);
    if let (None, Coverage::Broken { because }) = (&signature.signer, &signature.coverage) {
        let field = in_words(&signature.field);
        line("signature", &format!("not checked, in {field}: {because}"));
        return;
    }
    let role = match signature.role {
        Role::Certification { allows } => match allows {
            Allowed::Nothing => "certifies; nothing may be added".to_owned(),
            Allowed::FormsAndSignatures => {
                "certifies; only further signatures are allowed".to_owned()
            }
            Allowed::FormsSignaturesAndComments => {
                "certifies; only further signatures and comments are allowed".to_owned()
            }
        },
        Role::Approval => "countersigns".to_owned(),
        Role::DocumentStamp => "of the whole file as it was then".to_owned(),
    };
    let name = match signature.role {
        Role::DocumentStamp => "time-stamp",
        _ => "signature",
    };
    line(name, &format!("{role}, in {}", in_words(&signature.field)));
    if let Some(signer) = &signature.signer {
        line("signed by", &signer.named());
        if let Some(firm) = &signer.firm {
            line("firm", &quoted_name(firm));
        }
        if let Some(licence) = &signer.licence {
            line("licence", &quoted_name(licence));
        }
        line("fingerprint", &signer.fingerprint.to_string());
        let issuer = if signer.self_signed {
            "itself (self-signed): does not prove whose key it is; compare the fingerprint"
                .to_owned()
        } else if signer.issuer_checked {
            format!("issued by {}", quoted_name(&signer.issuer))
        } else {
            format!(
                "claims to be issued by {} (not checked)",
                quoted_name(&signer.issuer)
            )
        };
        line("issuer", &issuer);
        line("trust", &signature.trust.sentence());
        if !signer.self_signed {
            line(
                "revoked",
                &match &signature.not_revoked {
                    Answer::Yes => {
                        "not at that time, according to the issuer's list inside".to_owned()
                    }
                    Answer::No(why) => why.clone(),
                    Answer::NotDetermined(why) => {
                        format!("not looked up, because verification works offline; {why}")
                    }
                },
            );
        }
        line(
            "certificate",
            &format!(
                "{}, valid from {} to {}",
                signer.algorithm,
                signer.valid_from.format("%Y-%m-%d"),
                signer.valid_until.format("%Y-%m-%d")
            ),
        );
    }
    if signature.role != Role::DocumentStamp {
        line("signed on", &when(&signature.signed));
    }
    if let Some(reason) = &signature.reason {
        line(
            "reason",
            &format!("{} (the signer's own words)", quoted(reason)),
        );
    }
    if signature.high_s {
        line(
            "note",
            "the signature value is the larger of the two that fit (high s); it is valid, but anybody \
             can replace it by the other one, which changes the SHA-256 of the file and nothing else",
        );
    }
    if let Some(stamp) = &signature.stamp {
        let trusted = match &stamp.trusted {
            Answer::Yes => "which you trust".to_owned(),
            Answer::No(why) => format!("which you do NOT trust: {why}"),
            Answer::NotDetermined(why) => format!("NOT checked: {why}"),
        };
        line(
            "stamped",
            &format!(
                "{} by {}, {trusted}",
                stamp.at.format("%Y-%m-%d %H:%M:%S %:z"),
                stamp.by()
            ),
        );
    }
    match &signature.coverage {
        Coverage::WholeFile => line("covers", "the whole file"),
        Coverage::Revision { bytes, added } => line(
            "covers",
            &format!("the file as it was then ({bytes} bytes; {added} were added since)"),
        ),
        Coverage::Broken { because } => {
            line("covers", &format!("not what it must cover: {because}"))
        }
    }
}

fn when(signed: &SigningTime) -> String {
    match (signed.at, signed.source) {
        (Some(at), TimeSource::SignersWord) => format!(
            "{} by the signer's own clock",
            at.format("%Y-%m-%d %H:%M:%S %:z")
        ),
        (Some(at), _) => at.format("%Y-%m-%d %H:%M:%S %:z").to_string(),
        (None, _) => "not stated".to_owned(),
    }
}
