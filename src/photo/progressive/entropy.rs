//! The coded data of one pass of a JPEG: bits, and the Huffman codes in them (ITU-T T.81, annexes C
//! and F.2.2).

use crate::photo::error::PhotoError;

/// Length of the codes that one look into a table decodes.
const SHORT: u32 = 9;

fn damaged(why: &str) -> PhotoError {
    PhotoError::Decode(why.to_owned())
}

/// A table of codes, as a DHT segment defines it (B.2.4.2, C.2).
#[derive(Debug, Clone)]
pub(super) struct Codes {
    /// What a short code means and its length, by the bits that begin with it; length 0 if the code is
    /// longer.
    short: Vec<(u8, u8)>,
    /// For each length from 1, how many bits of 16 its codes stay below, and where their values begin.
    lengths: [(u32, i32); 16],
    values: Vec<u8>,
}

impl Codes {
    /// From the number of codes of each length and their values.
    pub fn new(counts: &[u8; 16], values: &[u8]) -> Result<Self, PhotoError> {
        let mut short = vec![(0, 0); 1 << SHORT];
        let mut lengths = [(0, 0); 16];
        let (mut code, mut first) = (0_u32, 0_usize);
        for (length, count) in (1_u32..).zip(counts) {
            let count = usize::from(*count);
            for value in values.get(first..first + count).unwrap_or_default() {
                if code >= 1 << length {
                    return Err(damaged("a table has more codes than there are"));
                }
                if length <= SHORT {
                    let from = (code << (SHORT - length)) as usize;
                    let alike = 1 << (SHORT - length);
                    short[from..from + alike].fill((*value, length as u8));
                }
                code += 1;
            }
            let offset = first as i32 + count as i32 - code as i32;
            lengths[length as usize - 1] = (code << (16 - length), offset);
            first += count;
            code <<= 1;
        }
        Ok(Self {
            short,
            lengths,
            values: values.to_vec(),
        })
    }
}

/// Bits of one pass, in which a byte FF is followed by a byte 0 and restart markers stand between
/// intervals.
pub(super) struct Bits<'a> {
    data: &'a [u8],
    at: usize,
    /// The next bits, from the highest down; zeros behind them.
    held: u64,
    count: u32,
}

impl<'a> Bits<'a> {
    pub fn new(data: &'a [u8]) -> Self {
        Self {
            data,
            at: 0,
            held: 0,
            count: 0,
        }
    }

    /// Takes in bytes up to the next marker.
    fn fill(&mut self) {
        while self.count <= 56 {
            let byte = match self.data.get(self.at..) {
                Some([0xFF, 0, ..]) => {
                    self.at += 2;
                    0xFF
                }
                Some([0xFF, ..] | []) | None => return,
                Some([byte, ..]) => {
                    self.at += 1;
                    *byte
                }
            };
            self.held |= u64::from(byte) << (56 - self.count);
            self.count += 8;
        }
    }

    fn skip(&mut self, bits: u32) -> Result<(), PhotoError> {
        if bits > self.count {
            return Err(damaged("the data of a pass end too early"));
        }
        self.held <<= bits;
        self.count -= bits;
        Ok(())
    }

    /// The next bits as a number, at most 16 of them.
    pub fn take(&mut self, bits: u32) -> Result<i32, PhotoError> {
        if bits == 0 {
            return Ok(0);
        }
        if self.count < bits {
            self.fill();
        }
        let value = (self.held >> (64 - bits)) as i32;
        self.skip(bits)?;
        Ok(value)
    }

    /// The next bit.
    pub fn one(&mut self) -> Result<bool, PhotoError> {
        Ok(self.take(1)? == 1)
    }

    /// A number of so many bits, of which a first bit 0 says that it is negative (F.2.2.1, EXTEND).
    pub fn signed(&mut self, bits: u32) -> Result<i32, PhotoError> {
        let value = self.take(bits)?;
        let negative = bits > 0 && value < 1 << (bits - 1);
        Ok(if negative {
            value - (1 << bits) + 1
        } else {
            value
        })
    }

