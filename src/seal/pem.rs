//! Blocks of PEM text.

/// The first PEM block whose label ends in PRIVATE KEY.
pub(crate) fn private_key_block(text: &str) -> Option<&str> {
    let mut from = 0;
    while let Some(begin) = text[from..].find("-----BEGIN ").map(|n| n + from) {
        let label = text[begin + 11..].split("-----").next()?;
        let closing = format!("-----END {label}-----");
        let end = text[begin..]
            .find(&closing)
            .map(|n| n + begin + closing.len())?;
        if label.ends_with("PRIVATE KEY") {
            return text.get(begin..end);
        }
        from = end;
    }
    None
}

/// Only the certificates of a PEM text, without the text between them.
pub(crate) fn only_certificates(bytes: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes);
    let mut out = String::new();
    let mut inside = false;
    for line in text.lines() {
        inside |= line.trim() == "-----BEGIN CERTIFICATE-----";
        if inside {
            out.push_str(line.trim());
            out.push('\n');
        }
        inside &= line.trim() != "-----END CERTIFICATE-----";
    }
    out.into_bytes()
}
