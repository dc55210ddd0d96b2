//! Any valid visit, made from a row of random numbers.

use chrono::NaiveDate;
use proptest::prelude::*;
use warmlug::quantity::{
    ConductorSize, Current, Duration, Length, Percentage, Quantity, Ratio, Resistance, Temperature,
    TemperatureDifference, TimeOfDay, Torque, Unit, Voltage,
};
use warmlug::visit::{
    Accuracy, Breaker, Charger, ChargerConnection, Circuit, Client, Condition, Conductors,
    Connection, ConnectionKind, CutShort, Disconnect, Disconnector, Earthing, Grade, GroundFault,
    HalfWidth, Heat, Inspector, Instrument, InstrumentKind, Isolation, Judgement, LeftAs,
    LeftState, LoadManagement, LookedAt, MarkedFor, Material, Moment, NotRead, OvercurrentDevice,
    Paper, Part, Photo, Place, Print, ProductStandard, Rcd, Reading, Reason, Receptacle,
    ReceptacleGrade, Removed, Repair, RepairDone, Replaces, ResidualCurrentDevice, Role, Round,
    Site, Supply, Surface, System, TorqueCheck, TorqueFound, Units, Visit, When, WhyNotRead,
    Wiring,
};
use warmlug::vocabulary::{Cause, CauseId, CheckId};

/// Any visit that a file can say.
pub fn any_visit() -> impl Strategy<Value = Visit> {
    proptest::collection::vec(any::<u32>(), 600).prop_map(|numbers| Dice { numbers, at: 0 }.visit())
}

/// Random numbers, used up one after the other.
struct Dice {
    numbers: Vec<u32>,
    at: usize,
}

impl Dice {
    fn roll(&mut self) -> u32 {
        let n = self.numbers[self.at % self.numbers.len()];
        self.at += 1;
        n
    }

    fn below(&mut self, n: usize) -> usize {
        self.roll() as usize % n
    }

    fn flag(&mut self) -> bool {
        self.below(2) == 1
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }

    fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.flag().then(|| make(self))
    }

    /// A number between limits: mostly with one decimal as people write, sometimes with all
    /// digits.
    fn number(&mut self, least: f64, most: f64) -> f64 {
        let x = least + (most - least) * f64::from(self.roll()) / f64::from(u32::MAX);
        if self.below(4) == 0 {
            x
        } else {
            ((x * 10.0).round() / 10.0).clamp(least, most)
        }
    }

    fn temperature(&mut self) -> Temperature {
        if self.flag() {
            Temperature::from_fahrenheit(self.number(-30.0, 480.0))
        } else {
            Temperature::from_celsius(self.number(-30.0, 240.0))
        }
    }

    fn rating(&mut self) -> Temperature {
        Temperature::from_celsius(self.pick(&[60.0, 70.0, 75.0, 90.0]))
    }

    fn torque(&mut self) -> Torque {
        if self.flag() {
            Torque::from_pound_force_inch(self.number(5.0, 600.0))
        } else {
            Torque::from_newton_metre(self.number(0.5, 60.0))
        }
    }

    fn length(&mut self) -> Length {
        match self.below(3) {
            0 => Length::from_foot(self.number(0.5, 60.0)),
            1 => Length::from_metre(self.number(0.2, 25.0)),
            _ => Length::from_inch(self.number(1.0, 30.0)),
        }
    }

    /// A text with everything that could trip a YAML reader.
    fn text(&mut self) -> String {
        const PARTS: [&str; 24] = [
            "Panel", ": ", " #", "12", "\"", "'", "\\", "{", "]", ", ", "&", "*", "!", "é", "°F",
            "null", "yes", "- ", "%", "@", "?", "|", " ", "~",
        ];
        let n = 1 + self.below(6);
        let text: String = (0..n).map(|_| self.pick(&PARTS)).collect();
        let text = text.trim();
        if text.is_empty() {
            "null".into()
        } else {
            text.into()
        }
    }

    fn lines(&mut self) -> String {
        let mut out = self.text();
        for _ in 0..self.below(3) {
            out.push('\n');
            if self.flag() {
                out.push_str("  ");
            }
            out.push_str(&self.text());
        }
        out
    }

    fn date(&mut self) -> NaiveDate {
        let days = self.below(3000) as u64;
        NaiveDate::from_ymd_opt(2018, 1, 1).unwrap() + chrono::Days::new(days)
    }

    fn visit(&mut self) -> Visit {
        let date = self.date();
        let instruments = self.instruments(date);
        let circuits: Vec<Circuit> = (0..1 + self.below(2))
            .map(|i| self.circuit(i, &instruments))
            .collect();
        let photos = (0..self.below(3))
            .map(|i| self.photo(i, &circuits))
            .collect();
        let judgement = (0..self.below(3))
            .map(|_| self.judgement(&circuits))
            .collect();
        let number = self.text();
        Visit {
            date,
            reason: self.pick(&[
                Reason::First,
                Reason::Periodic,
                Reason::AfterRepair,
                Reason::ChangeOfOwner,
            ]),
            rules: self.pick(&["us", "iec", "rules/our firm.yaml"]).to_owned(),
            firm: self.maybe(|_| "../firm.yaml".to_owned()),
            edition: self.maybe(|d| d.pick(&["2020", "2023"]).to_owned()),
            zone: self.maybe(|d| d.pick(&["-05:00", "+05:30", "+00:00"]).to_owned()),
            replaces: self.maybe(|_| Replaces {
                // Another one than its own.
                number: format!("before {number}"),
                sha256: "0123456789abcdef".repeat(4),
            }),
            number,
            print: Print {
                units: self.pick(&[Units::Us, Units::Si]),
                paper: self.pick(&[Paper::Letter, Paper::A4]),
                language: if self.flag() {
                    vec!["en".into()]
                } else {
                    vec!["de".into(), "es".into()]
                },
                appendix: self.flag(),
            },
            inspector: Inspector {
                name: self.text(),
                licence: self.maybe(Self::text),
                firm: self.maybe(Self::text),
                address: self.maybe(Self::lines),
                phone: self.maybe(Self::text),
                email: self.maybe(Self::text),
                signature_image: self.maybe(|_| "signature.png".into()),
                logo: self.maybe(|_| "pictures/our logo.png".into()),
                accent: self.maybe(|d| {
                    warmlug::quantity::contrast::readable(
                        d.roll().to_be_bytes()[..3].try_into().unwrap(),
                    )
                }),
            },
            client: Client {
                name: self.text(),
                role: self.pick(&[Role::Owner, Role::Landlord, Role::Tenant, Role::Insurer]),
                address: self.maybe(Self::lines),
            },
            site: Site {
                name: self.text(),
                address: self.maybe(Self::lines),
            },
            instruments,
            circuits,
            photos,
            earlier: (0..self.below(3))
                .map(|i| format!("../{i}/certificate.pdf"))
                .collect(),
            judgement,
            remarks: self.maybe(Self::lines),
            cut_short: self.maybe(|d| CutShort {
                why: d.lines(),
                return_on: d.maybe(|_| NaiveDate::from_ymd_opt(2027, 1, 2).unwrap()),
            }),
        }
    }

    fn instruments(&mut self, visit: NaiveDate) -> Vec<Instrument> {
        use InstrumentKind as K;
        let kinds = [
            K::InfraredThermometer,
            K::TorqueScrewdriver,
            K::VoltageTester,
            K::ClampMeter,
            K::ThermalImager,
        ];
        kinds
            .iter()
            .map(|kind| self.instrument(*kind, visit))
            .collect()
    }

    fn instrument(&mut self, kind: InstrumentKind, visit: NaiveDate) -> Instrument {
        use InstrumentKind as K;
        let infrared = matches!(kind, K::InfraredThermometer | K::ThermalImager);
        let calibrated = self.maybe(|d| visit - chrono::Days::new(d.below(900) as u64));
        let at_least = self.maybe(|d| match kind {
            K::TorqueScrewdriver => {
                HalfWidth::Torque(Torque::from_newton_metre(d.number(0.1, 2.0)))
            }
            K::VoltageTester => HalfWidth::Voltage(Voltage::from_volt(d.number(0.5, 5.0))),
            K::ClampMeter => HalfWidth::Current(Current::from_ampere(d.number(0.1, 2.0))),
            _ => HalfWidth::Temperature(TemperatureDifference::from_kelvin(d.number(0.5, 4.0))),
        });
        let of_reading = self.maybe(|d| Percentage::from_fraction(d.pick(&[0.01, 0.02, 0.015])));
        let accuracy = (at_least.is_some() || of_reading.is_some()).then_some(Accuracy {
            of_reading,
            at_least,
        });
        let infrared_only = |d: &mut Self| infrared && d.flag();
        Instrument {
            id: format!(
                "{}-{}",
                ["gun", "driver", "tester", "clamp", "imager"][kind_index(kind)],
                1
            ),
            kind,
            model: self.maybe(Self::text),
            serial: self.maybe(Self::text),
            calibrated,
            calibration_due: calibrated.map(|d| d + chrono::Days::new(365)),
            certificate: self.maybe(Self::text),
            accuracy,
            repeatability: (infrared && self.flag())
                .then(|| TemperatureDifference::from_kelvin(self.number(0.05, 1.0))),
            emissivity: infrared_only(self).then(|| Ratio::from_value(0.95)),
            confirmed: infrared_only(self),
            reflected: infrared_only(self).then(|| Temperature::from_celsius(20.5)),
            distance_to_spot: infrared_only(self).then(|| Ratio::from_value(12.0)),
            band_um: infrared_only(self).then_some([7.5, 14.0]),
        }
    }

    fn circuit(&mut self, index: usize, instruments: &[Instrument]) -> Circuit {
        let (phases, legs): (u8, &[&str]) = self.pick(&[
            (1, &["L1", "L2"][..]),
            (1, &["L1", "N"]),
            (3, &["L1", "L2", "L3", "N"]),
            (3, &["L1", "L2", "L3"]),
        ]);
        let mut serial = 0;
        let places: Vec<Place> = (0..1 + self.below(3))
            .map(|p| Place {
                id: format!("place-{p}"),
                name: self.text(),
                part: self.maybe(|d| d.pick(&Part::ALL)),
                closed: false,
                connections: (0..1 + self.below(3))
                    .map(|_| {
                        serial += 1;
                        self.connection(serial, legs)
                    })
                    .collect(),
            })
            .collect();
        let ids: Vec<(String, String)> = places
            .iter()
            .flat_map(|p| p.connections.iter().map(|c| (p.id.clone(), c.id.clone())))
            .collect();
        let plug = self.flag();
        let tool = instruments[1].id.clone();
        let torque = ids.iter().filter_map(|(_, id)| {
            self.maybe(|d| TorqueCheck {
                cooled_to: d.maybe(|d| Temperature::from_fahrenheit(d.number(50.0, 90.0))),
                connection: id.clone(),
                found: match d.below(3) {
                    0 => TorqueFound::Held,
                    1 => TorqueFound::Moved,
                    _ => TorqueFound::Value(d.torque()),
                },
                left: d.maybe(Self::torque),
                with: d.maybe(|_| tool.clone()),
                when: d.maybe(Self::when),
                confirmed: d.flag(),
            })
        });
        let torque = torque.collect();
        let looked_at = ids.iter().filter_map(|(place, id)| {
            self.maybe(|d| LookedAt {
                place: place.clone(),
                seen: if d.flag() {
                    vec![Condition::Clean]
                } else {
                    vec![Condition::Discoloured, Condition::Dust]
                },
                note: d.maybe(Self::lines),
                connection: d.maybe(|_| id.clone()),
                cleaned: d.flag(),
            })
        });
        let looked_at = looked_at.collect();
        let not_read = ids.iter().filter_map(|(place, id)| {
            self.maybe(|d| NotRead {
                place: place.clone(),
                connection: d.maybe(|_| id.clone()),
                why: d.pick(&WhyNotRead::ALL),
                note: d.maybe(Self::text),
            })
        });
        let not_read = not_read.collect();
        let gun = instruments[0].id.clone();
        let repairs = ids.iter().filter_map(|(_, id)| {
            self.maybe(|d| {
                let done = d.pick(&RepairDone::ALL);
                let cooled_to = d.maybe(|d| Temperature::from_fahrenheit(d.number(50.0, 90.0)));
                Repair {
                    connection: id.clone(),
                    done,
                    part: (done == RepairDone::PartReplaced).then(|| d.text()),
                    at: d.time(),
                    cooled_to,
                    with: cooled_to.and_then(|_| d.maybe(|_| gun.clone())),
                }
            })
        });
        let repairs = repairs.collect();
        Circuit {
            id: format!("bay-{index}"),
            // No two of one name.
            name: self.maybe(Self::text).map(|name| match index {
                0 => name,
                _ => format!("{name} {index}"),
            }),
            charger: Charger {
                make: self.maybe(Self::text),
                model: self.maybe(Self::text),
                serial: self.maybe(Self::text),
                rated_current: Current::from_ampere(self.number(6.0, 80.0)),
                connection: if plug {
                    ChargerConnection::Receptacle
                } else {
                    ChargerConnection::Hardwired
                },
                settings: self
                    .maybe(|_| [6.0, 16.0, 24.5, 32.0].map(Current::from_ampere).to_vec())
                    .unwrap_or_default(),
                current_setting: self.maybe(|_| Current::from_ampere(6.0)),
                setting_restricted: self.maybe(Self::flag),
            },
            supply: Supply {
                phases,
                legs: legs.iter().map(|l| (*l).to_owned()).collect(),
                voltage: Voltage::from_volt(self.number(100.0, 480.0)),
                system: self.maybe(|d| d.pick(&[System::Wye, System::Delta])),
                pen_protected: None,
                earth_resistance: self.maybe(|d| Resistance::from_ohm(d.number(1.0, 2000.0))),
                earthing: self.maybe(|d| d.pick(&[Earthing::Tn, Earthing::Tt])),
            },
            breaker: Breaker {
                kind: self.maybe(|d| {
                    d.pick(&[
                        OvercurrentDevice::Mcb,
                        OvercurrentDevice::Mccb,
                        OvercurrentDevice::Fuse,
                    ])
                }),
                rating: Current::from_ampere(self.pick(&[20.0, 50.0, 60.0])),
                poles: self.maybe(|d| d.pick(&[1, 2, 3, 4])),
                terminal_rating: self.maybe(Self::rating),
                ground_fault: self.pick(&[
                    GroundFault::None,
                    GroundFault::Gfci,
                    GroundFault::Gfpe,
                    GroundFault::Unknown,
                ]),
                full_rated: self.flag(),
                ambient: self.maybe(|d| Temperature::from_fahrenheit(d.number(60.0, 130.0))),
                side_by_side: self.maybe(|d| d.pick(&[1, 3, 12])),
            },
            conductors: self.conductors(),
            feeder: self.maybe(Self::conductors),
            receptacle: (plug && self.flag()).then(|| Receptacle {
                configuration: "14-50".into(),
                grade: self
                    .maybe(|d| d.pick(&[ReceptacleGrade::Residential, ReceptacleGrade::EvListed])),
                rating: self.maybe(Self::rating),
                wet_location: self.maybe(Self::flag),
            }),
            disconnect: self.maybe(|d| Disconnect {
                kind: d.maybe(|d| d.pick(&Disconnector::ALL)),
                in_sight: Some(d.flag()),
                lockable: d.maybe(Self::flag),
                plaque: d.maybe(Self::flag),
            }),
            dedicated: self.maybe(Self::flag),
            outdoors: self.maybe(Self::flag),
            load_management: self.maybe(|d| LoadManagement {
                limit: Current::from_ampere(d.number(40.0, 200.0)),
                restricted: d.maybe(Self::flag),
            }),
            rcd: self.maybe(Self::residual_current_device),
            hottest_air: self.maybe(|d| Temperature::from_fahrenheit(d.number(60.0, 130.0))),
            places,
            removed: self
                .maybe(|d| Removed {
                    connection: None,
                    place: Some("gone".into()),
                    circuit: None,
                    why: d.text(),
                })
                .into_iter()
                .collect(),
            not_read,
            isolation: (0..self.below(3))
                .map(|_| self.isolation(legs, &instruments[2].id))
                .collect(),
            torque,
            looked_at,
            heat: self.maybe(|d| {
                let gun = d.pick(&[0, 4]);
                d.heat(&ids, &instruments[gun].id)
            }),
            repairs,
            heat_after: None,
            left_as: self.maybe(Self::left_as),
        }
    }

    fn residual_current_device(&mut self) -> ResidualCurrentDevice {
        ResidualCurrentDevice {
            kind: self.pick(&[Rcd::None, Rcd::Ac, Rcd::A, Rcd::F, Rcd::A6mA, Rcd::B]),
            rating: self.maybe(|d| Current::from_ampere(d.pick(&[0.01, 0.03, 0.1, 0.3]))),
            dc_detection: self.maybe(Self::flag),
            trip_time: self
                .maybe(|d| Duration::of(d.number(8.0, 300.0).round(), Unit::Millisecond)),
        }
    }

    fn connection(&mut self, serial: usize, legs: &[&str]) -> Connection {
        Connection {
            id: format!("c{serial}"),
            leg: match self.below(5) {
                0 => self.pick(&["N", "G", "PE"]).into(),
                _ => self.pick(legs).into(),
            },
            kind: self.pick(&[
                ConnectionKind::ScrewTerminal,
                ConnectionKind::Lug,
                ConnectionKind::Splice,
                ConnectionKind::Blade,
                ConnectionKind::BusStab,
                ConnectionKind::SpringClamp,
            ]),
            torque: self.maybe(Self::torque),
            screw: self.maybe(|_| "hex-3/16".into()),
            surface: self.maybe(|d| {
                d.pick(&[
                    Surface::Insulation,
                    Surface::Tape,
                    Surface::OxidisedAluminium,
                    Surface::BareMetal,
                ])
            }),
            emissivity: self.maybe(|d| Ratio::from_value(d.number(0.1, 1.0))),
            width: self.maybe(|d| Length::from_metre(d.number(0.002, 0.04))),
            rating: self.maybe(Self::rating),
            standard: self.maybe(|d| {
                d.pick(&[
                    ProductStandard::Iec60898,
                    ProductStandard::Iec60947,
                    ProductStandard::Iec60947Breaker,
                    ProductStandard::Iec61439,
                ])
            }),
            marked: self
                .maybe(|d| d.pick(&[MarkedFor::Copper, MarkedFor::Aluminium, MarkedFor::Both])),
            remade: self.flag(),
        }
    }

    fn conductors(&mut self) -> Conductors {
        Conductors {
            protected_by: None,
            terminal_rating: None,
            grounding: None,
            parallel: None,
            material: self.pick(&[
                Material::Copper,
                Material::Aluminium,
                Material::CopperCladAluminium,
            ]),
            size: self.pick(&[
                ConductorSize::Awg(6),
                ConductorSize::Awg(-1),
                ConductorSize::Kcmil(250),
                ConductorSize::Mm2(2.5),
            ]),
            insulation: self.rating(),
            wiring: self.maybe(|d| d.pick(&[Wiring::NmCable, Wiring::Conduit, Wiring::Cable])),
            length: self.maybe(|d| Length::from_foot(d.number(1.0, 300.0))),
            current_carrying: self.maybe(|d| d.pick(&[2, 3, 4, 9])),
            ambient: self.maybe(|d| Temperature::from_celsius(d.number(10.0, 60.0))),
            stranded: self.maybe(Self::flag),
            method: self.maybe(|_| "B1".into()),
            circuits_together: self.maybe(|d| d.pick(&[1, 2, 9])),
            load: self.maybe(|d| Current::from_ampere(d.number(0.0, 100.0))),
        }
    }

    fn isolation(&mut self, legs: &[&str], tester: &str) -> Isolation {
        let mut pairs: Vec<String> = legs
            .windows(2)
            .map(|p| format!("{}-{}", p[0], p[1]))
            .collect();
        pairs.extend(legs.iter().map(|l| format!("{l}-G")));
        Isolation {
            tester: self.maybe(|_| tester.to_owned()),
            proved_before: self.maybe(|d| Voltage::from_volt(d.number(100.0, 480.0))),
            dead: pairs
                .into_iter()
                .filter_map(|p| self.maybe(|d| (p, Voltage::from_volt(d.number(0.0, 3.0)))))
                .collect(),
            proved_after: self.maybe(|d| Voltage::from_volt(d.number(100.0, 480.0))),
            locked: Some(self.flag()),
            when: self.maybe(Self::when),
        }
    }

    fn time(&mut self) -> TimeOfDay {
        TimeOfDay::from_hms(self.below(24) as u32, self.below(60) as u32, 0).unwrap()
    }

    fn when(&mut self) -> When {
        match self.below(3) {
            0 => When::Before,
            1 => When::After,
            _ => When::At(self.time()),
        }
    }

    fn left_as(&mut self) -> LeftAs {
        let state = self.pick(&LeftState::ALL);
        LeftAs {
            state,
            current: (state == LeftState::Limited)
                .then(|| Current::from_ampere(self.number(6.0, 40.0))),
            key: match state {
                LeftState::OffAndLocked => self.maybe(Self::text),
                LeftState::InUse | LeftState::Limited => None,
            },
            note: self.maybe(Self::text),
        }
    }

    fn heat(&mut self, ids: &[(String, String)], gun: &str) -> Heat {
        // Minutes from midnight at the start of the visit's day.
        let mut minute = self.below(1440);
        let moment = |minute: usize| Moment {
            day: u8::try_from(minute / 1440).unwrap(),
            time: TimeOfDay::from_hms((minute / 60 % 24) as u32, (minute % 60) as u32, 0).unwrap(),
            jump_s: 0,
        };
        let mut rounds = Vec::new();
        let mut charging_from = None;
        let baseline = self.flag();
        for i in 0..1 + self.below(4) {
            if i > 0 || !baseline {
                if charging_from.is_none() {
                    charging_from = Some(moment(minute));
                }
                minute += 5 + self.below(90);
            }
            let loaded = charging_from.is_some();
            rounds.push(Round {
                at: moment(minute),
                air: self.maybe(|d| Temperature::from_fahrenheit(d.number(-20.0, 110.0))),
                confirmed: false,
                current: Current::from_ampere(if loaded { self.number(0.0, 80.0) } else { 0.0 }),
                legs: Vec::new(),
                voltage: self.maybe(|d| Voltage::from_volt(d.number(100.0, 480.0))),
                readings: ids
                    .iter()
                    .enumerate()
                    .filter(|(n, _)| *n == 0 || self.flag())
                    .map(|(_, (_, id))| id.clone())
                    .collect::<Vec<_>>()
                    .into_iter()
                    .map(|id| (id, self.reading()))
                    .collect(),
            });
            if i == 0 && baseline {
                minute += 1 + self.below(20);
            }
        }
        Heat {
            with: gun.to_owned(),
            charging_from,
            rounds,
        }
    }

    fn reading(&mut self) -> Reading {
        Reading {
            temperatures: (0..1 + self.below(2)).map(|_| self.temperature()).collect(),
            distance: self.maybe(Self::length),
            reflected: self.maybe(|d| Temperature::from_celsius(d.number(0.0, 40.0))),
            drop: self.maybe(|d| Voltage::from_volt(d.number(0.001, 0.2))),
            confirmed: self.flag(),
        }
    }

    fn photo(&mut self, index: usize, circuits: &[Circuit]) -> Photo {
        let circuit = &circuits[self.below(circuits.len())];
        let marks: Vec<(String, [f64; 2])> = circuit
            .connections()
            .map(|(_, c)| c.id.clone())
            .collect::<Vec<_>>()
            .into_iter()
            .filter_map(|id| self.maybe(|d| (id, [d.number(0.0, 1.0), d.number(0.0, 1.0)])))
            .collect();
        Photo {
            id: format!("p{index}"),
            file: format!("photos/{index} panel.jpg"),
            caption: self.lines(),
            circuit: (!marks.is_empty() || self.flag()).then(|| circuit.id.clone()),
            marks,
            keep_place: self.flag(),
        }
    }

    fn judgement(&mut self, circuits: &[Circuit]) -> Judgement {
        let circuit = &circuits[self.below(circuits.len())];
        Judgement {
            finding: if self.flag() {
                Cause::Check(self.pick(&CheckId::ALL))
            } else {
                Cause::Known(self.pick(&CauseId::ALL))
            },
            circuit: Some(circuit.id.clone()),
            place: self.maybe(|_| circuit.places[0].id.clone()),
            connection: self.maybe(|_| circuit.places[0].connections[0].id.clone()),
            seen: None,
            grade: self.pick(&Grade::ALL),
            because: self.lines(),
        }
    }
}

fn kind_index(kind: InstrumentKind) -> usize {
    match kind {
        InstrumentKind::InfraredThermometer => 0,
        InstrumentKind::TorqueScrewdriver => 1,
        InstrumentKind::VoltageTester => 2,
        InstrumentKind::ClampMeter => 3,
        _ => 4,
    }
}
