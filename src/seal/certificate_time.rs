//! Times in certificates (RFC 5280, 4.1.2.5).

use std::time::Duration;

use chrono::{DateTime, Datelike, Utc};
use x509_cert::time::Time;

/// A time in the form that certificates use.
pub(crate) fn time(at: DateTime<Utc>) -> Result<Time, der::Error> {
    let seconds = u64::try_from(at.timestamp()).unwrap_or(0);
    let date = der::DateTime::from_unix_duration(Duration::from_secs(seconds))?;
    // RFC 5280, 4.1.2.5: two-digit years through 2049.
    if at.year() < 2050 {
        Ok(Time::UtcTime(der::asn1::UtcTime::from_date_time(date)?))
    } else {
        Ok(Time::GeneralTime(date.into()))
    }
}

/// Reads a time from a certificate.
pub(crate) fn moment(time: Time) -> DateTime<Utc> {
    let seconds = i64::try_from(time.to_unix_duration().as_secs()).unwrap_or(i64::MAX);
    DateTime::from_timestamp(seconds, 0).unwrap_or(DateTime::<Utc>::MAX_UTC)
}
