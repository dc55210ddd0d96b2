use super::super::measured::{Equipment, Point};
use super::super::row::Row;
use super::super::row::tests::row;
use super::*;
use crate::register::current;

/// A point that was found in a grade.
fn point(connection: &str, part: &str, grade: &str, rise: f64) -> Point {
    Point {
        connection: connection.to_owned(),
        place: part.to_owned(),
        part: Some(part.to_owned()),
        kind: "screw-terminal".to_owned(),
        worst_grade: grade.to_owned(),
        rise_at_rated_k: Some(rise),
        rise_uncertainty_k: Some(2.0),
        margin_k: Some(30.0 - rise),
        fresh: false,
    }
}

/// A circuit at a site, whose receptacle and charger were found in these grades.
fn circuit(n: usize, receptacle: &str, make: &str, grades: [&str; 2]) -> Row {
    let date = format!("2024-{:02}-{:02}", 1 + n % 12, 1 + n % 28);
    Row {
        site: Some(format!("{n} Mill Lane")),
        charger_make: Some(make.to_owned()),
        equipment: Some(Equipment {
            charger_model: Some("M1".to_owned()),
            receptacle: Some(receptacle.to_owned()),
            breaker: Some("mcb, 50 A".to_owned()),
            conductors: Some("copper".to_owned()),
        }),
        thermometer: Some("G1".to_owned()),
        points: vec![
            point("breaker-L1", "breaker", "pass", 10.0),
            point("receptacle-L1", "receptacle", grades[0], 12.0),
            point("charger-L1", "charger", grades[1], 11.0),
        ],
        ..row(&format!("{n}"), "bay", &date, Some("2027-01-01"))
    }
}

fn shown(rows: &[Row]) -> Fleet {
    let mut rows = rows.to_vec();
    current::mark(&mut rows);
    fleet(&rows, &Wanted::default())
}

fn named(fleet: &Fleet) -> Vec<&str> {
    fleet
        .stands_out
        .iter()
        .map(|s| s.group.value.as_str())
        .collect()
}

/// 16 circuits with a bad receptacle, of which 12 failed, and 48 with a sound one, of which 3 failed. A
/// make of charger is at most of the bad ones, and at 8 sound ones.
fn planted() -> Vec<Row> {
    (0..64)
        .map(|n| {
            let bad = n < 16;
            let failed = n < 12 || (16..19).contains(&n);
            let make = match n {
                0..12 | 16..24 => "Kestrel Works",
                _ if n % 2 == 0 => "Harrow",
                _ => "Linnet",
            };
            let receptacle = if bad {
                "14-50, residential"
            } else {
                "14-50, industrial"
            };
            circuit(
                n,
                receptacle,
                make,
                [if failed { "repair" } else { "pass" }, "pass"],
            )
        })
        .collect()
}

#[test]
fn a_planted_bad_part_is_found_and_a_sound_one_is_not_accused() {
    let found = shown(&planted());
    assert_eq!((found.circuits, found.visits), (64, 64));
    assert_eq!(
        named(&found),
        ["14-50, residential"],
        "{:?}",
        found.stands_out
    );
    let [bad] = &found.stands_out[..] else {
        unreachable!()
    };
    assert_eq!(
        (bad.group.what, bad.group.worse),
        (What::Receptacle, Worse::Repair)
    );
    assert_eq!((bad.group.group.failed, bad.group.group.circuits), (12, 16));
    assert_eq!((bad.group.rest.failed, bad.group.rest.circuits), (3, 48));
    assert_eq!((bad.properties, bad.or.len()), (12, 0));
    // By hand (Wilson): 12/16 is 0.505 to 0.898, 3/48 is 0.021 to 0.168.
    let [low, high] = bad.group.group.interval.unwrap();
    assert!(
        (low - 0.5050).abs() < 5e-4 && (high - 0.8982).abs() < 5e-4,
        "{low} {high}"
    );
    let [low, high] = bad.group.rest.interval.unwrap();
    assert!(
        (low - 0.0215).abs() < 5e-4 && (high - 0.1684).abs() < 5e-4,
        "{low} {high}"
    );
    // The make that most of the bad ones have is not judged by the receptacle, and neither is the part.
    let make = |value: &str| {
        let mut all = found.groups.iter();
        all.find(|g| g.value == value && g.worse == Worse::Repair)
            .unwrap()
    };
    assert_eq!(make("Kestrel Works").group.failed, 0);
    assert_eq!(make("receptacle, screw-terminal").group.failed, 15);
}

