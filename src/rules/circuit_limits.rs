//! Tables and factors of the circuit checks. A check or table that is not in a rule set is not
//! used.

use super::sourced::{Checked, Provenance, Sourced};
use crate::quantity::{ConductorSize, Current, Duration, Temperature, Voltage};
use crate::visit::{Grade, Material, OvercurrentDevice, Rcd, ReceptacleGrade, Wiring};
use crate::vocabulary::CheckId;
use std::collections::BTreeMap;

/// Comparison slack of temperatures, kelvin: a value converted from °F may differ from a whole
/// degree in its last digits.
const SLACK_K: f64 = 1e-6;

/// The common parts of every check.
#[derive(Debug, Clone, PartialEq)]
pub struct Basis {
    /// Grade of the finding when the check fails.
    pub grade: Grade,
    /// Clause and edition.
    pub provenance: Provenance,
}

/// Tables and factors of the circuit checks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CircuitRules {
    /// Standard ratings of overcurrent devices, ampere, ascending.
    pub standard_ratings: Option<Sourced<Vec<f64>>>,
    /// Ampacities.
    pub ampacity: Option<Ampacity>,
    /// Correction for ambient temperature.
    pub ambient_correction: Option<AmbientCorrection>,
    /// Adjustment for several current-carrying conductors together.
    pub grouping: Option<Grouping>,
    /// Temperature ratings of terminations that the visit does not state.
    pub terminations: Option<Terminations>,
    /// Limits that a wiring method sets.
    pub wiring_limits: Vec<WiringLimit>,
    /// Conductor resistance.
    pub resistance: Option<Resistance>,
    /// Receptacle configurations.
    pub receptacles: Option<Receptacles>,
    /// Energy charged in a year, kWh, for the yearly loss.
    pub yearly_energy_kwh: Option<Sourced<f64>>,
    /// The checks that are made.
    pub checks: Checks,
}

/// The checks of a rule set.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Checks {
    /// Checks whose rule is only a grade with its source.
    pub graded: BTreeMap<CheckId, Basis>,
    /// Overcurrent device and continuous load: rating ≥ factor × load.
    pub continuous_load: Option<ContinuousLoad>,
    /// Conductor before correction and continuous load: ampacity ≥ factor × load.
    pub conductor_continuous: Option<ContinuousLoad>,
    /// Conductor protected by its overcurrent device.
    pub conductor_protection: Option<Protection>,
    /// Limits for small conductors.
    pub small_conductor: Option<SmallConductors>,
    /// Voltage drop.
    pub voltage_drop: Option<VoltageDrop>,
    /// Configuration of the receptacle.
    pub receptacle_configuration: Option<Configurations>,
    /// Grade of the receptacle.
    pub receptacle_grade: Option<AcceptedGrades>,
    /// Circuit of its own.
    pub individual_circuit: Option<IndividualCircuit>,
    /// Tripping current of the overcurrent device and ampacity of the conductor.
    pub overload_protection: Option<Overload>,
    /// Residual-current protection of the circuit.
    pub residual_current: Option<ResidualCurrent>,
    /// Time in which a fault is disconnected.
    pub disconnection_time: Option<DisconnectionTime>,
    /// Ground-fault protection of people.
    pub ground_fault: Option<GroundFaultRule>,
    /// Disconnecting means.
    pub disconnect: Option<DisconnectRule>,
    /// Size of the equipment grounding conductor.
    pub grounding_conductor: Option<GroundingConductor>,
    /// Conductors in parallel.
    pub parallel_conductors: Option<ParallelConductors>,
    /// Overcurrent device of a feeder.
    pub feeder_protection: Option<Protection>,
    /// Splices in a leg.
    pub splices: Option<Splices>,
    /// Load management: rating of the device ≥ factor × what it lets its loads draw.
    pub load_management: Option<LoadManagement>,
    /// Breaker in warm air, or beside others.
    pub breaker_derating: Option<BreakerDerating>,
    /// Earth electrode of a TT system.
    pub earth_electrode: Option<EarthElectrode>,
    /// Ground-fault protection of an outdoor outlet.
    pub outdoor_ground_fault: Option<OutdoorGroundFault>,
}

/// Rating or ampacity required for a continuous load.
#[derive(Debug, Clone, PartialEq)]
pub struct ContinuousLoad {
    /// Grade and source.
    pub basis: Basis,
    /// Factor for an ordinary overcurrent device.
    pub factor: f64,
    /// Factor for one listed for continuous operation at 100 % of its rating.
    pub full_rated_factor: f64,
}

