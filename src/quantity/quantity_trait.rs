//! What all one-number quantities can do.

use crate::quantity::print;
use crate::quantity::unit::{Kind, Unit};

/// What all one-number quantities can do.
pub trait Quantity: Copy + PartialOrd + std::fmt::Debug {
    /// Which quantity this is.
    const KIND: Kind;

    /// From a number of the SI unit.
    fn from_si(value: f64) -> Self;

    /// As a number of the SI unit.
    fn si(self) -> f64;

    /// From a number of `unit`, which must be a unit of this kind (otherwise the number is
    /// taken as SI).
    fn of(value: f64, unit: Unit) -> Self {
        Self::from_si(unit.si(Self::KIND, value))
    }

    /// As a number of `unit`.
    fn value_in(self, unit: Unit) -> f64 {
        unit.number(Self::KIND, self.si())
    }

    /// For people, in the unit of `system`: fixed decimals, true minus, no-break space before
    /// the unit (`91.4 °F`).
    fn print(self, system: print::System, decimals: usize) -> String {
        self.print_in(system.unit(Self::KIND), decimals)
    }

    /// For people, in a chosen unit (an inch where a foot would be too large).
    fn print_in(self, unit: Unit, decimals: usize) -> String {
        print::with_unit(self.value_in(unit), unit, decimals)
    }

    /// For files: in `unit` with the fewest decimals that parse back to the identical value;
    /// in the SI unit when no number of `unit` does.
    fn exact(self, unit: Unit) -> String {
        print::exact(Self::KIND, self.si(), unit)
    }
}
