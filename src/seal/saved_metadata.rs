//! Whether metadata that another program rewrote still has the same values (XMP, ISO 16684-1).
//!
//! Programs arrange the same properties in different ways, so only their values are compared. This
//! does not make such a file genuine; it only distinguishes a program that updates dates and names
//! from one that changes the text.

use std::collections::BTreeSet;

/// Whether two packets have the same values, except for dates and the name of the program. That
/// name may be contained in `producer`.
pub(crate) fn says_the_same(before: &str, now: &str, producer: &str) -> bool {
    let (Some(was), Some(is)) = (values(before), values(now)) else {
        return false;
    };
    let new = |value: &&str| is_date(value) || (!value.is_empty() && producer.contains(*value));
    let gone = |value: &&str| is_date(value) || producer.contains(*value) || is_namespace(value);
    is.difference(&was).all(new) && was.difference(&is).all(gone)
}

/// The texts and the values of attributes, without the names of namespaces; `None` if there is
/// anything other than elements.
fn values(xml: &str) -> Option<BTreeSet<&str>> {
    let mut out = BTreeSet::new();
    let mut rest = xml;
    while let Some((text, after)) = rest.split_once('<') {
        out.insert(text.trim());
        let (tag, after) = after.split_once('>')?;
        if tag.starts_with('!') {
            return None;
        }
        if !tag.starts_with(['?', '/']) {
            attributes(tag, &mut out)?;
        }
        rest = after;
    }
    out.insert(rest.trim());
    // White space around texts, the empty subject of a description, and the language of a title.
    for nothing in ["", "x-default", "Resource"] {
        out.remove(nothing);
    }
    Some(out)
}

fn attributes<'x>(tag: &'x str, out: &mut BTreeSet<&'x str>) -> Option<()> {
    let mut rest = tag;
    while let Some((name, after)) = rest.split_once('=') {
        let mark = after.chars().next().filter(|c| matches!(c, '"' | '\''))?;
        let (value, after) = after.get(1..)?.split_once(mark)?;
        let name = name.rsplit(char::is_whitespace).next().unwrap_or_default();
        if !name.starts_with("xmlns") {
            out.insert(value.trim());
        }
        rest = after;
    }
    Some(())
}

/// Whether a text may be a date of XMP: it has only the characters of a date, and is no longer than
/// one.
fn is_date(value: &str) -> bool {
    (4..=35).contains(&value.len())
        && value.starts_with(|c: char| c.is_ascii_digit())
        && value
            .bytes()
            .all(|b| b.is_ascii_digit() || matches!(b, b'T' | b'Z' | b':' | b'+' | b'-' | b'.'))
}

fn is_namespace(value: &str) -> bool {
    value.starts_with("http://") && value.ends_with(['/', '#'])
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEFORE: &str = "<?xpacket begin=\"x\"?><x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:Description \
        rdf:about=\"\"><dc:title>Certificate 7</dc:title><xmp:ModifyDate>2026-11-29T17:59:16+00:00</xmp:ModifyDate>\
        <pdf:Producer>warmlug 0.1.0</pdf:Producer></rdf:Description></x:xmpmeta>";

    fn as_another(title: &str, more: &str) -> String {
        format!(
            "<x:xmpmeta x:xmptk='Other 1.0'><rdf:Description xmp:ModifyDate=\"2026-12-01T00:00:00Z\" \
             pdf:Producer=\"Other 1.0\"{more}><dc:title>{title}</dc:title></rdf:Description></x:xmpmeta>"
        )
    }

    #[test]
    fn other_words_are_found_and_another_arrangement_is_not() {
        let producer = "warmlug 0.1.0; Other 1.0";
        let same = |now: &str| says_the_same(BEFORE, now, producer);
        assert!(same(&as_another("Certificate 7", "")));
        assert!(!same(&as_another("Certificate 8", "")));
        assert!(!same(&as_another(
            "Certificate 7",
            " dc:rights=\"Satisfactory\""
        )));
        assert!(!same(&as_another("", "")));
        assert!(!same(&as_another("Certificate 7<!-- Satisfactory -->", "")));
        assert!(!says_the_same(
            BEFORE,
            &as_another("Certificate 7", ""),
            "warmlug 0.1.0"
        ));
    }
}