/// Ampacities by conductor size.
#[derive(Debug, Clone, PartialEq)]
pub enum Ampacity {
    /// One column for each temperature rating of the conductor.
    Columns(AmpacityColumns),
    /// One column for each reference method of installation.
    Methods(AmpacityMethods),
}

/// Ampacities in columns of temperature ratings.
#[derive(Debug, Clone, PartialEq)]
pub struct AmpacityColumns {
    /// Where the table comes from.
    pub provenance: Provenance,
    /// Air temperature to which the table applies.
    pub ambient: Temperature,
    /// Temperature ratings, ascending.
    pub columns: Vec<Temperature>,
    /// Copper: size and ampacity in each column, ampere, by growing size.
    pub copper: Vec<(ConductorSize, Vec<f64>)>,
    /// Aluminium and copper-clad aluminium.
    pub aluminium: Vec<(ConductorSize, Vec<f64>)>,
}

impl AmpacityColumns {
    /// The hottest column that a rating allows.
    pub fn column(&self, rating: Temperature) -> Option<usize> {
        column(&self.columns, rating)
    }

    /// Ampacity of a size in a column, ampere.
    pub fn get(&self, material: Material, size: ConductorSize, column: usize) -> Option<f64> {
        let rows = match material {
            Material::Copper => &self.copper,
            Material::Aluminium | Material::CopperCladAluminium => &self.aluminium,
        };
        let (_, row) = rows.iter().find(|(s, _)| *s == size)?;
        row.get(column).copied()
    }
}

/// Ampacities by reference method of installation.
#[derive(Debug, Clone, PartialEq)]
pub struct AmpacityMethods {
    /// Air temperature to which the tables apply.
    pub ambient: Temperature,
    /// Names of the methods, one for each column.
    pub methods: Vec<String>,
    /// The tables.
    pub tables: Vec<MethodTable>,
    /// Methods in the ground.
    pub ground: Option<Ground>,
}

/// Ampacities for one temperature of the conductor and one number of loaded conductors.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodTable {
    /// Where the table comes from.
    pub provenance: Provenance,
    /// Temperature that the conductor reaches.
    pub conductor: Temperature,
    /// Loaded conductors.
    pub loaded: u16,
    /// Copper: size and ampacity in each column, ampere, by growing size.
    pub copper: Vec<(ConductorSize, Vec<f64>)>,
    /// Aluminium.
    pub aluminium: Vec<(ConductorSize, Vec<f64>)>,
    /// Parts of a table written from memory that were compared with a published table.
    pub seen: Vec<SeenInPrint>,
}

/// Part of a table that was compared with published figures.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenInPrint {
    /// Metal.
    pub material: Material,
    /// Columns.
    pub methods: Vec<usize>,
    /// Smallest size.
    pub from: ConductorSize,
    /// Largest size.
    pub up_to: ConductorSize,
    /// Where it was published.
    pub place: String,
}

/// What applies to methods in the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// Ground temperature to which the tables apply.
    pub ambient: Temperature,
    /// Correction for another temperature of the ground.
    pub correction: AmbientCorrection,
    /// The methods, and the adjustment for several circuits side by side.
    pub methods: Vec<(String, Grouping)>,
}

impl AmpacityMethods {
    /// The hottest table that a rating allows, for a number of loaded conductors.
    pub fn table(&self, rating: Temperature, loaded: u16) -> Option<&MethodTable> {
        self.tables
            .iter()
            .filter(|t| t.loaded == loaded)
            .filter(|t| t.conductor.kelvin() <= rating.kelvin() + SLACK_K)
            .max_by(|a, b| a.conductor.kelvin().total_cmp(&b.conductor.kelvin()))
    }

    /// The column of a method, by its name as written.
    pub fn method(&self, written: &str) -> Option<usize> {
        let written = written.trim();
        self.methods
            .iter()
            .position(|m| m.eq_ignore_ascii_case(written))
    }

    /// Adjustment for circuits side by side in the ground; `None` for a method in air.
    pub fn in_ground(&self, method: usize) -> Option<(&Ground, &Grouping)> {
        let ground = self.ground.as_ref()?;
        let name = self.methods.get(method)?;
        let (_, grouping) = ground.methods.iter().find(|(m, _)| m == name)?;
        Some((ground, grouping))
    }
}

impl MethodTable {
    /// Ampacity of a size by a method, ampere.
    pub fn get(&self, material: Material, size: ConductorSize, method: usize) -> Option<f64> {
        let rows = match material {
            Material::Copper => &self.copper,
            Material::Aluminium | Material::CopperCladAluminium => &self.aluminium,
        };
        let (_, row) = rows.iter().find(|(s, _)| *s == size)?;
        row.get(method).copied()
    }

