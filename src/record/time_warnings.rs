//! Warnings about the times of signatures and time-stamps. None of them makes a certificate
//! invalid: a clock may have been wrong, and an unknown authority proves nothing in either
//! direction.

use crate::seal::report::{Answer, Report, Role, SignatureReport, Signer, Stamp, certification};
use chrono::{DateTime, FixedOffset, TimeDelta};

/// Maximum difference of a clock that is set to the wrong time zone.
const ANY_ZONE: TimeDelta = TimeDelta::hours(26);
/// Maximum time by which a time-stamp may be earlier than the signing time without a warning.
/// Clocks that are never set are off by minutes. Our choice.
const SLOW_CLOCK: TimeDelta = TimeDelta::hours(1);

/// The latest signing time that is in the future in every time zone, on a clock that shows `now`.
pub fn signed_in_future(
    report: &Report<'_>,
    now: DateTime<FixedOffset>,
) -> Option<DateTime<FixedOffset>> {
    let signed = report.signatures.iter().filter_map(|s| s.signed.at);
    signed.filter(|at| *at - now > ANY_ZONE).max()
}

/// The warnings about the times in a file, by a clock that shows `now`, each as a sentence without
/// its full stop.
pub fn warnings(report: &Report<'_>, now: DateTime<FixedOffset>) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(at) = signed_in_future(report, now) {
        out.push(format!(
            "the signing time, {}, is in the future: the signer's clock was wrong, or this computer's is",
            at.format("%Y-%m-%d %H:%M:%S %:z")
        ));
    }
    for (stamp, about) in stamps(&report.signatures) {
        out.extend(of_stamp(stamp, about, now));
    }
    // The same authority may have stamped twice.
    let mut warnings = Vec::new();
    for warning in out {
        if !warnings.contains(&warning) {
            warnings.push(warning);
        }
    }
    warnings
}

/// Contradictions of the time-stamps in a file, by a clock that shows `now`, each as a sentence
/// without its full stop. Whether the reader trusts the authorities does not matter.
pub fn contradicting(signatures: &[SignatureReport], now: DateTime<FixedOffset>) -> Vec<String> {
    let stamps = stamps(signatures).into_iter();
    stamps
        .flat_map(|(stamp, about)| contradictions(stamp, about, now))
        .collect()
}

/// The valid time-stamps of a file, each with the signature that it is about. A time-stamp of the
/// whole file counts for the seal.
fn stamps(signatures: &[SignatureReport]) -> Vec<(&Stamp, Option<&SignatureReport>)> {
    let stamps = signatures.iter().filter_map(|signature| {
        let about = match signature.role {
            Role::DocumentStamp => certification(signatures),
            Role::Certification { .. } | Role::Approval => Some(signature),
        };
        let stamp = signature.stamp.as_ref().filter(|s| s.valid.is_yes())?;
        Some((stamp, about))
    });
    stamps.collect()
}

fn of_stamp(
    stamp: &Stamp,
    about: Option<&SignatureReport>,
    now: DateTime<FixedOffset>,
) -> Vec<String> {
    let mut out = contradictions(stamp, about, now);
    let named = named(stamp);
    match &stamp.trusted {
        Answer::Yes => {}
        Answer::No(_) => out.push(format!(
            "{named} is from an authority that you do not trust, so it proves no time"
        )),
        Answer::NotDetermined(_) => out.push(format!(
            "nobody has checked who made {named}: anybody can run an authority of this name, so it proves \
             no time until you give the authority's certificate with --trust"
        )),
    }
    out
}

/// Contradictions of the time of a time-stamp of this signature, each as a sentence without its
/// full stop.
pub(super) fn contradictions(
    stamp: &Stamp,
    about: Option<&SignatureReport>,
    now: DateTime<FixedOffset>,
) -> Vec<String> {
    let mut out = Vec::new();
    let named = named(stamp);
    if stamp.at.fixed_offset() - now > ANY_ZONE {
        out.push(format!(
            "{named} is from the future: the authority's clock was wrong, or this computer's is"
        ));
    }
    if let Some(signer) = about.and_then(|s| s.signer.as_ref()) {
        out.extend(beside_certificate(stamp, signer).map(|odd| format!("{named} is {odd}")));
    }
    if let Some(signed) = about.and_then(|s| s.signed.at)
        && signed - stamp.at.fixed_offset() > SLOW_CLOCK
    {
        out.push(format!(
            "{named} is earlier than the signing time, {}, although it was made of the finished \
             signature: one of the two clocks was wrong",
            signed.format("%Y-%m-%d %H:%M:%S %:z")
        ));
    }
    out
}

fn named(stamp: &Stamp) -> String {
    format!(
        "the time-stamp of {} by {}",
        stamp.at.format("%Y-%m-%d %H:%M:%S UTC"),
        stamp.by()
    )
}

/// The warning about a time-stamp that does not fit the validity of the signer's certificate.
fn beside_certificate(stamp: &Stamp, signer: &Signer) -> Option<String> {
    let day = |at: DateTime<chrono::Utc>| at.format("%Y-%m-%d %H:%M:%S UTC").to_string();
    if stamp.at < signer.valid_from {
        Some(format!(
            "from before the signer's certificate existed ({}): the authority's clock was wrong, or the \
             certificate has a false date",
            day(signer.valid_from)
        ))
    } else if stamp.at > signer.valid_until {
        Some(format!(
            "from after the signer's certificate had expired ({}), so it does not show that it \
             was signed before that",
            day(signer.valid_until)
        ))
    } else {
        None
    }
}
