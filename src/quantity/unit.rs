//! The units of the trade: one table with symbol, conversion and accepted spellings.
//!
//! Conversions are exact by definition: the international inch (0.0254 m) and pound
//! (0.45359237 kg) of 1959, standard gravity 9.80665 m/s² (3rd CGPM, 1901), and the Celsius
//! scale (SI brochure, 9th ed., 2.3.4).

/// The kind of a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A temperature on a scale.
    Temperature,
    /// A difference of two temperatures.
    TemperatureDifference,
    /// An electric current.
    Current,
    /// A voltage.
    Voltage,
    /// A power.
    Power,
    /// A torque.
    Torque,
    /// A length.
    Length,
    /// A proportion.
    Percentage,
    /// A ratio of like quantities; its numbers have no unit.
    Ratio,
    /// A duration.
    Duration,
    /// An electric resistance.
    Resistance,
    /// A conductor size; its unit identifies the system of sizes.
    ConductorSize,
}

impl Kind {
    /// Its name in a sentence, with an article: "a temperature".
    pub const fn words(self) -> &'static str {
        match self {
            Kind::Temperature => "a temperature",
            Kind::TemperatureDifference => "a temperature difference",
            Kind::Current => "a current",
            Kind::Voltage => "a voltage",
            Kind::Power => "a power",
            Kind::Torque => "a torque",
            Kind::Length => "a length",
            Kind::Percentage => "a percentage",
            Kind::Ratio => "a ratio",
            Kind::Duration => "a duration",
            Kind::Resistance => "a resistance",
            Kind::ConductorSize => "a conductor size",
        }
    }

    /// The key for it in a file's `units:` map; `None` for kinds whose unit must always be written.
    /// A difference has none: with `temperature: °F`, one reader would understand a bare `2` as 2
    /// °F, another as the manufacturer's ±2 °C.
    pub const fn key(self) -> Option<&'static str> {
        match self {
            Kind::Temperature => Some("temperature"),
            Kind::Current => Some("current"),
            Kind::Voltage => Some("voltage"),
            Kind::Torque => Some("torque"),
            Kind::Length => Some("length"),
            Kind::ConductorSize => Some("conductor"),
            Kind::TemperatureDifference
            | Kind::Power
            | Kind::Percentage
            | Kind::Ratio
            | Kind::Duration
            | Kind::Resistance => None,
        }
    }

    /// Sample values for messages.
    pub const fn examples(self) -> &'static str {
        match self {
            Kind::Temperature => "77 °F or 25 °C",
            Kind::TemperatureDifference => "2 °C or 3.6 °F",
            Kind::Current => "40 A",
            Kind::Voltage => "240 V",
            Kind::Power => "9.6 kW",
            Kind::Torque => "45 in·lb or 5 N·m",
            Kind::Length => "55 ft, 6 in or 16.8 m",
            Kind::Percentage => "2 %",
            Kind::Ratio => "0.95 or \"12:1\"",
            Kind::Duration => "15 min",
            Kind::Resistance => "83 Ω",
            Kind::ConductorSize => "6 AWG, 250 kcmil or 16 mm²",
        }
    }

    /// The units that messages suggest for it, most common first.
    pub const fn units(self) -> &'static [Unit] {
        match self {
            Kind::Temperature | Kind::TemperatureDifference => &[Unit::Fahrenheit, Unit::Celsius],
            Kind::Current => &[Unit::Ampere],
            Kind::Voltage => &[Unit::Volt],
            Kind::Power => &[Unit::Kilowatt, Unit::Watt],
            Kind::Torque => &[
                Unit::PoundForceInch,
                Unit::PoundForceFoot,
                Unit::NewtonMetre,
            ],
            Kind::Length => &[Unit::Foot, Unit::Inch, Unit::Metre],
            Kind::Percentage => &[Unit::Percent],
            Kind::Ratio => &[],
            Kind::Duration => &[Unit::Millisecond, Unit::Second, Unit::Minute],
            Kind::Resistance => &[Unit::Ohm],
            Kind::ConductorSize => &[Unit::Awg, Unit::Kcmil, Unit::SquareMillimetre],
        }
    }
}

