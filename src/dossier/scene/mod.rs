//! A picture as paths and text: what drawings and plots are made of.
//!
//! Owns geometry only. The layout places a [`Scene`] on a page; [`Scene::to_svg`] writes it as SVG.
//! Origin at the top left, x to the right, y down, lengths in points.

mod svg;

use super::font::Face;

/// A picture.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scene {
    /// Width [pt].
    pub width: f64,
    /// Height [pt].
    pub height: f64,
    /// What is drawn, back to front.
    pub items: Vec<Item>,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// An outline, filled, stroked or both.
    Path {
        /// The outline.
        segments: Vec<Segment>,
        /// Filled with.
        fill: Option<Rgb>,
        /// Stroked with.
        stroke: Option<Stroke>,
    },
    /// A line of text.
    Text(Label),
}

/// A line of text in a scene.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Where the anchor stands, on the baseline [pt].
    pub at: (f64, f64),
    /// The words.
    pub text: String,
    /// Which point of the text stands at `at`.
    pub anchor: Anchor,
    /// Size [pt].
    pub size: f64,
    /// Turned counter-clockwise about `at` [degrees].
    pub rotation: f64,
    /// The face.
    pub face: Face,
    /// The colour.
    pub colour: Rgb,
}

/// Which point of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// Its left end.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// One piece of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// Starts a new piece.
    Move(f64, f64),
    /// Straight.
    Line(f64, f64),
    /// Bézier with two control points and its end.
    Cubic((f64, f64), (f64, f64), (f64, f64)),
    /// Back to the start of the piece.
    Close,
}

/// A colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rgb(pub u8, pub u8, pub u8);

/// How an outline is stroked.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Width [pt].
    pub width: f64,
    /// Colour.
    pub colour: Rgb,
    /// Dash and gap lengths [pt]; solid when empty.
    pub dash: Vec<f64>,
}

impl Stroke {
    /// A solid stroke.
    #[must_use]
    pub fn solid(width: f64, colour: Rgb) -> Self {
        Self {
            width,
            colour,
            dash: Vec::new(),
        }
    }

    /// A dashed stroke.
    #[must_use]
    pub fn dashed(width: f64, colour: Rgb, dash: &[f64]) -> Self {
        Self {
            width,
            colour,
            dash: dash.to_vec(),
        }
    }
}

impl Rgb {
    /// The colour mixed with white: 1 leaves it, 0 is white.
    #[must_use]
    pub fn tint(self, strength: f64) -> Self {
        let mix = |channel: u8| {
            let value = 255.0 - (255.0 - f64::from(channel)) * strength.clamp(0.0, 1.0);
            // In 0..=255 by construction.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let byte = value.round() as u8;
            byte
        };
        Rgb(mix(self.0), mix(self.1), mix(self.2))
    }
}

impl Scene {
    /// An empty picture.
    #[must_use]
    pub fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            items: Vec::new(),
        }
    }

    /// Adds an open line through points.
    pub fn polyline(&mut self, points: &[(f64, f64)], stroke: Stroke) {
        self.path(outline(points, false), None, Some(stroke));
    }

    /// Adds a closed shape through points.
    pub fn polygon(&mut self, points: &[(f64, f64)], fill: Option<Rgb>, stroke: Option<Stroke>) {
        self.path(outline(points, true), fill, stroke);
    }

    /// Adds a rectangle by its top left corner and size.
    pub fn rect(
        &mut self,
        (x, y): (f64, f64),
        (width, height): (f64, f64),
        fill: Option<Rgb>,
        stroke: Option<Stroke>,
    ) {
        let corners = [
            (x, y),
            (x + width, y),
            (x + width, y + height),
            (x, y + height),
        ];
        self.polygon(&corners, fill, stroke);
    }

    /// Adds a circle, as four cubics (largest radial error 0.03 % of the radius).
    pub fn circle(
        &mut self,
        (x, y): (f64, f64),
        radius: f64,
        fill: Option<Rgb>,
        stroke: Option<Stroke>,
    ) {
        self.path(circle((x, y), radius), fill, stroke);
    }

    /// Adds an outline.
    pub fn path(&mut self, segments: Vec<Segment>, fill: Option<Rgb>, stroke: Option<Stroke>) {
        self.items.push(Item::Path {
            segments,
            fill,
            stroke,
        });
    }

    /// Adds a label.
    pub fn label(&mut self, label: Label) {
        self.items.push(Item::Text(label));
    }

    /// Adds another picture with its top left corner at `at`, scaled.
    pub fn place(&mut self, other: &Scene, at: (f64, f64), scale: f64) {
        self.items
            .extend(other.items.iter().map(|item| item.moved(at, scale)));
    }
}

