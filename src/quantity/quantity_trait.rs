//! The operations common to all quantities that are a single number.

use crate::quantity::print;
use crate::quantity::unit::{Kind, Unit};

/// A quantity that is a single number.
pub trait Quantity: Copy + PartialOrd + std::fmt::Debug {
    /// The kind of quantity.
    const KIND: Kind;

    /// Converts from a number in the SI unit.
    fn from_si(value: f64) -> Self;

    /// Converts to a number in the SI unit.
    fn si(self) -> f64;

    /// Converts from a number in `unit`, which must be a unit of this kind (otherwise the number is
    /// interpreted as SI).
    fn of(value: f64, unit: Unit) -> Self {
        Self::from_si(unit.si(Self::KIND, value))
    }

    /// Converts to a number in `unit`.
    fn value_in(self, unit: Unit) -> f64 {
        unit.number(Self::KIND, self.si())
    }

    /// For people, in the unit of `system`: fixed decimals, true minus, no-break space before
    /// the unit (`91.4 °F`).
    fn print(self, system: print::System, decimals: usize) -> String {
        self.print_in(system.unit(Self::KIND), decimals)
    }

    /// For people, in a specified unit (an inch where a foot would be too large).
    fn print_in(self, unit: Unit, decimals: usize) -> String {
        print::with_unit(self.value_in(unit), unit, decimals)
    }

    /// For files: in `unit` with the fewest decimals that parse back to the identical value; in the
    /// SI unit if no number in `unit` does.
    fn exact(self, unit: Unit) -> String {
        print::exact(Self::KIND, self.si(), unit)
    }
}
