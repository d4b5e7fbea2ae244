//! Blocks to slabs.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use super::outline::Outline;
use super::slab::{self, Frame, Piece, Slab};
use super::structure::{Role, Structure};
use super::text::{self, Dress, Line};
use super::{contents, furniture, gates, steps, table};
use crate::dossier::block::{Block, Callout, Figure, Inline, Photo, Status, plain_text};
use crate::dossier::font::Fonts;
use crate::dossier::scene::Stroke;
use crate::dossier::style;

/// Sets blocks in slabs, counting headings, tables and figures as it goes.
pub(super) struct Setter<'a> {
    pub fonts: &'a Fonts,
    pub outline: &'a Outline,
    /// Height of a page's column [pt].
    pub page: f64,
    pub structure: Structure,
    pub photos: RefCell<Vec<Rc<Photo>>>,
    headings: Cell<usize>,
    tables: Cell<u32>,
    figures: Cell<u32>,
    unnamed: Cell<u32>,
}

impl<'a> Setter<'a> {
    pub fn new(fonts: &'a Fonts, outline: &'a Outline, page: f64) -> Self {
        Self {
            fonts,
            outline,
            page,
            structure: Structure::new(),
            photos: RefCell::new(Vec::new()),
            headings: Cell::new(0),
            tables: Cell::new(0),
            figures: Cell::new(0),
            unnamed: Cell::new(1),
        }
    }

    pub fn set(&self, blocks: &[Block], frame: Frame) -> Vec<Slab> {
        let mut slabs = Vec::new();
        let mut page_start = false;
        for (index, block) in blocks.iter().enumerate() {
            let mut set = self.block(block, frame);
            // A few words that lead to a table stay with its head, and to a figure with it.
            if matches!(block, Block::Paragraph(_))
                && set.len() <= 4
                && matches!(
                    blocks.get(index + 1),
                    Some(
                        Block::Table(_) | Block::Steps(_) | Block::Checklist(_) | Block::Figure(_)
                    )
                )
                && let Some(last) = set.last_mut()
            {
                last.keep = true;
            }
            if page_start && let Some(first) = set.first_mut() {
                first.page_start = true;
                page_start = false;
            }
            page_start |= matches!(block, Block::PageBreak);
            slabs.append(&mut set);
        }
        slabs
    }

    fn block(&self, block: &Block, frame: Frame) -> Vec<Slab> {
        match block {
            Block::Heading { level, text, id } => vec![self.heading(*level, text, id, frame)],
            Block::Paragraph(inlines) => self.paragraph(inlines, Dress::TEXT, measure(frame), 6.0),
            Block::List { ordered, items } => self
                .structure
                .within(Role::List, || self.list(*ordered, items, frame)),
            Block::Table(content) => self
                .structure
                .within(Role::Table, || table::set(self, content, frame)),
            Block::Figure(figure) => vec![
                self.structure
                    .within(Role::Group, || self.figure(figure, frame)),
            ],
            Block::Photo(photo) => vec![
                self.structure
                    .within(Role::Group, || self.photo(photo, frame)),
            ],
            Block::Steps(content) => self
                .structure
                .within(Role::Table, || steps::steps(self, content, frame)),
            Block::Checklist(content) => steps::checklist(self, content, frame),
            Block::Callout {
                id,
                kind,
                title,
                blocks,
            } => {
                let mut slabs = self
                    .structure
                    .within(Role::Group, || self.callout(*kind, title, blocks, frame));
                if let Some(first) = slabs.first_mut()
                    && !id.is_empty()
                {
                    first.anchors.push(id.clone());
                }
                slabs
            }
            Block::Gates(content) => gates::set(self, content, frame),
            Block::Title(content) => furniture::title(self, content, frame),
            Block::Contents => self
                .structure
                .within(Role::Contents, || contents::set(self, frame)),
            Block::Stamped { stamp, blocks } => {
                let stamp: Rc<str> = stamp.as_str().into();
                let mut slabs = self.set(blocks, frame);
                for slab in &mut slabs {
                    slab.stamp = Some(Rc::clone(&stamp));
                }
                slabs
            }
            Block::PageBreak => Vec::new(),
        }
    }