#[test]
fn nothing_is_named_where_all_are_alike() {
    let rows: Vec<Row> = (0..64)
        .map(|n| {
            let failed = if n % 5 == 0 { "repair" } else { "watch" };
            let receptacle = if n % 2 == 0 { "14-50" } else { "6-50" };
            let make = ["Harrow", "Linnet", "Kestrel Works"][n % 3];
            let mut row = circuit(n, receptacle, make, [failed, failed]);
            row.points[0].worst_grade = failed.to_owned();
            row
        })
        .collect();
    assert_eq!(named(&shown(&rows)), [""; 0]);
}

/// A make of so many circuits, of which so many failed at so many properties, beside 40 that did not.
fn make(circuits: usize, failed: usize, properties: usize) -> Vec<Row> {
    (0..40 + circuits)
        .map(|n| {
            let own = n < circuits;
            let grade = if n < failed { "stop" } else { "pass" };
            let mut row = circuit(
                n,
                "14-50",
                if own { "Kestrel Works" } else { "Harrow" },
                ["pass", grade],
            );
            if own {
                row.site = Some(format!("{} Elm Row", n % properties));
                row.circuit = Some(format!("bay-{n}"));
            }
            row
        })
        .collect()
}

#[test]
fn the_rule_holds_on_both_sides_of_each_limit() {
    let makes = |rows: &[Row]| -> Vec<String> {
        let found = shown(rows);
        let makes = found
            .stands_out
            .iter()
            .filter(|s| matches!(s.group.what, What::ChargerMake | What::ChargerModel));
        makes.map(|s| s.group.value.clone()).collect()
    };
    assert_eq!(makes(&make(10, 4, 3)), ["Kestrel Works M1"]);
    assert_eq!(makes(&make(9, 4, 3)), [""; 0], "nine circuits");
    assert_eq!(makes(&make(10, 3, 3)), [""; 0], "three cases");
    assert_eq!(makes(&make(3, 3, 3)), [""; 0], "three cases, and no other");
    assert_eq!(makes(&make(10, 4, 2)), [""; 0], "two properties");
    // 4 of 10 and 1 of 40: the intervals are apart (0.168 and 0.129), but in 14 comparisons as much is found
    // by chance with a probability of 14 · 0.00408 = 0.057, see the test of chances.
    let mut chance = make(10, 4, 3);
    chance[49].points[2].worst_grade = "repair".to_owned();
    assert_eq!(shown(&chance).rule.comparisons, 14);
    assert_eq!(makes(&chance), [""; 0], "by chance");
    // As many have to be left beside it.
    assert_eq!(makes(&make(10, 8, 3)[..20]), ["Kestrel Works M1"]);
    assert_eq!(makes(&make(10, 8, 3)[..19]), [""; 0], "nine others");
    // Where one in four of all fails, four of ten are nothing special.
    let mut many = make(10, 4, 3);
    for row in many.iter_mut().skip(10).step_by(4) {
        row.points[2].worst_grade = "repair".to_owned();
    }
    assert_eq!(makes(&many), [""; 0]);
}

#[test]
fn what_cannot_be_told_apart_is_named_together() {
    let found = shown(&make(12, 10, 12));
    let [only] = &found.stands_out[..] else {
        panic!("{:?}", named(&found))
    };
    assert_eq!(only.group.what, What::ChargerModel);
    assert_eq!(only.or, ["charger make Kestrel Works"]);
}

#[test]
fn a_circuit_counts_once_and_by_the_worst_of_its_visits() {
    let mut rows = make(10, 4, 3);
    let again: Vec<Row> = rows[..4]
        .iter()
        .flat_map(|row| (0..3).map(move |year| (row, year)))
        .map(|(row, year)| {
            let number = format!("{}-{year}", row.number.clone().unwrap());
            Row {
                sha256: format!("sha of {number}"),
                date: Some(format!("202{}-06-01", 5 + year).parse().unwrap()),
                number: Some(number),
                points: vec![point("charger-L1", "charger", "pass", 5.0)],
                ..row.clone()
            }
        })
        .collect();
    rows.extend(again);
    let found = shown(&rows);
    assert_eq!((found.circuits, found.visits), (50, 62));
    let first = &found.stands_out[0].group.group;
    assert_eq!((first.circuits, first.failed), (10, 4));
}