impl Label {
    /// A label in the face of tables and plots.
    #[must_use]
    pub fn new(at: (f64, f64), text: impl Into<String>, size: f64, colour: Rgb) -> Self {
        Self {
            at,
            text: text.into(),
            anchor: Anchor::Start,
            size,
            rotation: 0.0,
            face: Face::Condensed,
            colour,
        }
    }

    /// The same label with another anchor.
    #[must_use]
    pub fn anchored(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }

    /// The same label in another face.
    #[must_use]
    pub fn face(mut self, face: Face) -> Self {
        self.face = face;
        self
    }

    /// The same label turned counter-clockwise [degrees].
    #[must_use]
    pub fn turned(mut self, degrees: f64) -> Self {
        self.rotation = degrees;
        self
    }
}

impl Item {
    /// The item scaled about the origin and then moved.
    #[must_use]
    pub fn moved(&self, (dx, dy): (f64, f64), scale: f64) -> Self {
        let at = |x: f64, y: f64| (x * scale + dx, y * scale + dy);
        match self {
            Item::Path {
                segments,
                fill,
                stroke,
            } => Item::Path {
                segments: segments
                    .iter()
                    .map(|segment| match *segment {
                        Segment::Move(x, y) => {
                            let (x, y) = at(x, y);
                            Segment::Move(x, y)
                        }
                        Segment::Line(x, y) => {
                            let (x, y) = at(x, y);
                            Segment::Line(x, y)
                        }
                        Segment::Cubic(from, to, end) => {
                            Segment::Cubic(at(from.0, from.1), at(to.0, to.1), at(end.0, end.1))
                        }
                        Segment::Close => Segment::Close,
                    })
                    .collect(),
                fill: *fill,
                stroke: stroke.as_ref().map(|stroke| Stroke {
                    width: stroke.width * scale,
                    colour: stroke.colour,
                    dash: stroke.dash.iter().map(|length| length * scale).collect(),
                }),
            },
            Item::Text(label) => Item::Text(Label {
                at: at(label.at.0, label.at.1),
                size: label.size * scale,
                ..label.clone()
            }),
        }
    }
}

/// The outline through points.
#[must_use]
pub fn outline(points: &[(f64, f64)], closed: bool) -> Vec<Segment> {
    let mut segments: Vec<Segment> = points
        .iter()
        .enumerate()
        .map(|(index, &(x, y))| {
            if index == 0 {
                Segment::Move(x, y)
            } else {
                Segment::Line(x, y)
            }
        })
        .collect();
    if closed && !segments.is_empty() {
        segments.push(Segment::Close);
    }
    segments
}

/// A circle as four cubics: control points at 0.5523 of the radius, the value that puts the middle
/// of each quarter on the circle.
#[must_use]
pub fn circle((x, y): (f64, f64), radius: f64) -> Vec<Segment> {
    let (r, k) = (radius, radius * 0.552_284_75);
    vec![
        Segment::Move(x + r, y),
        Segment::Cubic((x + r, y + k), (x + k, y + r), (x, y + r)),
        Segment::Cubic((x - k, y + r), (x - r, y + k), (x - r, y)),
        Segment::Cubic((x - r, y - k), (x - k, y - r), (x, y - r)),
        Segment::Cubic((x + k, y - r), (x + r, y - k), (x + r, y)),
        Segment::Close,
    ]
}