/// A unit that can be read and printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// °C.
    Celsius,
    /// °F.
    Fahrenheit,
    /// K.
    Kelvin,
    /// A.
    Ampere,
    /// mA.
    Milliampere,
    /// V.
    Volt,
    /// mV.
    Millivolt,
    /// kV.
    Kilovolt,
    /// W.
    Watt,
    /// kW.
    Kilowatt,
    /// N·m.
    NewtonMetre,
    /// cN·m.
    CentinewtonMetre,
    /// in·lb.
    PoundForceInch,
    /// ft·lb.
    PoundForceFoot,
    /// m.
    Metre,
    /// cm.
    Centimetre,
    /// mm.
    Millimetre,
    /// µm.
    Micrometre,
    /// ft.
    Foot,
    /// in.
    Inch,
    /// %.
    Percent,
    /// No unit: a plain number.
    One,
    /// ms.
    Millisecond,
    /// s.
    Second,
    /// min.
    Minute,
    /// h.
    Hour,
    /// Ω.
    Ohm,
    /// American Wire Gauge.
    Awg,
    /// Thousand circular mils.
    Kcmil,
    /// mm².
    SquareMillimetre,
}

/// How numbers in a unit are converted to SI.
#[derive(Debug, Clone, Copy)]
pub(super) enum Scale {
    /// SI = value × 10ⁿ, computed on the decimal digits so that `6 mm` is the double nearest 0.006.
    Decimal(i32),
    /// SI = value × factor.
    Factor(f64),
    /// SI = value + 273.15 for a temperature, value for a difference.
    Celsius,
    /// SI = (value − 32)·5/9 + 273.15 for a temperature, value·5/9 for a difference.
    Fahrenheit,
    /// Not a number: a conductor size.
    Size,
}

struct Row {
    unit: Unit,
    kind: Kind,
    symbol: &'static str,
    scale: Scale,
    /// Spellings after folding (see [`fold`]).
    spellings: &'static [&'static str],
}

/// A row of [`TABLE`].
const fn row(
    unit: Unit,
    kind: Kind,
    symbol: &'static str,
    scale: Scale,
    spellings: &'static [&'static str],
) -> Row {
    Row {
        unit,
        kind,
        symbol,
        scale,
        spellings,
    }
}

