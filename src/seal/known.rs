//! Known signers: a text file in the configuration folder, one line per signer.
//!
//! It works like a remote shell's list of known hosts. A key seen for the first time is reported as
//! new, because its certificate does not prove whose key it is. Afterwards, the same name, or one
//! that looks like it, with a different key is refused. Lines are
//! `FINGERPRINT met DATE NAME · FIRM · LICENCE`, and may be written, moved or deleted by hand; `#` at the
//! beginning of a line, or after a space, begins a comment, and a comma separates like a dot. `met` says that the program saw the key, and that nobody has compared the fingerprint yet.
//! Whoever has compared it writes `accepted` instead. Lines with neither word were stored by earlier
//! versions, which stored every key they met, and count as `met`.

use std::collections::BTreeSet;
use std::path::Path;

use chrono::NaiveDate;

use super::error::SealError;
use super::fingerprint::Fingerprint;
use super::person::Person;
use crate::lookalike::{forms, is_blank};

/// Marks a key that was only seen.
const MET: &str = "met";
/// Marks a key that somebody accepted.
const ACCEPTED: &str = "accepted";
/// Separator between name, firm and licence.
const SEPARATOR: &str = " · ";
/// The separator's own character, and others that look like it. In a name they do not separate
/// anything for the program, but a hasty reader sees separate parts.
const DOTS: [char; 15] = [
    '·',
    '\u{387}',
    '•',
    '‧',
    '∙',
    '⋅',
    '・',
    '･',
    '⸱',
    '⸳',
    '⸰',
    'ꞏ',
    '᛫',
    '●',
    '\u{10101}',
];

/// A known signer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownSigner {
    /// SHA-256 of the certificate.
    pub fingerprint: Fingerprint,
    /// When it was first seen.
    pub since: NaiveDate,
    /// The name it claims.
    pub who: String,
    /// Whether somebody accepted the key by hand; `false` if it was only seen.
    pub accepted: bool,
}

/// A key that is not in the list, of a signer who may enter it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewKey {
    /// SHA-256 of the certificate.
    pub fingerprint: Fingerprint,
    /// Who the certificate says it is.
    pub person: Person,
    /// The earlier key of the same name that vouches for it.
    pub vouched_by: Option<Fingerprint>,
}

/// The result of entering a new key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Met {
    /// It was entered.
    Entered,
    /// It is in the list already.
    Known,
    /// It was not entered, because it has no name.
    Nameless,
    /// It was not entered, because its name is in the list with another key.
    OtherKey(KnownSigner),
}

/// All known signers.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct KnownSigners {
    lines: Vec<Line>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Line {
    /// A signer, and the line as it was written.
    Signer(KnownSigner, String),
    /// A signer without a name, as earlier versions stored them.
    Nameless(String),
    /// Comments and empty lines are kept.
    Other(String),
}

