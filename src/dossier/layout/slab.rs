//! A slab: a piece of a column that never breaks.

use std::rc::Rc;

use super::{Field, Run};
use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::{Anchor, Item, Rgb, Scene, Segment, Stroke};

/// Where a block stands in the column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    /// Distance from the left edge of the column [pt].
    pub left: f64,
    /// Width [pt].
    pub width: f64,
}

/// A piece of a column that never breaks.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Slab {
    /// Space above it; dropped at the top of a page [pt].
    pub above: f64,
    /// Its own height [pt].
    pub height: f64,
    /// What stands in it; origin at its top and the left edge of the column.
    pub pieces: Vec<Piece>,
    /// Stays on the page of the slab that follows.
    pub keep: bool,
    /// Least height that must be left on the page for it to start there [pt].
    pub need: f64,
    /// Starts a page.
    pub page_start: bool,
    /// Set first when the slab comes to stand at the top of a page (the head of its table).
    pub head: Option<Rc<Slab>>,
    /// Names that links point to, at its top.
    pub anchors: Vec<String>,
    /// A heading: level and words with number.
    pub heading: Option<(u8, String)>,
    /// The page it stands on is stamped with this.
    pub stamp: Option<Rc<str>>,
    /// Belongs to the cover: its page has no running head.
    pub cover: bool,
}

/// Something in a slab.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Piece {
    /// A run of glyphs.
    Glyphs(Run),
    /// An outline.
    Path {
        segments: Vec<Segment>,
        fill: Option<Rgb>,
        stroke: Option<Stroke>,
    },
    /// A place to fill in.
    Field(Field),
    /// A photo by its number.
    Photo { area: [f64; 4], photo: usize },
    /// What follows in the slab belongs to this node; to none: decoration.
    Tag(Option<usize>),
    /// An area that leads to the block `to`.
    Link { area: [f64; 4], to: String },
    /// The number of the page on which the block `to` stands, ending at `right`.
    PageNumber {
        to: String,
        right: f64,
        baseline: f64,
        face: Face,
        size: f64,
        colour: Rgb,
    },
}

impl Slab {
    /// What is added from here on belongs to this node.
    pub fn tag(&mut self, node: usize) {
        self.pieces.push(Piece::Tag(Some(node)));
    }

    /// What is added from here on is decoration.
    pub fn untag(&mut self) {
        self.pieces.push(Piece::Tag(None));
    }

    /// Moves everything in it down, growing it at the top.
    pub fn push_down(&mut self, by: f64) {
        for piece in &mut self.pieces {
            piece.shift(0.0, by);
        }
        self.height += by;
    }
}

impl Piece {
    /// Moves it.
    pub fn shift(&mut self, dx: f64, dy: f64) {
        match self {
            Piece::Glyphs(run) => {
                run.at.0 += dx;
                run.at.1 += dy;
            }
            Piece::Path { segments, .. } => {
                for segment in segments {
                    *segment = moved(*segment, dx, dy);
                }
            }
            Piece::Link { area, .. }
            | Piece::Photo { area, .. }
            | Piece::Field(Field { area, .. }) => {
                area[0] += dx;
                area[1] += dy;
            }
            Piece::Tag(_) => {}
            Piece::PageNumber {
                right, baseline, ..
            } => {
                *right += dx;
                *baseline += dy;
            }
        }
    }

    /// A filled rectangle.
    pub fn ground([x, y, width, height]: [f64; 4], fill: Rgb) -> Self {
        let corners = [
            (x, y),
            (x + width, y),
            (x + width, y + height),
            (x, y + height),
        ];
        Piece::Path {
            segments: crate::dossier::scene::outline(&corners, true),
            fill: Some(fill),
            stroke: None,
        }
    }

    /// A straight rule.
    pub fn rule(from: (f64, f64), to: (f64, f64), stroke: Stroke) -> Self {
        Piece::Path {
            segments: vec![Segment::Move(from.0, from.1), Segment::Line(to.0, to.1)],
            fill: None,
            stroke: Some(stroke),
        }
    }
}

fn moved(segment: Segment, dx: f64, dy: f64) -> Segment {
    match segment {
        Segment::Move(x, y) => Segment::Move(x + dx, y + dy),
        Segment::Line(x, y) => Segment::Line(x + dx, y + dy),
        Segment::Cubic(from, to, end) => {
            let [from, to, end] = [from, to, end].map(|(x, y)| (x + dx, y + dy));
            Segment::Cubic(from, to, end)
        }
        Segment::Close => Segment::Close,
    }
}

/// A run of one face with its left end at `at`.
pub(super) fn run(
    fonts: &Fonts,
    face: Face,
    size: f64,
    colour: Rgb,
    at: (f64, f64),
    words: &str,
) -> Piece {
    Piece::Glyphs(Run {
        at,
        size,
        rotation: 0.0,
        colour,
        glyphs: fonts.shape(face, words).glyphs.clone(),
    })
}

/// The items of a scene as pieces, its top left corner at `at`, scaled.
pub(super) fn scene(fonts: &Fonts, scene: &Scene, at: (f64, f64), scale: f64) -> Vec<Piece> {
    scene
        .items
        .iter()
        .map(|item| match item.moved(at, scale) {
            Item::Path {
                segments,
                fill,
                stroke,
            } => Piece::Path {
                segments,
                fill,
                stroke,
            },
            Item::Text(label) => {
                let shaped = fonts.shape(label.face, &label.text);
                let back = match label.anchor {
                    Anchor::Start => 0.0,
                    Anchor::Middle => shaped.width * label.size / 2.0,
                    Anchor::End => shaped.width * label.size,
                };
                let turn = label.rotation.to_radians();
                Piece::Glyphs(Run {
                    at: (
                        label.at.0 - back * libm::cos(turn),
                        label.at.1 + back * libm::sin(turn),
                    ),
                    size: label.size,
                    rotation: label.rotation,
                    colour: label.colour,
                    glyphs: shaped.glyphs.clone(),
                })
            }
        })
        .collect()
}
