//! The document as blocks: what the templates arrange and the layout sets.
//!
//! Owns the block and inline model. Knows nothing of designs, checks, fonts or pages. Fed by the
//! view model (tables, figures, steps …) and by the templates (headings and prose).

mod furniture;
mod inline;
mod table;

pub use furniture::{CheckItem, Checklist, Gate, Gates, Signature, Step, StepGroup, Steps, Title};
pub use inline::{Inline, Status, code, emphasis, link, plain_text, strong, text};
pub use table::{Align, Cell, Column, MarginBar, Row, RowKind, Table, Width};

use super::scene::Scene;

/// One block of the document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading. Levels 1 and 2 are numbered, appear in the contents and in the outline; level 3
    /// is neither.
    Heading {
        /// 1, 2 or 3.
        level: u8,
        /// The words.
        text: Vec<Inline>,
        /// The name links point to; empty for none.
        id: String,
    },
    /// A paragraph.
    Paragraph(Vec<Inline>),
    /// A list; each item is itself a run of blocks.
    List {
        /// Numbered from 1 when true.
        ordered: bool,
        /// The items.
        items: Vec<Vec<Block>>,
    },
    /// A table, which breaks over pages and repeats its head.
    Table(Table),
    /// A drawing or plot with its caption.
    Figure(Figure),
    /// A photo with its caption.
    Photo(Photo),
    /// Numbered bring-up steps with expected readings and blanks.
    Steps(Steps),
    /// Lines to tick and to sign.
    Checklist(Checklist),
    /// A caution set apart from the text.
    Callout {
        /// The name links point to; empty for none.
        id: String,
        /// How serious.
        kind: Callout,
        /// The title after the signal word; may be empty.
        title: Vec<Inline>,
        /// What it says.
        blocks: Vec<Block>,
    },
    /// The panels of the gates.
    Gates(Gates),
    /// The title of the document, for the cover.
    Title(Title),
    /// The table of contents: every numbered heading with its page.
    Contents,
    /// Blocks every page of which carries a stamp, e.g. `DEMONSTRATION`.
    Stamped {
        /// The word stamped.
        stamp: String,
        /// What is stamped.
        blocks: Vec<Block>,
    },
    /// The next block starts a page.
    PageBreak,
}

/// How serious a callout is. The signal words follow the usual order of safety signs: danger of
/// injury, caution for equipment, note for information. A finding says which gate it blocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Callout {
    /// Someone can be hurt.
    Danger,
    /// Something can be damaged.
    Caution,
    /// Worth knowing.
    Note,
    /// A finding that keeps the power gate shut.
    BlocksPower,
    /// A finding that keeps the plug gate shut.
    BlocksPlug,
    /// A finding that keeps the share gate shut.
    BlocksShare,
}

/// A drawing or plot with its caption.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The name links point to; empty for none.
    pub id: String,
    /// What is drawn, at its own size; scaled down if wider than the column.
    pub scene: Scene,
    /// The caption, without its number.
    pub caption: Vec<Inline>,
    /// What a reader who cannot see it needs to know.
    pub alt: String,
}

/// A photo with its caption: baseline JPEG of bounded size, without metadata.
#[derive(Debug, Clone, PartialEq)]
pub struct Photo {
    /// The JPEG, three colour channels of eight bits.
    pub jpeg: Vec<u8>,
    /// Width [px].
    pub width: u32,
    /// Height [px].
    pub height: u32,
    /// The caption, without its number.
    pub caption: Vec<Inline>,
    /// What a reader who cannot see it needs to know.
    pub alt: String,
}

/// A whole document.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// What the file says of itself, and the running head.
    pub info: Info,
    /// The blocks in reading order.
    pub blocks: Vec<Block>,
    /// Files that ride inside the PDF.
    pub attachments: Vec<Attachment>,
}

/// What a document says of itself.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Info {
    /// The title, in the running head and the file.
    pub title: String,
    /// The revision, in the running head.
    pub revision: String,
    /// The author.
    pub author: String,
    /// One sentence on the subject.
    pub subject: String,
    /// The document's date, `YYYY-MM-DD`: the only date that goes into the file.
    pub date: String,
    /// Language tag (BCP 47), e.g. `en-GB`.
    pub language: String,
    /// The program that wrote it, with its version.
    pub producer: String,
    /// Gate name and whether it is open, for the running foot.
    pub gates: Vec<(String, bool)>,
}

/// A file that rides inside the PDF.
#[derive(Debug, Clone, PartialEq)]
pub struct Attachment {
    /// Its name, with `/` between folders.
    pub name: String,
    /// What it is.
    pub description: String,
    /// Media type, e.g. `application/yaml`.
    pub media_type: String,
    /// Its content.
    pub bytes: Vec<u8>,
}
