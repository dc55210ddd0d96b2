//! Where things are drawn: a reading's point at its value on the axes as they are printed, a limit's line
//! at its limit, a mark on the terminal in the photo.
//!
//! The page's content is read here by a small interpreter of its own (ISO 32000-1, 8.5, 9.4), so that the
//! scale comes from the printed numbers beside the ticks and not from what drew them.

use crate::gallery::documents::{empty, picture};
use crate::pdf_common::Pdf;
use warmlug::compose::document::{
    Axis, Block, Chart, Document, PhotoFigure, Series, Signal, Strip,
};
use warmlug::pdf::Object;
use warmlug::typeset::render;

type Point = [f64; 2];

/// A path that was painted.
#[derive(Debug, Clone)]
struct Path {
    points: Vec<Point>,
    colour: [u8; 3],
    filled: bool,
}

impl Path {
    fn ends(&self) -> (Point, Point) {
        let fold = |pick: fn(f64, f64) -> f64, axis: usize| {
            self.points.iter().map(|p| p[axis]).reduce(pick).unwrap()
        };
        (
            [fold(f64::min, 0), fold(f64::min, 1)],
            [fold(f64::max, 0), fold(f64::max, 1)],
        )
    }

    fn middle(&self) -> Point {
        let (low, high) = self.ends();
        [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0]
    }

    fn size(&self) -> [f64; 2] {
        let (low, high) = self.ends();
        [high[0] - low[0], high[1] - low[1]]
    }
}

/// What one page shows.
#[derive(Debug, Default)]
struct Drawn {
    paths: Vec<Path>,
    /// Where a text begins, and the text.
    texts: Vec<(Point, String)>,
    /// Lower left and upper right corners of images.
    images: Vec<(Point, Point)>,
}

fn numbers(operands: &[Object]) -> Vec<f64> {
    operands
        .iter()
        .filter_map(|o| match o {
            Object::Integer(n) => Some(*n as f64),
            Object::Real(n) => std::str::from_utf8(n).unwrap().parse().ok(),
            _ => None,
        })
        .collect()
}

/// The letters of the glyphs of each face, from their ToUnicode maps.
fn letters(pdf: &Pdf, page: warmlug::pdf::Id) -> Vec<(Vec<u8>, Vec<String>)> {
    let resources = pdf.dict(page).get(b"Resources").unwrap();
    let resources = pdf.follow(resources).as_dictionary().unwrap();
    let fonts = pdf.follow(resources.get(b"Font").unwrap());
    let mut all = Vec::new();
    for (name, font) in fonts.as_dictionary().unwrap().0.iter() {
        let font = pdf.follow(font).as_dictionary().unwrap();
        let map = font.get(b"ToUnicode").unwrap().as_reference().unwrap();
        let map = String::from_utf8(pdf.stream(map).to_vec()).unwrap();
        // One range from glyph 1, with a list of UTF-16 units in hexadecimal.
        let list = map.split("[<").nth(1).unwrap().split(">]").next().unwrap();
        let mut glyphs = vec![String::new()];
        for units in list.split("><") {
            let units: Vec<u16> = (0..units.len() / 4)
                .map(|i| u16::from_str_radix(&units[i * 4..i * 4 + 4], 16).unwrap())
                .collect();
            glyphs.push(String::from_utf16(&units).unwrap());
        }
        all.push((name.to_vec(), glyphs));
    }
    all
}

