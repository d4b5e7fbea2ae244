//! Tables to slabs: one slab for each row, with the head to be repeated.

use std::rc::Rc;

use super::Field;
use super::blocks::{Setter, baseline, numbered, place};
use super::marks;
use super::slab::{self, Frame, Piece, Slab};
use super::structure::{Role, Structure};
use super::text::{self, Dress, Line};
use super::widths::{self, Demand};
use crate::dossier::block::{
    Align, Cell, Column, Inline, MarginBar, Row, RowKind, Status, Table, Width, plain_text,
};
use crate::dossier::font::Fonts;
use crate::dossier::scene::{Rgb, Stroke};
use crate::dossier::style;

const GAP: f64 = 9.0;
const PAD: f64 = 2.7;
/// Height of a row with something to write in or to tick [pt].
const WRITING: f64 = 18.0;
const BAR: f64 = 84.0;
/// The bar's track shows this much of the limit.
const BAR_SPAN: f64 = 1.25;
/// Rows with more lines than this break between lines.
const TALL: usize = 24;

/// A table's columns once their widths are known.
struct Grid<'a> {
    fonts: &'a Fonts,
    structure: &'a Structure,
    /// What the names of the fields in it begin with.
    name: String,
    columns: &'a [Column],
    /// Left edge and width of each column [pt].
    places: Vec<(f64, f64)>,
    /// For decimal columns, the widest part before the point [pt].
    points: Vec<f64>,
    left: f64,
    width: f64,
}

/// Sets a table.
pub(super) fn set(setter: &Setter, table: &Table, frame: Frame) -> Vec<Slab> {
    let mut slabs = Vec::new();
    let mut number = None;
    if !table.caption.is_empty() {
        let next = setter.next_table();
        number = Some(next);
        let caption = numbered("Table", next, &table.caption);
        slabs = setter.paragraph_as(
            Role::Caption,
            &caption,
            Dress::CAPTION,
            super::blocks::measure(frame),
            13.0,
        );
        for slab in &mut slabs {
            slab.keep = true;
        }
    }
    let grid = Grid::new(setter, table, frame);
    let mut head = setter.structure.within(Role::Row, || grid.head());
    head.above = if slabs.is_empty() { 12.0 } else { 3.0 };
    let plain = Rc::new(grid.repeated(&head, &continued(number, "")));
    slabs.push(head.clone());
    if let Some(first) = slabs.first_mut()
        && !table.id.is_empty()
    {
        first.anchors.push(table.id.clone());
    }
    let start = slabs.len();
    let mut within = Within::default();
    let mut named = (String::new(), Rc::clone(&plain));
    for (index, row) in table.rows.iter().enumerate() {
        let follows_group = index > 0 && table.rows[index - 1].kind == RowKind::Group;
        let mut set = setter.structure.within(Role::Row, || {
            grid.row(row, index + 1, follows_group || index == 0)
        });
        let label = within.enter(row);
        if label != named.0 {
            let head = grid.repeated(&head, &continued(number, &label));
            named = (label, Rc::new(head));
        }
        for slab in &mut set {
            slab.head = Some(Rc::clone(&named.1));
        }
        slabs.extend(set);
    }
    if table.rows.is_empty() {
        let mut empty = setter
            .structure
            .within(Role::Row, || grid.empty(&table.empty));
        empty.head = Some(Rc::clone(&plain));
        slabs.push(empty);
    }
    let last = slabs.len() - 1;
    // Neither the first nor the last row stands alone on a page.
    if slabs[start].pieces.len() < 400 && last > start {
        slabs[start].keep = true;
        slabs[last - 1].keep = true;
    }
    let end = &mut slabs[last];
    end.keep = false;
    end.untag();
    end.pieces.push(Piece::rule(
        (grid.left, end.height),
        (grid.left + grid.width, end.height),
        Stroke::solid(0.8, style::INK),
    ));
    end.height += 6.0;
    slabs
}

/// The longest name of a part or a group that is said again where a page begins inside it.
const NAME: usize = 60;

/// Where in a table a row stands.
#[derive(Default)]
struct Within {
    group: String,
    /// What the first words of a row name; rows with none go on with it.
    subject: String,
}

