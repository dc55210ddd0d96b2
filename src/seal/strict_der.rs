//! Whether bytes are one DER value (ITU-T X.690, 10 and 11.6) within limits of depth and size.
//!
//! The DER crate sorts sets while reading them, in a time that grows with the square of their size.
//! These checks run first, so that it only gets small, sorted values of definite length.

/// A time-stamp whose attributes name the issuer of its certificate is 17 deep, and 25 inside a signature.
const MAX_DEPTH: usize = 48;
const MAX_CHILDREN: usize = 256;

/// The length of the one DER value at the beginning of `bytes`, or what is wrong with it.
pub(crate) fn value_length(bytes: &[u8]) -> Result<usize, &'static str> {
    walk(bytes, 0, MAX_CHILDREN)
}

/// The same for a list of revoked certificates, whose sequences may have any number of parts; sets may
/// not.
pub(crate) fn list_length(bytes: &[u8]) -> Result<usize, &'static str> {
    walk(bytes, 0, usize::MAX)
}

fn walk(bytes: &[u8], depth: usize, most: usize) -> Result<usize, &'static str> {
    if depth > MAX_DEPTH {
        return Err("it is nested too deeply");
    }
    let (tag, head, length) = header(bytes)?;
    let end = head.checked_add(length).ok_or("a length out of range")?;
    let content = bytes.get(head..end).ok_or("a value is cut off")?;
    let constructed = tag & 0x20 != 0;
    let universal = tag & 0xC0 == 0;
    if universal && constructed != matches!(tag & 0x1F, 0x10 | 0x11) {
        return Err("a value is split where DER keeps it whole");
    }
    if constructed {
        let mut rest = content;
        let mut children = 0;
        let mut before: Option<&[u8]> = None;
        while !rest.is_empty() {
            children += 1;
            if children > most || (tag == 0x31 && children > MAX_CHILDREN) {
                return Err("it has too many parts");
            }
            let taken = walk(rest, depth + 1, most)?;
            let child = &rest[..taken];
            if tag == 0x31 && before.is_some_and(|b| b > child) {
                return Err("a set is not in order");
            }
            before = Some(child);
            rest = &rest[taken..];
        }
    }
    Ok(end)
}

fn header(bytes: &[u8]) -> Result<(u8, usize, usize), &'static str> {
    let (&tag, rest) = bytes.split_first().ok_or("a value is missing")?;
    if tag & 0x1F == 0x1F {
        return Err("a tag in the long form");
    }
    let (&first, rest) = rest.split_first().ok_or("a length is missing")?;
    if first < 0x80 {
        return Ok((tag, 2, usize::from(first)));
    }
    let count = usize::from(first & 0x7F);
    if count == 0 || count > 4 {
        return Err("an indefinite or overlong length");
    }
    let digits = rest.get(..count).ok_or("a length is cut off")?;
    let length = digits.iter().fold(0_usize, |n, &b| n << 8 | usize::from(b));
    if length < 0x80 || digits[0] == 0 {
        return Err("a length in a longer form than needed");
    }
    Ok((tag, 2 + count, length))
}

#[cfg(test)]
mod tests {
    use super::{MAX_DEPTH, value_length};

    #[test]
    fn takes_one_value_and_tells_its_length() {
        assert_eq!(value_length(&[0x30, 3, 2, 1, 5, 0, 0]), Ok(5));
    }

    #[test]
    fn refuses_what_der_forbids() {
        assert!(value_length(&[0x30, 0x80, 0, 0]).is_err(), "indefinite");
        assert!(
            value_length(&[0x30, 0x81, 3, 2, 1, 5]).is_err(),
            "overlong length"
        );
        assert!(
            value_length(&[0x31, 6, 2, 1, 5, 2, 1, 4]).is_err(),
            "unsorted set"
        );
        assert!(
            value_length(&[0x24, 3, 4, 1, 5]).is_err(),
            "constructed string"
        );
        assert!(value_length(&[0x30, 4, 2, 1, 5]).is_err(), "cut off");
    }

    #[test]
    fn is_bounded_in_depth() {
        let nested = |depth: usize| {
            (0..depth).fold(vec![5_u8, 0], |inner, _| {
                let mut outer = vec![0x30, inner.len() as u8];
                outer.extend(inner);
                outer
            })
        };
        assert!(value_length(&nested(MAX_DEPTH)).is_ok());
        assert!(value_length(&nested(MAX_DEPTH + 1)).is_err());
    }
}
