//! Confidence intervals, at 95 %, that need no assumption about how values are distributed.

/// 97.5 % quantile of the standard normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// Most that lies outside of an interval on each side.
const OUTSIDE: f64 = 0.025;

/// The score interval of a proportion of `count` in `of` (E. B. Wilson, J. Amer. Statist. Assoc. 22
/// (1927) 209–212; method 3 of R. G. Newcombe, Statist. Med. 17 (1998) 857–872). `of` is at least 1.
pub fn proportion(count: usize, of: usize) -> [f64; 2] {
    let (k, n) = (count as f64, of.max(1) as f64);
    let square = Z * Z;
    let middle = (k + square / 2.0) / (n + square);
    let half = Z / (n + square) * (k * (n - k) / n + square / 4.0).max(0.0).sqrt();
    // At its ends the interval is exact, and rounding would leave a trace.
    let low = if count == 0 { 0.0 } else { middle - half };
    let high = if count >= of { 1.0 } else { middle + half };
    [low.max(0.0), high.min(1.0)]
}

/// Probability that so many or more of a group fail if as many fail in all, whichever they are: the upper tail
/// of the hypergeometric distribution (R. A. Fisher's exact test, one-sided; The Design of Experiments (1935),
/// chapter II). `of` and `of_all` count the group and all, `failed` and `all_failed` those that failed.
pub fn by_chance(failed: usize, of: usize, all_failed: usize, of_all: usize) -> f64 {
    let sound = of_all.saturating_sub(all_failed);
    let most = of.min(all_failed);
    if failed > most || of > of_all {
        return 0.0;
    }
    if of.saturating_sub(failed) > sound {
        // Some of the group have to fail, as there are not enough sound ones.
        return 1.0;
    }
    let chosen = |of: usize, k: usize| {
        let ln = |n: usize| libm::lgamma(n as f64 + 1.0);
        ln(of) - ln(k) - ln(of - k)
    };
    let mut one =
        libm::exp(chosen(all_failed, failed) + chosen(sound, of - failed) - chosen(of_all, of));
    let mut sum = 0.0;
    for k in failed..=most {
        sum += one;
        let (left, room) = ((all_failed - k) as f64, (of - k) as f64);
        // What is left over of the sound ones once `k + 1` have failed.
        let over = (sound + k + 1).saturating_sub(of) as f64;
        one *= left * room / ((k + 1) as f64 * over.max(1.0));
    }
    sum.min(1.0)
}

/// The median; `None` of no values.
pub fn median(values: &[f64]) -> Option<f64> {
    let sorted = sorted(values);
    let n = sorted.len();
    let at = |i: usize| sorted.get(i).copied();
    match n % 2 {
        1 => at(n / 2),
        _ => Some((at((n / 2).checked_sub(1)?)? + at(n / 2)?) / 2.0),
    }
}

/// The interval of the median between two of the values (the sign test inverted; W. J. Conover,
/// Practical Nonparametric Statistics, 3rd ed. (1999), 3.2). `None` of fewer than six values, which no
/// interval at 95 % has.
pub fn of_median(values: &[f64]) -> Option<[f64; 2]> {
    let sorted = sorted(values);
    let n = sorted.len();
    let outside = outside(n);
    let low = sorted.get(outside.checked_sub(1)?)?;
    let high = sorted.get(n.checked_sub(outside)?)?;
    Some([*low, *high])
}

/// Which value, counted from either end and from 1, bounds the interval of the median of so many; 0 if
/// none does.
fn outside(n: usize) -> usize {
    // Probability that so many of n coins show heads, from none on.
    let mut one = 0.5_f64.powi(i32::try_from(n).unwrap_or(i32::MAX));
    let mut sum = 0.0;
    for k in 0..n {
        sum += one;
        if sum > OUTSIDE {
            return k;
        }
        one *= (n - k) as f64 / (k + 1) as f64;
    }
    if sum > 0.0 { n / 2 } else { normal(n) }
}

