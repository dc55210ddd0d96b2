//! The coefficients of one channel, as the passes bring them (ITU-T T.81, G.1.2).

use super::entropy::{Bits, Codes};
use super::samples::{self, Transform};
use crate::photo::error::PhotoError;

/// Place of each coefficient in its block, column and row, in the order of the file (T.81, figure 5).
const ORDER: [(u8, u8); 64] = in_order();

const fn in_order() -> [(u8, u8); 64] {
    let mut order = [(0, 0); 64];
    let (mut x, mut y) = (0_u8, 0_u8);
    let mut n = 0;
    while n < 64 {
        order[n] = (x, y);
        // Along the diagonals, up on those of even and down on those of odd number.
        if (x + y).is_multiple_of(2) {
            if x == 7 {
                y += 1;
            } else if y == 0 {
                x += 1;
            } else {
                (x, y) = (x + 1, y - 1);
            }
        } else if y == 7 {
            x += 1;
        } else if x == 0 {
            y += 1;
        } else {
            (x, y) = (x - 1, y + 1);
        }
        n += 1;
    }
    order
}

/// What a pass over the picture brings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pass {
    /// First and last of the coefficients, in the order of the file.
    pub first: u8,
    pub last: u8,
    /// One more bit of what earlier passes brought.
    pub again: bool,
    /// Number of the lowest bit that it brings.
    pub shift: u32,
}

/// Blocks of a channel in one direction.
#[derive(Debug, Clone, Copy)]
pub(super) struct Span {
    /// Those that show something.
    pub own: usize,
    /// Those of whole units of all channels.
    pub padded: usize,
    /// Blocks in a unit.
    pub factor: usize,
}

/// One channel of the picture.
#[derive(Debug)]
pub(super) struct Channel {
    pub id: u8,
    /// Number of its quantisation table.
    pub table: u8,
    spans: (Span, Span),
    transforms: (Transform, Transform),
    /// Where a coefficient, in the order of the file, is among those that are kept of a block.
    kept: [Option<u8>; 64],
    coefficients: Vec<i16>,
    /// Of each block, which coefficients are not zero, a bit each in the order of the file.
    not_zero: Vec<u64>,
}

fn damaged(why: &str) -> PhotoError {
    PhotoError::Decode(why.to_owned())
}

fn missing() -> PhotoError {
    damaged("a table is missing")
}

impl Channel {
    /// Without anything in it yet: its id and table, its blocks across and down, and the transforms
    /// that make samples of them.
    pub fn new(
        (id, table): (u8, u8),
        spans: (Span, Span),
        transforms: (Transform, Transform),
    ) -> Self {
        let blocks = spans.0.padded * spans.1.padded;
        let (across, down) = (transforms.0.points(), transforms.1.points());
        let kept = ORDER.map(|(x, y)| {
            let inside = usize::from(x) < across && usize::from(y) < down;
            inside.then_some(y * across as u8 + x)
        });
        Self {
            id,
            table,
            spans,
            coefficients: vec![0; blocks * across * down],
            not_zero: vec![0; blocks],
            transforms,
            kept,
        }
    }

    /// Blocks across and down.
    pub const fn spans(&self) -> (Span, Span) {
        self.spans
    }

    /// Number of the block in this column and row.
    pub const fn block(&self, (x, y): (usize, usize)) -> usize {
        y * self.spans.0.padded + x
    }

    fn kept_of_a_block(&self) -> usize {
        self.transforms.0.points() * self.transforms.1.points()
    }

    fn coefficient(&mut self, block: usize, number: usize) -> Option<&mut i16> {
        let place = usize::from(self.kept[number]?);
        let at = block * self.kept_of_a_block() + place;
        self.coefficients.get_mut(at)
    }

    fn set(&mut self, block: usize, number: usize, value: i32) {
        self.not_zero[block] |= 1 << number;
        if let Some(coefficient) = self.coefficient(block, number) {
            *coefficient = value as i16;
        }
    }

    /// Takes the mean of a block, or one more bit of it (G.1.2.1).
    pub fn mean(
        &mut self,
        block: usize,
        pass: Pass,
        codes: Option<&Codes>,
        before: &mut i32,
        bits: &mut Bits<'_>,
    ) -> Result<(), PhotoError> {
        if pass.again {
            if bits.one()?
                && let Some(mean) = self.coefficient(block, 0)
            {
                *mean |= 1 << pass.shift;
            }
            return Ok(());
        }
        let size = bits.value(codes.ok_or_else(missing)?)?;
        if size > 15 {
            return Err(damaged("a difference has more bits than any has"));
        }
        *before = i32::from((*before + bits.signed(size.into())?) as i16);
        if let Some(mean) = self.coefficient(block, 0) {
            *mean = (*before << pass.shift) as i16;
        }
        Ok(())
    }