/// Reads the first page of a document.
fn drawn(document: &Document) -> Drawn {
    let pdf = Pdf::load(&render(document).unwrap());
    let page = pdf.pages()[0];
    let faces = letters(&pdf, page);
    let mut drawn = Drawn::default();
    // Matrices without rotation: scales and shift.
    let mut now = [1.0, 1.0, 0.0, 0.0];
    let mut kept = Vec::new();
    let (mut fill, mut stroke) = ([0; 3], [0; 3]);
    let mut path: Vec<Point> = Vec::new();
    let mut pen = [0.0; 2];
    let mut face = 0;
    for (operands, operator) in pdf.operations(page) {
        let n = numbers(&operands);
        let place = |x: f64, y: f64| [now[0] * x + now[2], now[1] * y + now[3]];
        let colour = || [n[0], n[1], n[2]].map(|v| (v * 255.0).round() as u8);
        match operator.as_str() {
            "q" => kept.push(now),
            "Q" => now = kept.pop().unwrap(),
            "cm" => {
                assert_eq!((n[1], n[2]), (0.0, 0.0), "a rotated figure");
                let [x, y] = place(n[4], n[5]);
                now = [now[0] * n[0], now[1] * n[3], x, y];
            }
            "rg" => fill = colour(),
            "RG" => stroke = colour(),
            "m" | "l" => path.push(place(n[0], n[1])),
            // The ends of curves are enough: circles are drawn by quarters.
            "c" => path.push(place(n[4], n[5])),
            "v" | "y" => path.push(place(n[2], n[3])),
            "re" => {
                path.push(place(n[0], n[1]));
                path.push(place(n[0] + n[2], n[1] + n[3]));
            }
            "h" => {}
            "S" | "s" | "f" | "f*" | "B" => {
                let filled = operator.starts_with('f') || operator == "B";
                drawn.paths.push(Path {
                    points: std::mem::take(&mut path),
                    colour: if filled { fill } else { stroke },
                    filled,
                });
            }
            "n" | "W" => path.clear(),
            "BT" => pen = [0.0; 2],
            "Td" => pen = [pen[0] + n[0], pen[1] + n[1]],
            "Tm" => pen = [n[4], n[5]],
            "Tf" => {
                let name = operands[0].as_name().unwrap();
                face = faces.iter().position(|f| f.0 == name).unwrap();
            }
            "Tj" => {
                let bytes = &operands[0].as_string().unwrap().bytes;
                let glyphs = bytes
                    .chunks(2)
                    .map(|c| usize::from(c[0]) * 256 + usize::from(c[1]));
                let text = glyphs.map(|g| faces[face].1[g].as_str()).collect();
                drawn.texts.push((pen, text));
            }
            "Do" => drawn.images.push((place(0.0, 0.0), place(1.0, 1.0))),
            "TJ" | "'" | "\"" => panic!("{operator} is not read here"),
            _ => {}
        }
    }
    drawn
}

fn page(block: Block) -> Drawn {
    let mut document = empty();
    document.body = vec![block];
    drawn(&document)
}

/// A scale from two printed numbers and the places of their ticks.
#[derive(Debug)]
struct Axes {
    from: (f64, f64),
    to: (f64, f64),
}

impl Axes {
    /// From the least and the greatest of the numbers printed beside ticks.
    fn through(mut ticks: Vec<(f64, f64)>) -> Axes {
        assert!(ticks.len() > 2, "too few ticks: {ticks:?}");
        ticks.sort_by(|a, b| a.0.total_cmp(&b.0));
        let axes = Axes {
            from: ticks[0],
            to: ticks[ticks.len() - 1],
        };
        // Each of the others is where the first and the last say.
        for (value, place) in ticks {
            assert!((axes.at(value) - place).abs() < 0.2, "{value} at {place}");
        }
        axes
    }

    fn at(&self, value: f64) -> f64 {
        let share = (value - self.from.0) / (self.to.0 - self.from.0);
        self.from.1 + share * (self.to.1 - self.from.1)
    }
}

fn value(text: &str) -> Option<f64> {
    text.trim().replace('\u{2212}', "-").parse().ok()
}

const RED: [u8; 3] = [0x9B, 0x24, 0x23];
const HOT: [u8; 3] = [0x00, 0x4B, 0x87];
const COOL: [u8; 3] = [0xB3, 0x56, 0x0E];

fn series(leg: usize, points: &[Point]) -> Series {
    Series {
        label: format!("L{}", leg + 1),
        points: points.to_vec(),
        intervals: vec![Some(1.5); points.len()],
        curve: Vec::new(),
        settled: None,
        leg: Some(leg),
    }
}

fn chart() -> Chart {
    let axis = |label: &str| Axis {
        label: label.into(),
        range: None,
        ticks: None,
    };
    Chart {
        title: "Rises".into(),
        alt: "Rises of two legs".into(),
        x: axis("minutes"),
        y: axis("rise, K"),
        series: vec![
            series(0, &[[0.0, 0.0], [15.0, 21.0], [62.0, 33.0]]),
            series(1, &[[0.0, 0.0], [15.0, 8.0], [62.0, 14.0]]),
        ],
        limits: vec![(40.0, "limit".into())],
        off_scale: "off scale".into(),
    }
}

/// The scales of a chart, as its printed numbers and its lines say.
fn axes(drawn: &Drawn) -> (Axes, Axes) {
    let lines: Vec<_> = drawn.paths.iter().filter(|p| !p.filled).collect();
    // A vertical tick under the axis has its number below it, in the middle; a line across the plot has
    // its number to the left.
    let (mut across, mut up) = (Vec::new(), Vec::new());
    for (place, text) in &drawn.texts {
        let Some(value) = value(text) else { continue };
        let wide = 4.0 * text.chars().count() as f64;
        for line in &lines {
            let ([left, low], size) = (line.ends().0, line.size());
            let below = low - place[1];
            if size[0] < 0.1 && size[1] < 4.0 && (2.0..16.0).contains(&below) {
                if (left - place[0] - wide / 2.0).abs() < 4.0 {
                    across.push((value, left));
                }
            } else if size[1] < 0.1
                && size[0] > 100.0
                && (place[1] - low).abs() < 4.0
                && place[0] < left
            {
                up.push((value, low));
            }
        }
    }
    up.sort_by(|a, b| a.partial_cmp(b).unwrap());
    up.dedup();
    (Axes::through(across), Axes::through(up))
}

