//! Wires of one band: every pin joined to its net, by a wire where that reads well, else by a flag
//! with the net's name.

use super::band::Band;
use super::cell::{Cell, Label, SMALL, outwards};
use super::element::Element;
use super::flag::Flag;
use super::grid::Grid;
use super::place::{Column, Placed};
use super::symbol::{Point, Side};
use crate::dossier::font::{Face, Fonts};
use std::collections::{BTreeMap, BTreeSet};

/// A wire longer than this reads worse than two flags: its cost, bends and crossings included.
const LONG: u32 = 110;
/// Pins of a net that are tried as the first of its tree.
const TRIES: usize = 6;
/// Room above and below the symbols for wires.
const ROOM: i32 = 8;

/// One band, drawn.
pub(super) struct Routed {
    pub cells: Vec<Cell>,
    pub grounds: Vec<Vec<Point>>,
    pub flags: Vec<Flag>,
    pub nets: Vec<String>,
    pub grid: Grid,
    /// Pins that neither a wire nor a flag could reach.
    pub lost: usize,
    /// Words, symbols and frames: where no further words may stand.
    pub areas: Vec<[f64; 4]>,
    /// Where pins of one net stand on the same point.
    pub touches: BTreeSet<(usize, Point)>,
}

pub(super) struct Router<'a> {
    pub elements: &'a [Element<'a>],
    pub fonts: &'a Fonts,
    pub routed: Routed,
    pub pins: BTreeMap<usize, Vec<(Point, Side)>>,
    /// Nets with pins in other bands.
    elsewhere: BTreeSet<String>,
}

/// The wires that join a net's pins, as far as they do.
struct Tree {
    cost: u32,
    ways: Vec<Vec<Point>>,
    /// Pins joined with each other.
    pieces: Vec<Vec<(Point, Side)>>,
}

/// Routes a band.
pub(super) fn route(
    band: &Band,
    columns: &[Column],
    placed: &Placed,
    elements: &[Element],
    fonts: &Fonts,
) -> Routed {
    let mut cells = Vec::new();
    let mut grounds: Vec<Vec<Point>> = Vec::new();
    for (column, axis) in columns[band.columns.clone()].iter().zip(&band.axes) {
        cells.extend(column.cells.iter().map(|cell| cell.clone().moved(*axis, 0)));
        grounds.extend(
            column
                .grounds
                .iter()
                .map(|way| way.iter().map(|(x, y)| (x + axis, *y)).collect()),
        );
    }
    grounds.extend(cells.iter().flat_map(|cell| cell.grounds.clone()));
    let (mut top, mut bottom) = (0, 0);
    for cell in &cells {
        let [_, above, _, below] = cell.extent();
        top = top.min(above);
        bottom = bottom.max(below);
    }
    let grid = Grid::new([0, top - ROOM, band.width, bottom + ROOM]);
    let mut router = Router {
        elements,
        fonts,
        routed: Routed {
            cells,
            grounds,
            flags: Vec::new(),
            nets: Vec::new(),
            grid,
            lost: 0,
            areas: Vec::new(),
            touches: BTreeSet::new(),
        },
        pins: BTreeMap::new(),
        elsewhere: band.from.iter().chain(&band.onto).cloned().collect(),
    };
    router.occupy();
    router.supply_flags();
    router.edge_flags(band, placed);
    router.join();
    router.routed
}

