//! Functions that read values of several sections of a rule set.

use crate::rules::number::Kind;
use crate::rules::sourced::Sourced;
use crate::rules::typed_values::{At, MapReader};
use crate::vocabulary::Word;

/// One value for each choice.
pub(super) fn words<K: Word, T>(m: &MapReader, f: impl Fn(At) -> Option<T>) -> Option<Vec<(K, T)>> {
    let read: Vec<_> = K::choices()
        .map(|(word, k)| m.read(word, &f).map(|v| (k, v)))
        .collect();
    read.into_iter().collect()
}

pub(super) fn number(kind: Kind) -> impl Fn(At) -> Option<Sourced<f64>> {
    move |a| a.sourced(|a| a.number(kind))
}
