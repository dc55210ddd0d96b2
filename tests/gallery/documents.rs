//! Invented documents that show every block, short and long, few and many.

use chrono::DateTime;
use warmlug::compose::document::*;
use warmlug::photo::{Kind, PreparedImage};
use warmlug::visit::Paper;

/// A name that no column is made for.
pub const LONG: &str = "Receptacle outlet 14-50R behind the freezer, north wall of the detached garage, \
upper terminal block with the aluminium pigtail splice";

/// A document without a body.
pub fn empty() -> Document {
    Document {
        about: About {
            title: "Inspection certificate 2026-0147".into(),
            author: "Ada Lind, Lind Electric".into(),
            subject: "12 Elm Street, Dover: circuit bay-1".into(),
            identifier: "2026-0147".into(),
            language: "en".into(),
            further_languages: Vec::new(),
            created: DateTime::parse_from_rfc3339("2026-10-06T11:30:00-04:00").unwrap(),
            producer: "warmlug 0.1.0".into(),
        },
        format: Format::Sheets(Paper::Letter),
        decimal_mark: '.',
        letterhead: Letterhead {
            name: "Lind Electric".into(),
            lines: vec![
                "4 Mill Lane, Dover DE 19901".into(),
                "Master electrician T1-0004417".into(),
                "302 555 0142".into(),
            ],
            logo: None,
            accent: None,
        },
        running_left: "2026-0147 · 2026-10-06".into(),
        running_middle: "12 Elm Street, Dover".into(),
        running_right: "page {page} of {pages}".into(),
        draft: None,
        body: Vec::new(),
        images: Vec::new(),
        attachments: vec![
            Attachment {
                name: "visit.yaml".into(),
                mime: "application/yaml".into(),
                description: "The visit as written on site".into(),
                relationship: "Source",
                bytes: b"visit:\n  number: 2026-0147\n".to_vec(),
            },
            Attachment {
                name: "assessment.json".into(),
                mime: "application/json".into(),
                description: "The assessment, every number unrounded".into(),
                relationship: "Data",
                bytes: b"{\"outcome\":\"satisfactory-with-notes\"}".to_vec(),
            },
        ],
    }
}

fn heading(level: u8, text: &str) -> Block {
    Block::Heading {
        level,
        text: text.into(),
        anchor: Some(text.to_lowercase().replace(' ', "-")),
    }
}

fn paragraph(text: &str) -> Block {
    Block::Paragraph(Text::plain(text))
}

fn link(text: &str, to: &str) -> Text {
    Text(vec![Span {
        text: text.into(),
        link: Some(to.into()),
        ..Span::default()
    }])
}

fn column(head: &str, unit: Option<&str>, align: Align, share: f32) -> Column {
    Column {
        head: head.into(),
        unit: unit.map(Into::into),
        align,
        share,
    }
}

/// How many connections, which names, how many legs.
#[derive(Clone, Copy)]
pub struct Size {
    pub places: usize,
    pub legs: usize,
    pub long: bool,
    pub photos: usize,
}

const SIGNALS: [Signal; 6] = [
    Signal::Good,
    Signal::Notice,
    Signal::Caution,
    Signal::Warning,
    Signal::Danger,
    Signal::Unknown,
];
const GRADES: [&str; 6] = ["pass", "note", "watch", "repair", "stop", "not judged"];

fn place_name(size: Size, place: usize) -> String {
    if size.long {
        return format!("{LONG} {}", place + 1);
    }
    [
        "Breaker terminals, garage panel",
        "Disconnect, line side",
        "Disconnect, load side",
        "Charger terminal block",
        "Junction box",
    ]
    .get(place)
    .map_or_else(|| format!("Splice box {}", place - 3), |s| (*s).to_owned())
}

