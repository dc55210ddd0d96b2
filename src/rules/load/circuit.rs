//! Reads the tables and factors of the circuit checks.

use super::values::{number, words};
use crate::quantity::{ConductorSize, Current, Duration, Temperature, Unit, Voltage};
use crate::rules::circuit_limits::*;
use crate::rules::number::Kind;
use crate::rules::sourced::Sourced;
use crate::rules::typed_values::{At, MapReader};
use crate::visit::{Material, Rcd, ReceptacleGrade, Wiring};
use crate::vocabulary::{CheckId, Word};

const RCDS: [(&str, Rcd); 5] = [
    ("ac", Rcd::Ac),
    ("a", Rcd::A),
    ("f", Rcd::F),
    ("a-6ma", Rcd::A6mA),
    ("b", Rcd::B),
];

pub(super) fn read(at: At) -> Option<CircuitRules> {
    let m = at.map()?;
    let rules = CircuitRules {
        standard_ratings: m.optional("standard_ratings", ratings),
        ampacity: m.optional("ampacity", ampacity),
        ambient_correction: m.optional("ambient_correction", ambient_correction),
        grouping: m.optional("grouping", grouping),
        terminations: m.optional("terminations", terminations),
        wiring_limits: m
            .optional("wiring_limits", wiring_limits)
            .unwrap_or_default(),
        resistance: m.optional("resistance", resistance),
        receptacles: m.optional("receptacles", receptacles),
        yearly_energy_kwh: m.optional("yearly_energy", number(Kind::ENERGY)),
        checks: m.read("checks", checks)?,
    };
    m.finish();
    Some(rules)
}

fn temperature(a: At) -> Option<Temperature> {
    a.number(Kind::TEMPERATURE).map(Temperature::from_kelvin)
}

fn current(a: At) -> Option<Current> {
    a.number(Kind::CURRENT).map(Current::from_ampere)
}

fn voltage(a: At) -> Option<Voltage> {
    a.number(Kind::VOLT).map(Voltage::from_volt)
}

/// Temperature ratings at the head of a table.
fn columns(m: &MapReader) -> Option<Vec<Temperature>> {
    m.read("columns", |a| {
        let columns = a.list(temperature)?;
        let kelvin = columns.iter().map(|t| t.kelvin());
        a.ordered(kelvin, false, "write the columns by rising temperature")?;
        Some(columns)
    })
}

const AMPERE: [(&str, f64); 1] = [("A", 1.0)];

fn ratings(at: At) -> Option<Sourced<Vec<f64>>> {
    let m = at.map()?;
    let unit = m.unit(&AMPERE);
    let value = m.read("value", |a| {
        let all = a.list(|a| a.table_number(Kind::CURRENT, unit))?;
        a.ordered(all.iter().copied(), false, "write the ratings ascending")?;
        Some(all)
    });
    let provenance = m.provenance();
    m.finish();
    Some(provenance?.of(value?))
}

fn ampacity(at: At) -> Option<Ampacity> {
    let m = at.map()?;
    if m.read("kind", |a| a.word(&[("columns", false), ("methods", true)]))? {
        return methods(m).map(Ampacity::Methods);
    }
    let unit = m.unit(&AMPERE);
    let ambient = m.read("ambient", temperature);
    let columns = columns(&m);
    let count = columns.as_ref().map_or(0, Vec::len);
    let metal = |key| {
        m.read(key, |a| {
            currents(a, count, unit, |a, row| {
                let hint = "a hotter column allows more current";
                a.ordered(row.iter().copied(), false, hint)
            })
        })
    };
    let copper = metal("copper");
    let aluminium = metal("aluminium");
    let provenance = m.provenance();
    m.finish();
    Some(Ampacity::Columns(AmpacityColumns {
        provenance: provenance?,
        ambient: ambient?,
        columns: columns?,
        copper: copper?,
        aluminium: aluminium?,
    }))
}