/// The same for so many values that the probability of no heads is too small for a number.
fn normal(n: usize) -> usize {
    let n = n as f64;
    (n / 2.0 - Z * n.sqrt() / 2.0).floor().max(0.0) as usize
}

/// A value as the JSON has it: without the noise of binary arithmetic.
pub(super) fn rounded(value: f64) -> f64 {
    let value = (value * 1e6).round() / 1e6;
    if value == 0.0 { 0.0 } else { value }
}

fn sorted(values: &[f64]) -> Vec<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The four examples of Newcombe (1998), table I, method 3.
    #[test]
    fn proportions_have_the_intervals_of_the_published_examples() {
        for (count, of, expected) in [
            (81, 263, [0.2553, 0.3662]),
            (15, 148, [0.0624, 0.1605]),
            (0, 20, [0.0, 0.1611]),
            (1, 29, [0.0061, 0.1718]),
        ] {
            let [low, high] = proportion(count, of);
            assert!((low - expected[0]).abs() < 0.000_05, "{count}/{of}: {low}");
            assert!(
                (high - expected[1]).abs() < 0.000_05,
                "{count}/{of}: {high}"
            );
        }
    }

    /// By hand: of eight cups of which four are of one kind, all four are found by chance in 1 of 70 cases,
    /// three or more in 17, none or more in all. 4 of 10 failed, and 1 of 40 others: (210 · 40 + 252) of
    /// 2,118,760 cases.
    #[test]
    fn chances_are_those_of_drawing_without_putting_back() {
        for (failed, of, all_failed, of_all, expected) in [
            (4, 4, 4, 8, 1.0 / 70.0),
            (3, 4, 4, 8, 17.0 / 70.0),
            (0, 4, 4, 8, 1.0),
            (4, 10, 5, 50, 8652.0 / 2_118_760.0),
            (1, 3, 8, 10, 1.0),
            (3, 10, 2, 50, 0.0),
        ] {
            let found = by_chance(failed, of, all_failed, of_all);
            assert!((found - expected).abs() < 1e-9, "{failed} of {of}: {found}");
        }
        assert!(by_chance(30_000, 50_000, 31_000, 1_000_000) < 1e-100);
    }

    #[test]
    fn the_ends_of_an_interval_are_exact_and_it_is_the_same_from_the_other_side() {
        assert_eq!(proportion(0, 10)[0], 0.0);
        assert_eq!(proportion(10, 10)[1], 1.0);
        let [low, high] = proportion(3, 40);
        let [from, to] = proportion(37, 40);
        assert!((low - (1.0 - to)).abs() < 1e-12 && (high - (1.0 - from)).abs() < 1e-12);
    }

    /// By hand from the binomial distribution: of 10 coins at most one shows heads in 11 of 1024 cases
    /// (0.0107), at most two in 56 (0.0547); of 20, at most five in 0.0207 and at most six in 0.0577.
    #[test]
    fn the_median_lies_between_two_values() {
        let counted = |n: i32| (1..=n).map(f64::from).collect::<Vec<_>>();
        assert_eq!(of_median(&counted(5)), None);
        assert_eq!(of_median(&counted(6)), Some([1.0, 6.0]));
        assert_eq!(of_median(&counted(10)), Some([2.0, 9.0]));
        assert_eq!(of_median(&counted(20)), Some([6.0, 15.0]));
        assert_eq!(median(&counted(10)), Some(5.5));
        assert_eq!(median(&[3.0, -1.0, 2.0]), Some(2.0));
        assert_eq!(median(&[]), None);
    }

    #[test]
    fn the_interval_of_many_values_does_not_end() {
        // 2 to the minus 1,000 is a number, 2 to the minus 2,000 is none.
        for n in [1_000, 2_000, 100_000] {
            let exact = (f64::from(n) / 2.0 - Z * f64::from(n).sqrt() / 2.0).floor();
            let n = usize::try_from(n).unwrap();
            assert!(
                (outside(n) as f64 - exact).abs() <= 1.0,
                "{n}: {}",
                outside(n)
            );
        }
    }
}
