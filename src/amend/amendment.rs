//! Whether one certificate replaces another, and whether that is the certificate that it names.

use crate::record::standing::Standing;
use serde::Serialize;

/// The relation between two certificates.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Amendment {
    /// The later one names the earlier one correctly. It replaces it if the same signer sealed both.
    Replaces {
        /// Number of the earlier one.
        earlier: String,
        /// Number of the later one.
        later: String,
        /// Whether the same key sealed both, or the earlier key vouches for the later one. Without
        /// this, anybody could claim to replace a stranger's certificate.
        same_key: bool,
    },
    /// They are the same certificate.
    Same,
    /// Neither replaces the other.
    No {
        /// Why, as a sentence without its full stop.
        because: String,
    },
}

impl Amendment {
    /// The relation between two certificates, in either order. `vouched` decides for two different
    /// keys whether the earlier one vouches for the later one.
    pub fn between(
        one: &Standing,
        other: &Standing,
        vouched: impl Fn(&Standing, &Standing) -> bool,
    ) -> Self {
        if one.has_digest(&other.sha256) || one.signed == other.signed {
            return Self::Same;
        }
        for (earlier, later) in [(one, other), (other, one)] {
            let Some(named) = &later.replaces else {
                continue;
            };
            let (number, digest) = (
                named.number == earlier.number,
                earlier.has_digest(&named.sha256),
            );
            return match (number, digest) {
                (true, true) => Self::Replaces {
                    earlier: earlier.number.clone(),
                    later: later.number.clone(),
                    same_key: earlier.key == later.key || vouched(earlier, later),
                },
                (true, false) => Self::No {
                    because: format!(
                        "{} replaces a certificate {} with a different digest than this file: ask \
                         the firm which one counts",
                        later.number, named.number
                    ),
                },
                (false, true) => Self::No {
                    because: format!(
                        "{} names this file's digest, but calls it {} where the file says {}",
                        later.number, named.number, earlier.number
                    ),
                },
                // The other certificate may still name this one.
                (false, false) if earlier.replaces.is_some() => continue,
                (false, false) => Self::No {
                    because: format!(
                        "{} replaces {}, a different certificate",
                        later.number, named.number
                    ),
                },
            };
        }
        Self::No {
            because: if one.number == other.number {
                format!(
                    "both have the number {}, but different contents: ask the firm which one \
                     counts",
                    one.number
                )
            } else {
                "neither says that it replaces the other".to_owned()
            },
        }
    }

    /// The meaning as a sentence, without a full stop.
    pub fn sentence(&self) -> String {
        match self {
            Self::Replaces {
                earlier,
                later,
                same_key,
            } => {
                if *same_key {
                    format!("{later} replaces {earlier}, which no longer counts")
                } else {
                    format!(
                        "{later} says that it replaces {earlier}, but another key sealed it, so \
                         ask the firm"
                    )
                }
            }
            Self::Same => "both are the same certificate".to_owned(),
            Self::No { because } => because.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::standing::Earlier;
    use crate::seal::Fingerprint;

    fn standing(number: &str, sha256: &str, replaces: Option<(&str, &str)>) -> Standing {
        Standing {
            number: number.to_owned(),
            sha256: sha256.to_owned(),
            other_form: None,
            signed: format!("signed {sha256}"),
            identity: sha256.to_owned(),
            replaces: replaces.map(|(number, sha256)| Earlier {
                number: number.to_owned(),
                sha256: sha256.to_owned(),
            }),
            key: Fingerprint::of(b"key"),
        }
    }

    #[test]
    fn each_standing_has_its_sentence() {
        let old = standing("46", "aa", None);
        let between = |a: &Standing, b: &Standing| Amendment::between(a, b, |_, _| false);
        let sentence = |other: &Standing| between(&old, other).sentence();
        let new = standing("47", "bb", Some(("46", "aa")));
        assert_eq!(sentence(&new), "47 replaces 46, which no longer counts");
        assert_eq!(between(&new, &old), between(&old, &new));
        let mut stranger = new.clone();
        stranger.key = Fingerprint::of(b"other");
        assert_eq!(
            sentence(&stranger),
            "47 says that it replaces 46, but another key sealed it, so ask the firm"
        );
        let vouched = Amendment::between(&stranger, &old, |earlier, later| {
            (&*earlier.number, &*later.number) == ("46", "47")
        });
        assert_eq!(vouched.sentence(), sentence(&new));
        assert!(sentence(&standing("47", "bb", Some(("46", "cc")))).contains("a different digest"));
        assert!(sentence(&standing("47", "bb", Some(("45", "aa")))).contains("calls it 45"));
        assert_eq!(
            sentence(&standing("47", "bb", Some(("45", "cc")))),
            "47 replaces 45, a different certificate"
        );
        assert!(sentence(&standing("46", "bb", None)).starts_with("both have the number 46"));
        assert_eq!(
            sentence(&standing("47", "bb", None)),
            "neither says that it replaces the other"
        );
        assert_eq!(between(&old, &old), Amendment::Same);
    }

    #[test]
    fn a_row_of_amendments_is_followed_both_ways() {
        let second = standing("47", "bb", Some(("46", "aa")));
        let third = standing("48", "cc", Some(("47", "bb")));
        for (one, other) in [(&second, &third), (&third, &second)] {
            assert!(matches!(
                Amendment::between(one, other, |_, _| false),
                Amendment::Replaces { .. }
            ));
        }
    }
}
