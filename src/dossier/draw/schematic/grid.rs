//! The routing grid of a band: what is taken, and the cheapest way between a net's wires and its
//! next pin.
//!
//! Wires of two nets may cross at a right angle and touch in no other way: no wire ends, bends or
//! starts on another's, and none enters a symbol, a word or the point before a foreign pin.

use super::symbol::{Point, Side};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

/// Costs of a way: a step, a bend, a crossing, a step beside a foreign wire.
const STEP: u32 = 2;
const BEND: u32 = 7;
const CROSSING: u32 = 14;
const BESIDE: u32 = 2;

const SIDES: [Side; 4] = [Side::Left, Side::Right, Side::Up, Side::Down];

#[derive(Debug, Clone, Copy, Default)]
struct Spot {
    blocked: bool,
    /// Net of the wire that runs across, and of the one that runs down, through this point.
    across: Option<usize>,
    down: Option<usize>,
    /// Net whose wire bends, branches or ends here.
    node: Option<usize>,
    /// Net whose pin looks at this point.
    before: Option<usize>,
}

/// The grid.
#[derive(Clone)]
pub(super) struct Grid {
    left: i32,
    top: i32,
    width: i32,
    height: i32,
    spots: Vec<Spot>,
    /// Unit pieces of wire: net, from, to (to the right or down).
    pub wires: BTreeSet<(usize, Point, Point)>,
}

impl Grid {
    pub fn new([left, top, right, bottom]: [i32; 4]) -> Self {
        let (width, height) = (right - left + 1, bottom - top + 1);
        let count = usize::try_from(width * height).unwrap_or(0);
        Self {
            left,
            top,
            width,
            height,
            spots: vec![Spot::default(); count],
            wires: BTreeSet::new(),
        }
    }

    fn index(&self, (x, y): Point) -> Option<usize> {
        let (x, y) = (x - self.left, y - self.top);
        let inside = x >= 0 && y >= 0 && x < self.width && y < self.height;
        inside.then(|| usize::try_from(y * self.width + x).unwrap_or(0))
    }

    fn point(&self, index: usize) -> Point {
        let index = i32::try_from(index).unwrap_or(0);
        (
            index % self.width + self.left,
            index / self.width + self.top,
        )
    }

    fn spot(&mut self, at: Point) -> Option<&mut Spot> {
        let index = self.index(at)?;
        self.spots.get_mut(index)
    }

    /// Keeps wires out of an area.
    pub fn block(&mut self, [left, top, right, bottom]: [i32; 4]) {
        for y in top..=bottom {
            for x in left..=right {
                if let Some(spot) = self.spot((x, y)) {
                    spot.blocked = true;
                }
            }
        }
    }

    /// Keeps wires off words: every point of the grid within or close to the area.
    pub fn block_words(&mut self, [left, top, right, bottom]: [f64; 4]) {
        let near = 0.3;
        // Sheets are a few hundred steps wide.
        #[allow(clippy::cast_possible_truncation)]
        let area = [
            (left - near).ceil() as i32,
            (top - near).ceil() as i32,
            (right + near).floor() as i32,
            (bottom + near).floor() as i32,
        ];
        self.block(area);
    }

    /// A pin of a net, and the point it looks at.
    pub fn pin(&mut self, net: usize, at: Point, side: Side) {
        if let Some(spot) = self.spot(at) {
            spot.blocked = false;
            spot.node = Some(net);
        }
        let (dx, dy) = side.step();
        if let Some(spot) = self.spot((at.0 + dx, at.1 + dy))
            && spot.before.is_none()
        {
            spot.before = Some(net);
        }
    }

    /// Gives a point back that was taken for a pin.
    pub fn clear(&mut self, at: Point) {
        if let Some(spot) = self.spot(at) {
            *spot = Spot::default();
        }
    }

    /// Is the point free of everything?
    pub fn free(&self, at: Point) -> bool {
        self.index(at).is_some_and(|index| {
            let spot = self.spots[index];
            !spot.blocked && spot.across.is_none() && spot.down.is_none() && spot.node.is_none()
        })
    }

    /// Lays a wire through points.
    pub fn lay(&mut self, net: usize, points: &[Point]) {
        for pair in points.windows(2) {
            let (from, to) = (pair[0].min(pair[1]), pair[0].max(pair[1]));
            let across = from.1 == to.1;
            let step = if across { (1, 0) } else { (0, 1) };
            let mut here = from;
            while here != to {
                let ahead = (here.0 + step.0, here.1 + step.1);
                self.wires.insert((net, here, ahead));
                for at in [here, ahead] {
                    if let Some(spot) = self.spot(at) {
                        if across {
                            spot.across = Some(net);
                        } else {
                            spot.down = Some(net);
                        }
                    }
                }
                here = ahead;
            }
        }
        // Bends and ends are nodes: no foreign wire may pass there.
        for at in points {
            if let Some(spot) = self.spot(*at) {
                spot.node = Some(net);
            }
        }
    }