/// The rest of an ampacity table in columns of reference methods.
fn methods(m: MapReader) -> Option<AmpacityMethods> {
    let unit = m.unit(&AMPERE);
    let ambient = m.read("ambient", temperature);
    let methods = m.read("methods", |a| a.list(|a| a.text()));
    let tables = m.read("tables", |a| {
        let names = methods.as_deref().unwrap_or_default();
        let tables = a.map()?.each(|_, a| method_table(a, names, unit))?;
        let twice = |(i, t): (usize, &MethodTable)| {
            tables[..i]
                .iter()
                .any(|o| (o.conductor, o.loaded) == (t.conductor, t.loaded))
        };
        if tables.iter().enumerate().any(twice) {
            a.report(
                "has two tables for one conductor temperature and number of loaded conductors",
                "keep one of the two",
            );
            return None;
        }
        Some(tables)
    });
    let ground = m.optional("ground", ground);
    m.finish();
    let (methods, ground) = (methods?, ground);
    Some(AmpacityMethods {
        ambient: ambient?,
        methods,
        tables: tables?,
        ground,
    })
}

/// Currents by size of conductor, `columns` in a row, increasing with the size in each column;
/// `sound` is a further condition on a row.
fn currents(
    at: At,
    columns: usize,
    unit: Option<f64>,
    sound: impl Fn(At, &[f64]) -> Option<()>,
) -> Option<Vec<(ConductorSize, Vec<f64>)>> {
    let rows = at.by_size(|a| {
        let row = a.row(columns, |a| a.table_number(Kind::CURRENT, unit))?;
        sound(a, &row)?;
        Some(row)
    })?;
    for c in 0..columns {
        let column = rows.iter().map(|(_, row)| row[c]);
        at.ordered(column, false, "a larger conductor carries more current")?;
    }
    Some(rows)
}

fn method_table(at: At, methods: &[String], unit: Option<f64>) -> Option<MethodTable> {
    let columns = methods.len();
    let m = at.map()?;
    let conductor = m.read("conductor", temperature);
    let loaded = m.read("loaded", |a| a.whole(Kind::COUNT));
    let metal = |key| m.read(key, |a| currents(a, columns, unit, |_, _| Some(())));
    let copper = metal("copper");
    let aluminium = metal("aluminium");
    let seen = m
        .optional("seen", |a| a.list(|a| seen_in_print(a, methods)))
        .unwrap_or_default();
    let provenance = m.provenance();
    m.finish();
    Some(MethodTable {
        seen,
        provenance: provenance?,
        conductor: conductor?,
        loaded: u16::try_from(loaded?).ok()?,
        copper: copper?,
        aluminium: aluminium?,
    })
}

fn seen_in_print(at: At, methods: &[String]) -> Option<SeenInPrint> {
    let m = at.map()?;
    let material = m.read("material", |a| a.word(Material::TABLE));
    let columns: Vec<_> = methods
        .iter()
        .enumerate()
        .map(|(i, name)| (name.as_str(), i))
        .collect();
    let methods = m.read("methods", |a| a.list(|a| a.word(&columns)));
    let from = m.read("from", |a| a.size());
    let up_to = m.read("up_to", |a| a.size());
    let place = m.read("in", |a| a.text());
    m.finish();
    Some(SeenInPrint {
        material: material?,
        methods: methods?,
        from: from?,
        up_to: up_to?,
        place: place?,
    })
}

fn ground(at: At) -> Option<Ground> {
    let m = at.map()?;
    let ambient = m.read("ambient", temperature);
    let correction = m.read("correction", ambient_correction);
    let methods = m.read("methods", |a| {
        a.map()?
            .each(|name, a| Some((name.to_owned(), grouping(a)?)))
    });
    m.finish();
    Some(Ground {
        ambient: ambient?,
        correction: correction?,
        methods: methods?,
    })
}

