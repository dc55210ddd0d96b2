//! A made-up world around a visit file: a day, a folder with a few pictures, a font.

use chrono::NaiveDate;
use warmlug::visit::{self, Diagnostics, ImageError, ImageFacts, Surroundings, Visit};

/// A folder in which every picture exists except those whose names say otherwise.
pub struct World;

impl Surroundings for World {
    fn today(&self) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, 1).unwrap()
    }

    fn image(&self, path: &str) -> Result<ImageFacts, ImageError> {
        match path.rsplit('/').next().unwrap() {
            "missing.jpg" => Err(ImageError::Missing),
            "link.jpg" => Err(ImageError::Outside),
            "locked.jpg" => Err(ImageError::Unreadable("permission denied".into())),
            "note.txt" => Err(ImageError::UnknownFormat),
            "cut.jpg" => Err(ImageError::Damaged("the data end early".into())),
            "huge.png" => Err(ImageError::TooManyPixels {
                pixels: visit::limits::PIXELS + 1,
                limit: visit::limits::PIXELS,
            }),
            "heavy.jpg" => Err(ImageError::TooManyBytes {
                bytes: 64_000_001,
                limit: 64_000_000,
            }),
            _ => Ok(ImageFacts {
                width: 1200,
                height: 900,
            }),
        }
    }

    fn prints(&self, c: char) -> bool {
        matches!(c, ' '..='~' | '\u{a0}'..='\u{17f}' | 'Ω' | '–' | '’' | '−')
    }
}

/// Reads a text as `visit.yaml`.
pub fn read(source: &str) -> Result<Visit, Diagnostics> {
    visit::read(source, "visit.yaml", &World)
}

/// Reads a text that must be sound.
#[track_caller]
pub fn sound(source: &str) -> Visit {
    match read(source) {
        Ok(visit) => visit,
        Err(problems) => panic!("{problems}"),
    }
}

/// The smallest file with a round of readings, to be changed by tests.
pub const SMALL: &str = "\
visit: { number: 2026-0147, date: 2026-10-06, reason: periodic, rules: us }
units: { temperature: °F, torque: in·lb, length: ft }
inspector: { name: Dana Voss }
client: { name: Lee Park, role: owner }
site: { name: 12 Sample Street }
instruments:
  gun: { kind: infrared-thermometer, serial: A1, calibrated: 2026-02-10, calibration_due: 2027-02-10 }
  driver: { kind: torque-screwdriver, serial: B2 }
  tester: { kind: voltage-tester, serial: C3 }
circuits:
  - id: bay-1
    charger: { rated_current: 40 A, connection: hardwired }
    supply: { phases: 1, legs: [L1, L2], voltage: 240 V }
    breaker: { rating: 50 A, poles: 2 }
    conductors: { material: copper, size: 6 AWG, insulation: 90 °C }
    places:
      - id: breaker
        name: Breaker terminals
        connections:
          - { id: breaker-L1, leg: L1, kind: screw-terminal, torque: 45 }
          - { id: breaker-L2, leg: L2, kind: screw-terminal, torque: 45 }
    torque:
      - { connection: breaker-L1, found: moved, left: 45, with: driver }
    looked_at:
      - { place: breaker, seen: clean }
    heat:
      with: gun
      charging_from: \"09:50\"
      rounds:
        - { at: \"09:40\", air: 61, current: 0 A, readings: { breaker-L1: 61, breaker-L2: 61 } }
        - { at: \"10:05\", air: 61, current: 40 A, voltage: 243 V, readings: { breaker-L1: 88, breaker-L2: 80 } }
photos:
  - { id: p1, file: photos/panel.jpg, caption: Panel, marks: { breaker-L1: [0.42, 0.31] } }
";
