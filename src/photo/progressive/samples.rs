//! Samples of a block from its lowest frequencies: the inverse cosine transform of fewer points
//! (ITU-T T.81, A.3.3, with N samples a side in place of 8).

/// Most points of a transform.
pub(super) const MOST: usize = 8;
/// Bits behind the point of a factor.
const FRACTION: u32 = 12;
/// Bits behind the point that are kept between the two passes.
const KEPT: u32 = 3;
/// Largest coefficient that is reckoned with; those of a picture of 8 bits stay below 2^11 · 8.
const LARGEST: i32 = 1 << 15;

/// A transform of one to eight points, in one direction.
#[derive(Debug, Clone)]
pub(super) struct Transform {
    points: usize,
    /// Factor of each frequency in each sample.
    factors: [[i32; MOST]; MOST],
}

impl Transform {
    /// The transform of 1, 2, 4 or 8 points; a single coefficient gives the same samples in all of them.
    pub fn new(points: usize) -> Self {
        let mut factors = [[0; MOST]; MOST];
        for (sample, row) in factors.iter_mut().enumerate().take(points) {
            for (frequency, factor) in row.iter_mut().enumerate().take(points) {
                let angle = (2 * sample + 1) as f64 * frequency as f64 * std::f64::consts::PI
                    / (2 * points) as f64;
                let gain = match frequency {
                    0 => std::f64::consts::FRAC_1_SQRT_2,
                    _ => 1.0,
                };
                let exact = gain / 2.0 * libm::cos(angle) * f64::from(1 << FRACTION);
                *factor = libm::round(exact) as i32;
            }
        }
        Self { points, factors }
    }

    /// Number of samples, and of frequencies that they are made of.
    pub const fn points(&self) -> usize {
        self.points
    }
}

/// The samples of a block, row by row, from its dequantised coefficients, row by row.
pub(super) fn samples(across: &Transform, down: &Transform, coefficients: &[i32], out: &mut [u8]) {
    let (width, height) = (across.points, down.points);
    let mut between = [0_i64; MOST * MOST];
    for (row, coefficients) in coefficients.chunks_exact(width).enumerate() {
        for (x, factors) in across.factors.iter().enumerate().take(width) {
            let sum: i64 = coefficients
                .iter()
                .zip(factors)
                .map(|(c, f)| i64::from((*c).clamp(-LARGEST, LARGEST)) * i64::from(*f))
                .sum();
            between[row * width + x] = rounded(sum, FRACTION - KEPT);
        }
    }
    for (y, factors) in down.factors.iter().enumerate().take(height) {
        for x in 0..width {
            let sum: i64 = (0..height)
                .map(|row| between[row * width + x] * i64::from(factors[row]))
                .sum();
            // Samples are stored around zero (A.3.1).
            let sample = rounded(sum, FRACTION + KEPT) + 128;
            out[y * width + x] = sample.clamp(0, 255) as u8;
        }
    }
}

const fn rounded(value: i64, bits: u32) -> i64 {
    (value + (1 << (bits - 1))) >> bits
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_alone_is_the_same_at_every_size() {
        for across in [1, 2, 4, 8] {
            for down in [1, 2, 4, 8] {
                let (across, down) = (Transform::new(across), Transform::new(down));
                let size = across.points() * down.points();
                let mut coefficients = vec![0; size];
                coefficients[0] = 8 * 50;
                let mut out = vec![0; size];
                samples(&across, &down, &coefficients, &mut out);
                assert_eq!(out, vec![178; size]);
            }
        }
    }

    #[test]
    fn eight_points_are_the_transform_of_the_standard() {
        // T.81, A.3.3, written out.
        let coefficients: Vec<i32> = (0..64).map(|n| (n * 37 % 101) - 50).collect();
        let mut out = [0; 64];
        let eight = Transform::new(8);
        samples(&eight, &eight, &coefficients, &mut out);
        for y in 0..8 {
            for x in 0..8 {
                let mut sum = 0.0;
                for v in 0..8 {
                    for u in 0..8 {
                        let gain = |n| if n == 0 { 0.5_f64.sqrt() } else { 1.0 };
                        let wave = |at: usize, n: usize| {
                            ((2 * at + 1) as f64 * n as f64 * std::f64::consts::PI / 16.0).cos()
                        };
                        sum += gain(u)
                            * gain(v)
                            * f64::from(coefficients[v * 8 + u])
                            * wave(x, u)
                            * wave(y, v);
                    }
                }
                let exact = (sum / 4.0 + 128.0).clamp(0.0, 255.0);
                let found = f64::from(out[y * 8 + x]);
                assert!(
                    (found - exact).abs() <= 1.0,
                    "{x}, {y}: {found} for {exact}"
                );
            }
        }
    }

    #[test]
    fn nonsense_stays_within_the_samples() {
        let eight = Transform::new(8);
        let mut out = [0; 64];
        samples(&eight, &eight, &[i32::MAX; 64], &mut out);
        samples(&eight, &eight, &[i32::MIN; 64], &mut out);
        assert_eq!(out[0], 0);
    }
}