fn ambient_correction(at: At) -> Option<AmbientCorrection> {
    let m = at.map()?;
    let columns = columns(&m);
    let count = columns.as_ref().map_or(0, Vec::len);
    let rows = m.read("rows", |a| {
        let rows = a.list(|a| {
            let m = a.map()?;
            let up_to = m.read("up_to", temperature);
            let factors = m.read("factors", |a| {
                a.row(count, |a| a.cell(|a| a.number(Kind::FACTOR)))
            });
            m.finish();
            Some((up_to?, factors?))
        })?;
        let kelvin = rows.iter().map(|(t, _)| t.kelvin());
        a.ordered(kelvin, false, "write the rows by rising air temperature")?;
        for c in 0..count {
            let column = rows.iter().map(|(_, f)| f[c].unwrap_or(0.0));
            // Below the last factor come empty cells, all 0.
            let until_empty = column.take_while(|f| *f > 0.0);
            a.ordered(until_empty, true, "hotter air allows less current")?;
        }
        Some(rows)
    });
    let provenance = m.provenance();
    m.finish();
    Some(AmbientCorrection {
        provenance: provenance?,
        columns: columns?,
        rows: rows?,
    })
}

fn grouping(at: At) -> Option<Grouping> {
    let m = at.map()?;
    let counts = m
        .optional("counts", |a| {
            a.word(&[
                ("conductors", Counts::Conductors),
                ("circuits", Counts::Circuits),
            ])
        })
        .unwrap_or(Counts::Conductors);
    let rows = m.read("rows", |a| {
        by_count(a, "more conductors carry less current each")
    });
    let beyond = m.read("beyond", |a| a.number(Kind::SHARE));
    let provenance = m.provenance();
    m.finish();
    Some(Grouping {
        provenance: provenance?,
        counts,
        rows: rows?,
        beyond: beyond?,
    })
}

/// Factors by a count: the largest count of each row, and its factor. `why` says why they decrease.
fn by_count(at: At, why: &'static str) -> Option<Vec<(u32, f64)>> {
    let rows = at.list(|a| {
        let m = a.map()?;
        let up_to = m.read("up_to", |a| a.whole(Kind::COUNT));
        let factor = m.read("factor", |a| a.number(Kind::SHARE));
        m.finish();
        Some((up_to?, factor?))
    })?;
    let counts = rows.iter().map(|(n, _)| f64::from(*n));
    at.ordered(counts, false, "write the rows by growing count")?;
    let factors = rows.iter().map(|(_, f)| *f);
    at.ordered(factors, true, why)?;
    Some(rows)
}

fn derating(a: At) -> Option<BreakerDerating> {
    let (basis, (reference, per_kelvin, rows, beyond)) = check(a, |m| {
        let reference = m.read("reference", temperature);
        let per_kelvin = m.read("per_kelvin", |a| a.number(Kind::SHARE));
        let rows = m.read("side_by_side", |a| {
            by_count(a, "more breakers side by side carry less each")
        });
        let beyond = m.read("beyond", |a| a.number(Kind::SHARE));
        Some((reference?, per_kelvin?, rows?, beyond?))
    })?;
    Some(BreakerDerating {
        basis,
        reference,
        per_kelvin,
        rows,
        beyond,
    })
}

fn terminations(at: At) -> Option<Terminations> {
    let m = at.map()?;
    let listed = m.read("listed", |a| a.list(temperature));
    let large = m.optional("large", |a| {
        let m = a.map()?;
        let rating = m.read("rating", temperature);
        let above_rating = m.read("above_rating", current);
        let above_size = m.read("above_size", |a| a.size());
        m.finish();
        Some(LargeTerminations {
            rating: rating?,
            above_rating: above_rating?,
            above_size: above_size?,
        })
    });
    let provenance = m.provenance();
    m.finish();
    Some(Terminations {
        provenance: provenance?,
        listed: listed?,
        large,
    })
}

fn wiring_limits(at: At) -> Option<Vec<WiringLimit>> {
    let m = at.map()?;
    let mut limits = Vec::new();
    for (word, wiring) in Wiring::choices() {
        limits.extend(m.optional(word, |a| {
            let m = a.map()?;
            let column = m.read("column", temperature);
            let correction = m.optional("correction", temperature);
            let up_to = m.optional("up_to", |a| a.size());
            let provenance = m.provenance();
            m.finish();
            Some(WiringLimit {
                provenance: provenance?,
                wiring,
                column: column?,
                correction,
                up_to,
            })
        }));
    }
    m.finish();
    Some(limits)
}

