//! The jobs of an order as lines of a quote or an invoice (RFC 4180), with times and prices where the firm
//! has a table of them.

use super::from_certificate::Certified;
use crate::assess::{Charging, parts};
use crate::compose::Speaker;
use crate::compose::jobs::Job;
use crate::firm::{Money, Prices};
use crate::register::text_table::{BYTE_ORDER_MARK, guarded};

/// Names of the columns.
pub const COLUMNS: [&str; 23] = [
    "no",
    "certificate",
    "sha256",
    "date",
    "client",
    "site",
    "circuit",
    "place",
    "connections",
    "finding",
    "grade",
    "what",
    "found",
    "action",
    "torque",
    "by",
    "charging",
    "quantity",
    "minutes",
    "work",
    "parts",
    "sum",
    "currency",
];

/// The lines of all jobs, in UTF-8 with a byte-order mark: one for each finding. Without an entry for a
/// finding in the firm's table, its minutes and prices are empty.
///
/// # Errors
/// Writing to memory does not fail; errors of the library are passed on.
pub fn csv(
    certified: &Certified<'_>,
    jobs: &[Job<'_>],
    prices: Option<&Prices>,
) -> Result<Vec<u8>, csv::Error> {
    let speaker = certified.speaker();
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(BYTE_ORDER_MARK.to_vec());
    writer.write_record(COLUMNS)?;
    for (i, job) in jobs.iter().enumerate() {
        let cells = cells(&speaker, &certified.origin.sha256, (i + 1, job), prices);
        writer.write_record(cells.iter().map(|cell| guarded(cell)))?;
    }
    writer.into_inner().map_err(|e| e.into_error().into())
}

fn cells(
    speaker: &Speaker<'_>,
    sha256: &str,
    (number, job): (usize, &Job<'_>),
    prices: Option<&Prices>,
) -> [String; COLUMNS.len()] {
    let visit = speaker.visit;
    let finding = job.finding;
    let points = &job.points;
    let joined = |all: Vec<String>| all.join("; ");
    // Nothing else is beside a line, so the steps for a hot connection are written out.
    let action = speaker.diagnosis(finding).action;
    let place = finding.place.as_deref().and_then(|id| {
        let mut places = job.circuit?.places.iter();
        places.find(|place| place.id == id)
    });
    let place = place.or_else(|| points.first().map(|point| point.place));
    let torques = points.iter().filter_map(|point| {
        let wanted = point.wanted.as_ref()?;
        let torque = speaker.numbers.torque(wanted.torque);
        Some(format!("{} {torque}", point.connection.id).replace('\u{a0}', " "))
    });
    let quantity = points.len().max(1) as u64;
    let price = prices.and_then(|prices| {
        let entry = prices.of(finding.cause, place.and_then(parts::of))?;
        let minutes = u64::from(entry.minutes) * quantity;
        let work = prices.hour.for_minutes(minutes);
        let parts = entry.parts.map(|parts| parts.times(quantity));
        let sum = work.plus(parts.unwrap_or_default());
        Some((minutes, work, parts, sum, &prices.currency))
    });
    let money = |sum: Option<Money>| sum.map_or(String::new(), |sum| sum.to_string());
    [
        number.to_string(),
        visit.number.clone(),
        sha256.to_owned(),
        visit.date.to_string(),
        visit.client.name.clone(),
        visit.site.name.clone(),
        job.circuit.map_or(String::new(), |c| c.title().to_owned()),
        place.map_or(String::new(), |place| place.name.clone()),
        joined(points.iter().map(|p| p.connection.id.clone()).collect()),
        finding.cause.word().to_owned(),
        finding.grade.word().to_owned(),
        job.sentence.name.clone(),
        plain(&job.sentence.text),
        plain(&action),
        joined(torques.collect()),
        // Before the circuit is used again.
        finding
            .deadline
            .map_or(String::new(), |day| day.to_string()),
        match finding.charging {
            Charging::AtMost(most) => format!("{} {} A", finding.charging.word(), most.ampere()),
            other => other.word().to_owned(),
        },
        quantity.to_string(),
        price.map_or(String::new(), |p| p.0.to_string()),
        money(price.map(|p| p.1)),
        money(price.and_then(|p| p.2)),
        money(price.map(|p| p.3)),
        price.map_or(String::new(), |p| p.4.clone()),
    ]
}

/// Text with ordinary spaces only.
fn plain(text: &str) -> String {
    text.replace(['\u{a0}', '\u{202f}'], " ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::{COLUMNS, cells};
    use crate::compose::jobs::Job;
    use crate::compose::{Speaker, Wording};
    use crate::firm::Firm;
    use crate::record::accepted::Accepted;
    use std::collections::HashMap;

    /// The lines of the jobs of six circuits, of which one needs a repair, after a change of the first job.
    fn lines(prices: &str, change: impl Fn(&mut Job<'_>)) -> Vec<HashMap<&'static str, String>> {
        let text = include_str!("../../examples/landlord-six/visit.yaml");
        let visit = crate::visit::read(text, "visit.yaml", &Accepted).unwrap();
        let rules = crate::rules::built_in("us").unwrap();
        let assessment = crate::assess::assess(&visit, rules, &[]);
        let wording = Wording::built_in("en").unwrap();
        let speaker = Speaker::new(&visit, &assessment, rules, wording);
        let firm = format!("firm: {{ name: Ohm Works }}\n{prices}");
        let firm = Firm::read(&firm, "firm.yaml").unwrap();
        let mut jobs = speaker.jobs();
        change(&mut jobs[0]);
        let all = jobs.iter().enumerate().map(|(i, job)| {
            let cells = cells(&speaker, "5a5a", (i + 1, job), firm.prices.as_ref());
            COLUMNS.into_iter().zip(cells).collect()
        });
        all.collect()
    }

    #[test]
    fn a_line_says_whose_circuit_it_is_what_was_found_and_what_is_to_be_done() {
        let all = lines("", |_| {});
        assert_eq!(all.len(), 2);
        let told = |line: usize, column: &str| all[line][column].as_str();
        for (column, first, second) in [
            ("no", "1", "2"),
            ("certificate", "2025-0083", "2025-0083"),
            ("sha256", "5a5a", "5a5a"),
            ("date", "2025-07-22", "2025-07-22"),
            (
                "client",
                "Pellwood Court Lettings",
                "Pellwood Court Lettings",
            ),
            (
                "site",
                "Car park of Pellwood Court",
                "Car park of Pellwood Court",
            ),
            (
                "circuit",
                "Bay 4, fourth from the stair",
                "Bay 6, by the gate",
            ),
            (
                "place",
                "Breaker terminals, car park panel",
                "Terminal block in the charger",
            ),
            ("connections", "breaker-L2", ""),
            ("finding", "poor-joint", "condition"),
            ("grade", "repair", "note"),
            ("torque", "breaker-L2 36 in·lb", ""),
            ("by", "", "2026-01-22"),
            ("charging", "not-at-all", "as-usual"),
            ("quantity", "1", "1"),
            ("currency", "", ""),
        ] {
            assert_eq!(
                (told(0, column), told(1, column)),
                (first, second),
                "{column}"
            );
        }
        assert!(told(0, "found").contains("is poor and gets too hot."));
        assert!(told(0, "action").contains("replace the discolored parts"));
        assert!(told(1, "found").contains("there was dust or insects inside."));
        assert!(told(1, "action").contains("clean the enclosure"));
    }

    /// 40 minutes at 95.00 an hour and parts for 18.50, for each of two connections: 80 minutes are 126.67.
    #[test]
    fn two_connections_take_twice_the_time_and_the_parts_each_at_its_own_torque() {
        let prices = "prices: { currency: CAD, hour: 95, jobs: [{ finding: poor-joint, at: breaker, minutes: 40, parts: 18.50 }] }\n";
        let all = lines(prices, |job| {
            let circuit = job.circuit.unwrap();
            let (place, connection) = circuit
                .connections()
                .find(|(_, c)| c.id == "charger-L1")
                .unwrap();
            let mut other = job.points[0].clone();
            other.place = place;
            other.connection = connection;
            if let Some(wanted) = &mut other.wanted {
                wanted.torque = connection.torque.unwrap();
            }
            job.points.push(other);
        });
        let keys = [
            "connections",
            "torque",
            "quantity",
            "minutes",
            "work",
            "parts",
            "sum",
            "currency",
        ];
        assert_eq!(
            keys.map(|key| all[0][key].as_str()),
            [
                "breaker-L2; charger-L1",
                "breaker-L2 36 in·lb; charger-L1 22 in·lb",
                "2",
                "80",
                "126.67",
                "37.00",
                "163.67",
                "CAD",
            ]
        );
    }
}
