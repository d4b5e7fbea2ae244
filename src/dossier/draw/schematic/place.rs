//! From elements to columns in reading order: what stands, what lies, and at which height.
//!
//! A part between two potentials stands in a column, the higher end above; a part along one
//! potential lies on its row. Parts in series from a rail downwards share a column. Where there
//! are rails above and below ground, the two halves stand one over the other.

use super::cell::{Beside, Cell};
use super::element::{Element, Shape};
use super::flow::{Class, Flow};
use super::order::Order;
use super::symbol::{Point, op_amp};
use crate::catalogue::Kind;
use crate::design::Structure;
use crate::dossier::font::Fonts;
use std::collections::BTreeMap;

/// Length of a standing part.
pub(super) const PART: i32 = 8;

/// A column: cells about an axis at x = 0.
#[derive(Debug, Clone, Default)]
pub(super) struct Column {
    pub cells: Vec<Cell>,
    /// Wires to ground from points between two parts.
    pub grounds: Vec<Vec<Point>>,
    /// Which circuit, counted from the first; circuits share ground alone.
    pub circuit: usize,
}

/// The elements in columns.
pub(super) struct Placed {
    pub columns: Vec<Column>,
    /// Height of each net's row.
    pub heights: BTreeMap<String, i32>,
}

pub(super) struct Placer<'a> {
    pub elements: &'a [Element<'a>],
    flow: &'a Flow,
    pub order: &'a Order,
    pub fonts: &'a Fonts,
    placed: Placed,
    pub done: Vec<bool>,
    /// Height of the negative rail.
    pub foot: i32,
    /// Height of signals that nothing else places.
    pub middle: i32,
}

/// Places everything.
pub(super) fn place(elements: &[Element], flow: &Flow, order: &Order, fonts: &Fonts) -> Placed {
    let mut placer = Placer {
        elements,
        flow,
        order,
        fonts,
        placed: Placed {
            columns: Vec::new(),
            heights: BTreeMap::new(),
        },
        done: vec![false; elements.len()],
        foot: 2 * PART + 4,
        middle: PART,
    };
    placer.measure_chains();
    // A chain waits for its transistor; what still waits in the end stands alone.
    for patient in [true, false] {
        for &index in &order.sequence {
            if !placer.done[index] && order.rides[index].is_none() {
                placer.put(index, patient);
            }
        }
    }
    placer.placed
}

impl<'a> Placer<'a> {
    pub(super) fn class(&self, net: Option<&str>) -> Class {
        net.map_or(Class::Signal, |net| self.flow.class(net))
    }

    pub(super) fn height(&self, net: Option<&str>) -> Option<i32> {
        let net = net?;
        match self.flow.class(net) {
            Class::Positive => Some(0),
            Class::Negative => Some(self.foot),
            Class::Ground => None,
            _ => self.placed.heights.get(net).copied(),
        }
    }

    /// The negative rail lies as low as the longest chain between the rails needs.
    fn measure_chains(&mut self) {
        let foot = (0..self.elements.len())
            .filter_map(|index| self.chain(index))
            .filter(|chain| {
                let nets = self.chain_nets(chain);
                self.class(nets.first().copied().flatten()) == Class::Positive
                    && self.class(nets.last().copied().flatten()) == Class::Negative
            })
            .map(|chain| PART * i32::try_from(chain.len()).unwrap_or(3))
            .max()
            .unwrap_or(0);
        self.foot = self.foot.max(foot);
        if self.flow.dual {
            self.middle = self.foot / 2;
        }
    }

    fn put(&mut self, index: usize, patient: bool) {
        match self.elements[index].shape {
            Shape::Through => self.through(index),
            Shape::Fixed => self.fixed(index),
            _ if self.lies(index) => self.lying(index),
            _ => self.standing(index, patient),
        }
    }

