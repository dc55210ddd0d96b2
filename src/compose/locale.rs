//! Formats that depend on the language: decimal mark and digit groups, plural forms, and lists.
//! They come from the Unicode CLDR through ICU4X, with the data compiled in.
//!
//! The formats of a language are created at first use, which takes about 20 µs, and cached per
//! thread.

use fixed_decimal::Decimal;
use icu_decimal::DecimalFormatter;
use icu_list::ListFormatter;
use icu_list::options::ListFormatterOptions;
use icu_locale_core::Locale;
use icu_plurals::{PluralCategory, PluralRules, PluralRulesOptions};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use crate::quantity::MINUS;

/// The largest count for which a wording needs plural forms: far more than a visit can contain.
/// (Spanish and French have a separate form for whole millions.)
const MOST_COUNTED: usize = 1_000;

/// Formats of one language.
struct Formats {
    decimal: DecimalFormatter,
    plurals: PluralRules,
    list: ListFormatter,
}

impl Formats {
    fn new(language: &str) -> Option<Formats> {
        // Every language falls back to the root of the data, so only the tag can be invalid.
        let locale: Locale = language.parse().ok()?;
        // “a, b and c” in English, without a comma before “and”.
        let lists: Locale = match language {
            "en" => "en-001".parse().ok()?,
            _ => locale.clone(),
        };
        Some(Formats {
            decimal: DecimalFormatter::try_new((&locale).into(), Default::default()).ok()?,
            plurals: PluralRules::try_new((&locale).into(), PluralRulesOptions::default()).ok()?,
            list: ListFormatter::try_new_and((&lists).into(), ListFormatterOptions::default())
                .ok()?,
        })
    }

    /// The formats of a language, or those of the root of the data if its tag is invalid.
    fn of(language: &str) -> Option<Rc<Formats>> {
        thread_local! {
            static KEPT: RefCell<BTreeMap<String, Rc<Formats>>> = const { RefCell::new(BTreeMap::new()) };
        }
        KEPT.with_borrow_mut(|kept| {
            if let Some(known) = kept.get(language) {
                return Some(known.clone());
            }
            let made = Rc::new(Formats::new(language).or_else(|| Formats::new("und"))?);
            kept.insert(language.to_owned(), made.clone());
            Some(made)
        })
    }
}

/// Formats a number, given with a decimal point as [`crate::quantity::number`] writes it, with the
/// marks of a language: 12345.6 is 12,345.6 in English and 12.345,6 in German. The minus sign is
/// U+2212 in every language.
pub(super) fn number(language: &str, digits: &str) -> String {
    let (sign, magnitude) = match digits.strip_prefix(MINUS) {
        Some(rest) => ("\u{2212}", rest),
        None => ("", digits),
    };
    match (Formats::of(language), Decimal::try_from_str(magnitude)) {
        (Some(formats), Ok(decimal)) => format!("{sign}{}", formats.decimal.format(&decimal)),
        // Text that is not a number, such as an infinity, stays unchanged.
        _ => digits.to_owned(),
    }
}

/// The mark between whole and parts.
pub(super) fn decimal_mark(language: &str) -> char {
    number(language, "0.5").chars().nth(1).unwrap_or('.')
}

/// Name of the plural form for a count (Unicode plural rules): `one`, `other`, …
pub(super) fn plural_form(language: &str, count: usize) -> &'static str {
    let category =
        Formats::of(language).map_or(PluralCategory::Other, |f| f.plurals.category_for(count));
    match category {
        PluralCategory::Zero => "zero",
        PluralCategory::One => "one",
        PluralCategory::Two => "two",
        PluralCategory::Few => "few",
        PluralCategory::Many => "many",
        PluralCategory::Other => "other",
    }
}

/// Plural forms that a wording in a language needs.
pub(super) fn plural_forms(language: &str) -> Vec<&'static str> {
    let mut forms: Vec<_> = (0..=MOST_COUNTED)
        .map(|count| plural_form(language, count))
        .collect();
    forms.sort_unstable();
    forms.dedup();
    forms
}

/// Items joined as a sentence does: “a”, “a and b”, “a, b and c”.
pub(super) fn list<S: AsRef<str>>(language: &str, items: &[S]) -> String {
    let items = items.iter().map(AsRef::as_ref);
    match Formats::of(language) {
        Some(formats) => formats.list.format(items).to_string(),
        None => items.collect::<Vec<_>>().join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_the_marks_of_the_language() {
        for (language, wanted) in [
            ("en", ["1,234.5", "12,345.6", "0.25", "−7"]),
            // Spanish leaves four digits together (CLDR: least grouping digits 2).
            ("es", ["1234,5", "12.345,6", "0,25", "−7"]),
            ("fr", ["1\u{202f}234,5", "12\u{202f}345,6", "0,25", "−7"]),
            ("de", ["1.234,5", "12.345,6", "0,25", "−7"]),
        ] {
            let formatted = ["1234.5", "12345.6", "0.25", "−7"].map(|d| number(language, d));
            assert_eq!(formatted, wanted, "{language}");
            assert_eq!(
                decimal_mark(language),
                if language == "en" { '.' } else { ',' }
            );
        }
    }

    #[test]
    fn decimals_stay_as_many_as_they_were() {
        assert_eq!(number("de", "5.00"), "5,00");
        assert_eq!(number("de", "inf"), "inf");
    }

    #[test]
    fn plural_forms_follow_the_language() {
        let forms = |language| [0, 1, 2, 21].map(|n| plural_form(language, n));
        assert_eq!(forms("en"), ["other", "one", "other", "other"]);
        assert_eq!(forms("de"), ["other", "one", "other", "other"]);
        assert_eq!(forms("es"), ["other", "one", "other", "other"]);
        // Nothing is singular in French.
        assert_eq!(forms("fr"), ["one", "one", "other", "other"]);
        for language in ["en", "es", "fr", "de"] {
            assert_eq!(plural_forms(language), ["one", "other"], "{language}");
        }
        assert_eq!(plural_forms("pl"), ["few", "many", "one"]);
    }

    #[test]
    fn lists_are_joined_as_the_language_joins_them() {
        for (language, two, three) in [
            ("en", "a and b", "a, b and c"),
            ("es", "a y b", "a, b y c"),
            ("fr", "a et b", "a, b et c"),
            ("de", "a und b", "a, b und c"),
        ] {
            assert_eq!(list::<&str>(language, &[]), "");
            assert_eq!(list(language, &["a"]), "a");
            assert_eq!(list(language, &["a", "b"]), two);
            assert_eq!(list(language, &["a", "b", "c"]), three);
        }
        // Spanish says “e” before the sound of i.
        assert_eq!(list("es", &["toma", "interruptor"]), "toma e interruptor");
        assert_eq!(list("es", &["cobre", "hierro"]), "cobre y hierro");
    }

    #[test]
    fn a_language_that_is_none_has_the_marks_of_no_language() {
        assert_eq!(number("not a tag", "1234.5"), "1,234.5");
        assert_eq!(plural_form("not a tag", 1), "other");
    }
}
