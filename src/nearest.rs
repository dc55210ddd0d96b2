//! Finding the known word that a mistyped one was meant to be.

use crate::quoted::shorten;

/// Maximum number of characters of a mistyped word; a longer one is not a slip of a known word.
const LONGEST: usize = 40;

/// Maximum distance of a word from the known word that was meant: one slip (a letter wrong,
/// missing, superfluous, or two swapped) in a short word, one more for every three letters, at most
/// three. `None` for a word that is too long.
fn slips(word: &str) -> Option<usize> {
    let length = word.chars().count();
    (length <= LONGEST).then_some((length / 3).clamp(1, 3))
}

/// Whether a word may have been meant to be a known one; case counts.
pub(crate) fn is_near(word: &str, known: &str) -> bool {
    slips(word).is_some_and(|slips| strsim::osa_distance(known, word) <= slips)
}

/// The known words nearest to a word, all at the same distance and each once; empty if all are too
/// far. Case is ignored. Each known word counts towards `comparisons`; when these are used up,
/// there are no suggestions.
pub(crate) fn nearest<'n>(
    word: &str,
    known: impl Iterator<Item = &'n str>,
    comparisons: &mut usize,
) -> Vec<&'n str> {
    let word = word.to_lowercase();
    let Some(slips) = slips(&word) else {
        return Vec::new();
    };
    let mut best: Vec<&str> = Vec::new();
    let mut least = slips + 1;
    for candidate in known {
        let Some(left) = comparisons.checked_sub(1) else {
            return Vec::new();
        };
        *comparisons = left;
        if candidate.len().abs_diff(word.len()) > 2 * slips {
            continue;
        }
        let distance = strsim::osa_distance(&word, &candidate.to_lowercase());
        if distance < least {
            least = distance;
            best.clear();
        }
        if distance == least && least <= slips && !best.contains(&candidate) {
            best.push(candidate);
        }
    }
    best
}

/// Names in back quotes: "`a`, `b` or `c`"; at most the first `most`.
pub(crate) fn or<'n>(names: impl Iterator<Item = &'n str>, most: usize) -> String {
    let names: Vec<&str> = names.collect();
    let shown = names.len().min(most);
    let mut out = String::new();
    for (i, name) in names.iter().take(shown).enumerate() {
        if i > 0 {
            out.push_str(if i + 1 == names.len() { " or " } else { ", " });
        }
        out.push('`');
        out.push_str(&shorten(name));
        out.push('`');
    }
    if shown < names.len() {
        out.push_str(", …");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(word: &str) -> Vec<&'static str> {
        let known = ["torque", "tester", "breaker-L1", "breaker-L2", "at"];
        nearest(word, known.into_iter(), &mut 100)
    }

    #[test]
    fn one_slip_for_every_three_letters_is_near() {
        assert_eq!(of("torqeu"), ["torque"]);
        assert_eq!(of("TORQ"), Vec::<&str>::new());
        assert_eq!(of("TORQUES"), ["torque"]);
        assert_eq!(of("breaker-L"), ["breaker-L1", "breaker-L2"]);
        assert_eq!(of("att"), ["at"]);
        assert_eq!(of("attic"), Vec::<&str>::new());
    }

    #[test]
    fn comparisons_are_bounded() {
        assert_eq!(
            nearest("ab", ["ab", "ac"].into_iter(), &mut 1),
            Vec::<&str>::new()
        );
        let mut left = 3;
        assert_eq!(nearest("ab", ["ab", "ac"].into_iter(), &mut left), ["ab"]);
        assert_eq!(left, 1);
        assert_eq!(
            nearest(&"a".repeat(41), ["a"].into_iter(), &mut 9),
            Vec::<&str>::new()
        );
    }
}