    fn heading(&self, level: u8, words: &[Inline], id: &str, frame: Frame) -> Slab {
        let (size, leading, above) = match level {
            1 => (17.0, 21.0, 30.0),
            2 => (12.0, 15.5, 18.0),
            _ => (10.0, 13.6, 12.0),
        };
        let dress = Dress::TEXT.bold().sized(size, leading);
        let mut slab = Slab {
            above,
            keep: true,
            need: if level == 1 { 150.0 } else { 64.0 },
            ..Slab::default()
        };
        slab.tag(self.structure.leaf(Role::Heading(level.clamp(1, 3))));
        let mut indent = 0.0;
        let top = if level == 1 { 9.0 } else { 0.0 };
        if level <= 2 {
            let index = self.headings.replace(self.headings.get() + 1);
            if let Some(entry) = self.outline.entries.get(index) {
                indent = if level == 1 { 30.0 } else { 30.0_f64.max(6.0) };
                let baseline = top + 0.78 * leading;
                slab.pieces.push(slab::run(
                    self.fonts,
                    dress.face,
                    size,
                    style::ACCENT,
                    (frame.left, baseline),
                    &format!("{} ", entry.number),
                ));
                slab.anchors.push(entry.id.clone());
                slab.heading = Some((level, format!("{} {}", entry.number, entry.words)));
            }
        } else if !id.is_empty() {
            slab.anchors.push(id.to_owned());
        }
        let lines = text::lines(self.fonts, words, dress, frame.width - indent);
        let mut y = top;
        for line in lines {
            place(&mut slab, line, frame.left + indent, y + 0.78 * leading);
            y += leading;
        }
        slab.height = y + if level == 1 { 2.0 } else { 0.0 };
        if level == 1 {
            slab.untag();
            slab.pieces.push(Piece::rule(
                (frame.left, 0.0),
                (frame.left + frame.width, 0.0),
                Stroke::solid(1.2, style::ACCENT),
            ));
        }
        slab
    }

    /// A paragraph as one slab for each line, kept from leaving a line alone.
    pub fn paragraph(
        &self,
        inlines: &[Inline],
        dress: Dress,
        frame: Frame,
        above: f64,
    ) -> Vec<Slab> {
        self.paragraph_as(Role::Paragraph, inlines, dress, frame, above)
    }

    /// The same, said to be something else: a caption.
    pub fn paragraph_as(
        &self,
        role: Role,
        inlines: &[Inline],
        dress: Dress,
        frame: Frame,
        above: f64,
    ) -> Vec<Slab> {
        let node = self.structure.leaf(role);
        let lines = text::lines(self.fonts, inlines, dress, frame.width);
        let introduces = plain_text(inlines).trim_end().ends_with(':');
        let count = lines.len();
        lines
            .into_iter()
            .enumerate()
            .map(|(index, line)| {
                let mut slab = Slab {
                    above: if index == 0 { above } else { 0.0 },
                    height: dress.leading,
                    keep: match index + 1 {
                        last if last == count => introduces,
                        next => count <= 3 || index == 0 || next + 1 == count,
                    },
                    ..Slab::default()
                };
                slab.tag(node);
                place(&mut slab, line, frame.left, baseline(dress));
                slab
            })
            .collect()
    }

    fn list(&self, ordered: bool, items: &[Vec<Block>], frame: Frame) -> Vec<Slab> {
        let indent = 16.0;
        let inner = Frame {
            left: frame.left + indent,
            width: frame.width - indent,
        };
        let mut slabs = Vec::new();
        for (index, item) in items.iter().enumerate() {
            let (label, mut set) = self.structure.within(Role::Item, || {
                let label = self.structure.leaf(Role::Label);
                let set = self.structure.within(Role::Body, || self.set(item, inner));
                (label, set)
            });
            let Some(first) = set.first_mut() else {
                continue;
            };
            first.tag(label);
            first.above = if index == 0 { 5.0 } else { 3.0 };
            let dress = Dress::TEXT;
            let mark = if ordered {
                format!("{}.", index + 1)
            } else {
                "•".to_owned()
            };
            first.pieces.push(slab::run(
                self.fonts,
                dress.face,
                dress.size,
                style::ACCENT,
                (frame.left + 2.0, baseline(dress)),
                &mark,
            ));
            slabs.append(&mut set);
        }
        slabs
    }

    fn figure(&self, figure: &Figure, frame: Frame) -> Slab {
        let number = self.figures.get() + 1;
        self.figures.set(number);
        // Tall pictures are scaled to leave room for the caption on a page of their own.
        let scale = (frame.width / figure.scene.width)
            .min((self.page - 60.0) / figure.scene.height)
            .min(1.0);
        let mut slab = Slab {
            above: 12.0,
            ..Slab::default()
        };
        if !figure.id.is_empty() {
            slab.anchors.push(figure.id.clone());
        }
        slab.tag(self.structure.with_alt(Role::Figure, &figure.alt));
        slab.pieces.extend(slab::scene(
            self.fonts,
            &figure.scene,
            (frame.left, 0.0),
            scale,
        ));
        self.caption(
            &mut slab,
            number,
            &figure.caption,
            figure.scene.height * scale,
            frame,
        );
        slab
    }

    /// A photo no larger than the column and a third of the page's height.
    fn photo(&self, photo: &Photo, frame: Frame) -> Slab {
        let number = self.figures.get() + 1;
        self.figures.set(number);
        let (width, height) = (
            f64::from(photo.width.max(1)),
            f64::from(photo.height.max(1)),
        );
        let scale = (frame.width / width).min(self.page * 0.45 / height);
        let area = [frame.left, 0.0, width * scale, height * scale];
        let mut slab = Slab {
            above: 12.0,
            ..Slab::default()
        };
        let mut photos = self.photos.borrow_mut();
        slab.tag(self.structure.with_alt(Role::Figure, &photo.alt));
        slab.pieces.push(Piece::Photo {
            area,
            photo: photos.len(),
        });
        photos.push(Rc::new(photo.clone()));
        self.caption(&mut slab, number, &photo.caption, area[3], frame);
        slab
    }