/// The units of printed resistance tables, in Ω/m.
const OHM_UNITS: [(&str, f64); 2] = [("Ω/1000 ft", 1.0 / (1000.0 * Unit::FOOT_M)), ("Ω/km", 1e-3)];

fn resistance(at: At) -> Option<Resistance> {
    let m = at.map()?;
    let unit = m.unit(&OHM_UNITS);
    let reference = m.read("at", temperature);
    let metal = |key| {
        m.read(key, |a| {
            let m = a.map()?;
            let coefficient = m.read("coefficient", |a| a.number(Kind::PER_KELVIN));
            let sizes = |key| {
                m.read(key, |a| {
                    let rows = a.by_size(|a| a.table_number(Kind::OHM_PER_METRE, unit))?;
                    let ohms = rows.iter().map(|(_, r)| *r);
                    a.ordered(ohms, true, "a larger conductor has less resistance")?;
                    Some(rows)
                })
            };
            let solid = sizes("solid");
            let stranded = sizes("stranded");
            m.finish();
            Some(MaterialResistance {
                coefficient: coefficient?,
                solid: solid?,
                stranded: stranded?,
            })
        })
    };
    let copper = metal("copper");
    let aluminium = metal("aluminium");
    let provenance = m.provenance();
    m.finish();
    Some(Resistance {
        provenance: provenance?,
        at: reference?,
        copper: copper?,
        aluminium: aluminium?,
    })
}

fn receptacles(at: At) -> Option<Receptacles> {
    let m = at.map()?;
    let configurations = m.read("configurations", |a| {
        a.map()?.each(|name, a| {
            let m = a.map()?;
            let rating = m.read("rating", current);
            let volts = m.read("voltage", voltage);
            m.finish();
            Some((name.to_owned(), rating?, volts?))
        })
    });
    let provenance = m.provenance();
    m.finish();
    Some(Receptacles {
        provenance: provenance?,
        configurations: configurations?,
    })
}