impl Within {
    /// Goes on to a row; what a page that begins with it must say again.
    fn enter(&mut self, row: &Row) -> String {
        let words = |cell: &Cell| match cell {
            Cell::Text(inlines) => Some(named(inlines)),
            _ => None,
        };
        let first = row.cells.iter().take(2).find_map(words).unwrap_or_default();
        if row.kind == RowKind::Group {
            self.group = first;
            self.subject.clear();
            return String::new();
        }
        if first.is_empty() && !self.subject.is_empty() {
            return self.subject.clone();
        }
        self.subject = first;
        self.group.clone()
    }
}

/// The first line of some words, where it is short enough to be a name.
fn named(inlines: &[Inline]) -> String {
    let end = inlines.iter().position(|i| matches!(i, Inline::Break));
    let words = plain_text(&inlines[..end.unwrap_or(inlines.len())]);
    let words = words.trim().replace('\u{2002}', ", ");
    if words.chars().count() > NAME {
        String::new()
    } else {
        words
    }
}

/// What stands over a head that is repeated.
fn continued(number: Option<u32>, name: &str) -> Vec<Inline> {
    match (number, name) {
        (Some(number), "") => numbered("Table", number, &[Inline::Text("continued".to_owned())]),
        (Some(number), name) => {
            let words = format!("continued: {name}");
            numbered("Table", number, &[Inline::Text(words)])
        }
        (None, "") => Vec::new(),
        (None, name) => vec![Inline::Text(format!("{name}, continued"))],
    }
}

impl<'a> Grid<'a> {
    fn new(setter: &'a Setter, table: &'a Table, frame: Frame) -> Self {
        let fonts = setter.fonts;
        let columns = &table.columns;
        let mut points = vec![0.0_f64; columns.len()];
        let mut demands = Vec::with_capacity(columns.len());
        for (index, column) in columns.iter().enumerate() {
            let (mut natural, mut least) = text::extent(fonts, &column.head, head_dress());
            natural = natural.min(1.6 * least.max(40.0));
            let mut after = 0.0_f64;
            for row in table.rows.iter().filter(|row| row.kind == RowKind::Body) {
                let Some(cell) = row.cells.get(index) else {
                    continue;
                };
                let (whole, word) = cell_extent(fonts, cell);
                natural = natural.max(whole);
                least = least.max(word);
                if column.align == Align::Decimal
                    && let Some((before, rest)) = decimal_parts(fonts, cell)
                {
                    points[index] = points[index].max(before);
                    after = after.max(rest);
                }
            }
            let decimal = points[index] + after;
            demands.push(Demand {
                width: column.width,
                natural: natural.max(decimal) + 0.5,
                least: least.min(natural).max(decimal.min(natural)) + 0.5,
                stretches: column.align == Align::Left && column.width == Width::Content,
            });
        }
        #[allow(clippy::cast_precision_loss)]
        let gaps = GAP * columns.len().saturating_sub(1) as f64;
        let widths = widths::share(&demands, frame.width - gaps);
        let mut places = Vec::with_capacity(widths.len());
        let mut x = frame.left;
        for width in widths {
            places.push((x, width));
            x += width + GAP;
        }
        Self {
            fonts,
            structure: &setter.structure,
            name: setter.field_name(&table.id),
            columns,
            points,
            left: frame.left,
            width: (x - GAP - frame.left).max(0.0),
            places,
        }
    }

    fn head(&self) -> Slab {
        let dress = head_dress();
        let heads: Vec<Vec<Line>> = self
            .columns
            .iter()
            .zip(&self.places)
            .map(|(column, (_, width))| text::lines(self.fonts, &column.head, dress, *width))
            .collect();
        let count = heads.iter().map(Vec::len).max().unwrap_or(1);
        let mut slab = Slab {
            height: lines_height(count, dress) + 2.0 * PAD,
            keep: true,
            ..Slab::default()
        };
        for (index, lines) in heads.into_iter().enumerate() {
            // Heads stand on the rule.
            let skip = count - lines.len();
            slab.tag(self.structure.leaf(Role::Head));
            for (row, line) in lines.into_iter().enumerate() {
                let x = self.aligned(index, line.width, self.columns[index].align);
                let y = PAD + lines_height(skip + row, dress) + baseline(dress);
                place(&mut slab, line, x, y);
            }
        }
        let y = slab.height;
        slab.untag();
        slab.pieces.push(Piece::rule(
            (self.left, y),
            (self.left + self.width, y),
            Stroke::solid(0.8, style::INK),
        ));
        slab
    }