/// Every unit, in the order of [`Unit`].
#[rustfmt::skip]
const TABLE: [Row; 30] = [
    row(Unit::Celsius, Kind::Temperature, "°C", Scale::Celsius,
        &["°c", "c", "degc", "degreec", "degreesc", "celsius", "degreescelsius", "℃", "centigrade"]),
    row(Unit::Fahrenheit, Kind::Temperature, "°F", Scale::Fahrenheit,
        &["°f", "f", "degf", "degreef", "degreesf", "fahrenheit", "degreesfahrenheit", "℉"]),
    row(Unit::Kelvin, Kind::Temperature, "K", Scale::Decimal(0), &["k", "kelvin"]),
    row(Unit::Ampere, Kind::Current, "A", Scale::Decimal(0),
        &["a", "amp", "amps", "ampere", "amperes"]),
    row(Unit::Milliampere, Kind::Current, "mA", Scale::Decimal(-3), &["ma", "milliamp", "milliamps"]),
    row(Unit::Volt, Kind::Voltage, "V", Scale::Decimal(0),
        &["v", "volt", "volts", "vac", "vdc"]),
    row(Unit::Millivolt, Kind::Voltage, "mV", Scale::Decimal(-3), &["mv", "millivolt", "millivolts"]),
    row(Unit::Kilovolt, Kind::Voltage, "kV", Scale::Decimal(3), &["kv", "kilovolt", "kilovolts"]),
    row(Unit::Watt, Kind::Power, "W", Scale::Decimal(0), &["w", "watt", "watts"]),
    row(Unit::Kilowatt, Kind::Power, "kW", Scale::Decimal(3), &["kw", "kilowatt", "kilowatts"]),
    row(Unit::NewtonMetre, Kind::Torque, "N·m", Scale::Decimal(0),
        &["nm", "newtonmetre", "newtonmetres", "newtonmeter", "newtonmeters"]),
    row(Unit::CentinewtonMetre, Kind::Torque, "cN·m", Scale::Decimal(-2), &["cnm"]),
    row(Unit::PoundForceInch, Kind::Torque, "in·lb", Scale::Factor(Unit::POUND_FORCE_INCH_NM),
        &["inlb", "inlbs", "inlbf", "inlbsf", "lbin", "lbsin", "lbfin", "lbfsin",
          "inchpound", "inchpounds", "poundinch", "poundinches", "inchlb", "inchlbs"]),
    row(Unit::PoundForceFoot, Kind::Torque, "ft·lb", Scale::Factor(Unit::POUND_FORCE_FOOT_NM),
        &["ftlb", "ftlbs", "ftlbf", "ftlbsf", "lbft", "lbsft", "lbfft", "lbfsft",
          "footpound", "footpounds", "poundfoot", "poundfeet", "footlb", "footlbs"]),
    row(Unit::Metre, Kind::Length, "m", Scale::Decimal(0),
        &["m", "metre", "metres", "meter", "meters"]),
    row(Unit::Centimetre, Kind::Length, "cm", Scale::Decimal(-2),
        &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    row(Unit::Millimetre, Kind::Length, "mm", Scale::Decimal(-3),
        &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    row(Unit::Micrometre, Kind::Length, "µm", Scale::Decimal(-6),
        &["µm", "μm", "um", "micron", "microns", "micrometre", "micrometres", "micrometer",
          "micrometers"]),
    row(Unit::Foot, Kind::Length, "ft", Scale::Factor(Unit::FOOT_M),
        &["ft", "foot", "feet", "'", "′", "’"]),
    row(Unit::Inch, Kind::Length, "in", Scale::Factor(Unit::INCH_M),
        &["in", "inch", "inches", "\"", "″", "”"]),
    row(Unit::Percent, Kind::Percentage, "%", Scale::Decimal(-2), &["%", "percent", "pct"]),
    row(Unit::One, Kind::Ratio, "", Scale::Decimal(0), &[":1"]),
    row(Unit::Millisecond, Kind::Duration, "ms", Scale::Decimal(-3),
        &["ms", "msec", "millisecond", "milliseconds"]),
    row(Unit::Second, Kind::Duration, "s", Scale::Decimal(0),
        &["s", "sec", "secs", "second", "seconds"]),
    row(Unit::Minute, Kind::Duration, "min", Scale::Factor(60.0),
        &["min", "mins", "minute", "minutes"]),
    row(Unit::Hour, Kind::Duration, "h", Scale::Factor(3600.0),
        &["h", "hr", "hrs", "hour", "hours"]),
    row(Unit::Ohm, Kind::Resistance, "Ω", Scale::Decimal(0), &["ω", "ohm", "ohms"]),
    row(Unit::Awg, Kind::ConductorSize, "AWG", Scale::Size, &["awg", "ga", "gauge"]),
    row(Unit::Kcmil, Kind::ConductorSize, "kcmil", Scale::Size, &["kcmil", "mcm", "kcm"]),
    row(Unit::SquareMillimetre, Kind::ConductorSize, "mm²", Scale::Size,
        &["mm2", "sqmm", "mmsq", "squaremm", "squaremillimetre", "squaremillimetres",
          "squaremillimeter", "squaremillimeters"]),
];

impl Unit {
    /// 1 in in metres, exact.
    pub const INCH_M: f64 = 0.0254;
    /// 1 ft in metres, exact.
    pub const FOOT_M: f64 = 0.3048;
    /// 1 lbf·in in newton metres: 0.45359237 kg × 9.80665 m/s² × 0.0254 m, exact to the double.
    pub const POUND_FORCE_INCH_NM: f64 = 0.112_984_829_027_616_7;
    /// 1 lbf·ft in newton metres: 12 lbf·in.
    pub const POUND_FORCE_FOOT_NM: f64 = 1.355_817_948_331_400_4;

    const fn row(self) -> &'static Row {
        &TABLE[self as usize]
    }

    /// The symbol printed after a number; empty for [`Unit::One`].
    pub const fn symbol(self) -> &'static str {
        self.row().symbol
    }

    /// Whether values of `kind` can be written in this unit.
    pub fn measures(self, kind: Kind) -> bool {
        let own = self.row().kind;
        own == kind || (own == Kind::Temperature && kind == Kind::TemperatureDifference)
    }

    /// The kind to which the unit belongs (`Temperature` for those that also measure differences).
    pub const fn kind(self) -> Kind {
        self.row().kind
    }

    /// All units of a kind.
    pub fn all_of(kind: Kind) -> impl Iterator<Item = Unit> {
        TABLE
            .iter()
            .map(|r| r.unit)
            .filter(move |u| u.measures(kind))
    }

    /// Its spellings in lower case without spaces, dots or hyphens.
    pub fn spellings(self) -> impl Iterator<Item = &'static str> {
        self.row().spellings.iter().copied()
    }

    pub(super) const fn scale(self) -> Scale {
        self.row().scale
    }

    /// The unit of `kind` with this spelling.
    pub fn of_kind(kind: Kind, spelling: &str) -> Option<Unit> {
        Unit::spelt(kind, spelling).filter(|unit| !unit.misread_in_capitals(spelling))
    }

    /// The unit of `kind` with this spelling, regardless of case.
    fn spelt(kind: Kind, spelling: &str) -> Option<Unit> {
        let folded = fold(spelling)?;
        let row = TABLE
            .iter()
            .find(|r| r.unit.measures(kind) && r.spellings.contains(&folded.as_str()))?;
        Some(row.unit)
    }

    /// Whether a spelling of this unit has a capital that would be another prefix: `MA` is
    /// megampere, but its writer may have meant mA or A.
    fn misread_in_capitals(self, spelling: &str) -> bool {
        let milli = matches!(
            self,
            Unit::Milliampere | Unit::Millivolt | Unit::Millisecond
        );
        milli && spelling.trim_start().starts_with('M')
    }

    /// Whether an unknown unit is a milli unit written with a capital `M`.
    pub(super) fn milli_in_capitals(kind: Kind, spelling: &str) -> bool {
        Unit::spelt(kind, spelling).is_some_and(|unit| unit.misread_in_capitals(spelling))
    }

    /// A unit of any kind with this spelling, to distinguish a wrong unit from an unknown one.
    pub fn of_any_kind(spelling: &str) -> Option<Unit> {
        let folded = fold(spelling)?;
        let row = TABLE
            .iter()
            .find(|r| r.spellings.contains(&folded.as_str()))?;
        Unit::of_kind(row.kind, spelling)
    }

    /// Whether an unknown unit is evidently a misspelt or truncated one of `kind`.
    pub(super) fn resembles(kind: Kind, spelling: &str) -> bool {
        let Some(folded) = fold(spelling) else {
            return false;
        };
        if folded.is_empty() || folded.contains(|c: char| c.is_ascii_digit()) {
            return false;
        }
        TABLE
            .iter()
            .filter(|row| row.unit.measures(kind))
            .flat_map(|row| row.spellings)
            .any(|known| {
                known.contains(folded.as_str())
                    || crate::nearest::is_near(&folded, known)
                        && folded.contains(|c: char| known.contains(c) || c.is_alphabetic())
            })
    }

    /// Converts a number in this unit to the SI unit of `kind`.
    pub(super) fn si(self, kind: Kind, value: f64) -> f64 {
        match self.scale() {
            Scale::Decimal(n) if n < 0 => value / 10f64.powi(-n),
            Scale::Decimal(n) => value * 10f64.powi(n),
            Scale::Factor(f) => value * f,
            Scale::Celsius if kind == Kind::Temperature => {
                super::scalar::Temperature::from_celsius(value).kelvin()
            }
            Scale::Fahrenheit if kind == Kind::Temperature => {
                super::scalar::Temperature::from_fahrenheit(value).kelvin()
            }
            Scale::Fahrenheit => {
                super::scalar::TemperatureDifference::from_fahrenheit_degrees(value).kelvin()
            }
            Scale::Celsius | Scale::Size => value,
        }
    }

    /// Converts a number in the SI unit of `kind` to this unit.
    pub(super) fn number(self, kind: Kind, si: f64) -> f64 {
        match self.scale() {
            Scale::Decimal(n) if n < 0 => si * 10f64.powi(-n),
            Scale::Decimal(n) => si / 10f64.powi(n),
            Scale::Factor(f) => si / f,
            Scale::Celsius if kind == Kind::Temperature => {
                super::scalar::Temperature::from_kelvin(si).celsius()
            }
            Scale::Fahrenheit if kind == Kind::Temperature => {
                super::scalar::Temperature::from_kelvin(si).fahrenheit()
            }
            Scale::Fahrenheit => {
                super::scalar::TemperatureDifference::from_kelvin(si).fahrenheit_degrees()
            }
            Scale::Celsius | Scale::Size => si,
        }
    }
}

