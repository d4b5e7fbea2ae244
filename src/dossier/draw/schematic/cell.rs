//! One placed symbol with its words, ground symbols and the device it is plugged to: everything
//! that keeps its place when the column moves.

use super::element::Element;
use super::symbol::{Point, Side, Symbol};
use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::Anchor;

/// Points to a step of the grid.
pub(super) const GRID: f64 = 5.0;
/// Size of names and values [pt].
pub(super) const TEXT: f64 = 7.5;
/// Size of what stands inside symbols and of net names [pt].
pub(super) const SMALL: f64 = 6.8;
/// Distance of baselines, in steps.
const LEADING: f64 = 1.7;
/// Height of capitals, in steps.
const CAPITAL: f64 = 1.05;

/// A line of words on the sheet, in steps of the grid.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Label {
    pub at: (f64, f64),
    pub text: String,
    pub anchor: Anchor,
    pub size: f64,
    pub face: Face,
    pub tone: Tone,
    /// Width in steps.
    pub width: f64,
}

/// What sort of words, for their colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tone {
    Ink,
    Net,
}

/// On which side of its symbol the words stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Beside {
    Left,
    Right,
    Above,
    Below,
    /// Over the upper right corner: between the supply and the output of an amplifier.
    Corner,
}

/// A placed symbol.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    /// Which element.
    pub element: usize,
    /// Turned as it is drawn.
    pub symbol: Symbol,
    /// Where its origin stands.
    pub at: Point,
    pub labels: Vec<Label>,
    /// Wires from pins to ground symbols; the symbol hangs at the last point.
    pub grounds: Vec<Vec<Point>>,
    /// A dashed frame with a device outside the box, and its cable.
    pub frame: Option<[f64; 4]>,
    pub cable: Option<[(f64, f64); 2]>,
}

impl Label {
    pub fn new(fonts: &Fonts, text: &str, size: f64, face: Face) -> Self {
        Self {
            at: (0.0, 0.0),
            text: text.to_owned(),
            anchor: Anchor::Start,
            size,
            face,
            tone: Tone::Ink,
            width: fonts.width(face, size, text) / GRID,
        }
    }

    pub fn at(mut self, x: f64, y: f64, anchor: Anchor) -> Self {
        self.at = (x, y);
        self.anchor = anchor;
        self
    }

    pub fn tone(mut self, tone: Tone) -> Self {
        self.tone = tone;
        self
    }

    /// Left, top, right, bottom.
    pub fn area(&self) -> [f64; 4] {
        let left = match self.anchor {
            Anchor::Start => self.at.0,
            Anchor::Middle => self.at.0 - self.width / 2.0,
            Anchor::End => self.at.0 - self.width,
        };
        let em = self.size / GRID;
        [
            left,
            self.at.1 - 0.76 * em,
            left + self.width,
            self.at.1 + 0.22 * em,
        ]
    }
}

impl Cell {
    /// A symbol at its place, without words.
    pub fn new(element: usize, symbol: Symbol, at: Point) -> Self {
        Self {
            element,
            symbol,
            at,
            labels: Vec::new(),
            grounds: Vec::new(),
            frame: None,
            cable: None,
        }
    }

    pub fn on_sheet(&self, (x, y): Point) -> Point {
        (x + self.at.0, y + self.at.1)
    }

    /// Name and values beside the symbol.
    pub fn named(mut self, element: &Element, beside: Beside, fonts: &Fonts) -> Self {
        let [left, top, right, bottom] = self.symbol.body.map(f64::from);
        let (x0, y0) = (f64::from(self.at.0), f64::from(self.at.1));
        let mut lines = vec![Label::new(
            fonts,
            &element.name,
            TEXT,
            Face::CondensedSemiBold,
        )];
        for line in &element.lines {
            lines.push(Label::new(fonts, line, TEXT, Face::Condensed));
        }
        let below_first = LEADING * (lines.len() - 1) as f64;
        let middle = f64::midpoint(left, right);
        let (x, first, anchor) = match beside {
            Beside::Right => (
                right + 0.9,
                f64::midpoint(top, bottom) + (CAPITAL - below_first) / 2.0,
                Anchor::Start,
            ),
            Beside::Left => (
                left - 0.9,
                f64::midpoint(top, bottom) + (CAPITAL - below_first) / 2.0,
                Anchor::End,
            ),
            Beside::Above => (middle, top - 1.1 - below_first, Anchor::Middle),
            Beside::Corner => (1.0, -3.4 - below_first, Anchor::Start),
            Beside::Below => (middle, bottom + 1.0 + CAPITAL, Anchor::Middle),
        };
        for (index, line) in lines.into_iter().enumerate() {
            let y = first + LEADING * index as f64;
            self.labels.push(line.at(x0 + x, y0 + y, anchor));
        }
        self
    }