    fn repeated(&self, head: &Slab, label: &[Inline]) -> Slab {
        let mut slab = head.clone();
        slab.above = 0.0;
        // Heard once, not on every page.
        slab.pieces.retain(|piece| !matches!(piece, Piece::Tag(_)));
        if !label.is_empty() {
            let dress = Dress::CAPTION;
            slab.push_down(dress.leading + 3.0);
            for line in text::lines(self.fonts, label, dress, self.width.max(120.0)) {
                place(&mut slab, line, self.left, baseline(dress));
            }
        }
        slab
    }

    fn empty(&self, words: &str) -> Slab {
        let dress = Dress::TABLE.coloured(style::QUIET);
        let words = if words.is_empty() { "None." } else { words };
        let mut slab = Slab {
            height: dress.leading + 2.0 * PAD,
            ..Slab::default()
        };
        let words = crate::dossier::block::text(words);
        slab.tag(self.structure.leaf(Role::Across(self.columns.len())));
        for line in text::lines(self.fonts, &words, dress, self.width.max(200.0)) {
            place(&mut slab, line, self.left, PAD + baseline(dress));
        }
        slab
    }

    fn row(&self, row: &Row, number: usize, first: bool) -> Vec<Slab> {
        if row.kind == RowKind::Group {
            return vec![self.group(row, first)];
        }
        let nodes: Vec<usize> = self
            .columns
            .iter()
            .map(|_| self.structure.leaf(Role::Cell))
            .collect();
        let cells: Vec<Vec<Line>> = self
            .places
            .iter()
            .enumerate()
            .map(|(index, (_, width))| {
                row.cells
                    .get(index)
                    .map(|cell| cell_lines(self.fonts, cell, *width))
                    .unwrap_or_default()
            })
            .collect();
        let count = cells.iter().map(Vec::len).max().unwrap_or(0).max(1);
        let writing = row
            .cells
            .iter()
            .any(|cell| matches!(cell, Cell::Tick | Cell::Blank(_)));
        let mut slabs = Vec::new();
        let mut from = 0;
        while from < count {
            let to = if count > TALL {
                (from + TALL / 2).min(count)
            } else {
                count
            };
            let top = if from == 0 { PAD } else { 0.0 };
            let bottom = if to == count { PAD } else { 0.0 };
            let mut height = top + lines_height(to - from, Dress::TABLE) + bottom;
            if writing {
                height = height.max(WRITING);
            }
            let mut slab = Slab {
                height,
                ..Slab::default()
            };
            for (index, lines) in cells.iter().enumerate() {
                // A single line stands level with what is to be written or ticked.
                let top = if writing && lines.len() == 1 && count == 1 {
                    (height - Dress::TABLE.leading) / 2.0
                } else {
                    top
                };
                slab.tag(nodes[index]);
                for (step, line) in lines.iter().skip(from).take(to - from).enumerate() {
                    let x = self.cell_x(index, row.cells.get(index), lines, line);
                    let y = top + lines_height(step, Dress::TABLE) + baseline(Dress::TABLE);
                    place(&mut slab, line.clone(), x, y);
                }
            }
            slab.untag();
            if from == 0 {
                self.decorate(&mut slab, row, number, &nodes);
                if !row.id.is_empty() {
                    slab.anchors.push(row.id.clone());
                    slab.anchors.extend(row.also.iter().cloned());
                }
                if !first {
                    slab.pieces.push(Piece::rule(
                        (self.left, 0.0),
                        (self.left + self.width, 0.0),
                        Stroke::solid(0.4, style::RULE),
                    ));
                }
            }
            slabs.push(slab);
            from = to;
        }
        slabs
    }

    fn group(&self, row: &Row, first: bool) -> Slab {
        let dress = Dress::TABLE;
        let title = match row.cells.first() {
            Some(Cell::Text(inlines)) => inlines.clone(),
            _ => Vec::new(),
        };
        let above = if first { 3.0 } else { 8.0 };
        let mut slab = Slab {
            height: above,
            keep: true,
            need: 46.0,
            ..Slab::default()
        };
        if !row.id.is_empty() {
            slab.anchors.push(row.id.clone());
            slab.anchors.extend(row.also.iter().cloned());
        }
        slab.tag(self.structure.leaf(Role::Across(self.columns.len())));
        for line in text::lines(self.fonts, &title, dress, self.width) {
            let y = slab.height + baseline(dress);
            place(&mut slab, line, self.left, y);
            slab.height += dress.leading;
        }
        slab.height += 2.5;
        slab.pieces.insert(
            0,
            Piece::ground(
                [
                    self.left,
                    above - 2.5,
                    self.width,
                    slab.height - above + 2.5,
                ],
                style::GROUND,
            ),
        );
        slab
    }

