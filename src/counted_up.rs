//! The next name in a row: `bay-1`, `bay-2`.

/// A name with the number at its end one higher, as wide as before (`07` becomes `08`); a name without
/// one becomes the second: `{name}{separator}2`.
pub(crate) fn counted_up(name: &str, separator: &str) -> String {
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit());
    let (stem, count) = name.split_at(stem.len());
    let digits = count.len();
    match count.parse::<u64>() {
        Ok(n) => format!("{stem}{:0digits$}", n.saturating_add(1)),
        Err(_) => format!("{name}{separator}2"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_number_at_the_end_is_one_higher() {
        assert_eq!(counted_up("bay-1", "-"), "bay-2");
        assert_eq!(counted_up("2026-0099", "-"), "2026-0100");
        assert_eq!(counted_up("bay-9", "-"), "bay-10");
        assert_eq!(counted_up("Garage", " "), "Garage 2");
        assert_eq!(counted_up("", "-"), "-2");
        // More digits than a number can have: the name is kept.
        let long = "9".repeat(30);
        assert_eq!(counted_up(&long, "-"), format!("{long}-2"));
    }
}
