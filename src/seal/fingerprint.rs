//! Fingerprints of certificates.

use std::fmt;

use sha2::{Digest, Sha256};

/// SHA-256 of a certificate, which two people compare to confirm that they mean the same key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fingerprint([u8; 32]);

impl Fingerprint {
    /// The fingerprint of a certificate in DER.
    pub fn of(certificate_der: &[u8]) -> Self {
        Self(Sha256::digest(certificate_der).into())
    }

    /// The 32 bytes.
    pub const fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// As 64 lower-case hexadecimal digits, the format of other programs.
    pub fn hex(&self) -> String {
        base16ct::lower::encode_string(&self.0)
    }

    /// Parses both formats: digits in any case, with optional spaces, colons and hyphens.
    pub fn parse(text: &str) -> Option<Self> {
        let digits: String = text
            .chars()
            .filter(|c| !matches!(c, ' ' | ':' | '-'))
            .collect();
        if digits.len() != 64 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return None;
        }
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(digits.as_bytes().chunks(2)) {
            *byte = u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok()?;
        }
        Some(Self(bytes))
    }
}

/// Sixteen groups of four, to be read aloud.
impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (n, pair) in self.0.chunks(2).enumerate() {
            let space = if n == 0 { "" } else { " " };
            write!(f, "{space}{:02X}{:02X}", pair[0], pair[1])?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fingerprints_read_back_in_both_forms() {
        let print = Fingerprint::of(b"x");
        assert_eq!(Fingerprint::parse(&print.hex()), Some(print));
        assert_eq!(Fingerprint::parse(&print.to_string()), Some(print));
        assert_eq!(print.to_string().len(), 16 * 4 + 15);
        assert_eq!(Fingerprint::parse("12"), None);
    }
}
