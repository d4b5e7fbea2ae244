//! The boundary to the PDF writer: placed items to drawing operators, fonts as the writer wants
//! them. No other file of the program touches `printpdf`.

use std::collections::BTreeMap;

use printpdf::{
    Codepoint, Color, DictItem, ExternalStream, ExternalXObject, FontId, FontMetrics, FontType,
    Line, LineDashPattern, LinePoint, Op, PaintMode, ParsedFont, PdfDocument, PdfFont,
    PdfFontHandle, PdfFontMetricsStub, PdfPage, PdfSaveOptions, Point, Polygon, PolygonRing, Pt,
    Rect, TextItem, TextMatrix, WindingOrder, XObject, XObjectId, XObjectTransform,
};

use super::Error;
use super::marks::Marks;
use super::subset::{Subset, Subsets};
use crate::dossier::block::{Info, Photo};
use crate::dossier::font::Face;
use crate::dossier::layout::{Laid, Page, Placed, Run};
use crate::dossier::scene::{Rgb, Segment, Stroke};

/// The pages as a file without outline, structure or annotations, and what was marked on them.
pub(super) fn pages(
    laid: &Laid,
    info: &Info,
    subsets: &Subsets,
) -> Result<(lopdf::Document, Marks), Error> {
    let mut document = PdfDocument::new(&info.title);
    document.metadata.info.author.clone_from(&info.author);
    document.metadata.info.subject.clone_from(&info.subject);
    document.metadata.info.creator.clone_from(&info.producer);
    document.metadata.info.producer.clone_from(&info.producer);
    document.resources.fonts.map = subsets
        .faces()
        .map(|(face, subset)| (font_id(face), PdfFont::new(parsed(subset))))
        .collect();
    document.resources.xobjects.map = laid
        .photos
        .iter()
        .enumerate()
        .map(|(index, photo)| (photo_id(index), XObject::External(image(photo))))
        .collect();
    let (width, height) = laid.paper.size();
    let mut marks = Marks::new(&laid.structure);
    document.pages = laid
        .pages
        .iter()
        .map(|page| PdfPage {
            media_box: page_box(width, height),
            trim_box: page_box(width, height),
            crop_box: page_box(width, height),
            ops: Pen::new(subsets, height, &mut marks).page(page),
        })
        .collect();
    let mut warnings = Vec::new();
    let options = PdfSaveOptions {
        subset_fonts: false,
        ..PdfSaveOptions::default()
    };
    let written = document.to_lopdf_document(&options, &mut warnings);
    match warnings.first() {
        Some(warning) => Err(Error::Writer(warning.msg.clone())),
        None => Ok((written, marks)),
    }
}

/// The name of a face among the resources of the file.
fn font_id(face: Face) -> FontId {
    FontId(format!("T{}", face as usize))
}

fn photo_id(index: usize) -> XObjectId {
    XObjectId(format!("P{index}"))
}

fn parsed(subset: &Subset) -> ParsedFont {
    ParsedFont {
        original_bytes: subset.bytes.clone(),
        font_index: 0,
        font_name: Some(subset.name.clone()),
        codepoint_to_glyph: BTreeMap::new(),
        glyph_widths: subset.widths.clone(),
        units_per_em: subset.units_per_em,
        font_metrics: FontMetrics {
            ascent: subset.ascent,
            descent: subset.descent,
        },
        font_type: FontType::TrueType,
        pdf_font_metrics: PdfFontMetricsStub {
            units_per_em: subset.units_per_em,
            x_min: subset.bounds[0],
            y_min: subset.bounds[1],
            x_max: subset.bounds[2],
            y_max: subset.bounds[3],
            caret_slope_rise: 1,
            caret_slope_run: i16::from(subset.italic),
            us_weight_class: subset.weight,
        },
    }
}