impl Router<'_> {
    pub(super) fn net(&mut self, name: &str) -> usize {
        let nets = &mut self.routed.nets;
        nets.iter().position(|net| net == name).unwrap_or_else(|| {
            nets.push(name.to_owned());
            nets.len() - 1
        })
    }

    /// Symbols, words, frames, ground symbols and pins take their places.
    fn occupy(&mut self) {
        let ground = self.net("gnd");
        for cell in self.routed.cells.clone() {
            let [left, top, right, bottom] = cell.symbol.body;
            let (x, y) = cell.at;
            let body = [left + x, top + y, right + x, bottom + y];
            self.routed.grid.block(body);
            self.take(body.map(f64::from));
            for pin in &cell.symbol.pins {
                self.take(lead(cell.on_sheet(pin.at), pin.side, body));
            }
            for word in &cell.symbol.words {
                let (x, y) = (f64::from(x), f64::from(y));
                let label = Label::new(self.fonts, &word.text, SMALL, Face::Condensed).at(
                    x + word.at.0,
                    y + word.at.1,
                    word.anchor,
                );
                self.take(label.area());
            }
            for label in &cell.labels {
                self.routed.grid.block_words(label.area());
                self.take(label.area());
            }
            if let Some(frame) = cell.frame {
                self.routed.grid.block(outwards(frame));
                self.take(frame);
            }
            if let Some([from, to]) = cell.cable {
                let cable = [
                    from.0.min(to.0),
                    from.1 - 0.4,
                    from.0.max(to.0),
                    from.1 + 0.4,
                ];
                self.routed.grid.block(outwards(cable));
                self.take(cable);
            }
        }
        for way in self.routed.grounds.clone() {
            self.routed.grid.lay(ground, &way);
            // Two points join two parts; a longer way, or a short one down, ends in the symbol.
            if let Some((x, y)) = symbol_at(&way) {
                self.routed.grid.block([x - 1, y + 1, x + 1, y + 1]);
                let (x, y) = (f64::from(x), f64::from(y));
                self.take([x - 1.4, y + 0.1, x + 1.4, y + 1.3]);
            }
        }
        for cell in self.routed.cells.clone() {
            for pin in &cell.symbol.pins {
                let at = cell.on_sheet(pin.at);
                let Some(net) = self.elements[cell.element].net(&pin.terminal) else {
                    self.routed.grid.block([at.0, at.1, at.0, at.1]);
                    continue;
                };
                let net = self.net(net);
                self.routed.grid.pin(net, at, pin.side);
                if net != ground {
                    let pins = self.pins.entry(net).or_default();
                    if pins.iter().any(|(other, _)| *other == at) {
                        self.routed.touches.insert((net, at));
                    }
                    pins.push((at, pin.side));
                }
            }
        }
    }

    pub(super) fn take(&mut self, area: [f64; 4]) {
        self.routed.areas.push(area);
    }

    /// Joins the pins of every net, rails first and short nets before long ones.
    fn join(&mut self) {
        let mut nets: Vec<(bool, i32, usize)> = self
            .pins
            .iter()
            .map(|(net, pins)| {
                let level = pins.iter().filter(|(at, _)| at.1 == pins[0].0.1).count();
                let straight = level == pins.len();
                (!straight, spread(pins), *net)
            })
            .collect();
        nets.sort_unstable();
        for (_, _, net) in nets {
            self.join_net(net);
        }
    }

    /// Tries every pin as the first and keeps the cheapest tree.
    fn join_net(&mut self, net: usize) {
        let mut pins: Vec<(Point, Side)> = self.pins.get(&net).cloned().unwrap_or_default();
        pins.sort_unstable_by_key(|(at, _)| *at);
        pins.dedup_by_key(|(at, _)| *at);
        let best = (0..pins.len().min(TRIES))
            .map(|first| self.tree(net, &pins, first))
            .min_by_key(|tree| tree.cost);
        let Some(tree) = best else { return };
        for way in &tree.ways {
            self.routed.grid.lay(net, way);
        }
        self.name_pieces(net, tree.pieces);
    }

    /// Joins pins one after the other, the nearest first.
    fn tree(&self, net: usize, pins: &[(Point, Side)], first: usize) -> Tree {
        let mut grid = self.routed.grid.clone();
        let mut waiting = pins.to_vec();
        let mut tree = Tree {
            cost: 0,
            ways: Vec::new(),
            pieces: vec![vec![waiting.remove(first)]],
        };
        while !waiting.is_empty() {
            let piece = tree.pieces.last().cloned().unwrap_or_default();
            let targets: BTreeSet<Point> = waiting.iter().map(|(at, _)| *at).collect();
            let found = grid.way(net, &starts(&grid, net, &piece), &targets);
            match found.filter(|(cost, _)| *cost <= LONG) {
                Some((cost, way)) => {
                    let end = way.last().copied().unwrap_or_default();
                    grid.lay(net, &way);
                    tree.cost += cost;
                    tree.ways.push(way);
                    let joined = waiting.iter().position(|(at, _)| *at == end);
                    if let (Some(joined), Some(last)) = (joined, tree.pieces.last_mut()) {
                        last.push(waiting.remove(joined));
                    }
                }
                None => {
                    tree.cost += LONG;
                    tree.pieces.push(vec![waiting.remove(0)]);
                }
            }
        }
        tree
    }

    /// A net in several pieces carries its name on each; a flag that no pin reached is taken away.
    fn name_pieces(&mut self, net: usize, mut pieces: Vec<Vec<(Point, Side)>>) {
        let name = self.routed.nets[net].clone();
        let on_flag = |router: &Self, at: Point| {
            let flags = router.routed.flags.iter();
            flags
                .filter(|flag| flag.net == name)
                .any(|flag| flag.at == at)
        };
        pieces.retain(|piece| {
            let idle = piece.iter().all(|(at, _)| on_flag(self, *at));
            if idle {
                let at = piece[0].0;
                let flags = &mut self.routed.flags;
                flags.retain(|flag| piece.iter().all(|(other, _)| *other != flag.at));
                self.routed.grid.clear(at);
            }
            !idle
        });
        let whole = |piece: &[(Point, Side)]| {
            piece.len() > 1 || self.routed.touches.contains(&(net, piece[0].0))
        };
        let elsewhere = self.elsewhere.contains(&name);
        if pieces.len() == 1 && !elsewhere && whole(&pieces[0]) {
            return;
        }
        for piece in pieces {
            if self.has_flag(net, &piece) {
                continue;
            }
            let named = piece.iter().any(|(at, side)| self.flag(net, *at, *side))
                || piece.iter().any(|(at, _)| {
                    [Side::Up, Side::Right, Side::Left, Side::Down]
                        .iter()
                        .any(|side| self.flag(net, *at, *side))
                });
            if !named {
                self.routed.lost += 1;
            }
        }
    }

    fn has_flag(&self, net: usize, piece: &[(Point, Side)]) -> bool {
        let reached = starts(&self.routed.grid, net, piece);
        self.routed
            .flags
            .iter()
            .any(|flag| flag.net == self.routed.nets[net] && reached.contains(&flag.at))
    }
}

