//! Pages to PDF bytes.
//!
//! The only place that touches the PDF writer. Owns the translation of placed items into drawing
//! operators and the cutting of fonts down to the glyphs used; [`finish`] adds what the writer
//! does not. The same pages, information and attachments give the same bytes.

mod finish;
mod subset;

use std::fmt;

use printpdf::{
    Actions, BorderArray, Codepoint, Color, ColorArray, Destination, Line, LineDashPattern,
    LinePoint, LinkAnnotation, Op, PaintMode, PdfDocument, PdfFontHandle, PdfPage, PdfSaveOptions,
    Point, Polygon, PolygonRing, Pt, Rect, TextItem, TextMatrix, WindingOrder,
};

use super::block::{Attachment, Info};
use super::font::Fonts;
use super::layout::{Laid, Page, Placed, Run};
use super::scene::{Rgb, Segment, Stroke};
use subset::Subsets;

/// Why no PDF could be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Error {
    /// A font of the program could not be cut down.
    Font {
        /// The font's PostScript name.
        name: &'static str,
        /// What the subsetter said.
        reason: String,
    },
    /// The writer reported trouble.
    Writer(String),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Font { name, reason } => write!(f, "cannot embed the font {name}: {reason}"),
            Error::Writer(reason) => write!(f, "cannot write the PDF: {reason}"),
        }
    }
}

impl std::error::Error for Error {}

/// Writes pages as a PDF.
///
/// # Errors
/// [`Error::Font`] if a font cannot be cut down, [`Error::Writer`] if the writer complains.
pub fn write(
    laid: &Laid,
    info: &Info,
    attachments: &[Attachment],
    fonts: &Fonts,
) -> Result<Vec<u8>, Error> {
    let subsets = Subsets::of(&laid.pages, fonts)?;
    let mut document = PdfDocument::new(&info.title);
    document.metadata.info.author.clone_from(&info.author);
    document.metadata.info.subject.clone_from(&info.subject);
    document.metadata.info.creator.clone_from(&info.producer);
    document.metadata.info.producer.clone_from(&info.producer);
    document.resources.fonts.map = subsets.fonts();
    let (width, height) = laid.paper.size();
    document.pages = laid
        .pages
        .iter()
        .map(|page| PdfPage {
            media_box: page_box(width, height),
            trim_box: page_box(width, height),
            crop_box: page_box(width, height),
            ops: Pen::new(&subsets, height).page(page),
        })
        .collect();
    let mut warnings = Vec::new();
    let options = PdfSaveOptions {
        subset_fonts: false,
        ..PdfSaveOptions::default()
    };
    let written = document.to_lopdf_document(&options, &mut warnings);
    if let Some(warning) = warnings.first() {
        return Err(Error::Writer(warning.msg.clone()));
    }
    finish::finish(written, laid, info, attachments)
}

fn page_box(width: f64, height: f64) -> Rect {
    Rect::from_wh(pt(width), pt(height))
}

/// Draws one page, remembering colours and pens so that they are set only when they change.
struct Pen<'a> {
    subsets: &'a Subsets,
    height: f64,
    ops: Vec<Op>,
    fill: Option<Rgb>,
    stroke: Option<Stroke>,
}

impl<'a> Pen<'a> {
    fn new(subsets: &'a Subsets, height: f64) -> Self {
        Self {
            subsets,
            height,
            ops: Vec::new(),
            fill: None,
            stroke: None,
        }
    }

    fn page(mut self, page: &Page) -> Vec<Op> {
        for item in &page.items {
            match item {
                Placed::Glyphs(run) => self.run(run),
                Placed::Path {
                    segments,
                    fill,
                    stroke,
                } => self.path(segments, *fill, stroke.as_ref()),
                Placed::Link { area, page, y } => self.link(*area, *page, *y),
            }
        }
        self.ops
    }

    fn link(&mut self, [x, y, width, height]: [f64; 4], page: usize, target: f64) {
        let destination = Destination::Xyz {
            // Counted from 1 there.
            page: page + 1,
            left: None,
            top: Some(rounded(self.height - target + 12.0)),
            zoom: None,
        };
        let area = Rect::from_xywh(pt(x), pt(self.height - y - height), pt(width), pt(height));
        self.ops.push(Op::LinkAnnotation {
            link: LinkAnnotation::new(
                area,
                Actions::go_to(destination),
                Some(BorderArray::Solid([0.0, 0.0, 0.0])),
                Some(ColorArray::Transparent),
                None,
            ),
        });
    }

