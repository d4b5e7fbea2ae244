//! What was marked on which page: content, links and fields, by node of the structure.

use crate::dossier::layout::{Field, Node, Role};

/// Everything that was marked.
pub(super) struct Marks {
    /// The nodes of the layout, then one for each link and field.
    pub nodes: Vec<Marked>,
    /// For each page the node of each of its content numbers.
    pub pages: Vec<Vec<usize>>,
    /// Links and fields in reading order.
    pub annotations: Vec<Annotation>,
}

/// A node with what belongs to it.
pub(super) struct Marked {
    pub kind: Kind,
    pub parent: Option<usize>,
    pub alt: String,
    pub kids: Vec<Kid>,
}

/// What a node is in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Block(Role),
    Link,
    Form,
}

/// What belongs to a node.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kid {
    /// Marked content of a page.
    Content { page: usize, number: usize },
    /// Another node.
    Node(usize),
    /// A link or field.
    Annotation(usize),
}

/// A link or field on a page.
pub(super) struct Annotation {
    pub page: usize,
    /// Left, top, width, height.
    pub area: [f64; 4],
    pub what: What,
    /// Its node, where the place it stands in has one.
    pub node: Option<usize>,
}

/// What an annotation is.
pub(super) enum What {
    /// Leads down to `y` on a page.
    Link { page: usize, y: f64 },
    /// Is filled in.
    Field {
        tick: bool,
        name: String,
        label: String,
    },
}

impl Marks {
    pub fn new(structure: &[Node]) -> Self {
        let mut nodes: Vec<Marked> = structure
            .iter()
            .map(|node| Marked {
                kind: Kind::Block(node.role),
                parent: node.parent,
                alt: node.alt.clone(),
                kids: Vec::new(),
            })
            .collect();
        for (index, node) in structure.iter().enumerate() {
            if let Some(parent) = node.parent.and_then(|parent| nodes.get_mut(parent)) {
                parent.kids.push(Kid::Node(index));
            }
        }
        Self {
            nodes,
            pages: Vec::new(),
            annotations: Vec::new(),
        }
    }

    pub fn start_page(&mut self) {
        self.pages.push(Vec::new());
    }

    fn page(&self) -> usize {
        self.pages.len().saturating_sub(1)
    }

    /// The tag and number of new content of a node on the open page.
    pub fn content(&mut self, node: usize) -> (&'static str, i64) {
        let page = self.page();
        let mut number = 0;
        if let Some(content) = self.pages.last_mut() {
            number = content.len();
            content.push(node);
        }
        let Some(marked) = self.nodes.get_mut(node) else {
            return ("Span", 0);
        };
        marked.kids.push(Kid::Content { page, number });
        (marked.kind.tag(), i64::try_from(number).unwrap_or(0))
    }

    /// A link in a node; gives the node of its words.
    pub fn link(
        &mut self,
        node: Option<usize>,
        area: [f64; 4],
        page: usize,
        y: f64,
    ) -> Option<usize> {
        self.annotate(node, Kind::Link, area, "", What::Link { page, y })
    }

    /// A field in a node.
    pub fn field(&mut self, node: Option<usize>, field: &Field) {
        let what = What::Field {
            tick: field.tick,
            name: field.name.clone(),
            label: field.label.clone(),
        };
        self.annotate(node, Kind::Form, field.area, &field.label, what);
    }

    fn annotate(
        &mut self,
        parent: Option<usize>,
        kind: Kind,
        area: [f64; 4],
        alt: &str,
        what: What,
    ) -> Option<usize> {
        let own = parent.map(|parent| {
            let own = self.nodes.len();
            self.nodes.push(Marked {
                kind,
                parent: Some(parent),
                alt: alt.to_owned(),
                kids: vec![Kid::Annotation(self.annotations.len())],
            });
            if let Some(parent) = self.nodes.get_mut(parent) {
                parent.kids.push(Kid::Node(own));
            }
            own
        });
        let page = self.page();
        self.annotations.push(Annotation {
            page,
            area,
            what,
            node: own,
        });
        own
    }
}

impl Kind {
    /// The standard structure type (ISO 32000-1, 14.8.4).
    pub fn tag(self) -> &'static str {
        match self {
            Kind::Link => "Link",
            Kind::Form => "Form",
            Kind::Block(role) => match role {
                Role::Document => "Document",
                Role::Group => "Div",
                Role::Heading(1) => "H1",
                Role::Heading(2) => "H2",
                Role::Heading(_) => "H3",
                Role::Paragraph => "P",
                Role::List => "L",
                Role::Item => "LI",
                Role::Label => "Lbl",
                Role::Body => "LBody",
                Role::Table => "Table",
                Role::Row => "TR",
                Role::Head | Role::Across(_) => "TH",
                Role::Cell => "TD",
                Role::Caption => "Caption",
                Role::Figure => "Figure",
                Role::Contents => "TOC",
                Role::ContentsItem => "TOCI",
            },
        }
    }
}