/// A photo as the file keeps it: the JPEG itself.
fn image(photo: &Photo) -> ExternalXObject {
    let name = |word: &str| DictItem::Name(word.as_bytes().to_vec());
    let entries = [
        ("Type", name("XObject")),
        ("Subtype", name("Image")),
        ("Width", DictItem::Int(photo.width.into())),
        ("Height", DictItem::Int(photo.height.into())),
        ("ColorSpace", name("DeviceRGB")),
        ("BitsPerComponent", DictItem::Int(8)),
        ("Filter", name("DCTDecode")),
    ];
    ExternalXObject {
        stream: ExternalStream {
            dict: entries
                .into_iter()
                .map(|(key, value)| (key.to_owned(), value))
                .collect(),
            content: photo.jpeg.clone(),
            compress: false,
        },
        width: None,
        height: None,
        dpi: None,
    }
}

fn page_box(width: f64, height: f64) -> Rect {
    Rect::from_wh(pt(width), pt(height))
}

/// Draws one page, remembering colours and pens so that they are set only when they change.
struct Pen<'a> {
    subsets: &'a Subsets,
    height: f64,
    marks: &'a mut Marks,
    ops: Vec<Op>,
    fill: Option<Rgb>,
    stroke: Option<Stroke>,
    /// What is being marked.
    open: Mark,
}

/// What content belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    Nothing,
    Decoration,
    Node(usize),
}

impl<'a> Pen<'a> {
    fn new(subsets: &'a Subsets, height: f64, marks: &'a mut Marks) -> Self {
        Self {
            subsets,
            height,
            marks,
            ops: Vec::new(),
            fill: None,
            stroke: None,
            open: Mark::Nothing,
        }
    }

    fn page(mut self, page: &Page) -> Vec<Op> {
        self.marks.start_page();
        let mut node = None;
        let mut link = None;
        for item in &page.items {
            // The words of a link follow it at once.
            let belongs = link.take().or(node);
            match item {
                Placed::Tag(next) => node = *next,
                Placed::Link { area, page, y } => link = self.marks.link(node, *area, *page, *y),
                Placed::Field(field) => self.marks.field(node, field),
                Placed::Glyphs(run) => {
                    self.mark(belongs);
                    self.run(run);
                }
                Placed::Path {
                    segments,
                    fill,
                    stroke,
                } => {
                    self.mark(node);
                    self.path(segments, *fill, stroke.as_ref());
                }
                Placed::Photo { area, photo } => {
                    self.mark(node);
                    self.photo(*area, *photo);
                }
            }
        }
        self.unmark();
        self.ops
    }

    /// Opens the marked content that what follows belongs to, unless it is open.
    fn mark(&mut self, node: Option<usize>) {
        let mark = node.map_or(Mark::Decoration, Mark::Node);
        if self.open == mark {
            return;
        }
        self.unmark();
        self.open = mark;
        self.ops.push(match node {
            None => Op::BeginMarkedContent {
                tag: "Artifact".to_owned(),
            },
            Some(node) => {
                let (tag, number) = self.marks.content(node);
                let properties = DictItem::Dict {
                    map: BTreeMap::from([("MCID".to_owned(), DictItem::Int(number))]),
                };
                Op::BeginMarkedContentWithProperties {
                    tag: tag.to_owned(),
                    properties,
                }
            }
        });
    }

    fn unmark(&mut self) {
        if std::mem::replace(&mut self.open, Mark::Nothing) != Mark::Nothing {
            self.ops.push(Op::EndMarkedContent);
        }
    }

    fn photo(&mut self, [x, y, width, height]: [f64; 4], photo: usize) {
        self.ops.push(Op::UseXobject {
            id: photo_id(photo),
            transform: XObjectTransform {
                translate_x: Some(pt(x)),
                translate_y: Some(pt(self.height - y - height)),
                scale_x: Some(rounded(width)),
                scale_y: Some(rounded(height)),
                no_auto_scale: true,
                ..XObjectTransform::default()
            },
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
                font: PdfFontHandle::External(font_id(first.face)),
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
