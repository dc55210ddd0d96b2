//! The person that a certificate names.

use der::asn1::{ObjectIdentifier, PrintableStringRef, SetOfVec, Utf8StringRef};
use der::{Any, Decode, Encode, Tag, Tagged};
use x509_cert::attr::AttributeTypeAndValue;
use x509_cert::name::{Name, RdnSequence, RelativeDistinguishedName};

use super::plain::shown;
use crate::lookalike::is_blank;

/// Maximum length of common name and organisation (RFC 5280, appendix A.1), in characters.
const LONGEST_NAME: usize = 64;
const COMMON_NAME: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.4.3");
const SERIAL_NUMBER: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.4.5");
const ORGANIZATION: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.4.10");
const ORGANIZATIONAL_UNIT: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.4.11");

/// The person that an identity names.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Person {
    /// The inspector's name.
    pub name: String,
    /// The firm, if any.
    pub firm: Option<String>,
    /// The licence number, if any.
    pub licence: Option<String>,
}

pub(crate) fn subject_of(person: &Person) -> Result<Name, der::Error> {
    fn cut(text: &str) -> String {
        text.trim().chars().take(LONGEST_NAME).collect()
    }
    let utf8 = |oid, text: &str| -> Result<AttributeTypeAndValue, der::Error> {
        let value = Any::encode_from(&Utf8StringRef::new(text)?)?;
        Ok(AttributeTypeAndValue { oid, value })
    };
    let given = |text: &Option<String>| text.as_deref().map(cut).filter(|t| !t.is_empty());
    let mut attributes = Vec::new();
    if let Some(firm) = given(&person.firm) {
        attributes.push(utf8(ORGANIZATION, &firm)?);
    }
    attributes.push(utf8(COMMON_NAME, &cut(&person.name))?);
    if let Some(licence) = given(&person.licence) {
        // serialNumber allows only printable characters (X.520); other licences go into the unit.
        attributes.push(match PrintableStringRef::new(&licence) {
            Ok(printable) => AttributeTypeAndValue {
                oid: SERIAL_NUMBER,
                value: Any::encode_from(&printable)?,
            },
            Err(_) => utf8(ORGANIZATIONAL_UNIT, &licence)?,
        });
    }
    let mut names = RdnSequence::default();
    for attribute in attributes {
        names.push(RelativeDistinguishedName::from(SetOfVec::try_from(vec![
            attribute,
        ])?));
    }
    Name::from_der(&names.to_der()?)
}

/// The person in a certificate's name; missing parts are empty. A firm that names no person is the
/// name itself.
pub(crate) fn person_of(name: &Name) -> Person {
    let text = |oid: ObjectIdentifier| {
        name.iter()
            .find(|attribute| attribute.oid == oid)
            .map(|attribute| text_of(&attribute.value))
            .filter(|text| !is_blank(text))
    };
    Person {
        name: text(COMMON_NAME)
            .or_else(|| text(ORGANIZATION))
            .unwrap_or_default(),
        firm: text(ORGANIZATION),
        licence: text(SERIAL_NUMBER).or_else(|| text(ORGANIZATIONAL_UNIT)),
    }
}

/// Whether a name has more than one common name. Programs differ in which one they show.
pub(crate) fn names_twice(name: &Name) -> bool {
    let common = name.iter().filter(|attribute| attribute.oid == COMMON_NAME);
    common.count() > 1
}

/// The text of a directory string.
fn text_of(value: &Any) -> String {
    let bytes = value.value();
    let text = match value.tag() {
        Tag::BmpString => {
            let units: Vec<u16> = bytes
                .chunks_exact(2)
                .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
                .collect();
            String::from_utf16_lossy(&units)
        }
        _ => String::from_utf8_lossy(bytes).into_owned(),
    };
    shown(&text)
}
