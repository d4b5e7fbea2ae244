//! Symbols: pins on a grid, and the ink between them.
//!
//! Shapes follow IEC 60617 where it has one; the drawing is our own. Lengths in steps of the grid,
//! x to the right, y down, the origin in the middle of the symbol. Owns no part and no net.

mod active;
mod contacts;
mod sources;
mod two;

pub(super) use active::{bipolar, mosfet, op_amp, phototransistor, regulator, shunt_reference};
pub(super) use contacts::{coil, connector, jack, pole};
pub(super) use sources::{adaptor, bridge, transformer};
pub(super) use two::{potentiometer, two};

use crate::dossier::scene::{Anchor, Segment, circle, outline};

/// A point of the grid.
pub(super) type Point = (i32, i32);

/// Where a pin looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
    Up,
    Down,
}

/// Where a wire meets the symbol.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Pin {
    pub terminal: String,
    pub at: Point,
    pub side: Side,
}

/// How an outline is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    Open,
    Paper,
    Solid,
}

/// One outline.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ink {
    pub segments: Vec<Segment>,
    pub fill: Fill,
    pub dashed: bool,
}

/// A word inside the symbol.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Word {
    pub at: (f64, f64),
    pub text: String,
    pub anchor: Anchor,
}

/// A symbol.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Symbol {
    pub pins: Vec<Pin>,
    pub ink: Vec<Ink>,
    pub words: Vec<Word>,
    /// Left, top, right, bottom of what no wire may enter.
    pub body: [i32; 4],
}

impl Side {
    /// One step that way.
    pub fn step(self) -> Point {
        match self {
            Side::Left => (-1, 0),
            Side::Right => (1, 0),
            Side::Up => (0, -1),
            Side::Down => (0, 1),
        }
    }

    fn quarter(self) -> Self {
        match self {
            Side::Left => Side::Up,
            Side::Up => Side::Right,
            Side::Right => Side::Down,
            Side::Down => Side::Left,
        }
    }

    fn mirrored(self) -> Self {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
            other => other,
        }
    }
}

impl Symbol {
    /// A symbol whose body no wire may enter.
    fn new(body: [i32; 4]) -> Self {
        Self {
            body,
            ..Self::default()
        }
    }

    fn pin(mut self, terminal: &str, at: Point, side: Side) -> Self {
        self.pins.push(Pin {
            terminal: terminal.to_owned(),
            at,
            side,
        });
        self
    }

    fn ink(mut self, segments: Vec<Segment>, fill: Fill) -> Self {
        self.ink.push(Ink {
            segments,
            fill,
            dashed: false,
        });
        self
    }

    fn line(self, points: &[(f64, f64)]) -> Self {
        self.ink(outline(points, false), Fill::Open)
    }

    fn shape(self, points: &[(f64, f64)], fill: Fill) -> Self {
        self.ink(outline(points, true), fill)
    }

    fn frame(self, [left, top, right, bottom]: [f64; 4], fill: Fill) -> Self {
        self.shape(
            &[(left, top), (right, top), (right, bottom), (left, bottom)],
            fill,
        )
    }

    fn ring(self, centre: (f64, f64), radius: f64, fill: Fill) -> Self {
        self.ink(circle(centre, radius), fill)
    }

    /// An arrow head with its tip at `tip`, pointing along `(dx, dy)`, a unit vector.
    fn head(self, (x, y): (f64, f64), (dx, dy): (f64, f64)) -> Self {
        let (length, half) = (0.9, 0.4);
        let (bx, by) = (x - dx * length, y - dy * length);
        let corners = [
            (x, y),
            (bx - dy * half, by + dx * half),
            (bx + dy * half, by - dx * half),
        ];
        self.shape(&corners, Fill::Solid)
    }

    fn word(mut self, at: (f64, f64), text: impl Into<String>, anchor: Anchor) -> Self {
        self.words.push(Word {
            at,
            text: text.into(),
            anchor,
        });
        self
    }

    /// The last outline dashed.
    fn dashed(mut self) -> Self {
        if let Some(last) = self.ink.last_mut() {
            last.dashed = true;
        }
        self
    }

    /// Turned clockwise by quarters: a pin at the left comes to the top.
    pub fn turned(mut self, quarters: u8) -> Self {
        for _ in 0..quarters % 4 {
            for pin in &mut self.pins {
                pin.at = (-pin.at.1, pin.at.0);
                pin.side = pin.side.quarter();
            }
            self.redraw(|(x, y)| (-y, x));
            let [left, top, right, bottom] = self.body;
            self.body = [-bottom, left, -top, right];
        }
        self
    }

    /// Left and right exchanged.
    pub fn mirrored(mut self) -> Self {
        for pin in &mut self.pins {
            pin.at.0 = -pin.at.0;
            pin.side = pin.side.mirrored();
        }
        self.redraw(|(x, y)| (-x, y));
        for word in &mut self.words {
            word.anchor = match word.anchor {
                Anchor::Start => Anchor::End,
                Anchor::End => Anchor::Start,
                Anchor::Middle => Anchor::Middle,
            };
        }
        self.body = [-self.body[2], self.body[1], -self.body[0], self.body[3]];
        self
    }

    /// Top and bottom exchanged.
    pub fn flipped(self) -> Self {
        self.turned(2).mirrored()
    }

    fn redraw(&mut self, map: impl Fn((f64, f64)) -> (f64, f64)) {
        for ink in &mut self.ink {
            for segment in &mut ink.segments {
                *segment = match *segment {
                    Segment::Move(x, y) => {
                        let (x, y) = map((x, y));
                        Segment::Move(x, y)
                    }
                    Segment::Line(x, y) => {
                        let (x, y) = map((x, y));
                        Segment::Line(x, y)
                    }
                    Segment::Cubic(from, to, end) => Segment::Cubic(map(from), map(to), map(end)),
                    Segment::Close => Segment::Close,
                };
            }
        }
        for word in &mut self.words {
            word.at = map(word.at);
        }
    }
}

/// A half circle from `from` to `to`, bulging to the left of that way.
fn half_circle(from: (f64, f64), to: (f64, f64)) -> Vec<Segment> {
    let (dx, dy) = ((to.0 - from.0) / 2.0, (to.1 - from.1) / 2.0);
    let (mx, my) = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
    let k = 0.552_284_75;
    // The top of the bulge, a quarter turn to the left of the way.
    let (nx, ny) = (dy, -dx);
    vec![
        Segment::Move(from.0, from.1),
        Segment::Cubic(
            (from.0 + nx * k, from.1 + ny * k),
            (mx + nx - dx * k, my + ny - dy * k),
            (mx + nx, my + ny),
        ),
        Segment::Cubic(
            (mx + nx + dx * k, my + ny + dy * k),
            (to.0 + nx * k, to.1 + ny * k),
            to,
        ),
    ]
}