#[test]
fn spellings_of_one_make_are_one_group() {
    let mut rows = make(10, 4, 3);
    rows[0].charger_make = Some("KESTREL  works".to_owned());
    let found = shown(&rows);
    let makes = found
        .groups
        .iter()
        .filter(|g| g.what == What::ChargerMake && g.worse == Worse::Repair);
    let makes: Vec<(&str, usize)> = makes
        .map(|g| (g.value.as_str(), g.group.circuits))
        .collect();
    assert_eq!(makes, [("Harrow", 40), ("Kestrel Works", 10)]);
}

/// Circuits with a visit each year, read with these thermometers, whose connections grow by so much a
/// year; `extra` is what a thermometer reads more.
fn visited(count: usize, with: &[&str], growth: f64, extra: impl Fn(&str) -> f64) -> Vec<Row> {
    (0..count)
        .flat_map(|n| {
            with.iter()
                .enumerate()
                .map(move |(year, gun)| (n, year, *gun))
                .collect::<Vec<_>>()
        })
        .map(|(n, year, gun)| {
            let number = format!("{n}-{year}");
            // A little apart, so that not all circuits say the same.
            let own = 0.1 * (n as f64 - count as f64 / 2.0) * year as f64;
            let rise = 10.0 + growth * year as f64 + own + extra(gun);
            let base = circuit(n, "14-50", "Harrow", ["pass", "pass"]);
            Row {
                number: Some(number.clone()),
                sha256: format!("sha of {number}"),
                date: Some(format!("202{}-03-01", 3 + year).parse().unwrap()),
                thermometer: Some(gun.to_owned()),
                points: ["breaker", "charger"]
                    .map(|part| point(&format!("{part}-L1"), part, "pass", rise))
                    .into(),
                ..base
            }
        })
        .collect()
}

#[test]
fn a_thermometer_that_reads_high_is_found_and_a_sound_one_is_not() {
    let extra = |gun: &str| if gun == "G3" { 3.0 } else { 0.0 };
    let mut rows = visited(12, &["G1", "G3"], 0.5, extra);
    // As many are read with two sound ones.
    for mut row in visited(12, &["G1", "G2", "G1"], 0.5, extra) {
        row.site = row.site.map(|site| format!("East, {site}"));
        row.sha256.push_str(" east");
        rows.push(row);
    }
    // And with the same one twice, by which the growth is known.
    for mut row in visited(12, &["G1", "G1"], 0.5, extra) {
        row.site = row.site.map(|site| format!("West, {site}"));
        row.sha256.push_str(" west");
        rows.push(row);
    }
    let found = shown(&rows);
    let odd: Vec<(&str, Option<&str>)> = found
        .thermometers
        .iter()
        .map(|t| (t.thermometer.as_str(), t.reads))
        .collect();
    assert_eq!(odd, [("G1", None), ("G2", None), ("G3", Some("high"))]);
    let high = &found.thermometers[2];
    assert!(
        (high.above_others_k.unwrap() - 3.0).abs() < 0.15,
        "{high:?}"
    );
    assert_eq!((high.circuits, high.others), (12, 1));
    // Beside it alone, the other one looks low; what is named explains that.
    let found = shown(&visited(12, &["G1", "G3"], 0.0, extra));
    let odd: Vec<Option<&str>> = found.thermometers.iter().map(|t| t.reads).collect();
    assert_eq!(odd, [None, Some("high")]);
    assert!(found.thermometers[0].above_others_k.unwrap() < -2.5);
}

#[test]
fn the_growth_of_rises_is_that_between_visits_with_one_thermometer() {
    let found = shown(&visited(12, &["G1", "G1", "G1"], 2.0, |_| 0.0));
    let all = &found.growth[0];
    assert_eq!((all.part.as_deref(), all.circuits), (None, 12));
    // A year of 365 or 366 days; the circuits lie from −0.6 to 0.5 around 2.
    assert!((all.k_per_year.unwrap() - 1.95).abs() < 0.02, "{all:?}");
    let [low, high] = all.interval.unwrap();
    // The third lowest and the third highest of twelve.
    assert!(
        (low - 1.6).abs() < 0.02 && (high - 2.3).abs() < 0.02,
        "{low} {high}"
    );
    let parts: Vec<Option<&str>> = found.growth.iter().map(|g| g.part.as_deref()).collect();
    assert_eq!(parts, [None, Some("breaker"), Some("charger")]);
    let ages: Vec<(u32, usize)> = found.by_age.iter().map(|a| (a.years, a.circuits)).collect();
    // The second visit is 366 days after the first in a leap year.
    assert_eq!(ages, [(1, 12), (2, 12)]);
    // With another thermometer each time, nothing is known.
    let found = shown(&visited(12, &["G1", "G2", "G3"], 2.0, |_| 0.0));
    assert!(
        found.growth.is_empty() && found.by_age.is_empty(),
        "{:?}",
        found.growth
    );
    // Nine circuits are too few for a number.
    let found = shown(&visited(9, &["G1", "G1"], 2.0, |_| 0.0));
    assert_eq!(
        (found.growth[0].circuits, found.growth[0].k_per_year),
        (9, None)
    );
}

