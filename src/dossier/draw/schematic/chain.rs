//! Columns of parts in series between two potentials.

use super::cell::{Beside, Cell};
use super::element::{Element, Shape};
use super::flow::Class;
use super::place::{PART, Placer};
use super::symbol::Side;
use crate::catalogue::Kind;

/// One part of a chain, with its upper terminal.
type Link = (usize, String);

impl<'a> Placer<'a> {
    pub(super) fn standing(&mut self, index: usize, patient: bool) {
        let Some(mut chain) = self.chain(index) else {
            return self.lying(index);
        };
        let key = self.order.key[index];
        let waits = chain.iter().any(|(other, _)| {
            matches!(
                self.elements[*other].part.kind,
                Kind::Bipolar | Kind::Mosfet
            ) && self.order.key[*other] > key
        });
        if waits && patient {
            return;
        }
        let nets = self.chain_nets(&chain);
        let (top, bottom) = (nets[0], nets[nets.len() - 1]);
        if self.class(bottom) == Class::Ground
            && self.class(top) == Class::Positive
            && let Some(partner) = self.partner(index, |p, j| !p.lies(j) && p.on_ground(j))
        {
            let ends = self.elements[partner].ends();
            let upper = ends.and_then(|ends| {
                ends.into_iter()
                    .find(|t| self.elements[partner].net(t) == Some("gnd"))
            });
            if let Some(upper) = upper {
                chain.push((partner, upper.to_owned()));
            }
        }
        self.stack(&chain);
    }

    fn on_ground(&self, index: usize) -> bool {
        self.end_nets(index).contains(&Some("gnd"))
    }

    /// The tops of a chain's parts.
    fn tops(&self, chain: &[Link]) -> Vec<i32> {
        let nets = self.chain_nets(chain);
        let (top, bottom) = (nets[0], nets[nets.len() - 1]);
        let count = i32::try_from(chain.len()).unwrap_or(1);
        let to_foot = self.class(bottom) == Class::Negative;
        let start = match self.height(top) {
            Some(height) if !to_foot => height,
            Some(height) => height.min(self.foot - PART * count),
            None if to_foot => self.foot - PART * count,
            None if self.class(top) == Class::Ground => self.middle,
            None => self.middle,
        };
        let slack = if to_foot {
            (self.foot - start - PART * count).max(0)
        } else {
            0
        };
        let gaps = (count - 1).max(1);
        (0..count)
            .map(|i| {
                let shift = if count > 1 { slack * i / gaps } else { slack };
                start + PART * i + shift
            })
            .collect()
    }

    fn stack(&mut self, chain: &[Link]) {
        let tops = self.tops(chain);
        let nets = self.chain_nets(chain);
        let mut cells = Vec::new();
        let mut grounds = Vec::new();
        for (place, ((index, upper), top)) in chain.iter().zip(&tops).enumerate() {
            let element = &self.elements[*index];
            let first = element.ends().is_some_and(|ends| ends[0] == upper);
            let mut symbol = element.symbol.clone();
            let mut beside = Beside::Right;
            if element.shape == Shape::Two {
                symbol = symbol.turned(if first { 1 } else { 3 });
            } else {
                if !first {
                    symbol = symbol.flipped();
                }
                let tap = symbol.pins.get(2).cloned();
                let known = tap
                    .as_ref()
                    .is_some_and(|pin| self.height(element.net(&pin.terminal)).is_some());
                let wanted = if known { Side::Left } else { Side::Right };
                if tap.is_some_and(|pin| pin.side != wanted) {
                    symbol = symbol.mirrored();
                }
                if wanted == Side::Right {
                    beside = Beside::Left;
                }
            }
            let inner = |at: usize| at > 0 && at < chain.len() && nets[at] == Some("gnd");
            let lower = element
                .ends()
                .and_then(|ends| ends.into_iter().find(|t| *t != upper.as_str()));
            let mut joined: Vec<&str> = Vec::new();
            if inner(place) {
                joined.push(upper);
                let y = (tops[place - 1] + PART + top) / 2;
                grounds.push(vec![(0, tops[place - 1] + PART), (0, *top)]);
                grounds.push(vec![(0, y), (-3, y), (-3, y + 1)]);
            }
            if inner(place + 1) {
                joined.extend(lower);
            }
            let cell = Cell::new(*index, symbol, (0, top + PART / 2))
                .named(element, beside, self.fonts)
                .grounded(element, &joined);
            cells.push(cell);
        }
        self.push(cells, grounds);
    }

