//! The order of the elements from left to right: by circuit, then by distance from the supply,
//! then as the designer wrote them. Parts that the design's `layout` names change places among
//! themselves until they stand in its order.

use super::element::{Element, Shape};
use super::flow::Flow;
use crate::catalogue::Kind;

/// Order, circuits and what rides on what, by element.
pub(super) struct Order {
    pub sequence: Vec<usize>,
    /// Which circuit: what is joined otherwise than by ground.
    pub circuit: Vec<usize>,
    /// How far from the supply.
    pub key: Vec<u32>,
    /// The amplifier over which a feedback part is drawn.
    pub rides: Vec<Option<usize>>,
}

impl Order {
    pub fn of(elements: &[Element], flow: &Flow, layout: &[String]) -> Self {
        let circuit = circuits(elements);
        let key: Vec<u32> = elements.iter().map(|e| key(e, flow)).collect();
        let mut sequence: Vec<usize> = (0..elements.len()).collect();
        sequence.sort_by_key(|&index| (circuit[index], key[index], index));
        let named = |index: usize| {
            let reference = &elements[index].part.reference;
            layout.iter().position(|named| named == reference)
        };
        let mut wanted: Vec<usize> = sequence.clone();
        wanted.retain(|&index| named(index).is_some());
        wanted.sort_by_key(|&index| named(index));
        let mut wanted = wanted.into_iter();
        for place in &mut sequence {
            if named(*place).is_some() {
                *place = wanted.next().unwrap_or(*place);
            }
        }
        Self {
            rides: riders(elements),
            sequence,
            circuit,
            key,
        }
    }
}

fn key(element: &Element, flow: &Flow) -> u32 {
    let level = |terminal: &str| {
        element
            .net(terminal)
            .filter(|net| *net != "gnd")
            .map(|net| flow.level(net))
    };
    let levels = || {
        element
            .nets()
            .filter(|net| *net != "gnd")
            .map(|net| flow.level(net))
    };
    let nearest = levels().min().unwrap_or(0);
    match element.part.kind {
        Kind::AcAdaptor | Kind::DcAdaptor | Kind::Battery | Kind::Transformer => 0,
        Kind::Bridge => 2 * level("ac1").max(level("ac2")).unwrap_or(0) + 2,
        Kind::Bipolar => 2 * level("base").unwrap_or(nearest) + 2,
        Kind::Mosfet => 2 * level("gate").unwrap_or(nearest) + 2,
        Kind::OpAmp => {
            let out = element.symbol.pins.iter();
            let out = out.filter(|pin| pin.terminal.ends_with("out"));
            2 * out
                .filter_map(|pin| level(&pin.terminal))
                .min()
                .unwrap_or(nearest)
        }
        _ if element.is_output() => {
            let mut contacts = element.symbol.pins.iter();
            let tip = contacts
                .find_map(|pin| level(&pin.terminal))
                .unwrap_or(nearest);
            2 * tip + if element.controlled { 0 } else { 3 }
        }
        _ if element.shape == Shape::Standing => 2 * nearest + 1,
        _ if element.shape == Shape::Two && !flow.lies(element) => 2 * nearest + 1,
        _ => 2 * nearest + 2,
    }
}

fn circuits(elements: &[Element]) -> Vec<usize> {
    let mut circuit: Vec<usize> = (0..elements.len()).collect();
    let mut joined = true;
    while joined {
        joined = false;
        for one in 0..elements.len() {
            for other in 0..one {
                if circuit[one] != circuit[other] && touch(&elements[one], &elements[other]) {
                    let low = circuit[one].min(circuit[other]);
                    let high = circuit[one].max(circuit[other]);
                    for label in &mut circuit {
                        if *label == high {
                            *label = low;
                        }
                    }
                    joined = true;
                }
            }
        }
    }
    circuit
}

/// Do two elements share a net other than ground? Of a jack only the first contact counts: the
/// others often carry a supply of their own.
fn touch(one: &Element, other: &Element) -> bool {
    let nets = |element: &Element| -> Vec<String> {
        let live = element.nets().filter(|net| *net != "gnd");
        let many = if element.is_output() && !element.controlled {
            1
        } else {
            usize::MAX
        };
        live.take(many).map(str::to_owned).collect()
    };
    let others = nets(other);
    nets(one).iter().any(|net| others.contains(net)) || one.part.reference == other.part.reference
}

fn riders(elements: &[Element]) -> Vec<Option<usize>> {
    elements
        .iter()
        .map(|element| {
            if element.shape != Shape::Two {
                return None;
            }
            let ends: Vec<&str> = element.nets().collect();
            elements.iter().position(|amplifier| {
                let of = |suffix: &str| {
                    amplifier
                        .symbol
                        .pins
                        .iter()
                        .find(|pin| pin.terminal.ends_with(suffix))
                        .and_then(|pin| amplifier.net(&pin.terminal))
                };
                amplifier.part.kind == Kind::OpAmp
                    && of(".out") != of(".minus")
                    && [of(".out"), of(".minus")]
                        .iter()
                        .all(|net| net.is_some_and(|net| ends.contains(&net)))
            })
        })
        .collect()
}
