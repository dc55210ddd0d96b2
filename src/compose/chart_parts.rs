//! Charts of places with many connections: if there are more lines than one chart can label, they
//! are divided among several charts, in the order of the tables.

use super::document::Series;
use super::keys;
use super::wording::Wording;

/// Maximum number of connections in one chart: their settled values are drawn side by side, and
/// their names one below the other (our choice, by eye).
pub(super) const MOST_LINES: usize = 12;

/// Parts of at most [`MOST_LINES`] lines, whose sizes differ by at most one.
pub(super) fn parts<T>(mut items: Vec<T>) -> Vec<Vec<T>> {
    let mut left = items.len().div_ceil(MOST_LINES);
    let mut out = Vec::with_capacity(left);
    while left > 0 {
        let rest = items.split_off(items.len().div_ceil(left));
        out.push(std::mem::replace(&mut items, rest));
        left -= 1;
    }
    out
}

/// The title of part `i` of `of`, from 0.
pub(super) fn title(words: &Wording, title: String, i: usize, of: usize) -> String {
    if of == 1 {
        return title;
    }
    let (part, parts) = ((i + 1).to_string(), of.to_string());
    words.say(
        &keys::CHART_PART,
        &[("title", &title), ("part", &part), ("parts", &parts)],
    )
}

/// The range that all parts share, so that their lines can be compared.
pub(super) fn range<'s>(series: impl Iterator<Item = &'s Series>) -> Option<[f64; 2]> {
    let mut range: Option<[f64; 2]> = None;
    let mut see = |low: f64, high: f64| {
        let [l, h] = range.unwrap_or([low, high]);
        range = Some([l.min(low), h.max(high)]);
    };
    for line in series {
        line.curve.iter().for_each(|p| see(p[1], p[1]));
        for (i, point) in line.points.iter().enumerate() {
            let half = line.intervals.get(i).copied().flatten().unwrap_or(0.0);
            see(point[1] - half, point[1] + half);
        }
        if let Some((value, half)) = line.settled {
            see(value - half, value + half);
        }
    }
    range
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_even_and_keep_the_order() {
        let sizes = |n: usize| -> Vec<usize> {
            let parts = parts((0..n).collect());
            assert_eq!(parts.concat(), (0..n).collect::<Vec<_>>());
            parts.iter().map(Vec::len).collect()
        };
        assert_eq!(sizes(0), [0; 0]);
        assert_eq!(sizes(MOST_LINES), [MOST_LINES]);
        assert_eq!(sizes(MOST_LINES + 1), [7, 6]);
        assert_eq!(sizes(40), [10, 10, 10, 10]);
    }
}