fn id(size: Size, place: usize, leg: usize) -> String {
    let stem = [
        "breaker",
        "disconnect-line",
        "disconnect-load",
        "charger",
        "junction",
    ]
    .get(place)
    .map_or_else(|| format!("splice-{}", place - 3), |s| (*s).to_owned());
    if size.long {
        format!(
            "{stem}-behind-the-freezer-in-the-detached-garage-L{}",
            leg + 1
        )
    } else {
        format!("{stem}-L{}", leg + 1)
    }
}

/// The whole certificate.
pub fn certificate(size: Size, signal: Signal) -> Document {
    let mut document = empty();
    let body = &mut document.body;
    body.push(heading(1, "Inspection certificate"));
    body.push(Block::Facts(vec![
        ("Certificate".into(), Text::strong("2026-0147")),
        (
            "Inspected".into(),
            Text::plain("6 October 2026, periodic inspection"),
        ),
        (
            "Site".into(),
            Text::plain(if size.long {
                LONG
            } else {
                "12 Elm Street, Dover DE 19901"
            }),
        ),
        (
            "Circuit".into(),
            Text::plain("bay-1: 40 A charger, hardwired, 50 A breaker, 6 AWG copper, 55 ft"),
        ),
        ("Client".into(), Text::plain("Łukasz Šimek, owner")),
    ]));
    body.push(Block::Verdict {
        signal,
        title: match signal {
            Signal::Good => "Satisfactory".into(),
            Signal::Caution | Signal::Notice => "Satisfactory, with one thing to watch".into(),
            Signal::Unknown => "Not complete: no full-load round".into(),
            _ => "Unsatisfactory: do not charge until repaired".into(),
        },
        text: vec![
            Text::plain(
                "Every connection stayed within its limits at 40 A. At the breaker one leg runs 8.3 °F warmer than the \
other, which is more than the instruments’ uncertainty of 3.3 °F: the cause is not yet serious but it grows when left.",
            ),
            Text::strong("Next inspection by 6 April 2027.").then(Text::plain(
                " Until then the charger may be used as before. Stop using it and call if you smell heat, see discoloration or \
a breaker trips.",
            )),
        ],
    });
    body.push(Block::Seal(SealBlock {
        code: None,
        lines: vec![
            Text::strong("Ada Lind, master electrician T1-0004417"),
            Text::plain("Lind Electric, 4 Mill Lane, Dover DE 19901"),
            Text::plain("Signed 6 October 2026, 11:30 (UTC−04:00)"),
            Text::plain("Key 3f 9a 11 c4 70 2e b8 5d 90 aa 17 6c 24 e1 05 f3"),
        ],
        image: None,
        alt: "Electronic signature of Ada Lind, master electrician T1-0004417, 6 October 2026"
            .into(),
    }));

    body.push(heading(2, "Findings"));
    body.push(paragraph(
        "Each finding names where it was seen, its value, the limit and where the limit comes from. Values are compared \
with their limits as they are; where the uncertainty reaches over the limit the finding says borderline.",
    ));
    let findings = SIGNALS
        .iter()
        .zip(GRADES)
        .enumerate()
        .map(|(i, (signal, grade))| Row {
            cells: vec![
                Text::plain((i + 1).to_string()),
                Text::marked(*signal, grade),
                Text::plain(place_name(size, i % size.places)),
                Text::plain("Leg difference: L1 is 8.3 °F warmer than L2 at 40 A. ")
                    .then(link("Heat record", "#heat-record")),
                Text::plain(["8.3", "14.75", "102.0", "0.5", "–", "not read"][i]),
                Text::plain(["4.0", "20", "104.0", "3", "–", "–"][i]),
            ],
            group: i == 3,
        })
        .collect();
    body.push(Block::Table(Table {
        caption: "Findings of this inspection".into(),
        columns: vec![
            column("No.", None, Align::Decimal, 0.0),
            column("Grade", None, Align::Left, 0.0),
            column("Place", None, Align::Left, 1.0),
            column("What was found", None, Align::Left, 2.0),
            column("Value", Some("°F"), Align::Decimal, 0.0),
            column("Limit", Some("°F"), Align::Decimal, 0.0),
        ],
        rows: findings,
        row_heads: true,
    }));
    body.push(heading(3, "What to do"));
    body.push(Block::List {
        numbered: true,
        items: vec![
            Text::plain("Power off, lock out and prove dead at every point of work."),
            Text::plain(
                "Wait until the connection is at air temperature, over half an hour, checked with the thermometer: \
metal tightened hot is loose when cold.",
            ),
            Text::plain("Inspect; re-torque to the maker’s value, 45 in·lb. Never touch a fastener energised."),
            Text::plain("Energise and measure again at the same load."),
        ],
    });
    body.push(Block::Caution {
        signal: Signal::Warning,
        title: "WARNING".into(),
        numbered: false,
        items: vec![
            Text::plain("Covers off exposes live parts even with the breaker off: the line side stays energised."),
            Text::plain("Local codes, the maker’s instructions and a licensed electrician’s judgement prevail over this certificate."),
        ],
    });

    body.push(heading(2, "Heat record"));
    for place in 0..size.places.min(3) {
        body.push(heading(3, &place_name(size, place)));
        body.push(Block::Chart(chart(size, place)));
    }
    body.push(Block::Chart(history(size)));
    body.push(Block::Table(readings(size)));
    body.push(Block::Strip(strip(size)));
    body.push(heading(2, "Circuit"));
    body.push(Block::Diagram(diagram(size)));
    body.push(Block::Small(Text::plain(
        "Numbers are those of the readings table. The line side of the breaker was not opened: it cannot be switched off here.",
    )));
    body.push(Block::Facts(vec![
        (
            "Charger".into(),
            Text::plain("Emberline H40, serial EH-220871, 40 A at 240 V, single phase"),
        ),
        (
            "Overcurrent protection of the branch circuit".into(),
            Text::plain("50 A, two poles, terminals rated 75 °C"),
        ),
        (
            "Conductors".into(),
            Text::plain("6 AWG copper, 90 °C insulation, NM cable, 55 ft"),
        ),
    ]));
    body.push(heading(2, "How to verify"));
    body.push(Block::Paragraph(
        Text::plain(
            "Open the file in any reader that shows signatures, or run warmlug verify. See ",
        )
        .then(link(
            "the page of the standard",
            "https://www.etsi.org/standards",
        ))
        .then(Text::plain(
            ". The visit file and every number are attached to this document.",
        )),
    ));
    if size.photos > 0 {
        document.body.push(heading(2, "Photos"));
        for photo in 0..size.photos {
            let tall = photo % 3 == 2;
            document
                .images
                .push(picture(if tall { (60, 80) } else { (80, 60) }, photo));
            // One photo shows more connections than its key has room beside it.
            let shown = if photo == 1 && size.places > 4 {
                size.places * size.legs
            } else {
                2
            };
            let place = place_name(size, photo % size.places);
            document.body.push(Block::Photo(PhotoFigure {
                image: photo,
                caption: format!("{place}, seen from step {}", photo + 1),
                alt: format!("Photo {} of the open panel with {shown} marks", photo + 1),
                marks: (0..shown)
                    .map(|i| {
                        let at = [0.1 + 0.8 * (i % 8) as f64 / 7.0, 0.3 + 0.1 * (i / 8) as f64];
                        (
                            i + 1,
                            at,
                            id(size, i / size.legs % size.places, i % size.legs),
                        )
                    })
                    .collect(),
            }));
        }
    }
    document
}

