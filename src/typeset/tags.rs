//! The structure of the document, separate from its appearance: which content is a heading, a
//! paragraph or a cell, and in which order it is read (ISO 32000-1, 14.7 and 14.8). It is built
//! while the blocks are laid out; the content of each node is recorded while pages are painted.

/// A standard structure type (ISO 32000-1, 14.8.4).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Document,
    H1,
    H2,
    H3,
    P,
    /// A list, with how its labels are numbered.
    L(Numbering),
    LI,
    Lbl,
    LBody,
    Table,
    Caption,
    TR,
    /// A heading of the column below, or of the row to its right.
    TH(Scope),
    TD,
    /// A cell that spans this number of columns.
    Across(usize),
    Figure,
    Link,
    Form,
    /// Words of another language.
    Span,
}

/// How the labels of a list are numbered (ISO 32000-1, table 347).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Numbering {
    /// Not at all: its labels are names.
    None,
    /// Bullets.
    Disc,
    /// 1, 2, 3.
    Decimal,
}

/// Scope of a table heading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scope {
    Column,
    Row,
}

impl Role {
    /// Name of the type.
    pub(super) fn name(self) -> &'static str {
        match self {
            Role::Document => "Document",
            Role::H1 => "H1",
            Role::H2 => "H2",
            Role::H3 => "H3",
            Role::P => "P",
            Role::L(_) => "L",
            Role::LI => "LI",
            Role::Lbl => "Lbl",
            Role::LBody => "LBody",
            Role::Table => "Table",
            Role::Caption => "Caption",
            Role::TR => "TR",
            Role::TH(_) => "TH",
            Role::TD | Role::Across(_) => "TD",
            Role::Figure => "Figure",
            Role::Link => "Link",
            Role::Form => "Form",
            Role::Span => "Span",
        }
    }
}

/// Content of a node, in reading order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kid {
    /// Another node.
    Node(usize),
    /// Marked content of a page.
    Content { page: usize, mcid: u32 },
    /// An annotation, by its number in the document.
    Annotation { page: usize, annotation: usize },
}

/// A node of the structure tree.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Node {
    pub role: Role,
    pub parent: usize,
    pub kids: Vec<Kid>,
    /// Alternate text of a figure.
    pub alt: Option<String>,
    /// BCP 47 language, if it differs from that of the parent.
    pub language: Option<String>,
    /// Page and box of a figure, points from the lower left corner.
    pub bounds: Option<(usize, [f32; 4])>,
    /// Whether it was added to its parent already. A link is added to its paragraph when its first
    /// words are painted, so that it is in the right position among the surrounding words.
    attached: bool,
}

/// The structure tree; node 0 is the document.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tags {
    nodes: Vec<Node>,
    /// Language of the blocks that are added, if it differs from the document's.
    language: Option<String>,
}

impl Tags {
    /// A tree with only the document node.
    pub(super) fn new() -> Tags {
        Tags {
            nodes: vec![Node {
                role: Role::Document,
                parent: 0,
                kids: Vec::new(),
                alt: None,
                language: None,
                bounds: None,
                attached: true,
            }],
            language: None,
        }
    }

    /// All nodes, parents first.
    pub(super) fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// Adds a node as the last of its parent.
    pub(super) fn add(&mut self, parent: usize, role: Role) -> usize {
        let node = self.push(parent, role, true);
        if let Some(parent) = self.nodes.get_mut(parent) {
            parent.kids.push(Kid::Node(node));
        }
        node
    }

    /// Adds a node that is added to its parent together with its first content.
    pub(super) fn add_inline(&mut self, parent: usize, role: Role) -> usize {
        self.push(parent, role, false)
    }

    fn push(&mut self, parent: usize, role: Role, attached: bool) -> usize {
        let node = self.nodes.len();
        self.nodes.push(Node {
            role,
            parent,
            kids: Vec::new(),
            alt: None,
            // Nested nodes inherit it.
            language: self.language.clone().filter(|_| parent == 0),
            bounds: None,
            attached,
        });
        node
    }

    /// Sets the language of the following blocks; `None` for the document's.
    pub(super) fn set_language(&mut self, language: Option<&str>) {
        self.language = language.map(str::to_owned);
    }

    /// The language in which a node's words are, where it is not the document's.
    pub(super) fn language_of(&self, mut node: usize) -> Option<&str> {
        while let Some(this) = self.nodes.get(node) {
            if this.language.is_some() || node == 0 {
                return this.language.as_deref();
            }
            node = this.parent;
        }
        None
    }

    /// Adds words of another language, that join their parent with their first content.
    pub(super) fn add_words(&mut self, parent: usize, language: &str) -> usize {
        let node = self.add_inline(parent, Role::Span);
        if let Some(this) = self.nodes.get_mut(node) {
            this.language = Some(language.to_owned());
        }
        node
    }

    /// Adds a figure with what it shows.
    pub(super) fn add_figure(&mut self, parent: usize, alt: &str) -> usize {
        let node = self.add(parent, Role::Figure);
        self.describe(node, alt);
        node
    }

    /// Adds a form field with its contents; its appearance is not tagged content.
    pub(super) fn add_form(&mut self, parent: usize, alt: &str) -> usize {
        let node = self.add(parent, Role::Form);
        self.describe(node, alt);
        node
    }

    /// Adds a form field that joins its parent with its area.
    pub(super) fn add_inline_form(&mut self, parent: usize, alt: &str) -> usize {
        let node = self.add_inline(parent, Role::Form);
        self.describe(node, alt);
        node
    }

    fn describe(&mut self, node: usize, alt: &str) {
        if let Some(this) = self.nodes.get_mut(node) {
            this.alt = Some(alt.to_owned());
        }
    }

    /// Notes where a figure is.
    pub(super) fn set_bounds(&mut self, node: usize, page: usize, bounds: [f32; 4]) {
        if let Some(node) = self.nodes.get_mut(node) {
            node.bounds = Some((page, bounds));
        }
    }

    /// Notes content of a node.
    pub(super) fn note(&mut self, node: usize, kid: Kid) {
        let Some(this) = self.nodes.get_mut(node) else {
            return;
        };
        this.kids.push(kid);
        if !this.attached {
            this.attached = true;
            let parent = this.parent;
            if let Some(parent) = self.nodes.get_mut(parent) {
                parent.kids.push(Kid::Node(node));
            }
        }
    }

    /// The role of a node.
    pub(super) fn role(&self, node: usize) -> Role {
        self.nodes.get(node).map_or(Role::P, |n| n.role)
    }
}
