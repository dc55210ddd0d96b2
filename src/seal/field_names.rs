//! Names of signature fields: those that this program uses, and those of other programs, which may
//! contain any text.

use super::plain::quoted;

/// Name of the field of the certifying signature.
pub const SEAL_FIELD: &str = "Seal";

/// Names of the fields of countersignatures; a number may follow.
pub(crate) const COUNTERSIGNED: [&str; 3] = ["Client", "Landlord", "Reviewer"];

/// Name of the field of a time-stamp of the whole file; a number may follow.
pub(crate) const STAMP_FIELD: &str = "Time-stamp";

/// A field as named in a sentence. A name that this program does not use is quoted as somebody
/// else's words.
pub(crate) fn in_words(name: &str) -> String {
    let own = name == SEAL_FIELD
        || COUNTERSIGNED.iter().chain([&STAMP_FIELD]).any(|own| {
            name.strip_prefix(own).is_some_and(|number| {
                number.is_empty()
                    || number
                        .strip_prefix(' ')
                        .is_some_and(|digits| digits.parse::<u16>().is_ok_and(|n| n > 1))
            })
        });
    if own {
        format!("the field {}", quoted(name))
    } else {
        format!("a field that its signer named {}", quoted(name))
    }
}

#[cfg(test)]
mod tests {
    use super::in_words;

    #[test]
    fn only_own_names_are_told_as_ours() {
        for name in [
            "Seal",
            "Client",
            "Landlord",
            "Reviewer 12",
            "Time-stamp",
            "Time-stamp 2",
        ] {
            assert_eq!(in_words(name), format!("the field “{name}”"));
        }
        for name in [
            "Clients",
            "Client 1",
            "Client  2",
            "The seal is unbroken",
            "”: signed by Rosa",
        ] {
            let words = in_words(name);
            assert!(
                words.starts_with("a field that its signer named “")
                    && words.matches('”').count() == 1,
                "{words}"
            );
        }
    }
}