#[test]
fn what_was_made_anew_begins_again() {
    let mut rows = visited(12, &["G1", "G1", "G1"], 2.0, |_| 0.0);
    for row in &mut rows {
        // Remade before the second visit, and much cooler since.
        if row.date.unwrap().to_string().starts_with("2024") {
            row.points.iter_mut().for_each(|p| p.fresh = true);
        }
    }
    let found = shown(&rows);
    assert!((found.growth[0].k_per_year.unwrap() - 1.95).abs() < 0.02);
    assert!(found.by_age.is_empty(), "{:?}", found.by_age);
}

#[test]
fn the_worst_margins_are_those_in_force_and_files_that_do_not_verify_count_nowhere() {
    let mut rows: Vec<Row> = (0..12)
        .map(|n| circuit(n, "14-50", "Harrow", ["pass", "pass"]))
        .collect();
    for (n, row) in rows.iter_mut().enumerate() {
        row.margins[0].margin_k = 20.0 - n as f64;
    }
    rows[11].valid = false;
    rows.push(Row::unreadable("x.pdf", "gone".to_owned()));
    let found = shown(&rows);
    let worst: Vec<f64> = found.worst_margins.iter().map(|w| w.margin_k).collect();
    assert_eq!(
        worst,
        [10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0]
    );
    assert_eq!(found.worst_margins[0].part.as_deref(), Some("breaker"));
    assert_eq!(found.circuits, 11);
}

#[test]
fn the_section_says_what_was_found_and_by_which_rule() {
    let told = |rows: &[Row]| section::section(&shown(rows), "us", &|file| file.to_owned());
    let page = told(&planted());
    assert!(
        page.contains(
            "<b>receptacle 14-50, residential</b> needed a repair, or was not to be used, at 12 of 16 \
             circuits (75 %; 95 % interval 51 % to 90 %), at 12 properties; of the others, 3 of 48 \
             circuits (6 %; 95 % interval 2 % to 17 %)"
        ),
        "{page}"
    );
    assert!(page.contains("at least 10 circuits"), "{page}");
    assert_eq!(told(&planted()[..9]), "", "fewer than ten circuits");
    let mut odd = planted();
    for row in &mut odd {
        row.charger_make = Some("<b>{rows}".to_owned());
    }
    let page = told(&odd);
    assert!(
        page.contains("&lt;b&gt;") && !page.contains("<b>{rows}"),
        "{page}"
    );
    let calm: Vec<Row> = (0..12)
        .map(|n| circuit(n, "14-50", "Harrow", ["pass", "pass"]))
        .collect();
    assert!(told(&calm).contains("No make and no part fails more often"));
}

/// What the JSON says does not name anybody.
#[test]
fn no_person_and_no_firm_is_in_the_numbers() {
    let json = serde_json::to_string(&shown(&planted())).unwrap();
    assert!(
        !json.contains("Ada Ohm") && !json.contains("signer") && !json.contains("firm"),
        "{json}"
    );
}

