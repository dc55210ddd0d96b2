//! The certificate as a tree: its contents and their order, before any position on a page is
//! chosen. `typeset` knows these types, but not findings.

use chrono::{DateTime, FixedOffset};

/// A whole document.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Metadata.
    pub about: About,
    /// What it is printed on.
    pub format: Format,
    /// The mark between whole and parts of a number.
    pub decimal_mark: char,
    /// Letterhead, printed on page 1; none without a name.
    pub letterhead: Letterhead,
    /// Left part of the running foot, on every page (number and date).
    pub running_left: String,
    /// Middle part of the running foot (site).
    pub running_middle: String,
    /// Right part of the running foot with `{page}` and `{pages}`.
    pub running_right: String,
    /// Word printed large across every page of a draft (`DRAFT`).
    pub draft: Option<String>,
    /// The body.
    pub body: Vec<Block>,
    /// Images that blocks refer to by index.
    pub images: Vec<crate::photo::PreparedImage>,
    /// Attached files.
    pub attachments: Vec<Attachment>,
}

/// What a document is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Sheets of a paper.
    Sheets(crate::visit::Paper),
    /// Labels of [`LABEL_MM`].
    Labels,
}

/// Width and height of a label in millimetres: as high as the usual 62 mm roll of a label printer is
/// wide (common practice, no source).
pub const LABEL_MM: [u16; 2] = [100, 62];

/// Metadata of a document.
#[derive(Debug, Clone, PartialEq)]
pub struct About {
    /// Title.
    pub title: String,
    /// Author (inspector, firm).
    pub author: String,
    /// Subject (site, circuit).
    pub subject: String,
    /// Stable identifier (certificate number and digest).
    pub identifier: String,
    /// BCP 47 language of the text.
    pub language: String,
    /// Other languages in which parts of it are written.
    pub further_languages: Vec<String>,
    /// Date and time of creation, passed in by the caller.
    pub created: DateTime<FixedOffset>,
    /// Program name and version.
    pub producer: String,
}

/// The firm's letterhead.
#[derive(Debug, Clone, PartialEq)]
pub struct Letterhead {
    /// Firm's name, or the inspector's.
    pub name: String,
    /// Address, licence, telephone: one entry per line.
    pub lines: Vec<String>,
    /// Logo, index into the document's images, and its alternate text.
    pub logo: Option<(usize, String)>,
    /// Accent colour, sRGB.
    pub accent: Option<[u8; 3]>,
}

/// A block of the body.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading; level 1 once, then 2 and 3 without gaps.
    Heading {
        /// 1 to 3.
        level: u8,
        /// Text.
        text: String,
        /// Anchor for links inside the document.
        anchor: Option<String>,
    },
    /// A paragraph.
    Paragraph(Text),
    /// A paragraph in the smaller size.
    Small(Text),
    /// A list.
    List {
        /// Numbered or bulleted.
        numbered: bool,
        /// Items.
        items: Vec<Text>,
    },
    /// Names and values, two columns.
    Facts(Vec<(String, Text)>),
    /// The result in large type with its mark.
    Verdict {
        /// Mark.
        signal: Signal,
        /// A few words.
        title: String,
        /// Sentences below.
        text: Vec<Text>,
    },
    /// A caution box with a signal word.
    Caution {
        /// Mark.
        signal: Signal,
        /// Signal word.
        title: String,
        /// Whether the items are steps in their order.
        numbered: bool,
        /// Items.
        items: Vec<Text>,
    },
    /// A table.
    Table(Table),
    /// A line chart.
    Chart(Chart),
    /// Strip of margins.
    Strip(Strip),
    /// One-line diagram.
    Diagram(Diagram),
    /// A photo with numbered marks.
    Photo(PhotoFigure),
    /// The visible block of the signature.
    Seal(SealBlock),
    /// Empty boxes for further signatures, side by side.
    Countersignatures(Vec<Countersignature>),
    /// A whole label.
    Label(Label),
    /// Layout of the blocks that follow, until the next layout.
    Columns(Columns),
    /// Continue on a new page.
    NewPage,
    /// Language of the blocks that follow (BCP 47), until the next language.
    Language(String),
}

/// How blocks are placed next to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Columns {
    /// One below the other, over the whole width.
    One,
    /// Flowing through this number of columns, in the small size.
    Flowing(u8),
    /// This number of blocks side by side, mostly figures, then the next row.
    Abreast(u8),
}

impl Columns {
    /// How photos are laid out.
    pub const PHOTOS: Columns = Columns::Abreast(3);

    /// Number of columns of the largest print of the photos, with or without an appendix.
    #[must_use]
    pub fn of_largest_photos(appendix: bool) -> u8 {
        if appendix { 1 } else { Columns::PHOTOS.count() }
    }

