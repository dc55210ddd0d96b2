//! The firm's file: the right instrument, calibration, air, price, number and key on the day of a visit.

use crate::world::{SMALL, sound};
use chrono::NaiveDate;
use std::path::Path;
use warmlug::firm::copied::{References, inspector, referring};
use warmlug::firm::ledger::{self, Purpose};
use warmlug::firm::{Firm, State};
use warmlug::visit::Part;
use warmlug::vocabulary::Cause;

const ONE: &str = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef";
const OTHER: &str = "fedcba9876543210fedcba9876543210fedcba9876543210fedcba9876543210";

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

#[track_caller]
fn firm(more: &str) -> Firm {
    let text = format!(
        "firm: {{ name: Ohm Works, address: 4 Mill Road, phone: 555 0100, email: office@example.com }}\n{more}"
    );
    Firm::read(&text, "firm.yaml").unwrap_or_else(|problems| panic!("{problems}"))
}

#[track_caller]
fn refused(more: &str, told: &str) {
    let text = format!("firm: {{ name: Ohm Works }}\n{more}");
    let problems = Firm::read(&text, "firm.yaml").unwrap_err().to_string();
    assert!(problems.contains(told), "{told}: {problems}");
}

fn keys() -> Firm {
    firm(&format!(
        "technicians:
  - {{ name: Ada Ohm, licence: EC-1, phone: 555 0101, email: ada@example.com, keys: [{{ fingerprint: \"{ONE}\", from: 2026-01-05, revoked: 2026-09-01, because: phone lost }}] }}
  - {{ name: Bo Volt, keys: [{{ fingerprint: \"{OTHER}\" }}] }}
"
    ))
}

#[test]
fn a_key_counts_from_its_first_day_until_the_day_on_which_it_is_revoked() {
    let firm = keys();
    let (ada, key) = firm.key(&ONE.parse_print()).unwrap();
    assert_eq!(ada.name, "Ada Ohm");
    assert_eq!(firm.key(&OTHER.parse_print()).unwrap().0.name, "Bo Volt");
    assert_eq!(
        key.state(day("2026-01-04")),
        State::NotYet(day("2026-01-05"))
    );
    assert_eq!(key.state(day("2026-01-05")), State::Valid);
    assert_eq!(key.state(day("2026-08-31")), State::Valid);
    // On the day itself nobody knows whether the finder of the phone was faster.
    let revoked = State::Revoked(day("2026-09-01"), Some("phone lost".to_owned()));
    assert_eq!(key.state(day("2026-09-01")), revoked);
    assert_eq!(key.state(day("2027-01-01")), revoked);
    assert_eq!(firm.key(&ONE.replace('0', "1").parse_print()), None);
    refused(
        &format!(
            "technicians: [{{ name: A, keys: [{{ fingerprint: \"{ONE}\", from: 2026-02-01, revoked: 2026-01-01 }}] }}]\n"
        ),
        "before the key was valid",
    );
    refused(
        &format!(
            "technicians: [{{ name: A, keys: [{{ fingerprint: \"{ONE}\" }}] }}, {{ name: B, keys: [{{ fingerprint: \"{ONE}\" }}] }}]\n"
        ),
        "one fingerprint is listed twice",
    );
    refused(
        "technicians: [{ name: A }, { name: A }]\n",
        "is listed twice",
    );
}

/// A fingerprint as it is typed.
trait Print {
    fn parse_print(&self) -> warmlug::seal::Fingerprint;
}

impl<T: AsRef<str>> Print for T {
    fn parse_print(&self) -> warmlug::seal::Fingerprint {
        warmlug::seal::Fingerprint::parse(self.as_ref()).unwrap()
    }
}

#[test]
fn a_technicians_own_phone_and_mail_come_before_those_of_the_firm() {
    let firm = keys();
    let ada = inspector(&firm, firm.technician("Ada Ohm").unwrap());
    let text = |t: &Option<String>| t.clone().unwrap_or_default();
    assert_eq!(
        [
            text(&ada.firm),
            text(&ada.address),
            text(&ada.phone),
            text(&ada.email),
            text(&ada.licence)
        ],
        [
            "Ohm Works",
            "4 Mill Road",
            "555 0101",
            "ada@example.com",
            "EC-1"
        ]
    );
    let bo = inspector(&firm, firm.technician("Bo Volt").unwrap());
    assert_eq!(
        [text(&bo.phone), text(&bo.email), text(&bo.licence)],
        ["555 0100", "office@example.com", ""]
    );
    assert_eq!(firm.technician("Bo"), None);
}

const GUNS: &str = "instruments:
  gun-1: { kind: infrared-thermometer, serial: A1, calibrated: 2026-03-01, calibration_due: 2027-03-01, certificate: C-own }
  gun-2: { kind: infrared-thermometer, serial: A2 }
  driver-1: { kind: torque-screwdriver, serial: B1 }
calibrations:
  - { instrument: gun-2, on: 2026-06-01, due: 2027-06-01, certificate: C-3 }
  - { instrument: gun-1, on: 2026-02-01, due: 2027-02-01, certificate: C-1 }
  - { instrument: gun-2, on: 2026-01-01, due: 2027-01-01, certificate: C-2 }
  - { instrument: gun-1, on: 2026-05-01, due: 2027-05-01, certificate: C-4 }
";

#[test]
fn an_instrument_has_its_last_calibration_before_the_visit() {
    let firm = firm(GUNS);
    let on = |id: &str, at: &str| {
        let found = firm.instrument(id, day(at)).unwrap();
        let dates = [found.calibrated, found.calibration_due];
        let dates = dates.map(|d| d.map_or(String::new(), |d| d.to_string()));
        (dates, found.certificate.unwrap_or_default())
    };
    let told = |on: &str, due: &str, certificate: &str| {
        ([on.to_owned(), due.to_owned()], certificate.to_owned())
    };
    // The order in the file does not matter, nor do the calibrations of others.
    assert_eq!(
        on("gun-2", "2026-12-01"),
        told("2026-06-01", "2027-06-01", "C-3")
    );
    assert_eq!(
        on("gun-2", "2026-05-31"),
        told("2026-01-01", "2027-01-01", "C-2")
    );
    assert_eq!(on("gun-2", "2025-12-31"), told("", "", ""));
    // The one written at the instrument counts until a later one.
    assert_eq!(
        on("gun-1", "2026-03-15"),
        told("2026-03-01", "2027-03-01", "C-own")
    );
    assert_eq!(
        on("gun-1", "2026-05-01"),
        told("2026-05-01", "2027-05-01", "C-4")
    );
    assert_eq!(
        on("gun-1", "2026-02-15"),
        told("2026-02-01", "2027-02-01", "C-1")
    );
    // Before any of them, those dates do not apply.
    assert_eq!(on("gun-1", "2026-01-15"), told("", "", ""));
    refused(
        &GUNS.replace(
            "instrument: gun-2, on: 2026-06-01",
            "instrument: gun-3, on: 2026-06-01",
        ),
        "gun-3",
    );
}

#[test]
fn only_what_the_firm_certainly_has_is_written_as_a_name() {
    let own = firm(&format!("technicians: [{{ name: Ada Ohm }}]\n{GUNS}"));
    let text = |inspector: &str, gun: &str, driver: &str| {
        let out = SMALL
            .replace("name: Dana Voss", &format!("name: {inspector}"))
            .replace(
                "serial: A1, calibrated: 2026-02-10, calibration_due: 2027-02-10",
                gun,
            )
            .replace("torque-screwdriver, serial: B2", driver);
        let visit = sound(&out);
        referring(out, &visit, &own)
    };
    let known = text("Ada Ohm", "serial: A2", "torque-screwdriver");
    for told in ["inspector: Ada Ohm\n", "gun: gun-2\n", "driver: driver-1\n"] {
        assert!(known.contains(told), "{told}: {known}");
    }
    // A stranger, another thermometer of the kind, and one of two without a serial number stay as they are.
    let other = text("Bo Volt", "serial: A9", "torque-wrench");
    for told in ["name: Bo Volt", "serial: A9", "kind: torque-wrench"] {
        assert!(other.contains(told), "{told}: {other}");
    }
    let unclear = text("Ada Ohm", "model: X", "torque-screwdriver, serial: B9");
    for told in ["model: X", "serial: B9"] {
        assert!(unclear.contains(told), "{told}: {unclear}");
    }
    // A reference takes the instrument as it was on the day of the visit.
    let refer = "visit: { date: 2026-03-15 }\ninstruments: [gun-2]\n";
    let filled = References::of(refer).filled(refer, &own).unwrap();
    assert!(
        filled.contains("C-2") && !filled.contains("C-3"),
        "{filled}"
    );
}

#[test]
fn the_air_is_that_of_the_site_else_of_its_postcode_else_the_usual_one() {
    let firm = firm(
        "defaults: { hottest_air: 30 °C, units: si, paper: a4, language: de }
hottest_air:
  - { postcode: \"97301\", air: 41 °C }
  - { postcode: \"97302\", air: 42 °C }
  - { site: Mill Lane, air: 43 °C }
",
    );
    let air = |site: &str, address: Option<&str>| {
        firm.hottest_air(site, address).map(|t| t.celsius().round())
    };
    assert_eq!(
        air("mill lane", Some("1 Mill Lane, 97302 Fernhollow")),
        Some(43.0)
    );
    assert_eq!(air("Quay 3", Some("Quay 3, 97302 Fernhollow")), Some(42.0));
    assert_eq!(air("Quay 3, 97301", None), Some(41.0));
    assert_eq!(air("Quay 3", Some("973021 Road")), Some(30.0));
    let source = std::fs::read_to_string("examples/townhouse-first/visit.yaml").unwrap();
    let mut visit = sound(&source);
    visit.site.name = "Mill Lane".to_owned();
    warmlug::firm::usual(&firm, &mut visit);
    assert_eq!(visit.print.units, warmlug::visit::Units::Si);
    assert_eq!(visit.print.paper, warmlug::visit::Paper::A4);
    assert_eq!(visit.print.language, ["de"]);
    assert!(
        visit
            .circuits
            .iter()
            .all(|c| c.hottest_air.map(|t| t.celsius().round()) == Some(43.0))
    );
    refused("hottest_air: [{ air: 41 °C }]\n", "belongs to no place");
}

#[test]
fn a_job_has_the_price_of_its_part_else_of_any_part_else_of_other_jobs() {
    let firm = firm(
        "prices:
  currency: USD
  hour: 95.00
  jobs:
    - { finding: other, minutes: 1 }
    - { finding: other, at: charger, minutes: 2 }
    - { finding: poor-joint, minutes: 3 }
    - { finding: poor-joint, at: breaker, minutes: 4 }
    - { finding: loose-screw, at: breaker, minutes: 5 }
",
    );
    let prices = firm.prices.as_ref().unwrap();
    let minutes = |finding: &str, at: Option<Part>| {
        prices
            .of(Cause::of(finding).unwrap(), at)
            .map(|job| job.minutes)
    };
    let part = |word: &str| <Part as warmlug::vocabulary::Word>::of(word);
    assert_eq!(minutes("poor-joint", part("breaker")), Some(4));
    assert_eq!(minutes("poor-joint", part("charger")), Some(3));
    assert_eq!(minutes("poor-joint", None), Some(3));
    assert_eq!(minutes("loose-screw", part("breaker")), Some(5));
    assert_eq!(minutes("loose-screw", part("charger")), Some(2));
    assert_eq!(minutes("loose-screw", part("receptacle")), Some(1));
    assert_eq!(minutes("loose-screw", None), Some(1));
    refused(
        "prices: { currency: USD, hour: 95, jobs: [{ finding: poor-joint, minutes: 3 }, { finding: poor-joint, minutes: 4 }] }\n",
        "has two prices",
    );
}

#[test]
fn every_device_counts_in_its_own_range_and_no_number_is_given_twice() {
    let firm = firm(
        "numbers: [{ device: van-1, first: 1, last: 3 }, { device: van-2, first: 101, last: 499 }]\n",
    );
    let given = |lines: &str| ledger::parse(lines, Path::new("numbers.csv")).unwrap();
    let list = given(
        "number,date,device,site\n2026-0001,2026-01-01,van-1,A\n2026-0101,2026-01-01,van-2,B\n2026-3,2026-01-01,,C\n2025-0002,2025-01-01,van-1,D\n",
    );
    let next =
        |device: &str| ledger::next(&list, ledger::range(&firm, Some(device)).unwrap(), 2026);
    // A count of less than four digits is no number of the range.
    assert_eq!(next("van-1").unwrap(), "2026-0002");
    assert_eq!(next("van-2").unwrap(), "2026-0102");
    // At the end of the range, what is free below it.
    let full = given("2026-0003,2026-01-01,van-1,A\n2026-0001,2026-01-01,van-1,A\n");
    let range = ledger::range(&firm, Some("van-1")).unwrap();
    assert_eq!(ledger::next(&full, range, 2026).unwrap(), "2026-0002");
    assert!(ledger::range(&firm, None).is_err());
    assert!(ledger::range(&firm, Some("van-3")).is_err());
    assert!(
        ledger::unused(&list, "2026-0001")
            .unwrap_err()
            .to_string()
            .contains('A')
    );
    assert_eq!(ledger::free_from(&list, "2026-0001"), "2026-0002");
    let purpose = Purpose {
        date: day("2026-02-03"),
        site: "Quay 3, \"North\"",
    };
    // A list whose last line was not ended, as an editor may leave it.
    let text = ledger::entered(
        "number,date,device,site\n2026-0001,2026-01-01,van-1,A",
        "2026-0002",
        "van-1",
        purpose,
    );
    let back = given(&text);
    assert_eq!(back.len(), 2, "{text}");
    assert_eq!(
        (back[1].number.as_str(), back[1].site.as_str()),
        ("2026-0002", "Quay 3, \"North\"")
    );
    for (ranges, told) in [
        (
            "{ device: a, first: 1, last: 9 }, { device: b, first: 9, last: 20 }",
            "overlap",
        ),
        (
            "{ device: a, first: 1, last: 9 }, { device: a, first: 10, last: 20 }",
            "has two ranges",
        ),
        ("{ device: a, first: 9, last: 1 }", "is before the first"),
    ] {
        refused(&format!("numbers: [{ranges}]\n"), told);
    }
}

/// Two runs at once: each number is in the list once, whichever way it is given.
#[test]
fn two_runs_at_once_give_no_number_twice() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("numbers.csv");
    let firm = firm("numbers: [{ device: van-1, first: 1, last: 499 }]\n");
    let range = &firm.numbers[0];
    let purpose = Purpose {
        date: day("2027-02-03"),
        site: "A",
    };
    let path = &path;
    let mut numbers: Vec<String> = std::thread::scope(|scope| {
        let runs: Vec<_> = (0..4)
            .map(|n| {
                scope.spawn(move || {
                    let all = (0..25).map(|i| match n {
                        0 | 1 => ledger::give(path, range, purpose).unwrap(),
                        2 => ledger::give_from(path, "2027-0001", purpose).unwrap(),
                        _ => {
                            let typed = format!("typed-{i}");
                            ledger::enter_typed(path, &typed, purpose).unwrap();
                            typed
                        }
                    });
                    all.collect::<Vec<_>>()
                })
            })
            .collect();
        runs.into_iter()
            .flat_map(|run| run.join().unwrap())
            .collect()
    });
    let text = std::fs::read_to_string(path).unwrap();
    let mut listed: Vec<String> = ledger::parse(&text, path)
        .unwrap()
        .into_iter()
        .map(|g| g.number)
        .collect();
    numbers.sort();
    listed.sort();
    assert_eq!(numbers.len(), 100);
    assert_eq!(listed, numbers);
    numbers.dedup();
    assert_eq!(numbers.len(), 100);
    // The year of a number is that of the visit.
    assert!(
        listed
            .iter()
            .all(|n| n.starts_with("2027-") || n.starts_with("typed-")),
        "{listed:?}"
    );
    assert!(ledger::enter_typed(path, "typed-3", purpose).is_err());
}