    /// The value of the next code.
    pub fn value(&mut self, codes: &Codes) -> Result<u8, PhotoError> {
        if self.count < 16 {
            self.fill();
        }
        let (value, length) = codes.short[(self.held >> (64 - SHORT)) as usize];
        if length > 0 {
            self.skip(length.into())?;
            return Ok(value);
        }
        let next = (self.held >> 48) as u32;
        for (length, (end, offset)) in (1_u32..).zip(&codes.lengths) {
            if length > SHORT && next < *end {
                self.skip(length)?;
                let place = (next >> (16 - length)) as i32 + offset;
                let value = usize::try_from(place)
                    .ok()
                    .and_then(|p| codes.values.get(p));
                return value.copied().ok_or_else(|| damaged("a code has no value"));
            }
        }
        Err(damaged(
            "the data of a pass contain a code that is in no table",
        ))
    }

    /// Goes on behind the restart marker of this number (0 to 7), which must come next (F.2.2.5).
    pub fn restart(&mut self, number: u8) -> Result<(), PhotoError> {
        (self.held, self.count) = (0, 0);
        while let Some([0xFF, 0xFF, ..]) = self.data.get(self.at..) {
            self.at += 1;
        }
        match self.data.get(self.at..) {
            Some([0xFF, marker, ..]) if *marker == 0xD0 + number => {
                self.at += 2;
                Ok(())
            }
            _ => Err(damaged("a restart marker is missing")),
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// ITU-T T.81, table K.3, the codes for differences of brightness: counts and values.
    const K3: ([u8; 16], [u8; 12]) = (
        [0, 1, 5, 1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0],
        [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11],
    );

    #[test]
    fn codes_are_those_of_the_standard() {
        let codes = Codes::new(&K3.0, &K3.1).unwrap();
        // T.81, table K.3: 00 is category 0, 010 is 1, 1110 is 6, 111111110 is 11.
        let mut bits = Bits::new(&[0b0001_0111, 0b0111_1111, 0b1000_0000]);
        let read: Vec<u8> = (0..4).map(|_| bits.value(&codes).unwrap()).collect();
        assert_eq!(read, [0, 1, 6, 11]);
    }

    #[test]
    fn long_codes_are_read_too() {
        // One code of each length: a row of ones and a zero.
        let codes = Codes::new(&[1; 16], &std::array::from_fn::<u8, 16, _>(|n| n as u8)).unwrap();
        let mut bits = Bits::new(&[0b1111_1111, 0, 0b1111_1110, 0b0111_1111, 0b1100_0000]);
        let read: Vec<u8> = (0..3).map(|_| bits.value(&codes).unwrap()).collect();
        assert_eq!(read, [15, 0, 9]);
    }

    #[test]
    fn what_is_no_code_and_no_table_is_an_error() {
        let mut counts = [0; 16];
        counts[0] = 3;
        Codes::new(&counts, &[1, 2, 3]).unwrap_err();
        let codes = Codes::new(&K3.0, &K3.1).unwrap();
        Bits::new(&[0xFF, 0, 0xFF, 0]).value(&codes).unwrap_err();
        // Nothing is read behind the end.
        let mut bits = Bits::new(&[0b0000_0001, 0xFF, 0xD9]);
        assert_eq!(bits.take(7).unwrap(), 0);
        assert!(bits.one().unwrap());
        bits.one().unwrap_err();
    }

    #[test]
    fn numbers_have_the_sign_of_their_first_bit() {
        // T.81, table F.1: category 3 is -7 to -4 and 4 to 7.
        let mut bits = Bits::new(&[0b0000_1110, 0b0111_0000]);
        let read: Vec<i32> = (0..4).map(|_| bits.signed(3).unwrap()).collect();
        assert_eq!(read, [-7, -4, 4, 7]);
        assert_eq!(bits.signed(0).unwrap(), 0);
    }

    #[test]
    fn a_restart_begins_at_a_byte() {
        let mut bits = Bits::new(&[0x80, 0xFF, 0xFF, 0xD3, 0x40]);
        assert!(bits.one().unwrap());
        bits.restart(3).unwrap();
        assert_eq!(bits.take(2).unwrap(), 1);
        bits.restart(4).unwrap_err();
    }
}