    /// The cheapest way for a net from any of its points to any of the targets, with its cost.
    pub fn way(
        &self,
        net: usize,
        from: &[Point],
        targets: &BTreeSet<Point>,
    ) -> Option<(u32, Vec<Point>)> {
        let count = self.spots.len() * 4;
        let mut cost = vec![u32::MAX; count];
        let mut before = vec![usize::MAX; count];
        let mut open = BinaryHeap::new();
        for start in from {
            let Some(index) = self.index(*start) else {
                continue;
            };
            for direction in 0..4 {
                cost[index * 4 + direction] = 0;
                open.push(Reverse((0, index * 4 + direction)));
            }
        }
        while let Some(Reverse((so_far, state))) = open.pop() {
            if so_far > cost[state] {
                continue;
            }
            let (index, direction) = (state / 4, state % 4);
            let here = self.point(index);
            if so_far > 0 && targets.contains(&here) {
                return Some((so_far, self.trace(state, &before)));
            }
            let crossing = self.foreign(index, net);
            for (heading, side) in SIDES.iter().enumerate() {
                let turn = heading != direction;
                if SIDES[direction] == opposite(*side) || (turn && (crossing || so_far == 0)) {
                    continue;
                }
                let (dx, dy) = side.step();
                let Some(ahead) = self.index((here.0 + dx, here.1 + dy)) else {
                    continue;
                };
                let Some(step) = self.step(ahead, net, *side) else {
                    continue;
                };
                let total = so_far + step + if turn { BEND } else { 0 };
                let onward = ahead * 4 + heading;
                if total < cost[onward] {
                    cost[onward] = total;
                    before[onward] = state;
                    open.push(Reverse((total, onward)));
                }
            }
        }
        None
    }

    /// Does another net's wire pass here?
    fn foreign(&self, index: usize, net: usize) -> bool {
        let spot = self.spots[index];
        [spot.across, spot.down]
            .iter()
            .any(|wire| wire.is_some_and(|other| other != net))
    }

    /// What a step onto a point costs; `None` where the net may not go.
    fn step(&self, index: usize, net: usize, side: Side) -> Option<u32> {
        let spot = self.spots[index];
        let others = |wire: Option<usize>| wire.is_some_and(|other| other != net);
        if spot.blocked || others(spot.node) || others(spot.before) {
            return None;
        }
        let lying = matches!(side, Side::Left | Side::Right);
        let (along, over) = if lying {
            (spot.across, spot.down)
        } else {
            (spot.down, spot.across)
        };
        if others(along) {
            return None;
        }
        let mut cost = STEP;
        if others(over) {
            cost += CROSSING;
        }
        let (x, y) = self.point(index);
        let beside = if lying {
            [(x, y - 1), (x, y + 1)]
        } else {
            [(x - 1, y), (x + 1, y)]
        };
        for at in beside {
            if let Some(near) = self.index(at) {
                let near = self.spots[near];
                let wire = if lying { near.across } else { near.down };
                if others(wire) || near.blocked {
                    cost += BESIDE;
                }
            }
        }
        Some(cost)
    }

    fn trace(&self, mut state: usize, before: &[usize]) -> Vec<Point> {
        let mut points = vec![self.point(state / 4)];
        while before[state] != usize::MAX {
            state = before[state];
            points.push(self.point(state / 4));
        }
        points.reverse();
        corners(&points)
    }

    /// Points of a net's wires where a branch may start: not where another net crosses.
    pub fn branches(&self, net: usize) -> Vec<Point> {
        let points: BTreeSet<Point> = self
            .wires
            .iter()
            .filter(|(other, _, _)| *other == net)
            .flat_map(|(_, from, to)| [*from, *to])
            .collect();
        let clear = |at: &Point| {
            self.index(*at).is_some_and(|index| {
                let spot = self.spots[index];
                !self.foreign(index, net) && spot.node.is_none_or(|other| other == net)
            })
        };
        points.into_iter().filter(clear).collect()
    }

    /// How many times wires of two nets cross.
    pub fn crossings(&self) -> usize {
        let over = |spot: &&Spot| match (spot.across, spot.down) {
            (Some(one), Some(other)) => one != other,
            _ => false,
        };
        self.spots.iter().filter(over).count()
    }

    /// How many times wires bend: points with one lying and one hanging end of a net.
    pub fn bends(&self) -> usize {
        let mut ends: BTreeMap<(usize, Point), (u8, u8)> = BTreeMap::new();
        for (net, from, to) in &self.wires {
            for at in [from, to] {
                let count = ends.entry((*net, *at)).or_default();
                if from.1 == to.1 {
                    count.0 += 1;
                } else {
                    count.1 += 1;
                }
            }
        }
        ends.values().filter(|count| **count == (1, 1)).count()
    }
}

fn opposite(side: Side) -> Side {
    match side {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
        Side::Up => Side::Down,
        Side::Down => Side::Up,
    }
}

/// Ends and bends of a way.
fn corners(points: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    for (index, point) in points.iter().enumerate() {
        let inner = index > 0 && index + 1 < points.len();
        if inner {
            let (a, b) = (points[index - 1], points[index + 1]);
            if (a.0 == point.0 && point.0 == b.0) || (a.1 == point.1 && point.1 == b.1) {
                continue;
            }
        }
        kept.push(*point);
    }
    kept
}