    /// How far the ampacity of a size by a method was checked.
    pub fn checked(&self, material: Material, size: ConductorSize, method: usize) -> Checked {
        let area = size.square_millimetres();
        let seen = self.seen.iter().any(|s| {
            s.material == material
                && s.methods.contains(&method)
                && s.from.square_millimetres() <= area
                && area <= s.up_to.square_millimetres()
        });
        if seen {
            Checked::Confirmed
        } else {
            self.provenance.checked
        }
    }
}

fn column(columns: &[Temperature], rating: Temperature) -> Option<usize> {
    columns
        .iter()
        .rposition(|c| c.kelvin() <= rating.kelvin() + SLACK_K)
}

/// Correction factors for ambient temperature, in columns of temperature ratings.
#[derive(Debug, Clone, PartialEq)]
pub struct AmbientCorrection {
    /// Where the table comes from.
    pub provenance: Provenance,
    /// Temperature ratings, ascending.
    pub columns: Vec<Temperature>,
    /// Hottest air of each row, ascending, and its factors; `None` where the conductor must not
    /// be used.
    pub rows: Vec<(Temperature, Vec<Option<f64>>)>,
}

impl AmbientCorrection {
    /// Factor at an air temperature for a conductor rating; 0 where the conductor must not be
    /// used, `None` for a rating below the coolest column.
    pub fn factor(&self, ambient: Temperature, rating: Temperature) -> Option<f64> {
        let column = column(&self.columns, rating)?;
        let row = self
            .rows
            .iter()
            .find(|(up_to, _)| ambient.kelvin() <= up_to.kelvin() + SLACK_K);
        Some(row.and_then(|(_, factors)| factors[column]).unwrap_or(0.0))
    }
}

/// What is counted for an adjustment of several conductors or circuits together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counts {
    /// Current-carrying conductors.
    Conductors,
    /// Circuits or multi-core cables.
    Circuits,
}

/// Adjustment factors for conductors or circuits together.
#[derive(Debug, Clone, PartialEq)]
pub struct Grouping {
    /// Where the table comes from.
    pub provenance: Provenance,
    /// What is counted.
    pub counts: Counts,
    /// Largest count of each row, ascending, and its factor.
    pub rows: Vec<(u32, f64)>,
    /// Factor for more than the last row.
    pub beyond: f64,
}

impl Grouping {
    /// Factor for a count.
    pub fn factor(&self, count: u32) -> f64 {
        self.rows
            .iter()
            .find(|(up_to, _)| count <= *up_to)
            .map_or(self.beyond, |(_, f)| *f)
    }
}

/// Temperature ratings of terminations.
#[derive(Debug, Clone, PartialEq)]
pub struct Terminations {
    /// Where the rule comes from.
    pub provenance: Provenance,
    /// Ratings that equipment may have, except large equipment.
    pub listed: Vec<Temperature>,
    /// Large equipment, if it is rated differently.
    pub large: Option<LargeTerminations>,
}

/// Terminations of large equipment.
#[derive(Debug, Clone, PartialEq)]
pub struct LargeTerminations {
    /// Rating to assume.
    pub rating: Temperature,
    /// Circuit rating above which equipment is large.
    pub above_rating: Current,
    /// Conductor size above which equipment is large.
    pub above_size: ConductorSize,
}

/// A limit of a wiring method for the conductor.
#[derive(Debug, Clone, PartialEq)]
pub struct WiringLimit {
    /// Where the limit comes from.
    pub provenance: Provenance,
    /// The method.
    pub wiring: Wiring,
    /// Column that the final ampacity must not exceed.
    pub column: Temperature,
    /// Column from which correction begins; `None` for that of the insulation.
    pub correction: Option<Temperature>,
    /// Largest size to which the limit applies; `None` for every size.
    pub up_to: Option<ConductorSize>,
}

/// Conductor resistance by size.
#[derive(Debug, Clone, PartialEq)]
pub struct Resistance {
    /// Where the table comes from.
    pub provenance: Provenance,
    /// Conductor temperature to which the table applies.
    pub at: Temperature,
    /// Copper.
    pub copper: MaterialResistance,
    /// Aluminium.
    pub aluminium: MaterialResistance,
}

/// Resistance of one metal.
#[derive(Debug, Clone, PartialEq)]
pub struct MaterialResistance {
    /// Temperature coefficient at the table's temperature, 1/K.
    pub coefficient: f64,
    /// Solid conductors, Ω/m.
    pub solid: Vec<(ConductorSize, f64)>,
    /// Stranded conductors, Ω/m.
    pub stranded: Vec<(ConductorSize, f64)>,
}