fn checks(at: At) -> Option<Checks> {
    let m = at.map()?;
    let graded = CheckId::ALL
        .into_iter()
        .filter(|check| check.declaration().graded)
        .filter_map(|check| Some((check, m.optional(check.word(), plain)?)))
        .collect();
    let checks = Checks {
        graded,
        continuous_load: m.optional(CheckId::ContinuousLoad.word(), continuous),
        conductor_continuous: m.optional(CheckId::ConductorContinuous.word(), continuous),
        conductor_protection: m.optional(CheckId::ConductorProtection.word(), |a| {
            let (basis, next_size_up_to) =
                check(a, |m| Some(m.optional("next_size_up_to", current)))?;
            Some(Protection {
                basis,
                next_size_up_to,
            })
        }),
        small_conductor: m.optional(CheckId::SmallConductor.word(), small_conductors),
        voltage_drop: m.optional(CheckId::VoltageDrop.word(), |a| {
            let (basis, (branch, feeder, total)) = check(a, |m| {
                let share = |key| m.read(key, |a| a.number(Kind::SHARE));
                let (branch, feeder, total) = (share("branch"), share("feeder"), share("total"));
                Some((branch?, feeder?, total?))
            })?;
            Some(VoltageDrop {
                basis,
                branch,
                feeder,
                total,
            })
        }),
        receptacle_configuration: m.optional(CheckId::ReceptacleConfiguration.word(), |a| {
            let (basis, allowed) =
                check(a, |m| m.read("configurations", |a| a.list(|a| a.text())))?;
            Some(Configurations { basis, allowed })
        }),
        receptacle_grade: m.optional(CheckId::ReceptacleGrade.word(), |a| {
            let (basis, (above, accepted)) = check(a, |m| {
                let above = m.read("above", current);
                let accepted = m.read("accepted", |a| a.list(|a| a.word(ReceptacleGrade::TABLE)));
                Some((above?, accepted?))
            })?;
            Some(AcceptedGrades {
                basis,
                above,
                accepted,
            })
        }),
        individual_circuit: m.optional(CheckId::IndividualCircuit.word(), |a| {
            let (basis, (above_current, above_voltage)) = check(a, |m| {
                let above_current = m.read("above_current", current);
                let above_voltage = m.read("above_voltage", voltage);
                Some((above_current?, above_voltage?))
            })?;
            Some(IndividualCircuit {
                basis,
                above_current,
                above_voltage,
            })
        }),
        overload_protection: m.optional(CheckId::OverloadProtection.word(), overload),
        residual_current: m.optional(CheckId::ResidualCurrent.word(), |a| {
            let (basis, (most, alone, with_dc_detection)) = check(a, |m| {
                let types = |key| m.read(key, |a| a.list(|a| a.word(&RCDS)));
                let most = m.read("most", current);
                let (alone, beside) = (types("alone"), types("with_dc_detection"));
                Some((most?, alone?, beside?))
            })?;
            Some(ResidualCurrent {
                basis,
                most,
                alone,
                with_dc_detection,
            })
        }),
        disconnection_time: m.optional(CheckId::DisconnectionTime.word(), |a| {
            let (basis, (tn, tt)) = check(a, |m| {
                let time = |key| {
                    let second = m.read(key, |a| a.number(Kind::DISCONNECTION));
                    second.map(Duration::from_second)
                };
                let (tn, tt) = (time("tn"), time("tt"));
                Some((tn?, tt?))
            })?;
            Some(DisconnectionTime { basis, tn, tt })
        }),
        ground_fault: m.optional(CheckId::GroundFault.word(), |a| {
            let (basis, hardwired_up_to) =
                check(a, |m| Some(m.optional("hardwired_up_to", voltage)))?;
            Some(GroundFaultRule {
                basis,
                hardwired_up_to,
            })
        }),
        disconnect: m.optional(CheckId::Disconnect.word(), |a| {
            let (basis, (above_current, above_voltage_to_ground, hardwired_only)) =
                check(a, |m| {
                    let only = m.optional("hardwired_only", |a| {
                        a.word(&[("yes", true), ("no", false)])
                    });
                    let above_current = m.read("above_current", current);
                    let to_ground = m.read("above_voltage_to_ground", voltage);
                    Some((above_current?, to_ground?, only.unwrap_or(false)))
                })?;
            Some(DisconnectRule {
                basis,
                hardwired_only,
                above_current,
                above_voltage_to_ground,
            })
        }),
        grounding_conductor: m.optional(CheckId::GroundingConductor.word(), |a| {
            let (basis, least) = check(a, grounding)?;
            Some(GroundingConductor { basis, least })
        }),
        parallel_conductors: m.optional(CheckId::ParallelConductors.word(), |a| {
            let (basis, least) = check(a, |m| m.read("least", |a| a.size()))?;
            Some(ParallelConductors { basis, least })
        }),
        feeder_protection: m.optional(CheckId::FeederProtection.word(), |a| {
            let (basis, next_size_up_to) =
                check(a, |m| Some(m.optional("next_size_up_to", current)))?;
            Some(Protection {
                basis,
                next_size_up_to,
            })
        }),
        splices: m.optional(CheckId::Splices.word(), |a| {
            let (basis, most) = check(a, |m| m.read("most", |a| a.whole(Kind::COUNT)))?;
            Some(Splices { basis, most })
        }),
        load_management: m.optional(CheckId::LoadManagement.word(), |a| {
            let (basis, factor) = check(a, |m| m.read("factor", |a| a.number(Kind::FACTOR)))?;
            Some(LoadManagement { basis, factor })
        }),
        breaker_derating: m.optional(CheckId::BreakerDerating.word(), derating),
        earth_electrode: m.optional(CheckId::EarthElectrode.word(), |a| {
            let (basis, most) = check(a, |m| m.read("most", voltage))?;
            Some(EarthElectrode { basis, most })
        }),
        outdoor_ground_fault: m.optional(CheckId::OutdoorGroundFault.word(), |a| {
            let (basis, (rating, to_ground)) = check(a, |m| {
                let rating = m.read("up_to_rating", current);
                let to_ground = m.read("up_to_voltage_to_ground", voltage);
                Some((rating?, to_ground?))
            })?;
            Some(OutdoorGroundFault {
                basis,
                up_to_rating: rating,
                up_to_voltage_to_ground: to_ground,
            })
        }),
    };
    m.finish();
    Some(checks)
}