/// Where a way may start: the pins of a piece, and the wires that hang on them.
fn starts(grid: &Grid, net: usize, piece: &[(Point, Side)]) -> Vec<Point> {
    let mut reached: BTreeSet<Point> = piece.iter().map(|(at, _)| *at).collect();
    let mut grew = true;
    while grew {
        grew = false;
        for (other, from, to) in &grid.wires {
            if *other == net && reached.contains(from) != reached.contains(to) {
                reached.extend([*from, *to]);
                grew = true;
            }
        }
    }
    let branches = grid.branches(net);
    reached
        .into_iter()
        .filter(|at| branches.contains(at) || piece.iter().any(|(pin, _)| pin == at))
        .collect()
}

/// The line from a pin to its symbol's body.
fn lead(at: Point, side: Side, [left, top, right, bottom]: [i32; 4]) -> [f64; 4] {
    let (x, y) = at;
    let [x0, y0, x1, y1] = match side {
        Side::Left => [x, y, left, y],
        Side::Right => [right, y, x, y],
        Side::Up => [x, y, x, top],
        Side::Down => [x, bottom, x, y],
    }
    .map(f64::from);
    let half = 0.15;
    [x0 - half, y0 - half, x1 + half, y1 + half]
}

fn spread(pins: &[(Point, Side)]) -> i32 {
    let xs = || pins.iter().map(|(at, _)| at.0);
    let ys = || pins.iter().map(|(at, _)| at.1);
    let reach = |low: Option<i32>, high: Option<i32>| high.unwrap_or(0) - low.unwrap_or(0);
    reach(xs().min(), xs().max()) + reach(ys().min(), ys().max())
}

/// Where the ground symbol hangs on a way: none on a straight one between two parts.
pub(super) fn symbol_at(way: &[Point]) -> Option<Point> {
    match way {
        [from, to] if (to.1 - from.1).abs() != 1 => None,
        _ => way.last().copied(),
    }
}

/// Do two areas share more than a border?
pub(super) fn overlap(one: [f64; 4], other: [f64; 4]) -> bool {
    let touch = 1e-6;
    one[0] < other[2] - touch
        && other[0] < one[2] - touch
        && one[1] < other[3] - touch
        && other[1] < one[3] - touch
}
