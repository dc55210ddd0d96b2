//! The rule sets compiled into the program load, and say where every value comes from.

use warmlug::rules;

#[test]
fn every_built_in_set_loads() {
    for id in rules::built_in_ids() {
        let set = rules::built_in(id).unwrap_or_else(|| panic!("{id} does not load"));
        assert_eq!(set.id, id);
        assert!(set.changes.is_empty());
        assert_eq!(set.extends, None);
    }
    assert!(rules::built_in("elsewhere").is_none());
}

/// A standard is cited with its edition: a table may have other figures in the next one.
#[test]
fn every_standard_is_cited_with_its_edition() {
    let standards = [
        "ANSI", "ASTM", "BS ", "EN ", "IEC ", "ISO ", "JCGM ", "NEMA ", "NFPA ", "UL ",
    ];
    // One standard after another, up to the next; a year is (2023) or :2015.
    let dated = |cited: &str| {
        let year = |at: usize| {
            let digits = &cited[at + 1..];
            digits.len() >= 4 && digits.bytes().take(4).all(|b| b.is_ascii_digit())
        };
        cited.match_indices(['(', ':']).any(|(at, _)| year(at))
    };
    for id in rules::built_in_ids() {
        for entry in rules::listing::entries(rules::built_in(id).unwrap()) {
            let mut begins: Vec<usize> = standards
                .iter()
                .flat_map(|name| entry.source.match_indices(name).map(|(at, _)| at))
                .collect();
            begins.sort_unstable();
            // "ANSI/NETA MTS" and "BS EN" are one.
            begins.dedup_by(|next, last| *next - *last < 5);
            begins.push(entry.source.len());
            for pair in begins.windows(2) {
                let cited = &entry.source[pair[0]..pair[1]];
                assert!(
                    dated(cited),
                    "{id} {}: {cited} in {}",
                    entry.path,
                    entry.source
                );
            }
        }
    }
}