    /// The nets from the top of a chain to its bottom.
    pub(super) fn chain_nets(&self, chain: &[Link]) -> Vec<Option<&'a str>> {
        let mut nets = Vec::new();
        for (index, upper) in chain {
            let element = &self.elements[*index];
            if nets.is_empty() {
                nets.push(element.net(upper));
            }
            let lower = element
                .ends()
                .and_then(|ends| ends.into_iter().find(|t| t != upper));
            nets.push(lower.and_then(|t| element.net(t)));
        }
        nets
    }

    /// The parts in series with this one between two potentials, from the top down.
    pub(super) fn chain(&self, index: usize) -> Option<Vec<Link>> {
        let element = &self.elements[index];
        let ends = element.ends()?;
        if self.lies(index) {
            return None;
        }
        let classes = ends.map(|t| self.class(element.net(t)));
        let (upper, lower) = if classes[1] > classes[0] {
            (ends[1], ends[0])
        } else {
            (ends[0], ends[1])
        };
        let mut chain = vec![(index, upper.to_owned())];
        if self.open_signal(element.net(upper)) {
            let above = self.onwards(element.net(upper), &chain, Class::Positive, 3);
            for (other, near) in above.unwrap_or_default() {
                chain.insert(0, (other, self.far(other, &near)));
            }
        }
        if self.class(element.net(lower)) == Class::Signal {
            let below = self.onwards(element.net(lower), &chain, Class::Ground, 3);
            chain.extend(below.unwrap_or_default());
        }
        Some(chain)
    }

    fn open_signal(&self, net: Option<&str>) -> bool {
        self.class(net) == Class::Signal && self.height(net).is_none()
    }

    fn far(&self, index: usize, near: &str) -> String {
        let ends = self.elements[index].ends().unwrap_or(["", ""]);
        ends[usize::from(ends[0] == near)].to_owned()
    }

    /// Parts from a net on to a rail, each with the terminal by which it is entered: one that ends
    /// there, or the only other part on the net.
    fn onwards(
        &self,
        net: Option<&str>,
        taken: &[Link],
        goal: Class,
        depth: u8,
    ) -> Option<Vec<Link>> {
        let net = net?;
        let reached = |class: Class| match goal {
            Class::Positive => class == Class::Positive,
            _ => class == Class::Ground || class == Class::Negative,
        };
        let pins = self.elements.iter().flat_map(Element::nets);
        let count = pins.filter(|other| *other == net).count();
        let mut candidates: Vec<Link> = Vec::new();
        for (other, element) in self.elements.iter().enumerate() {
            let free = !self.done[other]
                && self.order.rides[other].is_none()
                && taken.iter().all(|(index, _)| *index != other);
            let Some(ends) = element.ends().filter(|_| free) else {
                continue;
            };
            for end in ends {
                if element.net(end) == Some(net) {
                    candidates.push((other, end.to_owned()));
                }
            }
        }
        let at_goal = |(other, near): &&Link| {
            let far = self.far(*other, near);
            let element = &self.elements[*other];
            element.net(&far).is_some() && reached(self.class(element.net(&far)))
        };
        // Two ends on one net: neither leads anywhere.
        candidates.retain(|(other, near)| {
            self.elements[*other].net(&self.far(*other, near)) != Some(net)
        });
        if let Some(direct) = candidates.iter().find(at_goal) {
            return Some(vec![direct.clone()]);
        }
        if count != 2 || depth == 0 {
            return None;
        }
        let only = candidates.first()?.clone();
        let far = self.far(only.0, &only.1);
        let beyond = self.elements[only.0].net(&far);
        if self.class(beyond) != Class::Signal {
            return None;
        }
        let mut seen = taken.to_vec();
        seen.push(only.clone());
        let rest = self.onwards(beyond, &seen, goal, depth - 1)?;
        Some(std::iter::once(only).chain(rest).collect())
    }
}