fn chart(size: Size, place: usize) -> Chart {
    let minutes = [-10.0, 15.0, 35.0, 65.0];
    let rise = |leg: usize, t: f64| {
        let settled = [36.0, 22.0, 27.5][leg % 3] + place as f64;
        if t <= 0.0 {
            0.0
        } else {
            settled * (1.0 - (-t / 21.0_f64).exp())
        }
    };
    let mut series: Vec<Series> = (0..size.legs)
        .map(|leg| Series {
            label: id(size, place, leg),
            points: minutes
                .iter()
                .map(|t| {
                    [
                        *t,
                        61.0 + rise(leg, *t) + if *t > 20.0 { 0.8 } else { -0.6 },
                    ]
                })
                .collect(),
            intervals: vec![Some(3.3); 4],
            curve: (0..=65)
                .map(|t| [f64::from(t), 61.0 + rise(leg, f64::from(t))])
                .collect(),
            settled: Some((61.0 + rise(leg, 1e9), 3.4)),
            leg: Some(leg),
        })
        .collect();
    series.push(Series {
        label: "air".into(),
        points: minutes
            .iter()
            .map(|t| [*t, 61.0 + t.max(0.0) / 65.0])
            .collect(),
        intervals: Vec::new(),
        curve: Vec::new(),
        settled: None,
        leg: None,
    });
    Chart {
        off_scale: "off the scale".to_owned(),
        title: format!("Temperature over time: {}", place_name(size, place)),
        alt: format!(
            "{} rose from 61 to 97 °F in 65 minutes; the other leg to 82 °F",
            id(size, place, 0)
        ),
        x: Axis {
            label: "minutes since charging began".into(),
            range: None,
            ticks: None,
        },
        y: Axis {
            label: "°F".into(),
            range: None,
            ticks: None,
        },
        series,
        limits: if place == 1 {
            vec![(167.0, "terminal rating 167 °F".into())]
        } else {
            vec![
                (101.0, "watch 101 °F".into()),
                (119.0, "repair 119 °F".into()),
            ]
        },
    }
}

