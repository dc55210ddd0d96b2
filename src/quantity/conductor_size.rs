//! Conductor sizes: American Wire Gauge, kcmil, and square millimetres.

use super::error::QuantityError;
use super::print::NBSP;
use super::unit::{Kind, Unit};
use crate::quoted::shorten;

/// A conductor's size in one of the trade's three systems.
///
/// The systems are not interchangeable (6 AWG is 13.3 mm², not 16 mm²), so the system is kept, also
/// in print.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConductorSize {
    /// American Wire Gauge: 14 to 1 as themselves, 1/0 to 4/0 as 0, −1, −2, −3 (ASTM B258).
    Awg(i8),
    /// Thousand circular mils.
    Kcmil(u16),
    /// Nominal cross-section in square millimetres.
    Mm2(f64),
}

impl ConductorSize {
    /// Gauges made for power circuits from 14 AWG up (NFPA 70, 2023, Table 310.16).
    pub const AWG: [i8; 13] = [14, 12, 10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3];

    /// Sizes in kcmil (NFPA 70, 2023, Table 310.16; the sizes over 500 from memory).
    pub const KCMIL: [u16; 16] = [
        250, 300, 350, 400, 500, 600, 700, 750, 800, 900, 1000, 1250, 1500, 1750, 2000, 2500,
    ];

    /// Nominal cross-sections (IEC 60228, Table 2, from memory).
    pub const MM2: [f64; 18] = [
        1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0, 150.0, 185.0, 240.0,
        300.0, 400.0, 500.0,
    ];

    /// Cross-section in square millimetres: of the gauge from ASTM B258,
    /// d = 0.127 mm · 92^((36 − n)/39); of kcmil from the mil, 0.0254 mm; nominal for mm².
    pub fn square_millimetres(self) -> f64 {
        match self {
            ConductorSize::Awg(n) => {
                let d = 0.127 * 92f64.powf((36.0 - f64::from(n)) / 39.0);
                std::f64::consts::FRAC_PI_4 * d * d
            }
            ConductorSize::Kcmil(k) => {
                f64::from(k) * 1000.0 * std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254
            }
            ConductorSize::Mm2(a) => a,
        }
    }