    fn aligned(&self, index: usize, width: f64, align: Align) -> f64 {
        let (left, room) = self.places[index];
        match align {
            Align::Left | Align::Decimal => left,
            Align::Right => left + (room - width).max(0.0),
            Align::Centre => left + (room - width).max(0.0) / 2.0,
        }
    }

    fn cell_x(&self, index: usize, cell: Option<&Cell>, lines: &[Line], line: &Line) -> f64 {
        let align = self.columns[index].align;
        if align == Align::Decimal
            && lines.len() == 1
            && let Some(cell) = cell
            && let Some((before, _)) = decimal_parts(self.fonts, cell)
        {
            let (left, room) = self.places[index];
            return left + (self.points[index] - before).clamp(0.0, (room - line.width).max(0.0));
        }
        self.aligned(index, line.width, align)
    }

    /// A place to fill in, named by its row and column and labelled by what stands before it.
    fn field(&self, row: &Row, number: usize, column: usize, tick: bool, area: [f64; 4]) -> Piece {
        let said: Vec<String> = row
            .cells
            .iter()
            .filter_map(|cell| match cell {
                Cell::Text(words) if !words.is_empty() => Some(plain_text(words)),
                _ => None,
            })
            .take(2)
            .collect();
        let head = self.columns.get(column).map(|c| plain_text(&c.head));
        let place = if row.id.is_empty() {
            number.to_string()
        } else {
            row.id.clone()
        };
        Piece::Field(Field {
            area,
            tick,
            name: format!("{}-{place}-{}", self.name, column + 1).replace('.', "-"),
            label: [head.unwrap_or_default(), said.join(" ")]
                .join(" ")
                .trim()
                .to_owned(),
        })
    }

    fn decorate(&self, slab: &mut Slab, row: &Row, number: usize, nodes: &[usize]) {
        for (index, cell) in row.cells.iter().enumerate().take(self.places.len()) {
            let (left, width) = self.places[index];
            let middle = PAD + Dress::TABLE.leading / 2.0;
            match cell {
                Cell::Bar(bar) => {
                    bar_pieces(slab, self.fonts, *bar, left, width.min(BAR), middle);
                }
                Cell::Tick => {
                    let side = 9.5;
                    let x = match self.columns[index].align {
                        Align::Centre => left + (width - side) / 2.0,
                        Align::Right => left + width - side,
                        _ => left,
                    };
                    let top = (slab.height - side) / 2.0;
                    slab.pieces
                        .push(box_piece([x, top, side, side], 0.8, style::INK));
                    slab.tag(nodes[index]);
                    let area = [x, top, side, side];
                    slab.pieces.push(self.field(row, number, index, true, area));
                    slab.untag();
                }
                Cell::Blank(unit) => {
                    let unit_width = self.fonts.width(Dress::TABLE.face, Dress::TABLE.size, unit);
                    let y = (slab.height / 2.0 + 6.0).min(slab.height - 2.5);
                    let end = left + width - unit_width - if unit.is_empty() { 0.0 } else { 3.0 };
                    slab.pieces.push(Piece::rule(
                        (left, y),
                        (end.max(left + 10.0), y),
                        Stroke::solid(0.6, style::INK),
                    ));
                    slab.tag(nodes[index]);
                    let area = [left, y - 12.0, (end - left).max(10.0), 12.0];
                    slab.pieces
                        .push(self.field(row, number, index, false, area));
                    if !unit.is_empty() {
                        slab.pieces.push(slab::run(
                            self.fonts,
                            Dress::TABLE.face,
                            Dress::TABLE.size,
                            style::INK,
                            (left + width - unit_width, y - 0.5),
                            unit,
                        ));
                    }
                    slab.untag();
                }
                Cell::Text(_) | Cell::Status(..) => {}
            }
        }
    }
}

pub(super) fn box_piece([x, y, width, height]: [f64; 4], pen: f64, colour: Rgb) -> Piece {
    let corners = [
        (x, y),
        (x + width, y),
        (x + width, y + height),
        (x, y + height),
    ];
    Piece::Path {
        segments: crate::dossier::scene::outline(&corners, true),
        fill: Some(style::WHITE),
        stroke: Some(Stroke::solid(pen, colour)),
    }
}