    pub(super) fn push(&mut self, cells: Vec<Cell>, grounds: Vec<Vec<Point>>) {
        for cell in &cells {
            self.done[cell.element] = true;
            let element = &self.elements[cell.element];
            for pin in &cell.symbol.pins {
                if let Some(net) = element.net(&pin.terminal)
                    && net != "gnd"
                {
                    let y = cell.on_sheet(pin.at).1;
                    let heights = &mut self.placed.heights;
                    heights.entry(net.to_owned()).or_insert(y);
                }
            }
        }
        let circuit = cells
            .first()
            .map_or(0, |cell| self.order.circuit[cell.element]);
        self.placed.columns.push(Column {
            cells,
            grounds,
            circuit,
        });
    }

    pub(super) fn end_nets(&self, index: usize) -> [Option<&'a str>; 2] {
        let element = &self.elements[index];
        element
            .ends()
            .map_or([None, None], |ends| ends.map(|t| element.net(t)))
    }

    pub(super) fn lies(&self, index: usize) -> bool {
        self.flow.lies(&self.elements[index])
    }

    pub(super) fn lying(&mut self, index: usize) {
        let cell = self.lying_cell(index);
        let mut cells = vec![cell];
        if cells[0].at.1 == 0
            && let Some(partner) = self.partner(index, Self::lies)
        {
            cells.push(self.lying_cell(partner));
        }
        self.push(cells, Vec::new());
    }

    fn lying_cell(&self, index: usize) -> Cell {
        let element = &self.elements[index];
        let [one, other] = self.end_nets(index);
        let rank = |net: Option<&str>| {
            let alternating = self.class(net) != Class::Alternating;
            (alternating, net.map_or(99, |net| self.flow.level(net)))
        };
        let swap = rank(other) < rank(one);
        let (left, right) = if swap { (other, one) } else { (one, other) };
        let y = if [left, right]
            .map(|n| self.class(n))
            .contains(&Class::Positive)
        {
            0
        } else if [left, right]
            .map(|n| self.class(n))
            .contains(&Class::Negative)
        {
            self.foot
        } else {
            self.height(left)
                .or_else(|| self.height(right))
                .unwrap_or(self.middle)
        };
        let symbol = element.symbol.clone().turned(if swap { 2 } else { 0 });
        let beside = if y > 0 && (y < 7 || self.flow.dual && y == self.foot) {
            Beside::Below
        } else {
            Beside::Above
        };
        Cell::new(index, symbol, (0, y)).named(element, beside, self.fonts)
    }

    /// The same part in the other half of a dual supply, not yet placed.
    pub(super) fn partner(
        &self,
        index: usize,
        fits: impl Fn(&Self, usize) -> bool,
    ) -> Option<usize> {
        let kind = self.elements[index].part.kind;
        let here = self.order.key[index];
        (0..self.elements.len()).find(|&other| {
            other != index
                && !self.done[other]
                && self.order.rides[other].is_none()
                && self.elements[other].part.kind == kind
                && self.order.key[other] == here
                && self.order.circuit[other] == self.order.circuit[index]
                && self.elements[other]
                    .nets()
                    .any(|net| self.flow.class(net) == Class::Negative)
                && !self.elements[other]
                    .nets()
                    .any(|net| self.flow.class(net) == Class::Positive)
                && fits(self, other)
        })
    }

    fn through(&mut self, index: usize) {
        let mut cells = vec![self.through_cell(index)];
        if cells[0].at.1 == 0
            && let Some(partner) = self.partner(index, |_, _| true)
        {
            cells.push(self.through_cell(partner));
        }
        self.push(cells, Vec::new());
    }

    fn through_cell(&self, index: usize) -> Cell {
        let element = &self.elements[index];
        let below = element.part.word("polarity") == Some("negative");
        let (y, beside) = if below {
            (self.foot, Beside::Below)
        } else {
            (0, Beside::Above)
        };
        Cell::new(index, element.symbol.clone(), (0, y))
            .named(element, beside, self.fonts)
            .grounded(element, &[])
    }