impl Resistance {
    /// Resistance of one metre of conductor at a temperature, Ω/m: R₂ = R₁·(1 + α·(T₂ − T₁)). If
    /// solid or stranded is not stated, the higher value.
    pub fn per_metre(
        &self,
        material: Material,
        size: ConductorSize,
        stranded: Option<bool>,
        temperature: Temperature,
    ) -> Option<f64> {
        let metal = match material {
            Material::Copper => &self.copper,
            Material::Aluminium | Material::CopperCladAluminium => &self.aluminium,
        };
        let find =
            |rows: &[(ConductorSize, f64)]| rows.iter().find(|(s, _)| *s == size).map(|(_, r)| *r);
        let at_reference = match stranded {
            Some(true) => find(&metal.stranded),
            Some(false) => find(&metal.solid),
            None => [find(&metal.solid), find(&metal.stranded)]
                .into_iter()
                .flatten()
                .reduce(f64::max),
        }?;
        let warmer = (temperature - self.at).kelvin();
        Some(at_reference * (1.0 + metal.coefficient * warmer))
    }
}

/// Receptacle configurations.
#[derive(Debug, Clone, PartialEq)]
pub struct Receptacles {
    /// Where the list comes from.
    pub provenance: Provenance,
    /// Name, rating, and voltage between the contacts that a charger uses.
    pub configurations: Vec<(String, Current, Voltage)>,
}

impl Receptacles {
    /// Finds a configuration by any usual spelling: `14-50`, `14-50R`, `NEMA 14-50`.
    pub fn find(&self, written: &str) -> Option<&(String, Current, Voltage)> {
        let name = written.trim();
        let name = match name.get(..4) {
            Some(head) if head.eq_ignore_ascii_case("nema") => name[4..].trim_start(),
            _ => name,
        };
        let name = name.trim_end_matches(['R', 'r', 'P', 'p']);
        self.configurations.iter().find(|(n, ..)| n == name)
    }
}

/// Protection of the conductor by its overcurrent device.
#[derive(Debug, Clone, PartialEq)]
pub struct Protection {
    /// Grade and source.
    pub basis: Basis,
    /// Largest rating for which the next standard size above the ampacity is allowed; `None` if it
    /// is never allowed.
    pub next_size_up_to: Option<Current>,
}

/// Tripping current I₂ and ampacity of the conductor: I₂ ≤ factor × ampacity.
#[derive(Debug, Clone, PartialEq)]
pub struct Overload {
    /// Grade and source.
    pub basis: Basis,
    /// Factor on the ampacity.
    pub factor: f64,
    /// I₂ of each kind of device, as a multiple of its rated current.
    pub devices: Vec<(OvercurrentDevice, f64)>,
    /// Rated current below which a fuse has another multiple, and that multiple.
    pub small_fuse: Option<(Current, f64)>,
}

impl Overload {
    /// I₂ of a device as a multiple of its rated current.
    pub fn multiple(&self, device: OvercurrentDevice, rating: Current) -> Option<f64> {
        match self.small_fuse {
            Some((below, multiple)) if device == OvercurrentDevice::Fuse && rating < below => {
                Some(multiple)
            }
            _ => {
                let found = self.devices.iter().find(|(d, _)| *d == device);
                found.map(|(_, multiple)| *multiple)
            }
        }
    }
}

/// Residual-current protection that a charging circuit needs.
#[derive(Debug, Clone, PartialEq)]
pub struct ResidualCurrent {
    /// Grade and source.
    pub basis: Basis,
    /// Largest rated residual current.
    pub most: Current,
    /// Types that are sufficient alone.
    pub alone: Vec<Rcd>,
    /// Types that are sufficient together with a device that disconnects a smooth direct fault
    /// current.
    pub with_dc_detection: Vec<Rcd>,
}

/// Longest time in which a fault is disconnected, by the earthing of the supply.
#[derive(Debug, Clone, PartialEq)]
pub struct DisconnectionTime {
    /// Grade and source.
    pub basis: Basis,
    /// TN systems.
    pub tn: Duration,
    /// TT systems.
    pub tt: Duration,
}

/// Largest overcurrent device of small conductors.
#[derive(Debug, Clone, PartialEq)]
pub struct SmallConductors {
    /// Grade and source.
    pub basis: Basis,
    /// Material, size, largest rating in ampere.
    pub limits: Vec<(Material, ConductorSize, f64)>,
}