/// The smallest equipment grounding conductor, by `rows` of devices or by the line conductors.
fn grounding(m: &MapReader) -> Option<LeastGrounding> {
    let rows = m.optional("rows", |a| {
        let rows = a.list(|a| {
            let m = a.map()?;
            let up_to = m.read("up_to", current);
            let (copper, aluminium) = (
                m.read("copper", |a| a.size()),
                m.read("aluminium", |a| a.size()),
            );
            m.finish();
            Some((up_to?, copper?, aluminium?))
        })?;
        let ratings = rows.iter().map(|(up_to, ..)| up_to.ampere());
        a.ordered(ratings, false, "write the rows by growing rating")?;
        Some(rows)
    });
    if let Some(rows) = rows {
        let proportional = m.optional("proportional", |a| a.word(&[("yes", true), ("no", false)]));
        return Some(LeastGrounding::ByDevice {
            rows,
            proportional: proportional.unwrap_or(false),
        });
    }
    let same_up_to = m.read("same_up_to", |a| a.size());
    let fixed_up_to = m.read("fixed_up_to", |a| a.size());
    Some(LeastGrounding::ByLine(same_up_to?, fixed_up_to?))
}

/// The grade and source of a check, and its own parameters.
fn check<T>(at: At, parameters: impl FnOnce(&MapReader) -> Option<T>) -> Option<(Basis, T)> {
    let m = at.map()?;
    let grade = m.read("grade", |a| a.grade());
    let parameters = parameters(&m);
    let provenance = m.provenance();
    m.finish();
    let basis = Basis {
        grade: grade?,
        provenance: provenance?,
    };
    Some((basis, parameters?))
}

/// A check without parameters.
fn plain(a: At) -> Option<Basis> {
    check(a, |_| Some(())).map(|(basis, ())| basis)
}

fn continuous(a: At) -> Option<ContinuousLoad> {
    let (basis, (factor, full_rated_factor)) = check(a, |m| {
        let factor = m.read("factor", |a| a.number(Kind::FACTOR));
        let full = m.read("full_rated_factor", |a| a.number(Kind::FACTOR));
        Some((factor?, full?))
    })?;
    Some(ContinuousLoad {
        basis,
        factor,
        full_rated_factor,
    })
}

fn overload(a: At) -> Option<Overload> {
    let (basis, (factor, devices, small_fuse)) = check(a, |m| {
        let factor = m.read("factor", |a| a.number(Kind::FACTOR));
        let devices = m.read("devices", |a| {
            let m = a.map()?;
            let all = words(&m, |a| a.number(Kind::FACTOR));
            m.finish();
            all
        });
        let small_fuse = m.optional("small_fuse", |a| {
            let m = a.map()?;
            let below = m.read("below", current);
            let multiple = m.read("multiple", |a| a.number(Kind::FACTOR));
            m.finish();
            Some((below?, multiple?))
        });
        Some((factor?, devices?, small_fuse))
    })?;
    Some(Overload {
        basis,
        factor,
        devices,
        small_fuse,
    })
}

fn small_conductors(a: At) -> Option<SmallConductors> {
    let (basis, limits) = check(a, |m| {
        let unit = m.unit(&AMPERE);
        let mut limits: Vec<(Material, ConductorSize, f64)> = Vec::new();
        for (key, material) in [
            ("copper", Material::Copper),
            ("aluminium", Material::Aluminium),
            ("copper-clad-aluminium", Material::CopperCladAluminium),
        ] {
            let rows = m.optional(key, |a| a.by_size(|a| a.table_number(Kind::CURRENT, unit)));
            limits.extend(
                rows.unwrap_or_default()
                    .into_iter()
                    .map(|(size, limit)| (material, size, limit)),
            );
        }
        Some(limits)
    })?;
    Some(SmallConductors { basis, limits })
}
