//! The owner's own check: readings of closed covers from outside, compared with those of the first
//! visit. It can show that something has changed, but never that nothing has.

use super::heat::rated::exponents;
use super::physics::load_scaling::{self, AtLoad};
use super::physics::uncertainty::{Accuracy, rectangular};
use crate::quantity::{Current, Temperature, TemperatureDifference};
use crate::rules::Rules;

/// A point on a closed cover, as the first visit read it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Rise over air at the charger's rated current.
    pub rise: TemperatureDifference,
    /// Its expanded uncertainty (k = 2).
    pub expanded: TemperatureDifference,
}

/// The owner's reading of that point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// As the thermometer shows it.
    pub reading: Temperature,
    /// Air, read with a thermometer of any kind.
    pub air: Temperature,
    /// Current, as the charger or the car shows it.
    pub current: Current,
}

/// The result of the comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// No hotter than at the first visit, as far as such readings can tell.
    LikeBaseline,
    /// Hotter than at the first visit by more than the uncertainty, or hotter than a cover that
    /// people can touch may be.
    Call,
    /// Too little current for a comparison.
    TooLittle,
}

/// Compares a reading with that of the first visit; `rated` is the charger's rated current then.
///
/// Both are taken at the rated current. The owner's thermometers have the accuracy that the rules
/// assume where none is stated.
pub fn compare(point: &Point, seen: &Seen, rated: Current, rules: &Rules) -> Verdict {
    if (seen.reading - seen.air).kelvin() > rules.thermal.cover_rise_k.value {
        return Verdict::Call;
    }
    let least = rules.thermal.least_load_fraction.value * rated.ampere();
    if seen.current.ampere() < least {
        return Verdict::TooLittle;
    }
    let assumed = &rules.thermal.assumed_accuracy.value;
    let accuracy = Accuracy {
        of_reading: assumed.of_reading,
        at_least_k: assumed.at_least.kelvin(),
    };
    let (u_reading, u_air) = (accuracy.standard(seen.reading), accuracy.standard(seen.air));
    let share = rules.thermal.assumed_current_accuracy.value;
    let at = AtLoad {
        rise: seen.reading - seen.air,
        u_rise: TemperatureDifference::from_kelvin(u_reading.kelvin().hypot(u_air.kelvin())),
        current: seen.current,
        u_current: Current::from_ampere(rectangular(share * seen.current.ampere())),
    };
    let Some(scaled) = load_scaling::at_rated(&at, rated, exponents(rules)) else {
        return Verdict::TooLittle;
    };
    let coverage = rules.thermal.coverage_factor.value;
    let expanded = (coverage * scaled.budget.standard()).hypot(point.expanded.kelvin());
    if scaled.rise.kelvin() - point.rise.kelvin() > expanded {
        Verdict::Call
    } else {
        Verdict::LikeBaseline
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::rules;

    fn verdict(reading: f64, air: f64, ampere: f64) -> Verdict {
        let point = Point {
            rise: TemperatureDifference::from_kelvin(10.0),
            expanded: TemperatureDifference::from_kelvin(2.0),
        };
        let seen = Seen {
            reading: Temperature::from_celsius(reading),
            air: Temperature::from_celsius(air),
            current: Current::from_ampere(ampere),
        };
        let rated = Current::from_ampere(40.0);
        compare(&point, &seen, rated, rules::built_in("us").unwrap())
    }

    #[test]
    fn both_sides_of_the_uncertainty() {
        // u of each thermometer 2 K/√3, of 40 A 3 %/√3 with n of 1.6 to 2 (the rules' own range), so
        // U = √(4·(2·(2/√3)² + (rise·1.8·0.03/√3)²) + 2²): 3.88 K at a rise of 14 K.
        assert_eq!(verdict(33.8, 20.0, 40.0), Verdict::LikeBaseline);
        assert_eq!(verdict(34.0, 20.0, 40.0), Verdict::Call);
        // Colder is no reason to call.
        assert_eq!(verdict(21.0, 20.0, 40.0), Verdict::LikeBaseline);
        // At half the current, the same rise is more than three times as much.
        assert_eq!(verdict(33.0, 20.0, 20.0), Verdict::Call);
    }

    #[test]
    fn too_little_current_is_no_comparison_but_heat_always_counts() {
        // 40 % of the load (NFPA 70B (2023), 7.4.5, as the rules have it).
        assert_eq!(verdict(21.0, 20.0, 15.9), Verdict::TooLittle);
        assert_eq!(verdict(21.0, 20.0, 16.0), Verdict::LikeBaseline);
        // 30 K over air: what a cover that people can touch may reach (as the rules have it).
        assert_eq!(verdict(50.0, 20.0, 1.0), Verdict::TooLittle);
        assert_eq!(verdict(50.1, 20.0, 1.0), Verdict::Call);
    }
}
