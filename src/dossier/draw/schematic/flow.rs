//! The reading order of a circuit: which nets are rails, and how far each lies from its supply.

use super::element::{Element, Shape};
use crate::catalogue::Kind;
use crate::design::{Connection, Design, Part, Structure};
use std::collections::BTreeMap;

/// What sort of net, for its height on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Class {
    Negative,
    Ground,
    Signal,
    Alternating,
    Positive,
}

/// Class and distance of every net.
#[derive(Debug, Default)]
pub(super) struct Flow {
    class: BTreeMap<String, Class>,
    level: BTreeMap<String, u32>,
    /// Is there a negative rail below ground?
    pub dual: bool,
}

impl Flow {
    /// Reads a design.
    pub fn of(design: &Design, elements: &[Element]) -> Self {
        let mut flow = Self::default();
        flow.classify(design);
        flow.dual = flow.class.values().any(|class| *class == Class::Negative);
        flow.measure(design, elements);
        flow
    }

    pub fn class(&self, net: &str) -> Class {
        self.class.get(net).copied().unwrap_or(Class::Signal)
    }

    /// Steps from a supply; nets that no supply reaches come last.
    pub fn level(&self, net: &str) -> u32 {
        self.level.get(net).copied().unwrap_or(99)
    }

    /// Does a part with two ends lie on a row rather than stand between two?
    pub fn lies(&self, element: &Element) -> bool {
        let Some(ends) = element.ends().filter(|_| element.shape == Shape::Two) else {
            return false;
        };
        let [Some(one), Some(other)] = ends.map(|terminal| element.net(terminal)) else {
            return true;
        };
        let (a, b) = (self.class(one), self.class(other));
        a != Class::Ground
            && b != Class::Ground
            && (a == b || a == Class::Alternating || b == Class::Alternating)
    }

    fn set(&mut self, net: Option<&str>, class: Class) -> bool {
        let Some(net) = net else { return false };
        if self.class.contains_key(net) {
            return false;
        }
        self.class.insert(net.to_owned(), class);
        true
    }

    fn classify(&mut self, design: &Design) {
        self.set(Some("gnd"), Class::Ground);
        for part in design.parts.values() {
            match part.kind {
                Kind::DcAdaptor | Kind::Battery | Kind::Bridge => {
                    self.set(part.net("positive"), Class::Positive);
                    self.set(part.net("negative"), Class::Negative);
                    self.set(part.net("ac1"), Class::Alternating);
                    self.set(part.net("ac2"), Class::Alternating);
                }
                Kind::AcAdaptor | Kind::Transformer => {
                    for terminal in part.terminals.keys() {
                        self.set(part.net(terminal), Class::Alternating);
                    }
                }
                _ => {}
            }
        }
        for part in design.parts.values() {
            let class = if part.word("polarity") == Some("negative") {
                Class::Negative
            } else {
                Class::Positive
            };
            match part.kind {
                Kind::Regulator | Kind::AdjustableRegulator => {
                    self.set(part.net("in"), class);
                    self.set(part.net("out"), class);
                }
                Kind::OpAmp => {
                    self.set(part.net("supply+"), Class::Positive);
                    self.set(part.net("supply-"), Class::Negative);
                }
                _ => {}
            }
        }
        while self.spread(design) {}
    }

    /// Hands classes on through what passes current unchanged; `true` when something was learnt.
    fn spread(&mut self, design: &Design) -> bool {
        use Class::{Alternating, Negative, Positive};
        let mut learnt = false;
        for part in design.parts.values() {
            let of = |flow: &Self, net: Option<&str>| net.and_then(|n| flow.class.get(n).copied());
            match part.kind {
                Kind::Diode => {
                    let (anode, cathode) = (part.net("anode"), part.net("cathode"));
                    if matches!(of(self, anode), Some(Alternating | Positive)) {
                        learnt |= self.set(cathode, Positive);
                    }
                    if matches!(of(self, cathode), Some(Alternating | Negative)) {
                        learnt |= self.set(anode, Negative);
                    }
                }
                Kind::Zener | Kind::ShuntReference
                    if part.net("anode") == Some("gnd")
                        && self.fed(design, part.net("cathode")) =>
                {
                    learnt |= self.set(part.net("cathode"), Positive);
                }
                Kind::Fuse | Kind::Ptc | Kind::Inductor | Kind::WireLink | Kind::Switch => {
                    for (one, other) in through(part) {
                        for (from, to) in [(one, other), (other, one)] {
                            if let Some(class) = of(self, Some(from))
                                && matches!(class, Alternating | Positive | Negative)
                            {
                                learnt |= self.set(Some(to), class);
                            }
                        }
                    }
                }
                _ => {}
            }
        }
        learnt
    }

    /// Does a resistor feed this net from a positive rail?
    fn fed(&self, design: &Design, net: Option<&str>) -> bool {
        net.is_some_and(|net| {
            design.parts.values().any(|part| {
                part.kind == Kind::Resistor
                    && [("a", "b"), ("b", "a")].iter().any(|(near, far)| {
                        part.net(near) == Some(net)
                            && part.net(far).map(|n| self.class(n)) == Some(Class::Positive)
                    })
            })
        })
    }