/// A person as written in the file.
fn who(person: &Person) -> String {
    // Otherwise the name would be cut when it is read back.
    let mut text = person.name.replace(DOTS, "-").replace([',', '#'], "-");
    for part in [&person.firm, &person.licence].into_iter().flatten() {
        text.push_str(SEPARATOR);
        text.push_str(part);
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl NewKey {
    /// All forms of the name that are compared. Two names that share a form look alike.
    pub(crate) fn forms(&self) -> BTreeSet<String> {
        claimed(&self.person.name)
    }
}

/// The forms of a certificate's name: of the whole, and of each part between dots, because it may
/// be somebody else's name with something added before or after it.
fn claimed(name: &str) -> BTreeSet<String> {
    let parts = name.split(DOTS);
    let all = std::iter::once(name).chain(parts).flat_map(forms);
    all.filter(|form| !form.is_empty()).collect()
}

/// The text of a line without the comment at its end.
fn without_comment(who: &str) -> &str {
    let mut before = ' ';
    for (at, c) in who.char_indices() {
        if c == '#' && before.is_whitespace() {
            return who[..at].trim_end();
        }
        before = c;
    }
    who
}

/// The possible names in a line. Lines written by earlier versions may have `#` or a comma in a
/// name, and a line written by hand may use a comma as separator.
fn names_in(who: &str) -> [&str; 3] {
    let whole = who.split(SEPARATOR).next().unwrap_or_default();
    let bare = without_comment(whole);
    let part = bare.split([',', ';', '\t', '|']).next();
    [whole, bare, part.unwrap_or_default()]
}

/// The lines of a text with any line ending.
fn lines(text: &str) -> impl Iterator<Item = &str> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines = text.lines();
    lines.flat_map(|line| line.strip_suffix('\r').unwrap_or(line).split('\r'))
}

impl KnownSigner {
    /// Whether a certificate with these forms of a name claims to be of this signer.
    fn is_claimed(&self, claimed: &BTreeSet<String>) -> bool {
        let own = names_in(&self.who).into_iter().flat_map(forms);
        own.filter(|form| !form.is_empty())
            .any(|form| claimed.contains(&form))
    }
}

impl KnownSigners {
    /// Reads the text of a list; `path` is named in errors.
    ///
    /// # Errors
    /// A line cannot be read.
    pub fn parse(text: &str, path: &Path) -> Result<Self, SealError> {
        let bad = |line: usize, reason: &str| SealError::KnownSigners {
            path: path.to_owned(),
            line,
            reason: reason.to_owned(),
        };
        let mut lines = Vec::new();
        for (n, line) in self::lines(text).enumerate() {
            if line.trim().is_empty() || line.trim_start().starts_with('#') {
                lines.push(Line::Other(line.to_owned()));
                continue;
            }
            if line.chars().any(|c| c.is_control() && c != '\t') {
                return Err(bad(n + 1, "it contains a control character"));
            }
            let next = |text: &'_ str| -> (String, String) {
                let (first, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
                (first.to_owned(), rest.trim_start().to_owned())
            };
            let word_of = |text: &str| {
                let mut words = [ACCEPTED, MET].into_iter();
                words.find(|word| text.eq_ignore_ascii_case(word))
            };
            let (print, rest) = next(line.trim());
            if rest.is_empty() {
                return Err(bad(n + 1, "expected a fingerprint, a date and a name"));
            }
            let (first, after) = next(&rest);
            let word = word_of(&first);
            let (date, who) = next(if word.is_some() { &after } else { &rest });
            if word.is_none() && word_of(&next(&who).0).is_some() {
                return Err(bad(
                    n + 1,
                    "the word `accepted` or `met` must be before the date, as in FINGERPRINT accepted \
                     2026-10-06 NAME",
                ));
            }
            let signer = KnownSigner {
                fingerprint: Fingerprint::parse(&print)
                    .ok_or_else(|| bad(n + 1, "the fingerprint is not 64 hexadecimal digits"))?,
                since: date
                    .parse()
                    .map_err(|_| bad(n + 1, "the date must be written as 2026-10-06"))?,
                who: who.trim().to_owned(),
                accepted: word == Some(ACCEPTED),
            };
            lines.push(if is_blank(without_comment(&signer.who)) {
                Line::Nameless(line.to_owned())
            } else {
                Line::Signer(signer, line.to_owned())
            });
        }
        Ok(Self { lines })
    }

    fn signers(&self) -> impl Iterator<Item = &KnownSigner> {
        self.lines.iter().filter_map(|line| match line {
            Line::Signer(signer, _) => Some(signer),
            Line::Nameless(_) | Line::Other(_) => None,
        })
    }

    /// The numbers of the lines without a name, counted from one. They are ignored.
    pub fn without_name(&self) -> impl Iterator<Item = usize> {
        let lines = self.lines.iter().zip(1..);
        lines.filter_map(|(line, n)| matches!(line, Line::Nameless(_)).then_some(n))
    }

    /// The signer with this key, under any name.
    pub fn with_key(&self, fingerprint: &Fingerprint) -> Option<&KnownSigner> {
        self.signers().find(|s| s.fingerprint == *fingerprint)
    }

    /// Whether somebody accepted this key by hand.
    pub fn accepts(&self, fingerprint: &Fingerprint) -> bool {
        self.signers()
            .any(|s| s.accepted && s.fingerprint == *fingerprint)
    }

    /// Whether somebody accepted a key of this name by hand.
    pub fn accepts_name(&self, name: &str) -> bool {
        let claimed = claimed(name);
        self.signers().any(|s| s.accepted && s.is_claimed(&claimed))
    }

    /// The signer of this name, newest first. Firm, licence and spelling are ignored, because an
    /// impostor could omit or change them.
    pub fn named(&self, person: &Person) -> Option<&KnownSigner> {
        let claimed = claimed(&person.name);
        self.signers()
            .filter(|s| s.is_claimed(&claimed))
            .max_by_key(|s| s.since)
    }

    /// Adds a signer as accepted by hand, even if another signer has the name. An existing signer
    /// with the same key is not changed, and one without a name is not added.
    pub fn enter(&mut self, fingerprint: Fingerprint, person: &Person, since: NaiveDate) {
        self.add(fingerprint, person, since, true);
    }

    /// Counts a key as compared for this run, because its firm itself named it.
    pub fn accept(&mut self, fingerprint: Fingerprint, person: &Person, since: NaiveDate) {
        self.add(fingerprint, person, since, true);
        for line in &mut self.lines {
            if let Line::Signer(signer, _) = line
                && signer.fingerprint == fingerprint
            {
                signer.accepted = true;
            }
        }
    }

    fn add(&mut self, print: Fingerprint, person: &Person, since: NaiveDate, accepted: bool) {
        if self.with_key(&print).is_none() && !is_blank(&person.name) {
            let signer = KnownSigner {
                fingerprint: print,
                since,
                who: who(person),
                accepted,
            };
            let word = if accepted { ACCEPTED } else { MET };
            let line = format!("{} {word} {since} {}", print.hex(), signer.who);
            self.lines.push(Line::Signer(signer, line));
        }
    }

    /// Enters a new key, unless the list has its name with another key that does not vouch for it.
    /// Call it within [`KnownSigners::change`]: another run may have entered that other key after
    /// the certificate was verified.
    pub fn meet(&mut self, key: &NewKey, since: NaiveDate) -> Met {
        if self.with_key(&key.fingerprint).is_some() {
            return Met::Known;
        }
        if is_blank(&key.person.name) {
            return Met::Nameless;
        }
        let forms = key.forms();
        let vouched = self
            .signers()
            .any(|s| Some(s.fingerprint) == key.vouched_by && s.is_claimed(&forms));
        if let Some(other) = self.named(&key.person).filter(|_| !vouched) {
            return Met::OtherKey(other.clone());
        }
        // Accepting a key also accepts the keys for which it vouches.
        let accepted = vouched && key.vouched_by.is_some_and(|by| self.accepts(&by));
        self.add(key.fingerprint, &key.person, since, accepted);
        Met::Entered
    }

    /// The text of the list, as its file has it.
    pub fn text(&self) -> String {
        let mut text = String::new();
        if self.lines.is_empty() || matches!(self.lines.first(), Some(Line::Signer(..))) {
            text.push_str(
                "# Known signers of certificates: fingerprint, first seen, name. After comparing a \
                 fingerprint with the firm's own word, write `accepted` in its line instead of \
                 `met`.\n",
            );
        }
        for line in &self.lines {
            let (Line::Signer(_, line) | Line::Nameless(line) | Line::Other(line)) = line;
            text.push_str(line);
            text.push('\n');
        }
        text
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic)]
mod tests {
    use super::*;

    fn rosa() -> Person {
        Person {
            name: "Rosa Lindqvist".to_owned(),
            firm: Some("Lindqvist & Daughters".to_owned()),
            licence: None,
        }
    }

    #[test]
    fn a_list_reads_back_as_written() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("new").join("known-signers");
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let enter = |known: &mut KnownSigners| {
            known.enter(Fingerprint::of(b"1"), &rosa(), day("2026-10-06"));
            known.enter(Fingerprint::of(b"2"), &rosa(), day("2027-10-06"));
            known.enter(Fingerprint::of(b"1"), &rosa(), day("2029-10-06"));
        };
        let mut known = KnownSigners::read(&path).unwrap();
        assert_eq!(known, KnownSigners::default());
        enter(&mut known);
        assert!(KnownSigners::change(&path, enter).unwrap());
        assert!(!KnownSigners::change(&path, enter).unwrap());
        let again = KnownSigners::read(&path).unwrap();
        assert_eq!(
            again.with_key(&Fingerprint::of(b"1")).unwrap().since,
            day("2026-10-06")
        );
        assert_eq!(
            again.named(&rosa()).unwrap().fingerprint,
            Fingerprint::of(b"2")
        );
        std::fs::write(&path, again.text()).unwrap();
        assert_eq!(KnownSigners::read(&path).unwrap(), again);
        assert_eq!(
            std::fs::read_to_string(&path)
                .unwrap()
                .lines()
                .nth(1)
                .unwrap(),
            format!(
                "{} accepted 2026-10-06 Rosa Lindqvist · Lindqvist & Daughters",
                Fingerprint::of(b"1").hex()
            )
        );
    }

    #[test]
    fn a_name_is_known_however_it_is_written() {
        let mut known = KnownSigners::default();
        let (first, second) = (Fingerprint::of(b"1"), Fingerprint::of(b"2"));
        known.enter(first, &rosa(), "2026-10-06".parse().unwrap());
        let called = |name: &str, firm: Option<&str>| Person {
            name: name.to_owned(),
            firm: firm.map(str::to_owned),
            licence: None,
        };
        for person in [
            called("Rosa Lindqvist", None),
            called("Rosa Lindqvist", Some("Another Firm")),
            called("rosa  LINDQVIST.", None),
            called("R\u{43e}sa Lindqvist", None),
            called("Rosa Lindqvist \u{b7} Anything", None),
            called("\u{1d411}osa Lindqvi\u{fb06}", None),
            called("Rosa\u{3164} Lindqvist", None),
        ] {
            let met = known.named(&person).unwrap();
            assert_eq!(met.fingerprint, first, "{person:?}");
        }
        assert!(known.named(&called("Rosa Lindholm", None)).is_none());
        let greek = called("Νίκος Παππάς", None);
        let mut list = KnownSigners::default();
        list.enter(first, &greek, "2026-10-06".parse().unwrap());
        assert!(list.named(&called("ΝΙΚΟΣ ΠΑΠΠΑΣ", None)).is_some());
        // Two people of one name: the second is known once somebody enters it.
        let other = called("Rosa Lindqvist", Some("Another Firm"));
        known.enter(second, &other, "2026-10-07".parse().unwrap());
        assert!(known.with_key(&first).is_some() && known.with_key(&second).is_some());
    }

    #[test]
    fn a_new_key_enters_only_under_a_name_of_its_own() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("known-signers");
        let today = "2026-10-06".parse().unwrap();
        let key = |print: &[u8], name: &str, vouched_by: Option<&[u8]>| NewKey {
            fingerprint: Fingerprint::of(print),
            person: Person {
                name: name.to_owned(),
                ..Person::default()
            },
            vouched_by: vouched_by.map(Fingerprint::of),
        };
        let meet = |key: NewKey| {
            let mut met = None;
            KnownSigners::change(&path, |list| met = Some(list.meet(&key, today))).unwrap();
            met.unwrap()
        };
        assert_eq!(meet(key(b"1", "Rosa Lindqvist", None)), Met::Entered);
        assert_eq!(meet(key(b"1", "Rosa Lindqvist", None)), Met::Known);
        assert_eq!(meet(key(b"9", "Ines Moreau", None)), Met::Entered);
        for (name, voucher) in [
            ("Rosa Lindqvist", None),
            ("R\u{43e}sa  LINDQVIST.", None),
            // Not in the list, or of somebody else.
            ("Rosa Lindqvist", Some(&b"7"[..])),
            ("Rosa Lindqvist", Some(b"9")),
        ] {
            let met = meet(key(b"2", name, voucher));
            let Met::OtherKey(other) = met else {
                panic!("{name}: {met:?}");
            };
            assert_eq!(other.fingerprint, Fingerprint::of(b"1"));
        }
        assert_eq!(meet(key(b"2", "Rosa Lindqvist", Some(b"1"))), Met::Entered);
        assert_eq!(meet(key(b"3", "Rosa Lindqvist", Some(b"2"))), Met::Entered);
        let list = KnownSigners::read(&path).unwrap();
        assert_eq!(list.signers().count(), 4);
        assert!(list.signers().all(|s| !s.accepted));
        // Whoever has compared the fingerprint writes the other word.
        let text = std::fs::read_to_string(&path).unwrap();
        let print = Fingerprint::of(b"3").hex();
        let line = format!("{print} met 2026-10-06 Rosa");
        assert!(text.contains(&line), "{text}");
        std::fs::write(
            &path,
            text.replace(&line, &line.replace("met ", "accepted ")),
        )
        .unwrap();
        assert_eq!(meet(key(b"4", "Rosa Lindqvist", Some(b"3"))), Met::Entered);
        let list = KnownSigners::read(&path).unwrap();
        let accepted = [b"1", b"2", b"3", b"4"].map(|k| list.accepts(&Fingerprint::of(k)));
        assert_eq!(accepted, [false, false, true, true]);
    }

    #[test]
    fn a_separator_in_a_name_does_not_end_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("known-signers");
        let called = |name: &str| Person {
            name: name.to_owned(),
            ..rosa()
        };
        let day = "2026-10-06".parse().unwrap();
        let enter = |list: &mut KnownSigners| {
            list.enter(Fingerprint::of(b"1"), &called("Ines · Moreau"), day);
        };
        KnownSigners::change(&path, enter).unwrap();
        let list = KnownSigners::read(&path).unwrap();
        assert!(list.named(&called("ines moreau")).is_some());
        assert!(list.named(&called("Ines · Moreau")).is_some());
        assert!(list.named(&called("Ines")).is_none());
    }

    #[test]
    fn a_line_without_a_name_is_ignored_and_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("known-signers");
        let print = Fingerprint::of(b"1").hex();
        let text = format!(
            "# list\n{print} met 2026-11-01\n{print} accepted 2026-11-01 \u{3000}\n\
             {print} 2026-11-01 ·\n{} met 2026-11-01 Ines Moreau\n",
            Fingerprint::of(b"2").hex()
        );
        std::fs::write(&path, &text).unwrap();
        let list = KnownSigners::read(&path).unwrap();
        assert_eq!(list.without_name().collect::<Vec<_>>(), [2, 3, 4]);
        assert!(list.with_key(&Fingerprint::of(b"1")).is_none());
        assert!(list.with_key(&Fingerprint::of(b"2")).is_some());
        let nobody = NewKey {
            fingerprint: Fingerprint::of(b"3"),
            person: Person {
                name: "\u{3000}".to_owned(),
                ..Person::default()
            },
            vouched_by: None,
        };
        KnownSigners::change(&path, |list| {
            let day = "2026-11-02".parse().unwrap();
            assert_eq!(list.meet(&nobody, day), Met::Nameless);
            list.enter(nobody.fingerprint, &nobody.person, day);
            list.enter(Fingerprint::of(b"4"), &rosa(), day);
        })
        .unwrap();
        let after = std::fs::read_to_string(&path).unwrap();
        assert!(after.starts_with(&text), "{after}");
        assert_eq!(after.lines().count(), 6);
    }

    #[test]
    fn a_line_written_by_hand_is_read_as_it_is_meant() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("known-signers");
        let print = Fingerprint::of(b"1").hex();
        let other = Fingerprint::of(b"2").hex();
        for (line, accepted) in [
            (
                format!("{print} accepted 2026-10-06 Rosa Lindqvist # by phone"),
                true,
            ),
            (
                format!("{print} accepted 2026-10-06 Rosa Lindqvist\t# by phone"),
                true,
            ),
            (
                format!("{print} accepted 2026-10-06 Rosa Lindqvist, Lindqvist & Daughters"),
                true,
            ),
            (
                format!("{print} accepted 2026-10-06 Rosa Lindqvist; Lindqvist & Daughters"),
                true,
            ),
            (
                format!("{print}  accepted\t2026-10-06   Rosa Lindqvist"),
                true,
            ),
            (
                format!("{print} Accepted 2026-10-06 Rosa Lindqvist · Firm #2"),
                true,
            ),
            (
                format!("{print} 2026-10-06 Rosa Lindqvist # Ada Ohm"),
                false,
            ),
        ] {
            for ends in ["\n", "\r\n", "\r"] {
                let text = [
                    "# Known signers",
                    &line,
                    "",
                    &format!("{other} met 2026-10-06 Ada Ohm"),
                ]
                .map(|line| format!("{line}{ends}"))
                .concat();
                for text in [text.clone(), format!("\u{feff}{text}")] {
                    std::fs::write(&path, text).unwrap();
                    let list = KnownSigners::read(&path).unwrap();
                    let met = list
                        .named(&rosa())
                        .unwrap_or_else(|| panic!("{line:?} {ends:?}"));
                    assert_eq!(met.fingerprint, Fingerprint::of(b"1"));
                    assert_eq!(list.accepts(&Fingerprint::of(b"1")), accepted, "{line}");
                    let ada = Person {
                        name: "Ada Ohm".to_owned(),
                        ..Person::default()
                    };
                    assert_eq!(list.named(&ada).unwrap().fingerprint, Fingerprint::of(b"2"));
                    KnownSigners::change(&path, |list| {
                        list.enter(
                            Fingerprint::of(b"3"),
                            &rosa(),
                            "2026-10-07".parse().unwrap(),
                        );
                    })
                    .unwrap();
                    let after = std::fs::read_to_string(&path).unwrap();
                    assert!(after.lines().any(|kept| kept == line), "{after}");
                }
            }
        }
        // A name that contains the characters of a comment or separator is found again.
        for name in ["Rosa #1", "Lindqvist, Rosa"] {
            let person = Person {
                name: name.to_owned(),
                ..Person::default()
            };
            let mut list = KnownSigners::default();
            list.enter(
                Fingerprint::of(b"1"),
                &person,
                "2026-10-07".parse().unwrap(),
            );
            std::fs::remove_file(&path).unwrap();
            std::fs::write(&path, list.text()).unwrap();
            assert!(KnownSigners::read(&path).unwrap().named(&person).is_some());
        }
        let old = format!("{print} met 2026-10-06 Rosa #1\n");
        std::fs::write(&path, old).unwrap();
        let person = Person {
            name: "Rosa #1".to_owned(),
            ..Person::default()
        };
        assert!(KnownSigners::read(&path).unwrap().named(&person).is_some());
    }

    #[test]
    fn a_wrong_line_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("known-signers");
        for (text, reason) in [
            (
                "# ok\nabc 2026-10-06 Rosa\n",
                "the fingerprint is not 64 hexadecimal digits",
            ),
            ("\nabc\n", "expected a fingerprint, a date and a name"),
            (
                &format!(
                    "\n{} 2026-10-06 accepted Rosa\n",
                    Fingerprint::of(b"1").hex()
                ),
                "must be before the date, as in FINGERPRINT accepted 2026-10-06 NAME",
            ),
            (
                &format!(
                    "\n{} met 2026-10-06 Rosa\u{b}x\n",
                    Fingerprint::of(b"1").hex()
                ),
                "it contains a control character",
            ),
        ] {
            std::fs::write(&path, text).unwrap();
            let error = KnownSigners::read(&path).unwrap_err().to_string();
            assert!(
                error.ends_with(reason) && error.contains("line 2"),
                "{error}"
            );
        }
    }
}