/// Limits of the voltage drop, fractions of the supply voltage.
#[derive(Debug, Clone, PartialEq)]
pub struct VoltageDrop {
    /// Grade and source.
    pub basis: Basis,
    /// In the branch circuit.
    pub branch: f64,
    /// In the feeder.
    pub feeder: f64,
    /// In both.
    pub total: f64,
}

/// Configurations allowed for charging.
#[derive(Debug, Clone, PartialEq)]
pub struct Configurations {
    /// Grade and source.
    pub basis: Basis,
    /// Names.
    pub allowed: Vec<String>,
}

/// Receptacle grades accepted for charging.
#[derive(Debug, Clone, PartialEq)]
pub struct AcceptedGrades {
    /// Grade and source.
    pub basis: Basis,
    /// Load above which the check is made.
    pub above: Current,
    /// Accepted grades.
    pub accepted: Vec<ReceptacleGrade>,
}

/// When an individual circuit is needed: above either limit.
#[derive(Debug, Clone, PartialEq)]
pub struct IndividualCircuit {
    /// Grade and source.
    pub basis: Basis,
    /// Load.
    pub above_current: Current,
    /// Supply voltage.
    pub above_voltage: Voltage,
}

/// Ground-fault protection of people.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundFaultRule {
    /// Grade and source.
    pub basis: Basis,
    /// Largest voltage to ground at which it is required for a hardwired charger; `None` if it
    /// never is.
    pub hardwired_up_to: Option<Voltage>,
}

/// When a disconnecting means is needed: above either limit.
#[derive(Debug, Clone, PartialEq)]
pub struct DisconnectRule {
    /// Grade and source.
    pub basis: Basis,
    /// Whether only for hardwired chargers; for others, the plug is the means.
    pub hardwired_only: bool,
    /// Rating of the charger.
    pub above_current: Current,
    /// Voltage to ground.
    pub above_voltage_to_ground: Voltage,
}

/// Smallest equipment grounding conductor.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundingConductor {
    /// Grade and source.
    pub basis: Basis,
    /// How it is determined.
    pub least: LeastGrounding,
}

/// How the size of an equipment grounding conductor is determined.
#[derive(Debug, Clone, PartialEq)]
pub enum LeastGrounding {
    /// The overcurrent device: largest rating of each row, ascending, with the size in copper and in
    /// aluminium.
    ByDevice {
        /// The rows.
        rows: Vec<(Current, ConductorSize, ConductorSize)>,
        /// Whether it must be larger if the line conductors are larger than needed.
        proportional: bool,
    },
    /// The line conductors: the same size up to the first, the first up to the second, and half of
    /// their cross-section above that.
    ByLine(ConductorSize, ConductorSize),
}

/// Conductors in parallel.
#[derive(Debug, Clone, PartialEq)]
pub struct ParallelConductors {
    /// Grade and source.
    pub basis: Basis,
    /// Smallest size of each.
    pub least: ConductorSize,
}

/// Load management.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadManagement {
    /// Grade and source.
    pub basis: Basis,
    /// Factor for a continuous load.
    pub factor: f64,
}

/// Breakers in warm air, or beside others.
#[derive(Debug, Clone, PartialEq)]
pub struct BreakerDerating {
    /// Grade and source.
    pub basis: Basis,
    /// Air around the breaker up to which it carries its rated current.
    pub reference: Temperature,
    /// Share of the rated current by which each kelvin above that reduces it.
    pub per_kelvin: f64,
    /// Largest number of breakers side by side in each row, ascending, and its factor.
    pub rows: Vec<(u32, f64)>,
    /// Factor for more than the last row.
    pub beyond: f64,
}

/// Earth electrode of a TT system.
#[derive(Debug, Clone, PartialEq)]
pub struct EarthElectrode {
    /// Grade and source.
    pub basis: Basis,
    /// Largest product of its resistance and the rated residual current.
    pub most: Voltage,
}

/// Ground-fault protection of an outdoor outlet.
#[derive(Debug, Clone, PartialEq)]
pub struct OutdoorGroundFault {
    /// Grade and source.
    pub basis: Basis,
    /// Largest rating of the circuit for which it is required.
    pub up_to_rating: Current,
    /// Largest voltage to ground for which it is required.
    pub up_to_voltage_to_ground: Voltage,
}

/// Splices in a leg.
#[derive(Debug, Clone, PartialEq)]
pub struct Splices {
    /// Grade and source.
    pub basis: Basis,
    /// Largest usual number.
    pub most: u32,
}