    /// Takes coefficients of a block for the first time (G.1.2.2). `run` is the number of blocks to
    /// come of which the pass brings nothing.
    pub fn first(
        &mut self,
        block: usize,
        pass: Pass,
        codes: Option<&Codes>,
        run: &mut u32,
        bits: &mut Bits<'_>,
    ) -> Result<(), PhotoError> {
        if *run > 0 {
            *run -= 1;
            return Ok(());
        }
        let codes = codes.ok_or_else(missing)?;
        let mut number = usize::from(pass.first);
        while number <= usize::from(pass.last) {
            let value = bits.value(codes)?;
            let (zeros, size) = (value >> 4, value & 15);
            match (zeros, size) {
                (15, 0) => number += 16,
                (_, 0) => {
                    *run = end_of_bands(zeros, bits)? - 1;
                    return Ok(());
                }
                _ => {
                    number += usize::from(zeros);
                    if number > usize::from(pass.last) {
                        return Err(damaged("a block has too many coefficients"));
                    }
                    let value = bits.signed(size.into())?;
                    self.set(block, number, value << pass.shift);
                    number += 1;
                }
            }
        }
        Ok(())
    }

    /// Takes one more bit of coefficients of a block, and those that begin with this bit (G.1.2.3).
    pub fn refine(
        &mut self,
        block: usize,
        pass: Pass,
        codes: Option<&Codes>,
        run: &mut u32,
        bits: &mut Bits<'_>,
    ) -> Result<(), PhotoError> {
        let codes = codes.ok_or_else(missing)?;
        let mut number = usize::from(pass.first);
        let last = usize::from(pass.last);
        while *run == 0 && number <= last {
            let value = bits.value(codes)?;
            let (mut zeros, size) = (value >> 4, value & 15);
            let new = match (zeros, size) {
                (15, 0) => None,
                (_, 0) => {
                    *run = end_of_bands(zeros, bits)?;
                    break;
                }
                (_, 1) => Some(if bits.one()? { 1 } else { -1 }),
                _ => return Err(damaged("a coefficient begins with more than one bit")),
            };
            while number <= last {
                if self.not_zero[block] >> number & 1 == 1 {
                    self.bit(block, number, pass.shift, bits)?;
                } else if zeros == 0 {
                    break;
                } else {
                    zeros -= 1;
                }
                number += 1;
            }
            if let Some(new) = new {
                if number > last {
                    return Err(damaged("a block has too many coefficients"));
                }
                self.set(block, number, new << pass.shift);
            }
            number += 1;
        }
        if *run > 0 {
            let rest = self.not_zero[block] & (u64::MAX.checked_shl(number as u32).unwrap_or(0));
            let mut rest = rest & (u64::MAX >> (63 - last));
            while rest != 0 {
                self.bit(block, rest.trailing_zeros() as usize, pass.shift, bits)?;
                rest &= rest - 1;
            }
            *run -= 1;
        }
        Ok(())
    }

    /// Takes one more bit of a coefficient that is not zero.
    fn bit(
        &mut self,
        block: usize,
        number: usize,
        shift: u32,
        bits: &mut Bits<'_>,
    ) -> Result<(), PhotoError> {
        if bits.one()?
            && let Some(coefficient) = self.coefficient(block, number)
            && *coefficient >> shift & 1 == 0
        {
            let bit = 1 << shift;
            *coefficient = coefficient.wrapping_add(if *coefficient < 0 { -bit } else { bit });
        }
        Ok(())
    }

    /// Writes the samples of one row of units into rows of `stride` samples.
    pub fn samples(&self, unit: usize, table: &[u16; 64], stride: usize, rows: &mut [u8]) {
        let (across, down) = &self.transforms;
        let (wide, tall) = (across.points(), down.points());
        let size = self.kept_of_a_block();
        let mut factors = [0_i32; 64];
        for (kept, value) in self.kept.iter().zip(table) {
            if let Some(place) = kept {
                factors[usize::from(*place)] = (*value).into();
            }
        }
        let (mut block, mut shown) = ([0_i32; 64], [0; 64]);
        for v in 0..self.spans.1.factor {
            for x in 0..self.spans.0.padded {
                let number = self.block((x, unit * self.spans.1.factor + v));
                let stored = self.coefficients.get(number * size..(number + 1) * size);
                for ((value, stored), factor) in block
                    .iter_mut()
                    .zip(stored.unwrap_or_default())
                    .zip(&factors)
                {
                    *value = i32::from(*stored) * factor;
                }
                samples::samples(across, down, &block[..size], &mut shown);
                for y in 0..tall {
                    let to = (v * tall + y) * stride + x * wide;
                    rows[to..to + wide].copy_from_slice(&shown[y * wide..(y + 1) * wide]);
                }
            }
        }
    }
}

/// For how many blocks, this one included, a pass brings nothing more (G.1.2.2, EOBn).
fn end_of_bands(size: u8, bits: &mut Bits<'_>) -> Result<u32, PhotoError> {
    let more = bits.take(size.into())?;
    Ok((1 << size) + more.unsigned_abs())
}

#[cfg(test)]
mod tests {
    use super::ORDER;

    #[test]
    fn the_order_is_that_of_the_standard() {
        // T.81, figure 5: the number of each place, first and last rows.
        let number = |place| ORDER.iter().position(|p| *p == place);
        let row = |y: u8| [0, 1, 2, 3, 4, 5, 6, 7].map(|x| number((x, y)).unwrap_or(64));
        assert_eq!(row(0), [0, 1, 5, 6, 14, 15, 27, 28]);
        assert_eq!(row(7), [35, 36, 48, 49, 57, 58, 62, 63]);
    }
}