#[test]
fn growth_is_that_of_the_same_connection_with_the_same_thermometer_since_it_was_made() {
    let plain = visited(12, &["G1", "G1", "G1"], 2.0, |_| 0.0);
    let growth = |rows: &[Row]| shown(rows).growth[0].k_per_year.unwrap();
    let usual = growth(&plain);
    // The order of the connections in a record does not matter.
    let mut turned = plain.clone();
    for row in turned
        .iter_mut()
        .filter(|r| r.number.as_deref().is_some_and(|n| n.len() % 2 == 0))
    {
        row.points.reverse();
    }
    for (n, row) in turned.iter_mut().enumerate() {
        // Rises that differ between the connections, so that an exchange would be seen.
        for point in &mut row.points {
            if point.connection.starts_with("charger") {
                point.rise_at_rated_k = point.rise_at_rated_k.map(|k| k + 20.0);
            }
        }
        if n % 2 == 0 {
            row.points.reverse();
        }
    }
    assert!((growth(&turned) - usual).abs() < 1e-6);
    // What was made anew before the second visit is 10 K cooler since, which is no growth.
    let mut anew = plain.clone();
    for row in &mut anew {
        let year = row.date.unwrap().to_string();
        for point in &mut row.points {
            point.fresh = year.starts_with("2024");
            if year.as_str() >= "2024" {
                point.rise_at_rated_k = point.rise_at_rated_k.map(|k| k - 10.0);
            }
        }
    }
    assert!(
        (growth(&anew) - usual).abs() < 0.1,
        "{} {usual}",
        growth(&anew)
    );
    // Between two visits in one month, the uncertainty of the readings would be taken for growth.
    let mut close = visited(12, &["G1", "G1"], 2.0, |_| 0.0);
    for row in &mut close {
        let day = row.date.unwrap().to_string();
        if !day.starts_with("2023") {
            let before = format!("2023{}", &day[4..]);
            row.date = before
                .parse::<chrono::NaiveDate>()
                .ok()
                .and_then(|d| d.checked_add_days(chrono::Days::new(20)));
        }
    }
    assert!(
        shown(&close).growth.is_empty(),
        "{:?}",
        shown(&close).growth
    );
}

#[test]
fn a_thermometer_that_reads_low_is_told_as_low_and_blamed_before_those_that_it_was_compared_with() {
    let low = |gun: &str| if gun == "G3" { -3.0 } else { 0.0 };
    let mut rows = visited(12, &["G1", "G3"], 0.0, low);
    for mut row in visited(12, &["G2", "G3"], 0.0, low) {
        row.site = row.site.map(|site| format!("East, {site}"));
        row.sha256.push_str(" east");
        rows.push(row);
    }
    let odd: Vec<(String, Option<&str>)> = shown(&rows)
        .thermometers
        .iter()
        .map(|t| (t.thermometer.clone(), t.reads))
        .collect();
    let told = |gun: &str, reads| (gun.to_owned(), reads);
    assert_eq!(
        odd,
        [told("G1", None), told("G2", None), told("G3", Some("low"))]
    );
    // One thermometer alone is compared with none.
    assert!(
        shown(&visited(12, &["G1", "G1"], 2.0, |_| 0.0))
            .thermometers
            .is_empty()
    );
}

#[test]
fn equipment_is_judged_by_its_own_connections_and_only_where_it_has_some() {
    let mut rows: Vec<Row> = (0..64)
        .map(|n| {
            let mut row = circuit(n, "14-50", "Harrow", ["pass", "pass"]);
            let bad = n < 16;
            if let Some(equipment) = &mut row.equipment {
                equipment.breaker = Some(if bad { "mcb, 40 A" } else { "mcb, 50 A" }.to_owned());
            }
            row.points[0].worst_grade = if n < 12 { "repair" } else { "pass" }.to_owned();
            row
        })
        .collect();
    let found = shown(&rows);
    let breakers: Vec<_> = found
        .stands_out
        .iter()
        .filter(|s| s.group.what == What::Breaker)
        .map(|s| {
            (
                s.group.value.clone(),
                s.group.group.failed,
                s.group.group.circuits,
            )
        })
        .collect();
    assert_eq!(breakers, [("mcb, 40 A".to_owned(), 12, 16)]);
    // A receptacle of which no connection was read says nothing about its make.
    for row in rows.iter_mut().take(20) {
        row.points
            .retain(|p| p.part.as_deref() != Some("receptacle"));
    }
    let found = shown(&rows);
    let receptacles = found
        .groups
        .iter()
        .find(|g| g.what == What::Receptacle && g.worse == Worse::Repair);
    assert_eq!(receptacles.unwrap().group.circuits, 44);
}

#[test]
fn groups_without_common_circuits_are_not_named_together() {
    // 120 circuits of one make, of which 72 failed at the charger; 12 others with a bad breaker; 200 sound.
    let rows: Vec<Row> = (0..332)
        .map(|n| {
            let make = if n < 120 { "Kestrel Works" } else { "Harrow" };
            let charger = if n < 72 { "repair" } else { "pass" };
            let mut row = circuit(n, "14-50", make, ["pass", charger]);
            if (120..132).contains(&n) {
                if let Some(equipment) = &mut row.equipment {
                    equipment.breaker = Some("fuse, 63 A".to_owned());
                }
                row.points[0].worst_grade = "repair".to_owned();
            }
            row
        })
        .collect();
    let found = shown(&rows);
    let big = found
        .stands_out
        .iter()
        .find(|s| s.group.value.contains("Kestrel"))
        .unwrap();
    assert!(!big.or.iter().any(|o| o.contains("fuse")), "{:?}", big.or);
    assert!(named(&found).contains(&"fuse, 63 A"), "{:?}", named(&found));
}