/// Whether a filled mark of a colour has its middle here.
fn marked(drawn: &Drawn, colour: [u8; 3], at: Point) -> bool {
    drawn.paths.iter().any(|path| {
        let (middle, size) = (path.middle(), path.size());
        path.colour == colour
            && size[0] > 2.0
            && size[0] < 9.0
            && size[1] > 2.0
            && (middle[0] - at[0]).abs() < 0.6
            && (middle[1] - at[1]).abs() < 0.9
    })
}

#[test]
fn a_reading_is_drawn_at_its_time_and_value() {
    let chart = chart();
    let drawn = page(Block::Chart(chart.clone()));
    let (x, y) = axes(&drawn);
    // Later is to the right, hotter is higher.
    assert!(x.at(62.0) > x.at(15.0) && y.at(33.0) > y.at(8.0));
    for (series, colour) in chart.series.iter().zip([HOT, COOL]) {
        for point in &series.points {
            let at = [x.at(point[0]), y.at(point[1])];
            assert!(marked(&drawn, colour, at), "{point:?} at {at:?}");
            // The interval of each reading, as long as it is wide.
            let half = |path: &Path| {
                let (low, high) = path.ends();
                path.colour == colour
                    && path.size()[0] < 0.1
                    && (low[0] - at[0]).abs() < 0.2
                    && (low[1] - y.at(point[1] - 1.5)).abs() < 0.2
                    && (high[1] - y.at(point[1] + 1.5)).abs() < 0.2
            };
            assert!(drawn.paths.iter().any(half), "interval of {point:?}");
        }
        // And the line goes through the readings, in their order.
        let through: Vec<Point> = series
            .points
            .iter()
            .map(|p| [x.at(p[0]), y.at(p[1])])
            .collect();
        let same = |path: &&Path| {
            path.colour == colour
                && path.points.len() == through.len()
                && path
                    .points
                    .iter()
                    .zip(&through)
                    .all(|(a, b)| (a[0] - b[0]).abs() < 0.2 && (a[1] - b[1]).abs() < 0.2)
        };
        assert!(
            drawn.paths.iter().any(|p| same(&p)),
            "line of {}",
            series.label
        );
    }
}

#[test]
fn a_limits_line_is_at_the_limit() {
    let drawn = page(Block::Chart(chart()));
    let (_, y) = axes(&drawn);
    let limits: Vec<_> = drawn
        .paths
        .iter()
        .filter(|p| p.colour == RED && !p.filled && p.size()[0] > 100.0)
        .collect();
    assert_eq!(limits.len(), 1);
    assert!(limits[0].size()[1] < 0.1);
    let level = limits[0].middle()[1];
    assert!(
        (level - y.at(40.0)).abs() < 0.2,
        "{level}, not {}",
        y.at(40.0)
    );
    // Named on the line, and not on another.
    let name = drawn.texts.iter().find(|t| t.1 == "limit").unwrap();
    assert!((name.0[1] - level).abs() < 8.0);
}

#[test]
fn a_limit_off_the_scale_is_named_and_not_drawn() {
    let mut far = chart();
    far.limits = vec![(400.0, "rating".into())];
    let drawn = page(Block::Chart(far));
    assert!(drawn.paths.iter().all(|p| p.colour != RED));
    let said: Vec<_> = drawn.texts.iter().map(|t| t.1.as_str()).collect();
    assert!(said.join(" ").contains("off scale"), "{said:?}");
}

