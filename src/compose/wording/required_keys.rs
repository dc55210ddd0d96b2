//! The keys that the declared checks, limitations and choices need in every wording.

use crate::compose::keys;
use crate::vocabulary::{CauseId, CheckId, EVIDENCE, LimitationId, MissingKey, ValueName};
use std::collections::BTreeMap;

/// Dotted keys that the vocabulary requires in a wording, with the values that each may use.
pub(super) fn required_keys() -> BTreeMap<String, Vec<&'static str>> {
    let mut expected = BTreeMap::new();
    let words = |common: &[ValueName], own: &[ValueName]| -> Vec<&'static str> {
        common.iter().chain(own).map(|v| v.word()).collect()
    };
    for check in CheckId::ALL {
        expected.insert(format!("finding.{check}.name"), vec![]);
        let declared = check.declaration();
        let takes = words(CheckId::COMMON, declared.values);
        for variant in declared.variants {
            let path = format!("finding.{check}.{}", variant.word());
            expected.insert(format!("{path}.text"), takes.clone());
            if variant.asks() {
                expected.insert(format!("{path}.action"), takes.clone());
            }
        }
    }
    for cause in CauseId::ALL {
        expected.insert(format!("cause.{cause}.name"), vec![]);
        for variant in cause.declaration().variants {
            let path = format!("cause.{cause}.{}", variant.word());
            for part in ["text", "action"] {
                expected.insert(
                    format!("{path}.{part}"),
                    words(CheckId::COMMON, &[ValueName::Legs]),
                );
            }
        }
    }
    for (key, check) in EVIDENCE {
        expected.insert(
            format!("evidence.{key}"),
            words(CheckId::COMMON, check.declaration().values),
        );
    }
    for limitation in LimitationId::ALL {
        expected.insert(
            format!("limitation.{limitation}"),
            words(LimitationId::COMMON, limitation.values()),
        );
    }
    expected.extend(MissingKey::ALL.map(|key| (format!("missing.{key}"), vec![])));
    expected.extend(keys::names().into_iter().map(|name| (name, vec![])));
    expected.extend(keys::typed().map(|word| (format!("worksheet.typed.{word}"), vec![])));
    expected
}