    /// Parses a size; `bare` is the system for a number without one.
    ///
    /// # Errors
    /// What is wrong with the text.
    pub fn parse(text: &str, bare: Option<Unit>) -> Result<Self, QuantityError> {
        const KIND: Kind = Kind::ConductorSize;
        let text = text.trim();
        if text.is_empty() {
            return Err(QuantityError::Empty { kind: KIND });
        }
        // `#6 AWG`, `No. 6 AWG`, `AWG 6`: the part before the number.
        let start = text
            .find(|c: char| c.is_ascii_digit())
            .unwrap_or(text.len());
        let (before, body) = text.split_at(start);
        let before = before.trim().trim_end_matches('.').to_ascii_lowercase();
        let gauge_before = match before.as_str() {
            "" | "-" | "−" => false,
            "#" | "no" | "awg" | "awg #" | "awg no" => true,
            _ => {
                return Err(QuantityError::NotANumber {
                    kind: KIND,
                    text: shorten(text),
                });
            }
        };
        let end = body
            .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '/'))
            .unwrap_or(body.len());
        let (number, unit_text) = body.split_at(end);
        if number.is_empty() || before == "-" || before == "−" {
            return Err(QuantityError::NotANumber {
                kind: KIND,
                text: shorten(text),
            });
        }
        let unit_text = unit_text.trim();
        if unit_text.starts_with(',') {
            return Err(super::parse::comma(text));
        }
        let aught = number.ends_with("/0");
        let unit = if unit_text.is_empty() {
            let implied = (gauge_before || aught).then_some(Unit::Awg);
            implied
                .or(bare.filter(|u| u.measures(KIND)))
                .ok_or_else(|| QuantityError::NoUnit {
                    kind: KIND,
                    text: shorten(number),
                })?
        } else {
            match (Unit::of_kind(KIND, unit_text), Unit::of_any_kind(unit_text)) {
                (Some(unit), _) => unit,
                (None, Some(other)) => {
                    let found = other.kind();
                    return Err(QuantityError::WrongUnit {
                        kind: KIND,
                        found,
                        text: shorten(text),
                    });
                }
                (None, None) => {
                    return Err(super::parse::unknown(KIND, number, &body[end..]));
                }
            }
        };
        if (gauge_before || aught) && unit != Unit::Awg {
            return Err(QuantityError::NotANumber {
                kind: KIND,
                text: shorten(text),
            });
        }
        Self::made(number, unit, text)
    }

    /// The size `number` of a system, if it exists.
    fn made(number: &str, unit: Unit, text: &str) -> Result<Self, QuantityError> {
        let not_a_number = || QuantityError::NotANumber {
            kind: Kind::ConductorSize,
            text: shorten(text),
        };
        let refuse = |near: Vec<Self>| QuantityError::NoSuchSize {
            text: shorten(text),
            near: near.iter().map(ToString::to_string).collect(),
        };
        match unit {
            Unit::Awg => {
                let gauge: i32 = match number.strip_suffix("/0") {
                    Some(aughts) => match aughts.parse::<i32>() {
                        Ok(n) if n > 0 => 1 - n,
                        _ => return Err(not_a_number()),
                    },
                    // 0, 00, 000, 0000 are 1/0 to 4/0.
                    None if number.bytes().all(|b| b == b'0') => {
                        1 - i32::try_from(number.len()).unwrap_or(i32::MAX)
                    }
                    None => number.parse().map_err(|_| not_a_number())?,
                };
                match Self::AWG.iter().find(|g| i32::from(**g) == gauge) {
                    Some(g) => Ok(ConductorSize::Awg(*g)),
                    None => Err(refuse(
                        around(&Self::AWG, |g| i32::from(g) <= gauge)
                            .into_iter()
                            .map(ConductorSize::Awg)
                            .collect(),
                    )),
                }
            }
            Unit::Kcmil => {
                let size: f64 = number.parse().map_err(|_| not_a_number())?;
                match Self::KCMIL.iter().find(|k| f64::from(**k) == size) {
                    Some(k) => Ok(ConductorSize::Kcmil(*k)),
                    None => Err(refuse(
                        around(&Self::KCMIL, |k| f64::from(k) >= size)
                            .into_iter()
                            .map(ConductorSize::Kcmil)
                            .collect(),
                    )),
                }
            }
            _ => {
                let size: f64 = number.parse().map_err(|_| not_a_number())?;
                match Self::MM2.iter().find(|m| **m == size) {
                    Some(m) => Ok(ConductorSize::Mm2(*m)),
                    None => Err(refuse(
                        around(&Self::MM2, |m| m >= size)
                            .into_iter()
                            .map(ConductorSize::Mm2)
                            .collect(),
                    )),
                }
            }
        }
    }

    /// For people: the size with a no-break space before its unit.
    pub fn print(self) -> String {
        self.to_string().replace(' ', &NBSP.to_string())
    }
}

/// The last entry of `table` before, and the first one for which `reached` is true.
fn around<T: Copy>(table: &[T], reached: impl Fn(T) -> bool) -> Vec<T> {
    let i = table
        .iter()
        .position(|t| reached(*t))
        .unwrap_or(table.len());
    table[i.saturating_sub(1)..(i + 1).min(table.len())].to_vec()
}

impl std::str::FromStr for ConductorSize {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text, None)
    }
}

impl std::fmt::Display for ConductorSize {
    /// `6 AWG`, `1/0 AWG`, `250 kcmil`, `16 mm²`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match *self {
            ConductorSize::Awg(n) if n <= 0 => f.pad(&format!("{}/0 AWG", 1 - i32::from(n))),
            ConductorSize::Awg(n) => f.pad(&format!("{n} AWG")),
            ConductorSize::Kcmil(k) => f.pad(&format!("{k} kcmil")),
            ConductorSize::Mm2(a) => f.pad(&format!("{a} mm²")),
        }
    }
}