fn bar_pieces(slab: &mut Slab, fonts: &Fonts, bar: MarginBar, x: f64, width: f64, middle: f64) {
    let height = 6.0;
    let top = middle - height / 2.0;
    let at = |ratio: f64| x + width * (ratio / BAR_SPAN).clamp(0.0, 1.0);
    let limit = at(1.0);
    slab.pieces.push(Piece::ground(
        [x, top, limit - x, height],
        style::RULE.tint(0.45),
    ));
    if bar.ratio.is_finite() {
        let colour = style::status_colour(bar.status);
        let end = at(bar.ratio.max(0.0));
        slab.pieces
            .push(Piece::ground([x, top + 1.0, end - x, height - 2.0], colour));
        if bar.ratio > BAR_SPAN {
            // Beyond the end of the track: an arrow head.
            slab.pieces.push(Piece::Path {
                segments: crate::dossier::scene::outline(
                    &[
                        (end, top - 0.5),
                        (end + 4.5, middle),
                        (end, top + height + 0.5),
                    ],
                    true,
                ),
                fill: Some(colour),
                stroke: None,
            });
        }
    } else {
        let mark = marks::mark(Status::NotAssessed, 8.0);
        slab.pieces
            .extend(slab::scene(fonts, &mark, (x + 2.0, middle - 4.0), 1.0));
    }
    if let Some(derated) = bar.derated {
        slab.pieces.push(Piece::rule(
            (at(derated), top - 1.0),
            (at(derated), top + height + 1.0),
            Stroke::dashed(0.7, style::INK, &[1.5, 1.2]),
        ));
    }
    slab.pieces.push(Piece::rule(
        (limit, top - 2.0),
        (limit, top + height + 2.0),
        Stroke::solid(1.1, style::INK),
    ));
}

fn head_dress() -> Dress {
    Dress::TABLE.bold().sized(8.2, 10.4)
}

#[allow(clippy::cast_precision_loss)]
fn lines_height(count: usize, dress: Dress) -> f64 {
    count as f64 * dress.leading
}

fn cell_inlines(cell: &Cell) -> Option<Vec<Inline>> {
    match cell {
        Cell::Text(inlines) => Some(inlines.clone()),
        Cell::Status(status, words) => {
            let mut all = vec![Inline::Status(*status)];
            all.extend_from_slice(words);
            Some(all)
        }
        Cell::Bar(_) | Cell::Tick | Cell::Blank(_) => None,
    }
}

fn cell_lines(fonts: &Fonts, cell: &Cell, width: f64) -> Vec<Line> {
    match cell_inlines(cell) {
        Some(inlines) if !inlines.is_empty() => text::lines(fonts, &inlines, Dress::TABLE, width),
        _ => Vec::new(),
    }
}

fn cell_extent(fonts: &Fonts, cell: &Cell) -> (f64, f64) {
    match cell {
        Cell::Bar(_) => (BAR + 6.0, BAR + 6.0),
        Cell::Tick => (10.0, 10.0),
        Cell::Blank(unit) => {
            let width = 54.0 + fonts.width(Dress::TABLE.face, Dress::TABLE.size, unit);
            (width, width)
        }
        Cell::Text(_) | Cell::Status(..) => match cell_inlines(cell) {
            Some(inlines) => text::extent(fonts, &inlines, Dress::TABLE),
            None => (0.0, 0.0),
        },
    }
}

/// Widths before and from the decimal point of the first number of a cell [pt].
fn decimal_parts(fonts: &Fonts, cell: &Cell) -> Option<(f64, f64)> {
    let Cell::Text(inlines) = cell else {
        return None;
    };
    if inlines.contains(&Inline::Break) {
        return None;
    }
    let words = plain_text(inlines);
    let first = words.find(|c: char| c.is_ascii_digit())?;
    let whole = words[first..]
        .find(|c: char| !c.is_ascii_digit())
        .map_or(words.len(), |length| first + length);
    let (whole_width, _) = text::extent(fonts, inlines, Dress::TABLE);
    let before = fonts.width(Dress::TABLE.face, Dress::TABLE.size, &words[..whole]);
    Some((before, (whole_width - before).max(0.0)))
}