fn readings(size: Size) -> Table {
    let mut rows = Vec::new();
    for place in 0..size.places {
        for leg in 0..size.legs {
            let number = place * size.legs + leg + 1;
            let hot = 97.0 - number as f64 * 1.37;
            rows.push(Row {
                cells: vec![
                    Text::plain(number.to_string()),
                    Text::plain(id(size, place, leg)),
                    Text::plain(format!("L{}", leg + 1)),
                    Text::plain("61.0"),
                    Text::plain(format!("{hot:.1}")),
                    Text::plain(format!("{:.1}", hot - 61.0)),
                    Text::plain("3.3"),
                    Text::plain(format!("{:.1}", (hot - 61.0) * 1.06)),
                    Text::plain(if number.is_multiple_of(7) {
                        "not read".into()
                    } else {
                        format!("{:.0}", hot + 46.0)
                    }),
                    Text::marked(SIGNALS[number % 5], GRADES[number % 5]),
                ],
                group: leg == 0 && place > 0,
            });
        }
    }
    Table {
        caption: "Readings at 40 A, 65 minutes after charging began".into(),
        columns: vec![
            column("No.", None, Align::Decimal, 0.0),
            column("Connection", None, Align::Left, 1.0),
            column("Leg", None, Align::Centre, 0.0),
            column("Air", Some("°F"), Align::Decimal, 0.0),
            column("Reading", Some("°F"), Align::Decimal, 0.0),
            column("Rise", Some("°F"), Align::Decimal, 0.0),
            column("Uncertainty", Some("± °F"), Align::Decimal, 0.0),
            column("Settled rise", Some("°F"), Align::Decimal, 0.0),
            column("On the hottest day", Some("°F"), Align::Decimal, 0.0),
            column("Grade", None, Align::Left, 0.0),
        ],
        rows,
        row_heads: true,
    }
}