    /// Shortest distances from the supplies, along the ways signals take.
    fn measure(&mut self, design: &Design, elements: &[Element]) {
        let ways = ways(design);
        for element in elements {
            let source = matches!(
                element.part.kind,
                Kind::AcAdaptor | Kind::DcAdaptor | Kind::Battery | Kind::Transformer
            );
            for net in element.nets().filter(|net| source && *net != "gnd") {
                self.level.insert(net.to_owned(), 0);
            }
        }
        let mut settled = false;
        while !settled {
            settled = true;
            for (from, to, cost) in &ways {
                let Some(reached) = self.level.get(*from).map(|level| level + cost) else {
                    continue;
                };
                if *to != "gnd" && self.level.get(*to).is_none_or(|level| *level > reached) {
                    self.level.insert((*to).to_owned(), reached);
                    settled = false;
                }
            }
        }
    }
}

/// From, to, steps.
type Way<'a> = (&'a str, &'a str, u32);

/// The ways that signals and supplies take through the parts.
fn ways(design: &Design) -> Vec<Way<'_>> {
    let mut ways = Vec::new();
    for part in design.parts.values() {
        both_ways(design, part, &mut ways);
        one_way(part, &mut ways);
    }
    ways
}

fn both_ways<'a>(design: &Design, part: &'a Part, ways: &mut Vec<Way<'a>>) {
    let mut both = |one: &str, other: &str, cost: u32| {
        if let (Some(a), Some(b)) = (part.net(one), part.net(other)) {
            ways.push((a, b, cost));
            ways.push((b, a, cost));
        }
    };
    match part.kind {
        Kind::Potentiometer => {
            both("cw", "wiper", 1);
            both("ccw", "wiper", 1);
            both("cw", "ccw", 2);
        }
        Kind::Jack | Kind::Plug => {
            let controlled = matches!(
                design
                    .connections
                    .get(&part.reference)
                    .and_then(|all| all.first()),
                Some(Connection::Controller { .. })
            );
            if controlled {
                both("tip", "ring", 1);
            }
            both("tip", "tip-normal", 1);
            both("ring", "ring-normal", 1);
        }
        Kind::Optocoupler => {
            both("anode", "cathode", 1);
            both("collector", "emitter", 4);
        }
        Kind::Bipolar => both("collector", "emitter", 4),
        Kind::Mosfet => both("drain", "source", 4),
        Kind::ShuntReference => both("cathode", "reference", 2),
        Kind::Switch | Kind::Relay => {
            for (one, other) in through(part) {
                ways.push((one, other, 1));
                ways.push((other, one, 1));
            }
        }
        _ => {
            let mut names = part.terminals.keys();
            if let (2, Some(one), Some(other)) = (part.terminals.len(), names.next(), names.next())
            {
                both(one, other, 1);
            }
        }
    }
}

fn one_way<'a>(part: &'a Part, ways: &mut Vec<Way<'a>>) {
    let mut one_way = |from: &str, to: &str, cost: u32| {
        if let (Some(a), Some(b)) = (part.net(from), part.net(to)) {
            ways.push((a, b, cost));
        }
    };
    match part.kind {
        Kind::Regulator | Kind::AdjustableRegulator => one_way("in", "out", 1),
        Kind::Bridge => {
            for (ac, dc) in [
                ("ac1", "positive"),
                ("ac1", "negative"),
                ("ac2", "positive"),
                ("ac2", "negative"),
            ] {
                one_way(ac, dc, 2);
            }
        }
        Kind::Bipolar => {
            one_way("base", "emitter", 1);
            one_way("base", "collector", 1);
        }
        Kind::Mosfet => {
            one_way("gate", "source", 1);
            one_way("gate", "drain", 1);
        }
        _ => {}
    }
    if let Structure::Units(units) = &part.structure {
        for unit in units {
            for input in ["plus", "minus"] {
                one_way(&format!("{unit}.{input}"), &format!("{unit}.out"), 1);
            }
        }
    }
}

/// Pairs of nets between which a part without a fixed sense passes current.
fn through(part: &Part) -> Vec<(&str, &str)> {
    if let Structure::Contacts { poles, .. } = &part.structure {
        return poles
            .values()
            .flat_map(|pole| {
                pole.throws
                    .iter()
                    .map(|throw| (pole.common.as_str(), throw.as_str()))
            })
            .filter(|(common, throw)| ![*common, *throw].contains(&"nc"))
            .filter(|(common, throw)| ![*common, *throw].contains(&"gnd"))
            .collect();
    }
    let mut nets = part.terminals.values().map(String::as_str);
    match (part.terminals.len(), nets.next(), nets.next()) {
        (2, Some(one), Some(other)) => vec![(one, other)],
        _ => Vec::new(),
    }
}
