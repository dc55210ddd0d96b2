//! Scales: from values to points, and where round values fall.

/// A linear scale between values and points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    from: (f64, f64),
    to: (f32, f32),
}

impl Scale {
    /// Values `from` shown at points `to`. A range without extent is widened to 1.
    pub(super) fn new(from: (f64, f64), to: (f32, f32)) -> Scale {
        let from = if (from.1 - from.0).abs() < f64::EPSILON {
            (from.0 - 0.5, from.1 + 0.5)
        } else {
            from
        };
        Scale { from, to }
    }

    /// Where a value is drawn.
    pub(super) fn at(&self, value: f64) -> f32 {
        let share = (value - self.from.0) / (self.from.1 - self.from.0);
        self.to.0 + (share as f32) * (self.to.1 - self.to.0)
    }
}

/// A range widened to round steps, with the steps: 1, 2 or 5 times a power of ten, at most
/// `most` of them.
pub(super) fn rounded(low: f64, high: f64, most: usize) -> ((f64, f64), Vec<f64>, usize) {
    let span = if high > low { high - low } else { 1.0 };
    let rough = span / most.max(1) as f64;
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .map(|m| m * power)
        .into_iter()
        .find(|s| *s >= rough * 0.999)
        .unwrap_or(10.0 * power);
    let first = (low / step).floor();
    let last = (high / step).ceil().max(first + 1.0);
    let count = (last - first) as usize;
    let ticks = (0..=count).map(|i| (first + i as f64) * step).collect();
    let decimals = usize::try_from((-step.log10().floor() as i64).max(0)).unwrap_or(0);
    ((first * step, last * step), ticks, decimals)
}

/// The number of a tick, with the minus sign U+2212, without a negative zero, and with the
/// document's decimal mark.
pub(super) fn number(value: f64, decimals: usize, decimal_mark: char) -> String {
    let text = crate::quantity::number(value, decimals);
    text.replace('.', decimal_mark.encode_utf8(&mut [0; 4]))
}

/// Moves labels (each a middle and a height) apart until none overlaps the next: labels that touch
/// share the shift, and all stay inside the bounds as long as they fit. The result is in the order
/// of the input, which may be any.
pub(super) fn spread(wanted: &[(f32, f32)], bounds: (f32, f32)) -> Vec<f32> {
    /// Labels that touch: where their stack begins, its height, which they are.
    struct Stack {
        top: f32,
        height: f32,
        /// Sum of the desired tops of the stack, one for each label in it.
        sum: f32,
        labels: Vec<usize>,
    }
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&a, &b| wanted[a].0.total_cmp(&wanted[b].0));
    let mut stacks: Vec<Stack> = Vec::new();
    for i in order {
        let (middle, height) = wanted[i];
        let top = middle - height / 2.0;
        let mut stack = Stack {
            top,
            height,
            sum: top,
            labels: vec![i],
        };
        stack.top = stack.top.min(bounds.1 - height).max(bounds.0);
        // A stack that overlaps the one above is joined with it; the joint stack is placed at the
        // average of the desired positions.
        while let Some(above) = stacks.pop_if(|above| above.top + above.height > stack.top) {
            let count = stack.labels.len() as f32;
            stack.sum += above.sum - above.height * count;
            stack.height += above.height;
            stack.labels.splice(0..0, above.labels);
            let top = stack.sum / stack.labels.len() as f32;
            stack.top = top.min(bounds.1 - stack.height).max(bounds.0);
        }
        stacks.push(stack);
    }
    let mut placed = vec![0.0_f32; wanted.len()];
    for stack in stacks {
        let mut y = stack.top;
        for i in stack.labels {
            placed[i] = y + wanted[i].1 / 2.0;
            y += wanted[i].1;
        }
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_cover_the_range() {
        let (range, ticks, decimals) = rounded(58.0, 97.0, 6);
        assert_eq!((range, decimals), ((50.0, 100.0), 0));
        assert_eq!(ticks, [50.0, 60.0, 70.0, 80.0, 90.0, 100.0]);
        let (range, ticks, decimals) = rounded(0.02, 0.11, 5);
        assert_eq!((range.0, decimals, ticks.len()), (0.02, 2, 6));
        let (range, _, _) = rounded(20.0, 20.0, 5);
        assert!(range.1 > range.0);
    }

    #[test]
    fn numbers_have_a_minus_sign_proper() {
        assert_eq!(number(-4.5, 1, '.'), "−4.5");
        assert_eq!(number(-4.5, 1, ','), "−4,5");
        assert_eq!(number(-0.01, 1, '.'), "0.0");
        assert_eq!(number(12.0, 0, ','), "12");
    }

    #[test]
    fn labels_never_overlap() {
        let wanted = [
            (50.0, 10.0),
            (51.0, 10.0),
            (49.0, 20.0),
            (98.0, 10.0),
            (99.0, 10.0),
        ];
        let placed = spread(&wanted, (0.0, 100.0));
        let mut boxes: Vec<(f32, f32)> = placed
            .iter()
            .zip(wanted)
            .map(|(m, (_, h))| (m - h / 2.0, m + h / 2.0))
            .collect();
        boxes.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in boxes.windows(2) {
            assert!(pair[0].1 <= pair[1].0 + 0.001, "{boxes:?}");
        }
        assert!(boxes[0].0 >= 0.0 && boxes[4].1 <= 100.0);
        // Two that touch move by the same.
        assert_eq!(
            spread(&[(50.0, 10.0), (52.0, 10.0)], (0.0, 100.0)),
            [46.0, 56.0]
        );
        // Those that have room stay.
        assert_eq!(
            spread(&[(80.0, 10.0), (20.0, 10.0)], (0.0, 100.0)),
            [80.0, 20.0]
        );
    }
}
