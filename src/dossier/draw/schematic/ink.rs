//! From a routed band to the picture.

use super::cell::{Cell, GRID, Label, SMALL, Tone};
use super::element::Element;
use super::flag::Flag;
use super::names::Names;
use super::route::{Routed, symbol_at};
use super::symbol::{Fill, Point, Side};
use crate::dossier::scene::{self, Scene, Segment, Stroke};
use crate::dossier::style;
use std::collections::{BTreeMap, BTreeSet};

/// Width of a wire [pt]; nothing else is drawn with exactly this width.
pub const WIRE: f64 = 0.9;
/// Width of the outlines of symbols [pt].
const OUTLINE: f64 = 0.92;
/// Width of frames and flags [pt].
const FINE: f64 = 0.6;

/// Draws on a scene, `shift` steps to the right and down.
pub(super) struct Pen<'a> {
    pub scene: &'a mut Scene,
    pub shift: (f64, f64),
}

impl Pen<'_> {
    /// A place on the sheet [pt].
    pub fn to(&self, (x, y): (f64, f64)) -> (f64, f64) {
        ((x + self.shift.0) * GRID, (y + self.shift.1) * GRID)
    }

    fn point(&self, (x, y): Point) -> (f64, f64) {
        self.to((f64::from(x), f64::from(y)))
    }

    /// Everything of a band.
    pub fn band(&mut self, routed: &Routed, names: &Names, elements: &[Element]) {
        self.wires(routed);
        for way in &routed.grounds {
            if let Some(at) = symbol_at(way) {
                self.ground(at);
            }
        }
        for cell in &routed.cells {
            self.cell(cell, &elements[cell.element]);
        }
        for flag in &routed.flags {
            self.flag(flag);
        }
        for label in &names.nets {
            self.label(label);
        }
        for point in &names.points {
            let at = self.point(point.at);
            let ring = Stroke::solid(FINE, style::ACCENT);
            self.scene
                .circle(at, 0.45 * GRID, Some(style::WHITE), Some(ring));
            self.label(&point.label);
        }
    }

    fn wires(&mut self, routed: &Routed) {
        let mut runs: Vec<(usize, Point, Point)> = Vec::new();
        for (net, from, to) in &routed.grid.wires {
            let lying = from.1 == to.1;
            let joins = runs.iter_mut().find(|(other, start, end)| {
                other == net && end == from && (start.1 == end.1) == lying
            });
            match joins {
                Some(run) => run.2 = *to,
                None => runs.push((*net, *from, *to)),
            }
        }
        for (_, from, to) in runs {
            let line = [self.point(from), self.point(to)];
            self.scene.polyline(&line, Stroke::solid(WIRE, style::INK));
        }
        for at in dots(routed) {
            let at = self.point(at);
            self.scene.circle(at, 0.34 * GRID, Some(style::INK), None);
        }
    }

    fn ground(&mut self, at: Point) {
        let (x, y) = (f64::from(at.0), f64::from(at.1));
        let foot = [self.to((x, y)), self.to((x, y + 0.4))];
        self.scene
            .polyline(&foot, Stroke::solid(OUTLINE, style::INK));
        for (drop, half) in [(0.4, 1.3), (0.85, 0.8), (1.3, 0.3)] {
            let bar = [self.to((x - half, y + drop)), self.to((x + half, y + drop))];
            self.scene
                .polyline(&bar, Stroke::solid(OUTLINE, style::INK));
        }
    }

    fn cell(&mut self, cell: &Cell, element: &Element) {
        let (x0, y0) = (f64::from(cell.at.0), f64::from(cell.at.1));
        let shifted = |(x, y): (f64, f64)| (x + x0, y + y0);
        for ink in &cell.symbol.ink {
            let segments = ink
                .segments
                .iter()
                .map(|segment| match *segment {
                    Segment::Move(x, y) => {
                        let (x, y) = self.to(shifted((x, y)));
                        Segment::Move(x, y)
                    }
                    Segment::Line(x, y) => {
                        let (x, y) = self.to(shifted((x, y)));
                        Segment::Line(x, y)
                    }
                    Segment::Cubic(from, to, end) => Segment::Cubic(
                        self.to(shifted(from)),
                        self.to(shifted(to)),
                        self.to(shifted(end)),
                    ),
                    Segment::Close => Segment::Close,
                })
                .collect();
            let fill = match ink.fill {
                Fill::Open => None,
                Fill::Paper => Some(style::WHITE),
                Fill::Solid => Some(style::INK),
            };
            let stroke = if ink.dashed {
                Stroke::dashed(FINE, style::QUIET, &[4.0, 2.0])
            } else {
                Stroke::solid(OUTLINE, style::INK)
            };
            self.scene.path(segments, fill, Some(stroke));
        }
        for word in &cell.symbol.words {
            let label = scene::Label::new(
                self.to(shifted(word.at)),
                word.text.as_str(),
                SMALL,
                style::INK,
            );
            self.scene.label(label.anchored(word.anchor));
        }
        for pin in &cell.symbol.pins {
            if element.net(&pin.terminal).is_none() {
                self.open_end(cell.on_sheet(pin.at));
            }
        }
        if let Some([left, top, right, bottom]) = cell.frame {
            let (x, y) = self.to((left, top));
            let size = ((right - left) * GRID, (bottom - top) * GRID);
            let dashes = Stroke::dashed(FINE, style::QUIET, &[4.0, 2.0]);
            self.scene.rect((x, y), size, None, Some(dashes));
        }
        if let Some(cable) = cell.cable {
            let ends = cable.map(|end| self.to(end));
            self.scene
                .polyline(&ends, Stroke::dashed(1.6, style::QUIET, &[2.0, 1.6]));
        }
        for label in &cell.labels {
            self.label(label);
        }
    }

    /// A cross on a pin that is left open.
    fn open_end(&mut self, at: Point) {
        let (x, y) = self.point(at);
        let half = 1.8;
        for slope in [1.0, -1.0] {
            let line = [(x - half, y - half * slope), (x + half, y + half * slope)];
            self.scene.polyline(&line, Stroke::solid(FINE, style::INK));
        }
    }

    fn flag(&mut self, flag: &Flag) {
        let (x, y) = (f64::from(flag.at.0), f64::from(flag.at.1));
        let pen = || Stroke::solid(FINE, style::ACCENT);
        match flag.side {
            Side::Up | Side::Down => {
                let bar = [self.to((x - 0.9, y)), self.to((x + 0.9, y))];
                self.scene.polyline(&bar, Stroke::solid(1.2, style::ACCENT));
            }
            // Both point to the right, the way signals go.
            Side::Left | Side::Right => {
                let length = flag.label.width + 1.9;
                let left = if flag.side == Side::Left {
                    x - length
                } else {
                    x
                };
                let right = left + length;
                let corners = [
                    (left, y - 0.9),
                    (right - 0.8, y - 0.9),
                    (right, y),
                    (right - 0.8, y + 0.9),
                    (left, y + 0.9),
                ]
                .map(|at| self.to(at));
                self.scene
                    .polygon(&corners, Some(style::WHITE), Some(pen()));
            }
        }
        self.label(&flag.label);
    }

    fn label(&mut self, label: &Label) {
        let colour = match label.tone {
            Tone::Ink => style::INK,
            Tone::Net => style::ACCENT,
        };
        let at = self.to(label.at);
        let drawn = scene::Label::new(at, label.text.as_str(), label.size, colour)
            .anchored(label.anchor)
            .face(label.face);
        self.scene.label(drawn);
    }
}

/// Points where three ends or more of one net meet.
fn dots(routed: &Routed) -> BTreeSet<Point> {
    let mut ends: BTreeMap<(usize, Point), usize> = BTreeMap::new();
    for (net, from, to) in &routed.grid.wires {
        for at in [from, to] {
            *ends.entry((*net, *at)).or_default() += 1;
        }
    }
    for cell in &routed.cells {
        for pin in &cell.symbol.pins {
            let at = cell.on_sheet(pin.at);
            for ((_, end), count) in &mut ends {
                *count += usize::from(*end == at);
            }
        }
    }
    ends.into_iter()
        .filter(|(_, count)| *count > 2)
        .map(|((_, at), _)| at)
        .collect()
}
