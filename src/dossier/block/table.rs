//! Tables: columns sized by content, cells of text, marks, bars, boxes and blanks.

use super::{Inline, Status};

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// The name links point to; empty for none.
    pub id: String,
    /// The caption, without its number; no caption and no number when empty.
    pub caption: Vec<Inline>,
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
    /// What stands in the place of the rows when there are none, e.g. "No findings."
    pub empty: String,
}

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// The head.
    pub head: Vec<Inline>,
    /// How cells line up.
    pub align: Align,
    /// How wide.
    pub width: Width,
}

/// How cells line up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Align {
    /// At the left.
    #[default]
    Left,
    /// At the right.
    Right,
    /// In the middle.
    Centre,
    /// On the decimal point of the first number in the cell; cells without a number at the left.
    Decimal,
}

/// How wide a column is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Width {
    /// By its content, shrinking in proportion if the table is too wide; text wraps.
    #[default]
    Content,
    /// Shares, by this weight, what the other columns leave.
    Share(f64),
    /// This many points.
    Fixed(f64),
}

/// A row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Row {
    /// The name links point to; empty for none.
    pub id: String,
    /// Further names that point here.
    pub also: Vec<String>,
    /// What kind.
    pub kind: RowKind,
    /// One cell for each column; missing ones are blank.
    pub cells: Vec<Cell>,
}

/// What kind of row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RowKind {
    /// A row of figures.
    #[default]
    Body,
    /// A title over the rows that follow: its first cell spans the table.
    Group,
}

/// A cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Text; [`Inline::Break`] starts a new line.
    Text(Vec<Inline>),
    /// A status mark with words.
    Status(Status, Vec<Inline>),
    /// How much of a limit is used.
    Bar(MarginBar),
    /// A box to tick.
    Tick,
    /// A line to write on, with the unit printed after it (may be empty).
    Blank(String),
}

/// A bar from nothing to the limit, with the limit marked; beyond it the bar runs past the mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarginBar {
    /// Applied ÷ limit. Not finite: drawn as *not assessed*.
    pub ratio: f64,
    /// A second, softer mark (derating), as a fraction of the limit.
    pub derated: Option<f64>,
    /// What the check said.
    pub status: Status,
}

impl Column {
    /// A column sized by its content.
    #[must_use]
    pub fn new(head: &str, align: Align) -> Self {
        Self {
            head: super::text(head),
            align,
            width: Width::Content,
        }
    }

    /// The same column, sharing what the others leave.
    #[must_use]
    pub fn share(mut self, weight: f64) -> Self {
        self.width = Width::Share(weight);
        self
    }

    /// The same column at a fixed width [pt].
    #[must_use]
    pub fn fixed(mut self, points: f64) -> Self {
        self.width = Width::Fixed(points);
        self
    }
}

impl Row {
    /// A row of cells.
    #[must_use]
    pub fn new(cells: impl IntoIterator<Item = Cell>) -> Self {
        Self {
            cells: cells.into_iter().collect(),
            ..Self::default()
        }
    }

    /// A title over the rows that follow.
    #[must_use]
    pub fn group(title: impl Into<String>) -> Self {
        Self {
            kind: RowKind::Group,
            cells: vec![Cell::Text(vec![super::strong(title)])],
            ..Self::default()
        }
    }
}

impl Cell {
    /// Plain words.
    #[must_use]
    pub fn text(words: impl Into<String>) -> Self {
        Cell::Text(super::text(words))
    }

    /// A name of a net, part or key.
    #[must_use]
    pub fn code(words: impl Into<String>) -> Self {
        Cell::Text(vec![super::code(words)])
    }

    /// Nothing.
    #[must_use]
    pub fn empty() -> Self {
        Cell::Text(Vec::new())
    }
}
