//! When two circuits are the same one.

use super::{Circuit, Model, Node};
use crate::catalogue::Kind;
use crate::design::Design;

/// A circuit without its names, and with the ends of what has none in one order. Two that are
/// equal have the same solution; `watched` are the nodes at which that is read.
#[derive(Debug, PartialEq)]
pub struct Canonical {
    nodes: usize,
    models: Vec<Model>,
    watched: Vec<Option<(Node, Node)>>,
}

impl Canonical {
    /// Of a circuit that was built from the design.
    #[must_use]
    pub fn new(design: &Design, circuit: Circuit, watched: Vec<Option<(Node, Node)>>) -> Self {
        let models = circuit
            .netlist
            .elements
            .into_iter()
            .map(|element| {
                let kind = design.parts.get(&element.name).map(|part| part.kind);
                ordered(element.model, kind)
            })
            .collect();
        Self {
            nodes: circuit.netlist.nodes.len(),
            models,
            watched,
        }
    }
}

fn ordered(model: Model, kind: Option<Kind>) -> Model {
    match model {
        Model::Resistor { a, b, resistance } => Model::Resistor {
            a: a.min(b),
            b: a.max(b),
            resistance,
        },
        Model::Capacitor {
            positive,
            negative,
            capacitance,
            esr,
            leakage,
        } if matches!(kind, Some(Kind::Ceramic | Kind::Film)) => Model::Capacitor {
            positive: positive.min(negative),
            negative: positive.max(negative),
            capacitance,
            esr,
            leakage,
        },
        other => other,
    }
}
