//! From blocks to pages of placed items.
//!
//! Blocks are first set into [`slab`]s, pieces of a column that never break; [`pages`] then stacks
//! the slabs, keeping together what belongs together and repeating the heads of tables. Owns
//! numbers of headings, tables, figures and pages. Knows nothing of designs or of PDF.

mod blocks;
mod contents;
mod furniture;
mod gates;
mod marks;
mod outline;
mod pages;
mod slab;
mod steps;
mod structure;
mod table;
mod text;
mod widths;

use std::collections::BTreeSet;
use std::rc::Rc;

pub use structure::{Node, Role};

use super::block::{Document, Photo};
use super::font::{Fonts, Glyph};
use super::scene::{Rgb, Segment, Stroke};

/// The paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// ISO 216 A4, 210 × 297 mm.
    #[default]
    A4,
    /// US Letter, 8.5 × 11 in.
    Letter,
}

/// A document set on pages.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// The paper.
    pub paper: Paper,
    /// The pages.
    pub pages: Vec<Page>,
    /// The numbered headings with their places.
    pub outline: Vec<Bookmark>,
    /// What the pages say, in reading order; the first node is the document.
    pub structure: Vec<Node>,
    /// The photos that pages show, by number.
    pub photos: Vec<Rc<Photo>>,
    /// Characters that no font has; each is drawn as U+FFFD.
    pub missing_characters: BTreeSet<char>,
    /// Link targets that no block carries.
    pub missing_targets: BTreeSet<String>,
}

/// A page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// What stands on it, back to front. Origin top left, y down, points.
    pub items: Vec<Placed>,
}

/// Something with its place on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Placed {
    /// A run of glyphs.
    Glyphs(Run),
    /// An outline.
    Path {
        /// The outline.
        segments: Vec<Segment>,
        /// Filled with.
        fill: Option<Rgb>,
        /// Stroked with.
        stroke: Option<Stroke>,
    },
    /// A place that leads to another.
    Link {
        /// Left, top, width, height.
        area: [f64; 4],
        /// Index of the page it leads to.
        page: usize,
        /// How far down that page.
        y: f64,
    },
    /// A place to fill in on the screen.
    Field(Field),
    /// A photo, by number, filling a place.
    Photo {
        /// Left, top, width, height.
        area: [f64; 4],
        /// Which of the document's photos.
        photo: usize,
    },
    /// What follows belongs to this node of the structure; to none: decoration.
    Tag(Option<usize>),
}

/// A place to fill in on the screen; what stands on paper is drawn besides.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Left, top, width, height.
    pub area: [f64; 4],
    /// A box to tick; otherwise a line to write on.
    pub tick: bool,
    /// Its name, the same whenever the document is.
    pub name: String,
    /// What is to be filled in, in words.
    pub label: String,
}

/// A run of glyphs on one baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Where its baseline starts.
    pub at: (f64, f64),
    /// Size [pt].
    pub size: f64,
    /// Turned counter-clockwise [degrees].
    pub rotation: f64,
    /// Colour.
    pub colour: Rgb,
    /// The glyphs.
    pub glyphs: Vec<Glyph>,
}

/// A heading with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Bookmark {
    /// 1 or 2.
    pub level: u8,
    /// Number and words.
    pub title: String,
    /// Index of its page.
    pub page: usize,
    /// How far down the page.
    pub y: f64,
}

impl Paper {
    /// Width and height [pt].
    #[must_use]
    pub fn size(self) -> (f64, f64) {
        match self {
            Paper::A4 => (595.28, 841.89),
            Paper::Letter => (612.0, 792.0),
        }
    }

    /// The column: left, top, width, height [pt]. The left margin leaves room for a binder.
    #[must_use]
    pub fn column(self) -> [f64; 4] {
        let (width, height) = self.size();
        let (left, right, top, bottom) = (68.0, 56.0, 76.0, 66.0);
        [left, top, width - left - right, height - top - bottom]
    }
}

/// Sets a document on pages.
#[must_use]
pub fn lay_out(document: &Document, paper: Paper, fonts: &Fonts) -> Laid {
    let outline = outline::Outline::of(&document.blocks);
    let [_, _, width, height] = paper.column();
    let setter = blocks::Setter::new(fonts, &outline, height);
    let slabs = setter.set(&document.blocks, slab::Frame { left: 0.0, width });
    let mut laid = pages::stack(slabs, &document.info, paper, fonts);
    laid.structure = setter.structure.into_nodes();
    laid.photos = setter.photos.into_inner();
    laid.missing_characters = fonts.missing();
    laid
}

#[cfg(test)]
mod tests;
