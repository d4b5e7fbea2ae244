//! Slabs to pages: stacks, breaks, repeated heads, running heads and feet, links.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::marks;
use super::slab::{self, Piece, Slab};
use super::{Bookmark, Laid, Page, Paper, Placed, Run};
use crate::dossier::block::{Info, Status};
use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::Stroke;
use crate::dossier::style;

/// A page being filled.
#[derive(Default)]
struct Sheet {
    pieces: Vec<Piece>,
    /// First heading of level 1 on the page, else the one that runs on.
    section: String,
    stamps: BTreeSet<Rc<str>>,
    cover: bool,
}

struct Stack<'a> {
    sheets: Vec<Sheet>,
    y: f64,
    /// Nothing but a repeated head stands on the page.
    fresh: bool,
    column: [f64; 4],
    anchors: BTreeMap<String, (usize, f64)>,
    outline: Vec<Bookmark>,
    section: String,
    fonts: &'a Fonts,
}

/// Stacks slabs on pages.
pub(super) fn stack(slabs: Vec<Slab>, info: &Info, paper: Paper, fonts: &Fonts) -> Laid {
    let column = paper.column();
    let mut stack = Stack {
        sheets: vec![Sheet::default()],
        y: column[1],
        fresh: true,
        column,
        anchors: BTreeMap::new(),
        outline: Vec::new(),
        section: String::new(),
        fonts,
    };
    let mut group: Vec<Slab> = Vec::new();
    for slab in slabs {
        let keep = slab.keep;
        group.push(slab);
        if !keep {
            stack.group(std::mem::take(&mut group));
        }
    }
    stack.group(group);
    stack.finish(info, paper)
}

/// A page of which less than this is used is not left for a new one because a template asks for it.
const LEAST_USED: f64 = 0.25;