    /// The caption under a figure that is so tall.
    fn caption(&self, slab: &mut Slab, number: u32, words: &[Inline], tall: f64, frame: Frame) {
        let mut y = tall + 6.0;
        let caption = numbered("Figure", number, words);
        slab.tag(self.structure.leaf(Role::Caption));
        for line in text::lines(self.fonts, &caption, Dress::CAPTION, measure(frame).width) {
            place(slab, line, frame.left, y + baseline(Dress::CAPTION));
            y += Dress::CAPTION.leading;
        }
        slab.height = y + 6.0;
    }

    /// The next table's number.
    pub fn next_table(&self) -> u32 {
        self.tables.set(self.tables.get() + 1);
        self.tables.get()
    }

    /// What the names of a table's fields begin with: its id, or its place among tables.
    pub fn field_name(&self, id: &str) -> String {
        if id.is_empty() {
            format!("table-{}", self.unnamed.replace(self.unnamed.get() + 1))
        } else {
            id.to_owned()
        }
    }

    fn callout(
        &self,
        kind: Callout,
        title: &[Inline],
        blocks: &[Block],
        frame: Frame,
    ) -> Vec<Slab> {
        let (word, status, colour) = match kind {
            Callout::Danger => ("DANGER", Status::Fails, style::FAILS),
            Callout::Caution => ("CAUTION", Status::Caution, style::NOT_ASSESSED),
            Callout::Note => ("NOTE", Status::DoesNotApply, style::ACCENT),
            Callout::BlocksPower => ("BLOCKS POWER", Status::Fails, style::FAILS),
            Callout::BlocksPlug => ("BLOCKS PLUG", Status::Fails, style::NOT_ASSESSED),
            Callout::BlocksShare => ("BLOCKS SHARE", Status::Fails, style::ACCENT),
        };
        let outer = measure(frame);
        let (bar, pad) = (3.5, 12.0);
        let inner = Frame {
            left: outer.left + bar + pad,
            width: outer.width - bar - 2.0 * pad,
        };
        let mut head = Vec::new();
        if kind != Callout::Note {
            head.push(Inline::Status(status));
        }
        head.push(Inline::Text(word.to_owned()));
        if !title.is_empty() {
            head.push(Inline::Text("\u{2002}".to_owned()));
            head.extend_from_slice(title);
        }
        let dress = Dress::TEXT.bold().coloured(colour);
        let mut slabs = self.paragraph(&head, dress, inner, 0.0);
        for slab in &mut slabs {
            slab.keep = true;
        }
        let mut rest = self.set(blocks, inner);
        if let Some(first) = rest.first_mut() {
            first.above = first.above.min(2.0);
        }
        slabs.append(&mut rest);
        let last = slabs.len().saturating_sub(1);
        for (index, slab) in slabs.iter_mut().enumerate() {
            // The ground runs through, so the space above belongs to the slab itself.
            let top = if index == 0 { 7.0 } else { slab.above };
            slab.push_down(top);
            slab.above = if index == 0 { 10.0 } else { 0.0 };
            if index == last {
                slab.height += 8.0;
                slab.keep = false;
            }
            let ground = [outer.left, 0.0, outer.width, slab.height];
            let edge = [outer.left, 0.0, bar, slab.height];
            slab.pieces.insert(0, Piece::ground(edge, colour));
            slab.pieces
                .insert(0, Piece::ground(ground, colour.tint(0.07)));
        }
        // Two slabs of ground always meet, so a short callout stays whole.
        if slabs.len() <= 6 {
            for slab in slabs.iter_mut().take(last) {
                slab.keep = true;
            }
        }
        slabs
    }
}

/// The frame no wider than running text should be.
pub(super) fn measure(frame: Frame) -> Frame {
    Frame {
        width: frame.width.min(style::MEASURE),
        ..frame
    }
}

/// Distance from the top of a line to its baseline [pt].
pub(super) fn baseline(dress: Dress) -> f64 {
    dress.leading / 2.0 + 0.35 * dress.size
}

/// Puts a line into a slab.
pub(super) fn place(slab: &mut Slab, line: Line, x: f64, y: f64) {
    for mut piece in line.pieces {
        piece.shift(x, y);
        slab.pieces.push(piece);
    }
}

/// A caption with its number in front.
pub(super) fn numbered(kind: &str, number: u32, caption: &[Inline]) -> Vec<Inline> {
    let mut all = vec![
        crate::dossier::block::strong(format!("{kind}\u{A0}{number}")),
        Inline::Text("\u{2002}".to_owned()),
    ];
    all.extend_from_slice(caption);
    all
}