#[test]
fn a_strip_draws_the_value_and_its_limit_where_the_axis_says() {
    let items = vec![
        ("1 breaker L1".to_owned(), 31.0, 2.0, 60.0, Signal::Good),
        ("2 breaker L2".to_owned(), 52.0, 4.0, 48.0, Signal::Danger),
    ];
    let drawn = page(Block::Strip(Strip {
        title: "Margins".into(),
        alt: "Margins of two connections".into(),
        axis: "°C".into(),
        items: items.clone(),
    }));
    // The numbers of the axis are centred over their places; there are no ticks.
    let row: Vec<_> = drawn
        .texts
        .iter()
        .filter_map(|(at, text)| Some((value(text)?, *at, text.chars().count() as f64)))
        .collect();
    let level = row[0].1[1];
    let ticks: Vec<_> = row
        .iter()
        .filter(|t| (t.1[1] - level).abs() < 0.1)
        .map(|(value, at, letters)| (*value, at[0] + letters * 2.1))
        .collect();
    assert!(ticks.len() > 2, "{ticks:?}");
    let (first, last) = (ticks[0], ticks[ticks.len() - 1]);
    let x = Axes {
        from: first,
        to: last,
    };
    assert!(last.1 > first.1, "larger is to the right");
    let limits: Vec<_> = drawn
        .paths
        .iter()
        .filter(|p| p.colour == RED && p.size()[0] < 0.1)
        .collect();
    assert_eq!(limits.len(), items.len());
    for ((_, value, half, limit, _), line) in items.iter().zip(limits) {
        // Letters are not all as wide: two points of play for the numbers of the axis.
        assert!(
            (line.middle()[0] - x.at(*limit)).abs() < 2.0,
            "limit {limit}"
        );
        let (low, high) = line.ends();
        // The interval in the same row.
        let interval = drawn.paths.iter().find(|p| {
            let [_, y] = p.middle();
            p.size()[1] < 0.1
                && (low[1]..high[1]).contains(&y)
                && (p.ends().0[0] - x.at(value - half)).abs() < 2.0
                && (p.ends().1[0] - x.at(value + half)).abs() < 2.0
        });
        assert!(interval.is_some(), "interval of {value}");
        // Value and limit are on the sides of each other that the numbers say.
        let interval = interval.unwrap().middle()[0];
        assert_eq!(interval < line.middle()[0], value < limit);
    }
}

#[test]
fn a_mark_is_on_the_terminal_in_the_photo() {
    let mut document = empty();
    document.images = vec![picture((400, 300), 1)];
    // Two terminals that mirroring or turning the picture would exchange.
    let marks = vec![
        (1, [0.25, 0.2], "upper left".to_owned()),
        (2, [0.75, 0.9], "lower right".to_owned()),
    ];
    document.body = vec![Block::Photo(PhotoFigure {
        image: 0,
        caption: "Panel".into(),
        alt: "The open panel".into(),
        marks: marks.clone(),
    })];
    let drawn = drawn(&document);
    let [(low, high)] = drawn.images[..] else {
        panic!("{:?}", drawn.images);
    };
    let (wide, tall) = (high[0] - low[0], high[1] - low[1]);
    // In its own shape, and upright.
    assert!((wide / tall - 4.0 / 3.0).abs() < 0.01 && wide > 0.0 && tall > 0.0);
    for (number, [across, down], _) in marks {
        let at = [low[0] + across * wide, high[1] - down * tall];
        let here = |p: &&Path| {
            let middle = p.middle();
            p.filled && (middle[0] - at[0]).abs() < 0.3 && (middle[1] - at[1]).abs() < 0.3
        };
        assert!(
            drawn.paths.iter().any(|p| here(&p)),
            "mark {number} at {at:?}"
        );
        let written = |(place, text): &(Point, String)| {
            *text == number.to_string()
                && (place[0] - at[0]).abs() < 5.0
                && (place[1] - at[1]).abs() < 5.0
        };
        assert!(drawn.texts.iter().any(written), "number {number}");
    }
}

#[test]
fn every_page_of_a_draft_says_so() {
    let mut document = crate::gallery::documents::certificate(
        crate::gallery::documents::Size {
            places: 8,
            legs: 2,
            long: false,
            photos: 2,
        },
        Signal::Good,
    );
    document.draft = Some("DRAFT".into());
    let pdf = Pdf::load(&render(&document).unwrap());
    assert!(pdf.pages().len() > 2);
    document.draft = None;
    let signed = Pdf::load(&render(&document).unwrap());
    assert_eq!(pdf.pages().len(), signed.pages().len());
    // Each page shows two texts more: large across it, and in its head.
    let texts = |pdf: &Pdf, page| {
        let operations = pdf.operations(page);
        operations.iter().filter(|o| o.1 == "Tj").count()
    };
    for (page, plain) in pdf.pages().into_iter().zip(signed.pages()) {
        let faces = letters(&pdf, page);
        let mut face = 0;
        let mut said = 0;
        for (operands, operator) in pdf.operations(page) {
            if operator == "Tf" {
                let name = operands[0].as_name().unwrap();
                face = faces.iter().position(|f| f.0 == name).unwrap();
            }
            if operator == "Tj" {
                let bytes = &operands[0].as_string().unwrap().bytes;
                let text: String = bytes
                    .chunks(2)
                    .map(|c| faces[face].1[usize::from(c[0]) * 256 + usize::from(c[1])].as_str())
                    .collect();
                said += usize::from(text.contains("DRAFT"));
            }
        }
        assert!(said >= 2, "{said} on {page:?}");
        assert!(texts(&pdf, page) > texts(&signed, plain));
    }
}