impl Stack<'_> {
    fn bottom(&self) -> f64 {
        self.column[1] + self.column[3]
    }

    /// Places slabs that belong together, on a new page if they do not fit on this one.
    fn group(&mut self, group: Vec<Slab>) {
        let Some(first) = group.first() else { return };
        let total: f64 = group.iter().map(|slab| slab.above + slab.height).sum();
        let need = group.iter().map(|slab| slab.need).fold(total, f64::max);
        let whole = self.column[3];
        let begins = first.page_start && self.y - self.column[1] > LEAST_USED * whole;
        if (begins || (need <= whole && self.y + need > self.bottom())) && !self.fresh {
            self.new_page();
        }
        for slab in group {
            self.place(slab);
        }
    }

    fn new_page(&mut self) {
        self.sheets.push(Sheet {
            section: self.section.clone(),
            ..Sheet::default()
        });
        self.y = self.column[1];
        self.fresh = true;
    }

    fn place(&mut self, slab: Slab) {
        let above = if self.fresh { 0.0 } else { slab.above };
        if self.y + above + slab.height > self.bottom() + 0.01 && !self.fresh {
            self.new_page();
        }
        let at_top = self.fresh;
        self.y += if at_top { 0.0 } else { slab.above };
        if at_top && let Some(head) = &slab.head {
            let top = self.y;
            self.put(&head.pieces, top);
            self.y += head.height;
        }
        let top = self.y;
        let page = self.sheets.len() - 1;
        for anchor in slab.anchors {
            self.anchors.entry(anchor).or_insert((page, top));
        }
        if let Some((level, title)) = slab.heading {
            if level == 1 {
                self.section.clone_from(&title);
                if let Some(sheet) = self.sheets.last_mut()
                    && (at_top || sheet.section.is_empty())
                {
                    sheet.section.clone_from(&title);
                }
            }
            self.outline.push(Bookmark {
                level,
                title,
                page,
                y: top,
            });
        }
        if let Some(sheet) = self.sheets.last_mut() {
            sheet.stamps.extend(slab.stamp);
            sheet.cover |= slab.cover;
        }
        self.put(&slab.pieces, top);
        self.y += slab.height;
        self.fresh = false;
    }

    fn put(&mut self, pieces: &[Piece], top: f64) {
        let left = self.column[0];
        if let Some(sheet) = self.sheets.last_mut() {
            sheet.pieces.extend(pieces.iter().cloned().map(|mut piece| {
                piece.shift(left, top);
                piece
            }));
            sheet.pieces.push(Piece::Tag(None));
        }
    }

    fn finish(mut self, info: &Info, paper: Paper) -> Laid {
        let count = self.sheets.len();
        let mut sheets = std::mem::take(&mut self.sheets);
        let mut missing_targets = BTreeSet::new();
        let mut pages = Vec::with_capacity(count);
        for (index, sheet) in sheets.iter_mut().enumerate() {
            let mut pieces = self.running(sheet, info, paper, index, count);
            pieces.append(&mut sheet.pieces);
            let mut page = Page::default();
            for piece in pieces {
                match piece {
                    Piece::Glyphs(run) => page.items.push(Placed::Glyphs(run)),
                    Piece::Path {
                        segments,
                        fill,
                        stroke,
                    } => page.items.push(Placed::Path {
                        segments,
                        fill,
                        stroke,
                    }),
                    Piece::Field(field) => page.items.push(Placed::Field(field)),
                    Piece::Photo { area, photo } => {
                        page.items.push(Placed::Photo { area, photo });
                    }
                    Piece::Tag(node) => page.items.push(Placed::Tag(node)),
                    Piece::Link { area, to } => match self.anchors.get(&to) {
                        Some(&(page_index, y)) => page.items.push(Placed::Link {
                            area,
                            page: page_index,
                            y,
                        }),
                        None => {
                            missing_targets.insert(to);
                        }
                    },
                    Piece::PageNumber {
                        to,
                        right,
                        baseline,
                        face,
                        size,
                        colour,
                    } => {
                        if let Some((page_index, _)) = self.anchors.get(&to) {
                            let shaped = self.fonts.shape(face, &format!(" {}", page_index + 1));
                            page.items.push(Placed::Glyphs(Run {
                                at: (right - shaped.width * size, baseline),
                                size,
                                rotation: 0.0,
                                colour,
                                glyphs: shaped.glyphs.clone(),
                            }));
                        }
                    }
                }
            }
            pages.push(page);
        }
        Laid {
            paper,
            pages,
            outline: self.outline,
            structure: Vec::new(),
            photos: Vec::new(),
            missing_characters: BTreeSet::new(),
            missing_targets,
        }
    }

    /// Running head and foot, and the stamp.
    fn running(
        &self,
        sheet: &Sheet,
        info: &Info,
        paper: Paper,
        index: usize,
        count: usize,
    ) -> Vec<Piece> {
        let (_, height) = paper.size();
        let [left, top, width, _] = self.column;
        let (face, size) = (Face::Condensed, 8.2);
        let mut pieces = Vec::new();
        let say = |face: Face, colour, x: f64, y: f64, end: bool, words: &str| {
            let back = if end {
                self.fonts.width(face, size, words)
            } else {
                0.0
            };
            slab::run(self.fonts, face, size, colour, (x - back, y), words)
        };
        let head = top - 32.0;
        let foot = height - 34.0;
        if !sheet.cover {
            let revision = if info.revision.is_empty() {
                String::new()
            } else {
                format!("\u{2002}revision {}", info.revision)
            };
            let title = self.fitting(&info.title, width * 0.45, size);
            pieces.push(say(
                Face::CondensedSemiBold,
                style::INK,
                left,
                head,
                false,
                &title,
            ));
            let after = left + self.fonts.width(Face::CondensedSemiBold, size, &title);
            pieces.push(say(face, style::QUIET, after, head, false, &revision));
            let section = self.fitting(&sheet.section, width * 0.4, size);
            pieces.push(say(face, style::QUIET, left + width, head, true, &section));
        }
        let pages = format!("Page {} of {count}", index + 1);
        pieces.push(say(face, style::QUIET, left + width, foot, true, &pages));
        let mut x = left;
        if sheet.cover {
            pieces.push(say(face, style::QUIET, x, foot, false, &info.producer));
        } else {
            for (name, open) in &info.gates {
                let status = if *open { Status::Holds } else { Status::Fails };
                let mark = marks::mark(status, size);
                let words = format!("{name} {}", if *open { "open" } else { "blocked" });
                pieces.push(say(face, style::QUIET, x + 11.0, foot, false, &words));
                let marked = slab::scene(self.fonts, &mark, (x, foot - 7.0), 1.0);
                x += 11.0 + self.fonts.width(face, size, &words) + 14.0;
                pieces.extend(marked);
            }
        }
        if !sheet.cover {
            pieces.push(Piece::rule(
                (left, head + 7.0),
                (left + width, head + 7.0),
                Stroke::solid(0.4, style::RULE),
            ));
        }
        for stamp in &sheet.stamps {
            let words = stamp.to_uppercase();
            let (face, size) = (Face::CondensedSemiBold, 9.0);
            let span = self.fonts.width(face, size, &words);
            let x = left + width - span - 6.0;
            let y = head - 15.0;
            pieces.push(super::table::box_piece(
                [x - 6.0, y - 10.0, span + 12.0, 14.0],
                1.0,
                style::FAILS,
            ));
            pieces.push(slab::run(
                self.fonts,
                face,
                size,
                style::FAILS,
                (x, y),
                &words,
            ));
        }
        pieces
    }

    /// The words, cut short with an ellipsis if they are wider than `width`.
    fn fitting(&self, words: &str, width: f64, size: f64) -> String {
        if self.fonts.width(Face::CondensedSemiBold, size, words) <= width {
            return words.to_owned();
        }
        let mut cut: Vec<char> = words.chars().collect();
        while cut.pop().is_some() {
            let mut short: String = cut.iter().collect();
            short.push('…');
            if self.fonts.width(Face::CondensedSemiBold, size, &short) <= width {
                return short;
            }
        }
        String::new()
    }
}