    /// Number of columns, at least 1.
    #[must_use]
    pub fn count(self) -> u8 {
        match self {
            Columns::One => 1,
            Columns::Flowing(count) | Columns::Abreast(count) => count.max(1),
        }
    }
}

/// Running text: spans one after the other.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Text(pub Vec<Span>);

/// A span of text, or a form field among the words.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Span {
    /// Characters.
    pub text: String,
    /// Heavy weight.
    pub strong: bool,
    /// Mark of a grade or state, drawn before the text.
    pub signal: Option<Signal>,
    /// Link: `#anchor` or a URI.
    pub link: Option<String>,
    /// BCP 47 language, if it differs from that of the surrounding text.
    pub language: Option<&'static str>,
    /// A form field; its span has no characters.
    pub field: Option<Field>,
}

/// A form field: an empty box to write in with a pen, or to type in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    /// Name, unique in the document.
    pub name: String,
    /// Tooltip, which is also read by screen readers.
    pub tip: String,
    /// Width, in digits of the surrounding text.
    pub figures: u8,
    /// Height, in lines of the surrounding text.
    pub lines: u8,
    /// Words to choose from, although any other text may be typed; empty for a plain text box.
    pub choices: Vec<String>,
}

impl Text {
    /// Plain text.
    pub fn plain(text: impl Into<String>) -> Self {
        Text(vec![Span {
            text: text.into(),
            ..Span::default()
        }])
    }
    /// Text in the heavy weight.
    pub fn strong(text: impl Into<String>) -> Self {
        Text(vec![Span {
            text: text.into(),
            strong: true,
            ..Span::default()
        }])
    }
    /// A mark followed by a word in the heavy weight.
    pub fn marked(signal: Signal, text: impl Into<String>) -> Self {
        Text(vec![Span {
            text: text.into(),
            strong: true,
            signal: Some(signal),
            ..Span::default()
        }])
    }
    /// A form field.
    pub fn field(field: Field) -> Self {
        Text(vec![Span {
            field: Some(field),
            ..Span::default()
        }])
    }
    /// The same text, marked as being in a language.
    #[must_use]
    pub fn in_language(mut self, language: &'static str) -> Self {
        for span in &mut self.0 {
            span.language = Some(language);
        }
        self
    }
    /// Appends another text.
    #[must_use]
    pub fn then(mut self, other: Text) -> Self {
        self.0.extend(other.0);
        self
    }
    /// The characters without markup.
    pub fn characters(&self) -> String {
        self.0.iter().map(|s| s.text.as_str()).collect()
    }
}

/// A mark. Its colour follows the safety-colour standards; each has a different shape, so that it
/// can be recognised in grey.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Signal {
    /// Green: in order.
    Good,
    /// Blue: worth knowing.
    Notice,
    /// Yellow: watch.
    Caution,
    /// Orange: repair.
    Warning,
    /// Red: stop.
    Danger,
    /// Grey: not known.
    Unknown,
}

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Caption, which a screen reader reads first.
    pub caption: String,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows.
    pub rows: Vec<Row>,
    /// Whether the first column heads its row.
    pub row_heads: bool,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Head.
    pub head: String,
    /// Unit, printed in the head on its own line.
    pub unit: Option<String>,
    /// Alignment of the cells.
    pub align: Align,
    /// Share of the free width; 0 for a column as wide as its longest cell.
    pub share: f32,
}

/// Alignment of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Left.
    Left,
    /// Decimal marks below each other.
    Decimal,
    /// Centred.
    Centre,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Cells, one for each column, or a single one that spans all columns. A spanning cell belongs
    /// to the row above, or is the heading of the rows below if it begins a group.
    pub cells: Vec<Text>,
    /// Drawn with a stronger rule above (a new group begins).
    pub group: bool,
}

/// A line chart over a common horizontal axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Title above.
    pub title: String,
    /// Alternate text: what the chart shows.
    pub alt: String,
    /// Horizontal axis.
    pub x: Axis,
    /// Vertical axis.
    pub y: Axis,
    /// Series, in the order of importance.
    pub series: Vec<Series>,
    /// Horizontal limit lines: value and label.
    pub limits: Vec<(f64, String)>,
    /// Note for a limit that is off the scale.
    pub off_scale: String,
}

impl Chart {
    /// The label of a limit that is off the scale.
    #[must_use]
    pub fn beyond(&self, limit: &str) -> String {
        format!("{limit}, {}", self.off_scale)
    }
}