    fn fixed(&mut self, index: usize) {
        let element = &self.elements[index];
        let mut symbol = element.symbol.clone();
        let known = |p: &Self, t: &str| p.height(element.net(t)).is_some();
        let mut beside = Beside::Above;
        match element.part.kind {
            Kind::OpAmp => return self.amplifier(index),
            Kind::Switch | Kind::Relay => {
                let (common, throws) = element.symbol.pins.split_at(1);
                let from_throw = throws.iter().any(|pin| known(self, &pin.terminal));
                if from_throw && !common.iter().any(|pin| known(self, &pin.terminal)) {
                    symbol = symbol.mirrored();
                }
            }
            Kind::Jack | Kind::Plug | Kind::Connector => {
                let first = element.symbol.pins.first();
                if element.controlled || !first.is_some_and(|pin| known(self, &pin.terminal)) {
                    symbol = symbol.mirrored();
                }
            }
            Kind::AcAdaptor | Kind::DcAdaptor => beside = Beside::Below,
            _ => {}
        }
        let y = symbol
            .pins
            .iter()
            .find_map(|pin| Some(self.height(element.net(&pin.terminal))? - pin.at.1))
            .unwrap_or_else(|| self.unbound(index));
        let mut cell = self.dressed(Cell::new(index, symbol, (0, y)), beside);
        // Below the positive rail, unless it hangs on it.
        let top = cell.extent()[1];
        let on_rail = cell
            .symbol
            .pins
            .iter()
            .any(|pin| self.class(element.net(&pin.terminal)) == Class::Positive);
        if y > 0 && top < 2 && !on_rail {
            cell = cell.moved(0, 2 - top);
        }
        self.push(vec![cell], Vec::new());
    }

    fn dressed(&self, cell: Cell, beside: Beside) -> Cell {
        let element = &self.elements[cell.element];
        cell.named(element, beside, self.fonts)
            .grounded(element, &[])
            .plugged(element, self.fonts)
    }

    /// Where a part stands that hangs on nothing placed so far.
    fn unbound(&self, index: usize) -> i32 {
        let element = &self.elements[index];
        let source = matches!(element.part.kind, Kind::AcAdaptor | Kind::Transformer);
        if !source {
            return self.middle;
        }
        if self.flow.dual {
            let [_, top, _, bottom] = element.symbol.body;
            let span = if element.part.kind == Kind::Transformer {
                bottom - top - 2
            } else {
                0
            };
            self.middle - span / 2
        } else {
            0
        }
    }

    /// An amplifier with the parts from its output to its inverting input above it.
    fn amplifier(&mut self, index: usize) {
        let element = &self.elements[index];
        let unit_of = |terminal: &str| terminal.split('.').next().unwrap_or("").to_owned();
        let unit = element
            .symbol
            .pins
            .first()
            .map_or_else(String::new, |pin| unit_of(&pin.terminal));
        let supplied = element.symbol.pins.len() > 3;
        let symbol = op_amp(&unit, supplied, false);
        let plus = element.net(&format!("{unit}.plus"));
        let minus = element.net(&format!("{unit}.minus"));
        let aligned = self
            .height(plus)
            .filter(|_| self.class(plus) == Class::Signal)
            .map(|y| y - 2)
            .or_else(|| self.height(minus).map(|y| y + 2));
        let riders: Vec<usize> = (0..self.elements.len())
            .filter(|&rider| self.order.rides[rider] == Some(index))
            .collect();
        let above = 9 + 6 * i32::try_from(riders.len()).unwrap_or(0);
        let y = aligned.unwrap_or(self.middle).max(above);
        let mut cells = vec![
            Cell::new(index, symbol, (0, y))
                .named(element, Beside::Corner, self.fonts)
                .grounded(element, &[]),
        ];
        for (row, rider) in (1..).zip(riders) {
            let other = &self.elements[rider];
            let out = element.net(&format!("{unit}.out"));
            let first_is_out = other.ends().is_some_and(|ends| other.net(ends[0]) == out);
            let symbol = other
                .symbol
                .clone()
                .turned(if first_is_out { 2 } else { 0 });
            cells.push(Cell::new(rider, symbol, (0, y - 2 - 6 * row)).named(
                other,
                Beside::Above,
                self.fonts,
            ));
        }
        debug_assert!(matches!(element.part.structure, Structure::Units(_)));
        self.push(cells, Vec::new());
    }
}