    fn run(&mut self, run: &Run) {
        self.set_fill(run.colour);
        self.ops.push(Op::StartTextSection);
        let turn = run.rotation.to_radians();
        let (sin, cos) = (libm::sin(turn), libm::cos(turn));
        let mut pen = 0.0;
        let mut start = 0;
        let glyphs = &run.glyphs;
        while start < glyphs.len() {
            let first = &glyphs[start];
            // A glyph moved off the baseline stands alone; all others run on in their face.
            let moved = first.dx != 0.0 || first.dy != 0.0;
            let end = if moved {
                start + 1
            } else {
                glyphs[start..]
                    .iter()
                    .position(|g| g.face != first.face || g.dx != 0.0 || g.dy != 0.0)
                    .map_or(glyphs.len(), |length| start + length)
            };
            let (dx, dy) = (pen + first.dx * run.size, first.dy * run.size);
            let x = run.at.0 + dx * cos - dy * sin;
            let y = self.height - run.at.1 + dx * sin + dy * cos;
            self.ops.push(Op::SetFont {
                font: PdfFontHandle::External(subset::font_id(first.face)),
                size: pt(run.size),
            });
            let matrix = [cos, sin, -sin, cos, x, y].map(rounded);
            self.ops.push(Op::SetTextMatrix {
                matrix: TextMatrix::Raw(matrix),
            });
            let mut shown = Vec::with_capacity(end - start);
            for glyph in &glyphs[start..end] {
                let (id, width) = self.subsets.glyph(glyph.face, glyph.id);
                // The viewer advances by the width in the font; the rest is said here.
                let kern = width - glyph.advance * 1000.0;
                let kern = if kern.abs() < 0.5 { 0.0 } else { rounded(kern) };
                shown.push(Codepoint {
                    gid: id,
                    offset: kern,
                    cid: (!glyph.text.is_empty()).then(|| glyph.text.to_string()),
                });
                pen += glyph.advance * run.size;
            }
            self.ops.push(Op::ShowText {
                items: vec![TextItem::GlyphIds(shown)],
            });
            start = end;
        }
        self.ops.push(Op::EndTextSection);
    }

    fn path(&mut self, segments: &[Segment], fill: Option<Rgb>, stroke: Option<&Stroke>) {
        if let Some(colour) = fill {
            self.set_fill(colour);
        }
        if let Some(stroke) = stroke {
            self.set_stroke(stroke);
        }
        let pieces = self.pieces(segments);
        let mode = match (fill.is_some(), stroke.is_some()) {
            (true, true) => PaintMode::FillStroke,
            (true, false) => PaintMode::Fill,
            (false, true) => PaintMode::Stroke,
            (false, false) => return,
        };
        if mode == PaintMode::Stroke {
            for (points, is_closed) in pieces {
                self.ops.push(Op::DrawLine {
                    line: Line { points, is_closed },
                });
            }
        } else {
            self.ops.push(Op::DrawPolygon {
                polygon: Polygon {
                    rings: pieces
                        .into_iter()
                        .map(|(points, _)| PolygonRing { points })
                        .collect(),
                    mode,
                    winding_order: WindingOrder::NonZero,
                },
            });
        }
    }

    fn pieces(&self, segments: &[Segment]) -> Vec<(Vec<LinePoint>, bool)> {
        let at = |x: f64, y: f64, bezier: bool| LinePoint {
            p: Point {
                x: pt(x),
                y: pt(self.height - y),
            },
            bezier,
        };
        let mut pieces: Vec<(Vec<LinePoint>, bool)> = Vec::new();
        for segment in segments {
            match *segment {
                Segment::Move(x, y) => pieces.push((vec![at(x, y, false)], false)),
                Segment::Line(x, y) => {
                    if let Some((points, _)) = pieces.last_mut() {
                        points.push(at(x, y, false));
                    }
                }
                Segment::Cubic(from, to, end) => {
                    if let Some((points, _)) = pieces.last_mut() {
                        points.extend([
                            at(from.0, from.1, true),
                            at(to.0, to.1, true),
                            at(end.0, end.1, false),
                        ]);
                    }
                }
                Segment::Close => {
                    if let Some((_, closed)) = pieces.last_mut() {
                        *closed = true;
                    }
                }
            }
        }
        pieces
    }

    fn set_fill(&mut self, colour: Rgb) {
        if self.fill != Some(colour) {
            self.ops.push(Op::SetFillColor {
                col: pdf_colour(colour),
            });
            self.fill = Some(colour);
        }
    }

    fn set_stroke(&mut self, stroke: &Stroke) {
        let before = self.stroke.replace(stroke.clone());
        let changed = |same: fn(&Stroke, &Stroke) -> bool| {
            before.as_ref().is_none_or(|before| !same(before, stroke))
        };
        if changed(|a, b| a.colour == b.colour) {
            self.ops.push(Op::SetOutlineColor {
                col: pdf_colour(stroke.colour),
            });
        }
        if changed(|a, b| a.width.to_bits() == b.width.to_bits()) {
            self.ops.push(Op::SetOutlineThickness {
                pt: pt(stroke.width),
            });
        }
        if changed(|a, b| a.dash == b.dash) {
            let dash: Vec<f32> = stroke.dash.iter().copied().map(rounded).collect();
            self.ops.push(Op::SetLineDashPattern {
                dash: LineDashPattern::new(0.0, &dash),
            });
        }
    }
}

fn pdf_colour(Rgb(r, g, b): Rgb) -> Color {
    let part = |channel: u8| f32::from(channel) / 255.0;
    Color::Rgb(printpdf::Rgb::new(part(r), part(g), part(b), None))
}

fn pt(points: f64) -> Pt {
    Pt(rounded(points))
}

/// To a thousandth of a point: finer than any printer, and short in the file.
#[allow(clippy::cast_possible_truncation)]
fn rounded(value: f64) -> f32 {
    ((value * 1000.0).round() / 1000.0) as f32
}

#[cfg(test)]
mod tests;