/// Upper bound on the length of a unit; a longer text is not a unit.
const LONGEST_SPELLING: usize = 40;

/// A spelling in lower case without spaces, multiplication signs, hyphens and full stops, with
/// look-alikes of the degree sign and superscript digits normalised. `None` if it is too long.
fn fold(spelling: &str) -> Option<String> {
    if spelling.len() > LONGEST_SPELLING {
        return None;
    }
    let mut out = String::with_capacity(spelling.len());
    for c in spelling.chars() {
        match c {
            '·' | '⋅' | '∙' | '•' | '×' | '*' | '.' | '-' | '‐' | '‑' | '–' | '_' | '^' =>
                {}
            'º' | '˚' => out.push('°'),
            '²' => out.push('2'),
            c if c.is_whitespace() => {}
            c => out.extend(c.to_lowercase()),
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn table_stands_in_the_order_of_the_enum() {
        for (i, row) in TABLE.iter().enumerate() {
            assert_eq!(row.unit as usize, i, "{:?}", row.unit);
        }
    }

    #[test]
    fn no_spelling_names_two_units_of_one_kind_and_all_are_folded() {
        for (i, a) in TABLE.iter().enumerate() {
            for s in a.spellings {
                assert_eq!(fold(s).as_deref(), Some(*s));
                for b in &TABLE[i + 1..] {
                    assert!(a.kind != b.kind || !b.spellings.contains(s), "{s}");
                }
            }
        }
    }

    #[test]
    fn every_symbol_parses_to_its_unit() {
        for row in TABLE.iter().filter(|r| r.unit != Unit::One) {
            assert_eq!(Unit::of_kind(row.kind, row.symbol), Some(row.unit));
        }
    }

    #[test]
    fn inch_pound_follows_from_the_definitions() {
        // Exact decimal arithmetic: 8 + 5 + 4 decimals.
        let inch = 45_359_237u128 * 980_665 * 254;
        assert_eq!(
            format!("0.{inch:017}").parse(),
            Ok(Unit::POUND_FORCE_INCH_NM)
        );
        let foot = (inch * 12).to_string();
        let foot = format!("{}.{}", &foot[..1], &foot[1..]);
        assert_eq!(foot.parse(), Ok(Unit::POUND_FORCE_FOOT_NM));
    }
}