    /// Ground symbols at the pins on ground, but for those joined otherwise.
    pub fn grounded(mut self, element: &Element, joined: &[&str]) -> Self {
        for pin in &self.symbol.pins {
            let on_ground = element.net(&pin.terminal) == Some("gnd");
            if !on_ground || joined.contains(&pin.terminal.as_str()) {
                continue;
            }
            let (x, y) = self.on_sheet(pin.at);
            self.grounds.push(match pin.side {
                Side::Down => vec![(x, y), (x, y + 1)],
                Side::Right => vec![(x, y), (x + 2, y), (x + 2, y + 1)],
                Side::Left => vec![(x, y), (x - 2, y), (x - 2, y + 1)],
                Side::Up => vec![(x, y), (x, y - 2), (x - 3, y - 2), (x - 3, y - 1)],
            });
        }
        self
    }

    /// The device plugged in here, in a dashed frame beyond the jack.
    pub fn plugged(mut self, element: &Element, fonts: &Fonts) -> Self {
        if element.outside.is_empty() {
            return self;
        }
        let to_left = self
            .symbol
            .pins
            .first()
            .is_some_and(|pin| pin.side == Side::Right);
        let [left, top, right, _] = self.symbol.body.map(f64::from);
        let (x0, y0) = (f64::from(self.at.0), f64::from(self.at.1));
        let mut lines: Vec<Label> = element
            .outside
            .iter()
            .enumerate()
            .map(|(index, words)| {
                let face = if index == 0 {
                    Face::CondensedSemiBold
                } else {
                    Face::Condensed
                };
                Label::new(fonts, words, TEXT, face)
            })
            .collect();
        let width = lines.iter().map(|line| line.width).fold(0.0, f64::max) + 2.0;
        let height = LEADING * lines.len() as f64 + 1.2;
        let cable = 3.0;
        let (from, near) = if to_left {
            (x0 + left, x0 + left - cable)
        } else {
            (x0 + right, x0 + right + cable)
        };
        let frame_left = if to_left { near - width } else { near };
        let frame_top = y0 + top - 0.4;
        self.frame = Some([
            frame_left,
            frame_top,
            frame_left + width,
            frame_top + height,
        ]);
        let middle = y0 + 0.6;
        self.cable = Some([(from, middle), (near, middle)]);
        for (index, line) in lines.drain(..).enumerate() {
            let y = frame_top + 0.5 + LEADING * (index as f64 + 0.75);
            self.labels
                .push(line.at(frame_left + 1.0, y, Anchor::Start));
        }
        self
    }

    /// Left, top, right, bottom of all of it, rounded outwards.
    pub fn extent(&self) -> [i32; 4] {
        let mut area = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        let mut cover = |[left, top, right, bottom]: [f64; 4]| {
            area = [
                area[0].min(left),
                area[1].min(top),
                area[2].max(right),
                area[3].max(bottom),
            ];
        };
        let (x0, y0) = (f64::from(self.at.0), f64::from(self.at.1));
        let [left, top, right, bottom] = self.symbol.body.map(f64::from);
        cover([x0 + left, y0 + top, x0 + right, y0 + bottom]);
        for pin in &self.symbol.pins {
            let (x, y) = self.on_sheet(pin.at);
            cover([f64::from(x), f64::from(y), f64::from(x), f64::from(y)]);
        }
        for label in &self.labels {
            cover(label.area());
        }
        for ground in &self.grounds {
            for (x, y) in ground {
                cover([f64::from(*x), f64::from(*y), f64::from(*x), f64::from(*y)]);
            }
            if let Some((x, y)) = ground.last() {
                let (x, y) = (f64::from(*x), f64::from(*y));
                cover([x - 1.5, y, x + 1.5, y + 1.5]);
            }
        }
        if let Some(frame) = self.frame {
            cover(frame);
        }
        outwards(area)
    }

    /// The same cell moved.
    pub fn moved(mut self, dx: i32, dy: i32) -> Self {
        let (fx, fy) = (f64::from(dx), f64::from(dy));
        self.at = (self.at.0 + dx, self.at.1 + dy);
        for label in &mut self.labels {
            label.at = (label.at.0 + fx, label.at.1 + fy);
        }
        for point in self.grounds.iter_mut().flatten() {
            *point = (point.0 + dx, point.1 + dy);
        }
        if let Some(frame) = &mut self.frame {
            *frame = [frame[0] + fx, frame[1] + fy, frame[2] + fx, frame[3] + fy];
        }
        if let Some(cable) = &mut self.cable {
            for end in cable {
                *end = (end.0 + fx, end.1 + fy);
            }
        }
        self
    }
}

/// A rectangle rounded outwards to the grid.
pub(super) fn outwards([left, top, right, bottom]: [f64; 4]) -> [i32; 4] {
    // Sheets are a few hundred steps wide.
    #[allow(clippy::cast_possible_truncation)]
    let whole = |value: f64| value as i32;
    [
        whole(left.floor()),
        whole(top.floor()),
        whole(right.ceil()),
        whole(bottom.ceil()),
    ]
}