/// An axis in printed units.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Label with unit.
    pub label: String,
    /// Fixed range, or from the data.
    pub range: Option<[f64; 2]>,
    /// Tick labels from the caller (dates); otherwise the layout chooses numbers.
    pub ticks: Option<Vec<(f64, String)>>,
}

/// A series of a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Direct label at the line's end.
    pub label: String,
    /// Measured points, x ascending.
    pub points: Vec<[f64; 2]>,
    /// Half-height of an interval at each point, when known.
    pub intervals: Vec<Option<f64>>,
    /// Fitted curve, x ascending.
    pub curve: Vec<[f64; 2]>,
    /// Value to which it settles, with half-width.
    pub settled: Option<(f64, f64)>,
    /// 0 for the first leg, 1, 2 …; air is `None`.
    pub leg: Option<usize>,
}

/// A strip that shows how much of its limit every connection uses.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// Title above.
    pub title: String,
    /// Alternate text.
    pub alt: String,
    /// Label of the value axis.
    pub axis: String,
    /// Items: label, value, half-width of its interval, limit, mark.
    pub items: Vec<(String, f64, f64, f64, Signal)>,
}

/// A one-line diagram from the supply to the charger.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagram {
    /// Title above.
    pub title: String,
    /// Alternate text.
    pub alt: String,
    /// Nodes in order: name, line below, connections (number as in the tables, id, mark).
    pub nodes: Vec<DiagramNode>,
    /// Labels of the runs between the nodes (one fewer than nodes; may be empty).
    pub runs: Vec<String>,
}

/// A node of a one-line diagram.
#[derive(Debug, Clone, PartialEq)]
pub struct DiagramNode {
    /// Name.
    pub name: String,
    /// Line below the name.
    pub detail: String,
    /// Connections: number as in the tables, and mark.
    pub connections: Vec<(usize, Signal)>,
}

/// A photo in the document.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoFigure {
    /// Index into the document's images.
    pub image: usize,
    /// Caption.
    pub caption: String,
    /// Alternate text.
    pub alt: String,
    /// Marks: number as in the tables, position as fractions from the top left corner, label.
    pub marks: Vec<(usize, [f64; 2], String)>,
}

/// The visible block of the signature.
#[derive(Debug, Clone, PartialEq)]
pub struct SealBlock {
    /// Lines: name, licence, firm, time, fingerprint.
    pub lines: Vec<Text>,
    /// Image of the handwritten signature.
    pub image: Option<usize>,
    /// Alternate text and tooltip of the field.
    pub alt: String,
    /// Code beside it, outside the field.
    pub code: Option<Code>,
}

/// An empty box for a further signature, with a pen or in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Countersignature {
    /// Name of the field.
    pub field: String,
    /// Who signs, printed in it.
    pub who: String,
    /// Alternate text and tooltip of the field.
    pub alt: String,
}

/// A square code of dark and light modules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// Modules on one side.
    pub side: usize,
    /// Which are dark, row by row.
    pub dark: Vec<bool>,
    /// Alternate text.
    pub alt: String,
}

/// A label that is put up at a circuit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// Whom to ask: firm and telephone.
    pub from: String,
    /// Mark of the result.
    pub signal: Signal,
    /// The result in a few words.
    pub title: String,
    /// Whether charging may go on.
    pub charging: String,
    /// Names and values: circuit, site, dates, certificate. The names may be shortened, and so may
    /// values that are not [`LabelFact::whole`].
    pub facts: Vec<LabelFact>,
    /// The check line.
    pub check: String,
    /// What the label is, in the smallest size.
    pub note: String,
    /// The check line as a code.
    pub code: Code,
}

/// A line of a label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabelFact {
    /// Name.
    pub name: String,
    /// Value.
    pub value: String,
    /// Whether the value is printed whole, on as many lines as it needs; otherwise on one line,
    /// shortened.
    pub whole: bool,
}

/// A file attached to the PDF.
#[derive(Debug, Clone, PartialEq)]
pub struct Attachment {
    /// File name.
    pub name: String,
    /// Media type.
    pub mime: String,
    /// Description for people.
    pub description: String,
    /// ISO 19005-3 relationship: `Source`, `Data` or `Supplement`.
    pub relationship: &'static str,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// Texts one below the other.
pub(super) fn lines(texts: Vec<Text>) -> Text {
    let mut all = Text::default();
    for (i, text) in texts.into_iter().enumerate() {
        if i > 0 {
            all = all.then(Text::plain("\n"));
        }
        all = all.then(text);
    }
    all
}

/// Text that leads to another part of the document.
pub(super) fn link(text: &str, to: &str) -> Text {
    Text(vec![Span {
        text: text.to_owned(),
        link: Some(to.to_owned()),
        ..Span::default()
    }])
}
