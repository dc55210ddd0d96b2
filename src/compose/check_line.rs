//! The check line, by which a paper copy can be compared with the file.
//!
//! It names the certificate's number, the digest of the visit file inside, and the key that sealed
//! it. The digests are shortened so that the line can be typed; the code next to it contains the
//! record's digest in full. 24 digits of the record are 96 bits: finding two records that share
//! them takes 2^48 tries, even for somebody who writes both. 16 digits of the key are 64 bits,
//! which is enough because nobody can choose both keys.

use sha2::{Digest, Sha256};

/// Number of hexadecimal digits of the record's digest that are printed, and the minimum that is
/// accepted.
const RECORD_DIGITS: usize = 24;
/// Number of hexadecimal digits of the key's fingerprint that are printed, and the minimum that is
/// accepted.
const KEY_DIGITS: usize = 16;

/// A certificate's check line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckLine {
    number: String,
    /// SHA-256 of the visit file, upper-case hexadecimal digits.
    record: String,
    /// SHA-256 of the signer's certificate, upper-case hexadecimal digits.
    key: String,
}

/// Why a typed line does not belong to a certificate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CheckLineError {
    /// Not three parts, or digits are missing.
    #[error(
        "that is not a check line: a number, {RECORD_DIGITS} digits and {KEY_DIGITS} digits were \
         expected, with / between them"
    )]
    Form,
    /// Another certificate's number.
    #[error("the paper has another number than the file")]
    Number,
    /// Another record.
    #[error("the paper was made from another record than the one in the file")]
    Record,
    /// Another key.
    #[error("the paper names another key than the one that sealed the file")]
    Key,
}

impl CheckLine {
    /// The line of a certificate: its number, the bytes of its visit file, and the fingerprint of
    /// the key's certificate in hexadecimal digits, spaces allowed.
    pub fn new(number: &str, record: &[u8], fingerprint: &str) -> Self {
        CheckLine {
            // Other spaces and line breaks could not be typed back.
            number: number.split_whitespace().collect::<Vec<_>>().join(" "),
            record: base16ct::upper::encode_string(&Sha256::digest(record)),
            key: digits(fingerprint),
        }
    }

    /// The line as it is printed, in groups of four.
    pub fn printed(&self) -> String {
        let groups = |digits: &str, most: usize| {
            let digits: Vec<char> = digits.chars().take(most).collect();
            digits
                .chunks(4)
                .map(|group| group.iter().collect::<String>())
                .collect::<Vec<_>>()
                .join(" ")
        };
        format!(
            "{} / {} / {}",
            self.number,
            groups(&self.record, RECORD_DIGITS),
            groups(&self.key, KEY_DIGITS)
        )
    }

    /// The line with the record's digest in full, as it is in the code.
    pub fn whole(&self) -> String {
        let key: String = self.key.chars().take(KEY_DIGITS).collect();
        format!("{}/{}/{key}", self.number, self.record)
    }

    /// Compares a typed or scanned line with this one.
    ///
    /// # Errors
    /// The part that does not match.
    pub fn compare(&self, typed: &str) -> Result<(), CheckLineError> {
        // From the end, because a number may contain a slash itself.
        let mut parts = typed.rsplitn(3, '/');
        let (Some(key), Some(record), Some(number)) = (parts.next(), parts.next(), parts.next())
        else {
            return Err(CheckLineError::Form);
        };
        let (key, record) = (digits(key), digits(record));
        let hexadecimal = |text: &str| text.bytes().all(|b| b.is_ascii_hexdigit());
        if record.len() < RECORD_DIGITS
            || key.len() < KEY_DIGITS
            || !hexadecimal(&record)
            || !hexadecimal(&key)
        {
            return Err(CheckLineError::Form);
        }
        let number = number.split_whitespace().collect::<Vec<_>>().join(" ");
        if number != self.number {
            Err(CheckLineError::Number)
        } else if !self.record.starts_with(&record) {
            Err(CheckLineError::Record)
        } else if !self.key.starts_with(&key) {
            Err(CheckLineError::Key)
        } else {
            Ok(())
        }
    }
}

fn digits(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | ':' | '·'))
        .map(|c| c.to_ascii_uppercase())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line() -> CheckLine {
        CheckLine::new("B/2026-0147", b"visit", &"2795 ef23".repeat(8))
    }

    #[test]
    fn the_printed_and_the_whole_line_are_accepted() {
        let line = line();
        assert_eq!(
            line.printed(),
            "B/2026-0147 / F0E6 8AC2 6DF2 1840 62AE 2A94 / 2795 EF23 2795 EF23"
        );
        for typed in [
            line.printed(),
            line.whole(),
            line.printed().to_lowercase().replace("b/2", "B/2"),
        ] {
            assert_eq!(line.compare(&typed), Ok(()), "{typed}");
        }
        assert_eq!(line.compare(&line.printed().replace(' ', "")), Ok(()));
    }

    #[test]
    fn each_difference_has_its_own_answer() {
        let line = line();
        let with = |from: &str, to: &str| line.compare(&line.printed().replacen(from, to, 1));
        assert_eq!(with("0147", "0148"), Err(CheckLineError::Number));
        assert_eq!(with("F0E6", "F0E1"), Err(CheckLineError::Record));
        assert_eq!(with("EF23", "EF24"), Err(CheckLineError::Key));
        // One digit too few, and none at all.
        assert_eq!(with("2A94 /", "2A9 /"), Err(CheckLineError::Form));
        assert_eq!(
            with("EF23 2795 EF23", "EF23 2795 EF2"),
            Err(CheckLineError::Form)
        );
        assert_eq!(with("F0E6", "F0X6"), Err(CheckLineError::Form));
        assert_eq!(line.compare("B/2026-0147"), Err(CheckLineError::Form));
        let more = format!("{}0", line.whole()); // 17 digits of the key
        assert_eq!(line.compare(&more), Err(CheckLineError::Key));
    }
}
