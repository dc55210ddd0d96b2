//! What insulation hides: beside a joint, the conductor under it is cooler than the joint, because
//! it sheds heat along the way. Its temperature there follows that of a fin: of the joint's excess
//! over the conductor's own temperature e^(−x/L) is left after the length x, with
//! L = √(λ·A/(h·P)), λ the conductivity of the metal, A its cross-section, P the circumference of
//! the insulation and h the heat that it sheds per area and kelvin (long fin; heat-transfer
//! textbooks).

use crate::assess::assessment::Estimate;
use crate::assess::physics::uncertainty::rectangular;
use crate::quantity::TemperatureDifference;
use crate::visit::{Circuit, Connection, Material, Surface};

/// Distance from the joint at which insulation is read, metres. The visit does not state it: just
/// beside a terminal, with the whole spot on the insulation (our choice, no source).
const DISTANCE_M: f64 = 0.03;

/// Heat shed by convection and radiation in still air, W/(m²·K): heat-transfer textbooks give 8 to 12
/// for a surface of a few centimetres near room temperature.
const SHED: f64 = 10.0;

/// Thickness of the insulation, metres (our choice; THHN of 6 AWG has about 1 mm, NFPA 70 chapter 9,
/// table 5).
const THICKNESS_M: f64 = 0.0012;

/// Thermal conductivity, W/(m·K): copper and aluminium conductors, from memory.
const COPPER: f64 = 390.0;
const ALUMINIUM: f64 = 230.0;

/// Share of a joint's own excess that a reading on the insulation beside it does not show; `None` if
/// something else was aimed at.
pub(crate) fn hidden(circuit: &Circuit, connection: &Connection) -> Option<f64> {
    if connection.surface != Some(Surface::Insulation) || connection.on_cover() {
        return None;
    }
    let area = circuit.conductors.size.square_millimetres() * 1e-6;
    let conductivity = match circuit.conductors.material {
        Material::Copper => COPPER,
        Material::Aluminium | Material::CopperCladAluminium => ALUMINIUM,
    };
    let around = std::f64::consts::PI * 2.0 * ((area / std::f64::consts::PI).sqrt() + THICKNESS_M);
    let length = (conductivity * area / (SHED * around)).sqrt();
    Some(-libm::expm1(-DISTANCE_M / length)).filter(|h| h.is_finite())
}

/// A rise with the uncertainty of what insulation hides: between nothing, if the conductor is as hot
/// by itself, and the share of the whole rise, if the joint alone is (rectangular,
/// JCGM 100:2008, 4.3.7).
pub(crate) fn widened(rise: Estimate, hidden: Option<f64>, coverage: f64) -> Estimate {
    let Some(hidden) = hidden.filter(|h| *h < 1.0) else {
        return rise;
    };
    let most = rise.value.kelvin().max(0.0) * hidden / (1.0 - hidden);
    let expanded = libm::hypot(rise.expanded.kelvin(), coverage * rectangular(most));
    Estimate {
        expanded: TemperatureDifference::from_kelvin(expanded),
        ..rise
    }
}