/// From visit to visit: a leg that climbs, with the line through it, and legs with too few visits.
fn history(size: Size) -> Chart {
    let days = [739_000.0, 739_190.0, 739_400.0, 739_560.0];
    let series = (0..size.legs)
        .map(|leg| {
            let from = if leg == 0 { 0 } else { 2 };
            let rise = |day: f64| 18.0 + 9.0 * leg as f64 + (day - days[0]) * 0.012;
            Series {
                label: id(size, 0, leg),
                points: days[from..]
                    .iter()
                    .map(|d| [*d, rise(*d) + (d * 0.37).sin()])
                    .collect(),
                intervals: days[from..].iter().map(|_| Some(3.1)).collect(),
                curve: if leg == 0 {
                    [days[0], days[3]].map(|d| [d, rise(d)]).to_vec()
                } else {
                    Vec::new()
                },
                settled: None,
                leg: Some(leg),
            }
        })
        .collect();
    let dates = ["2024-04-23", "2024-10-30", "2025-05-28", "2025-11-04"];
    Chart {
        off_scale: "off the scale".to_owned(),
        title: format!("{}: rise from visit to visit", place_name(size, 0)),
        alt: "breaker-L1 was 18 °F warmer than the air on 23 April 2024 and 25 °F warmer on \
4 November 2025. The line through its visits climbs by 4.4 °F a year."
            .into(),
        x: Axis {
            label: "date of the inspection".into(),
            range: Some([days[0] - 17.0, days[3] + 17.0]),
            ticks: Some(days.into_iter().zip(dates.map(ToOwned::to_owned)).collect()),
        },
        y: Axis {
            label: "rise at rated current, °F".into(),
            range: None,
            ticks: None,
        },
        series,
        limits: Vec::new(),
    }
}

fn strip(size: Size) -> Strip {
    let items = (0..size.places * size.legs)
        .map(|i| {
            let share =
                0.35 + 0.11 * (i as f64 * 1.7).sin().abs() + 0.62 * ((i * 37 % 40) as f64 / 40.0);
            let mark = if share > 1.0 {
                Signal::Danger
            } else if share > 0.85 {
                Signal::Caution
            } else {
                Signal::Good
            };
            (
                format!("{} {}", i + 1, id(size, i / size.legs, i % size.legs)),
                share * 75.0,
                3.2,
                75.0,
                mark,
            )
        })
        .collect();
    Strip {
        title: "How much of its limit each connection uses on the hottest day".into(),
        alt: "The worst is breaker-L1 at 96 percent of its limit".into(),
        axis: "temperature on the hottest day, °C, and its limit".into(),
        items,
    }
}

fn diagram(size: Size) -> Diagram {
    Diagram {
        title: "The circuit from supply to charger".into(),
        alt: "From the garage panel over a disconnect to the charger".into(),
        nodes: (0..size.places)
            .map(|place| DiagramNode {
                name: place_name(size, place),
                detail: "50 A, 75 °C".into(),
                connections: (0..size.legs)
                    .map(|l| (place * size.legs + l + 1, SIGNALS[(place + l) % 6]))
                    .collect(),
            })
            .collect(),
        runs: (1..size.places)
            .map(|r| {
                if r % 2 == 1 {
                    "6 AWG copper, 55 ft".into()
                } else {
                    String::new()
                }
            })
            .collect(),
    }
}

/// A small JPEG-free picture: grey steps, lossless.
pub fn picture((width, height): (u32, u32), seed: usize) -> PreparedImage {
    let mut pixels = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let panel = x > width / 6 && x < width * 5 / 6 && y > height / 8 && y < height * 7 / 8;
            let shade = if panel {
                150 + ((x / 6 + y / 6 + seed as u32) % 5) * 18
            } else {
                70 + (y * 60 / height)
            };
            pixels.push(u8::try_from(shade).unwrap());
        }
    }
    PreparedImage {
        bytes: pixels.into(),
        kind: Kind::Rows,
        palette: None,
        components: 1,
        width,
        height,
        sha256_of_original: [u8::try_from(seed % 256).unwrap(); 32],
        taken: warmlug::photo::Taken::default(),
    }
}
