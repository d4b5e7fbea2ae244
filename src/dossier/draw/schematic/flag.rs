//! Flags: a net's name where its wire ends, to go on elsewhere.

use super::band::{Band, flag_width};
use super::cell::{Label, SMALL, Tone};
use super::place::Placed;
use super::route::{Router, overlap};
use super::symbol::{Point, Side};
use crate::catalogue::Kind;
use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::Anchor;
use std::collections::BTreeSet;

/// A net's name at the end of a wire.
#[derive(Debug, Clone)]
pub(super) struct Flag {
    pub net: String,
    /// Where it touches the wire, and the way it points from there.
    pub at: Point,
    pub side: Side,
    pub label: Label,
}

impl Router<'_> {
    /// Supplies of amplifiers go to flags: a rail led to each would hide the signal's way.
    pub(super) fn supply_flags(&mut self) {
        for cell in self.routed.cells.clone() {
            let element = &self.elements[cell.element];
            if element.part.kind != Kind::OpAmp {
                continue;
            }
            for pin in &cell.symbol.pins {
                if matches!(pin.side, Side::Up | Side::Down)
                    && let Some(name) = element.net(&pin.terminal)
                    && name != "gnd"
                {
                    let (net, at) = (self.net(name), cell.on_sheet(pin.at));
                    if self.flag(net, at, pin.side)
                        && let Some(pins) = self.pins.get_mut(&net)
                    {
                        pins.retain(|(other, _)| *other != at);
                    }
                }
            }
        }
    }

    /// Nets that come from elsewhere enter at the left; those that go on leave at the right.
    pub(super) fn edge_flags(&mut self, band: &Band, placed: &Placed) {
        for (names, at_left) in [(&band.from, true), (&band.onto, false)] {
            let mut taken: BTreeSet<i32> = BTreeSet::new();
            for name in names {
                // A net that only passes amplifiers' supplies is already named there.
                let net = self.net(name);
                if self.pins.get(&net).is_none_or(Vec::is_empty) {
                    continue;
                }
                let wanted = placed.heights.get(name).copied().unwrap_or(0);
                let x = if at_left {
                    band.margin - 2
                } else {
                    band.width - band_room(band, self.fonts)
                };
                let side = if at_left { Side::Left } else { Side::Right };
                let step = (0..200).find_map(|step| {
                    let shift = if step % 2 == 0 {
                        step / 2
                    } else {
                        -(step / 2) - 1
                    };
                    let y = wanted + shift;
                    let clear = (y - 2..=y + 2).all(|other| !taken.contains(&other));
                    let ahead = if at_left { x + 1 } else { x - 1 };
                    let grid = &self.routed.grid;
                    (clear && grid.free((x, y)) && grid.free((ahead, y))).then_some(y)
                });
                let Some(y) = step else { continue };
                if self.raise(net, (x, y), side) {
                    taken.insert(y);
                    let inward = if at_left { Side::Right } else { Side::Left };
                    self.routed.grid.pin(net, (x, y), inward);
                    self.pins.entry(net).or_default().push(((x, y), inward));
                }
            }
        }
    }

    /// A flag right at a point of the net, pointing away; `false` when there is no room.
    fn raise(&mut self, net: usize, at: Point, side: Side) -> bool {
        let name = self.routed.nets[net].clone();
        let flag = flag(&name, at, side, self.fonts);
        let area = flag_area(&flag);
        if self.routed.areas.iter().any(|other| overlap(area, *other)) {
            return false;
        }
        if self.crossed(area, Some(net)) || self.crossed(flag.label.area(), None) {
            return false;
        }
        self.routed.grid.block_words(area);
        // The point itself stays open to its own net.
        self.routed.grid.pin(net, at, side);
        self.take(area);
        self.routed.flags.push(flag);
        true
    }

    /// A flag at a pin: one step out, so that it does not touch the symbol.
    pub(super) fn flag(&mut self, net: usize, at: Point, side: Side) -> bool {
        let (dx, dy) = side.step();
        for out in 1..4 {
            let end = (at.0 + dx * out, at.1 + dy * out);
            if !self.routed.grid.free(end) {
                return false;
            }
            if self.raise(net, end, side) {
                self.routed.grid.lay(net, &[at, end]);
                return true;
            }
        }
        false
    }

    /// Does a wire run through an area, one net's apart?
    fn crossed(&self, area: [f64; 4], apart: Option<usize>) -> bool {
        self.routed.grid.wires.iter().any(|(net, from, to)| {
            let wire = [from.0, from.1, to.0, to.1].map(f64::from);
            let thick = [wire[0] - 0.2, wire[1] - 0.2, wire[2] + 0.2, wire[3] + 0.2];
            apart != Some(*net) && overlap(area, thick)
        })
    }
}

fn band_room(band: &Band, fonts: &Fonts) -> i32 {
    band.onto
        .iter()
        .map(|name| flag_width(name, fonts))
        .max()
        .unwrap_or(0)
}

fn flag(name: &str, at: Point, side: Side, fonts: &Fonts) -> Flag {
    let (x, y) = (f64::from(at.0), f64::from(at.1));
    let label = Label::new(fonts, name, SMALL, Face::Condensed).tone(Tone::Net);
    let label = match side {
        Side::Left => label.at(x - 1.3, y + 0.48, Anchor::End),
        Side::Right => label.at(x + 0.6, y + 0.48, Anchor::Start),
        Side::Up => label.at(x, y - 0.5, Anchor::Middle),
        Side::Down => label.at(x, y + 1.5, Anchor::Middle),
    };
    Flag {
        net: name.to_owned(),
        at,
        side,
        label,
    }
}

/// What a flag covers.
pub(super) fn flag_area(flag: &Flag) -> [f64; 4] {
    let [left, top, right, bottom] = flag.label.area();
    match flag.side {
        Side::Left => [
            left - 0.6,
            top - 0.2,
            f64::from(flag.at.0) - 0.1,
            bottom + 0.2,
        ],
        Side::Right => [
            f64::from(flag.at.0) + 0.1,
            top - 0.2,
            right + 1.3,
            bottom + 0.2,
        ],
        Side::Up | Side::Down => [left, top, right, bottom],
    }
}