#[test]
fn copies_warnings_and_certificates_of_the_future_are_no_visits() {
    let rows: Vec<Row> = (0..12)
        .map(|n| circuit(n, "14-50", "Harrow", ["pass", "pass"]))
        .collect();
    let count = |more: &[Row]| {
        let all = [&rows[..], more].concat();
        let found = shown(&all);
        (found.circuits, found.visits)
    };
    assert_eq!(count(&[]), (12, 12));
    let copy = Row {
        file: "copy.pdf".to_owned(),
        ..rows[0].clone()
    };
    assert_eq!(count(&[copy]), (12, 12));
    let later = |n: usize| Row {
        sha256: "of the later".to_owned(),
        number: Some("later".to_owned()),
        date: Some("2025-06-01".parse().unwrap()),
        ..rows[n].clone()
    };
    assert_eq!(count(&[later(0)]), (12, 13));
    let future = Row {
        future: true,
        ..later(0)
    };
    assert_eq!(count(&[future]), (12, 12));
    let warning = Row {
        valid: false,
        contested: true,
        worst_grade: Some("stop".to_owned()),
        ..later(0)
    };
    assert_eq!(count(&[warning]).1, 12);
    // Only what is selected counts.
    let wanted = Wanted {
        site: Some("11 Mill".to_owned()),
        ..Wanted::default()
    };
    let mut marked = rows.clone();
    current::mark(&mut marked);
    assert_eq!(fleet(&marked, &wanted).circuits, 1);
}

#[test]
fn the_section_has_the_units_of_the_register_and_both_columns_of_counts() {
    let page =
        |rows: &[Row], units: &str| section::section(&shown(rows), units, &|file| file.to_owned());
    let mut rows = planted();
    for row in &mut rows {
        row.margins[0].margin_k = 20.0;
        // What was to be watched at the breaker.
        row.points[0].worst_grade = "watch".to_owned();
    }
    // 20 K are 36 °F.
    assert!(
        page(&rows, "us").contains("<td>36 °F</td>"),
        "{}",
        page(&rows, "us")
    );
    assert!(page(&rows, "si").contains("<td>20 K</td>"));
    // 12 of 16 needed a repair (Wilson: 51 % to 90 %); to be watched was none of the other 4.
    let row = page(&rows, "us");
    let row = row
        .split("<tr>")
        .find(|r| r.contains("<td>14-50, residential</td>"))
        .unwrap();
    assert!(
        row.contains("<td>16</td><td>12 (51 % to 90 %)</td><td>12 (51 % to 90 %)</td>"),
        "{row}"
    );
    let breaker = page(&rows, "us");
    let breaker = breaker
        .split("<tr>")
        .find(|r| r.contains("<td>mcb, 50 A</td>"))
        .unwrap();
    assert!(
        breaker.contains("<td>64</td><td>0 (0 % to 6 %)</td><td>64 (94 % to 100 %)</td>"),
        "{breaker}"
    );
    // A name is no markup.
    let mut odd = make(10, 4, 3);
    for row in odd.iter_mut().take(10) {
        row.charger_make = Some("<i>K".to_owned());
    }
    let odd = page(&odd, "us");
    assert!(
        odd.contains("charger model &lt;i&gt;K M1</b>") && !odd.contains("<i>"),
        "{odd}"
    );

    let extra = |gun: &str| if gun == "G3" { 3.0 } else { 0.0 };
    let mut guns = visited(12, &["G1", "G1"], 2.0, extra);
    for mut row in visited(12, &["G1", "G3"], 2.0, extra) {
        row.site = row.site.map(|site| format!("East, {site}"));
        row.sha256.push_str(" east");
        guns.push(row);
    }
    // 3 K are 5.4 °F, 1.95 K a year are 3.5 °F.
    let us = page(&guns, "us");
    assert!(us.contains("<b>G3</b> reads high: 5."), "{us}");
    assert!(us.contains(" °F against one other"), "{us}");
    assert!(
        us.contains("<th scope=\"row\">every connection</th><td>12</td><td>3.5 °F</td>"),
        "{us}"
    );
    assert!(us.contains("<th scope=\"row\">1 to 2</th>"), "{us}");
}
