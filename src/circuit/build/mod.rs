//! From a design and a situation to a circuit.
//!
//! Each file here turns some kinds of part into elements; the corner's levels decide which end of
//! each figure's spread is used, the state decides what is switched, plugged and powered.

mod amplifiers;
mod contacts;
mod devices;
mod junctions;
mod optocoupler;
mod passives;
mod regulators;
mod supplies;

use super::{Element, Model, Netlist, Node};
use crate::catalogue::{Kind, Property};
use crate::design::{Design, Part};
use crate::situations::{Level, Parameter, Situation};
use std::collections::BTreeMap;

/// A circuit with the way back from parts to elements and from nets to nodes.
#[derive(Debug, Clone)]
pub struct Circuit {
    /// What the solver is given.
    pub netlist: Netlist,
    /// Node of each net and internal point.
    pub nodes: BTreeMap<String, Node>,
    /// Index of each element by name.
    pub elements: BTreeMap<String, usize>,
    /// Parts that could not be put into the circuit, and what they lack. Nothing solved without
    /// them may pass for the truth.
    pub incomplete: Vec<String>,
}

impl Circuit {
    /// Nodes of a jack's signal contact and of its sleeve as they are wired; `None` when one is
    /// open.
    #[must_use]
    pub fn contacts(&self, design: &Design, jack: &str, signal: &str) -> Option<(Node, Node)> {
        let part = design.parts.get(jack)?;
        let node = |contact: &str| self.nodes.get(part.net(contact)?).copied();
        Some((node(signal)?, node("sleeve")?))
    }
}

/// The circuit of a design in one situation.
#[must_use]
pub fn build(design: &Design, situation: &Situation) -> Circuit {
    let mut builder = Builder::new(design, situation);
    for part in design.parts.values() {
        builder.part(part);
    }
    builder.finish()
}

/// What is being built, and from what.
struct Builder<'a> {
    design: &'a Design,
    situation: &'a Situation,
    circuit: Circuit,
}

impl<'a> Builder<'a> {
    fn new(design: &'a Design, situation: &'a Situation) -> Self {
        let mut builder = Self {
            design,
            situation,
            circuit: Circuit {
                netlist: Netlist {
                    nodes: Vec::new(),
                    elements: Vec::new(),
                },
                nodes: BTreeMap::new(),
                elements: BTreeMap::new(),
                incomplete: Vec::new(),
            },
        };
        for net in std::iter::once("gnd").chain(design.nets.iter().map(String::as_str)) {
            builder.node(net);
        }
        builder
    }

    fn part(&mut self, part: &Part) {
        match part.kind {
            Kind::AcAdaptor | Kind::DcAdaptor | Kind::Battery | Kind::Transformer => {
                self.supply(part);
            }
            Kind::Diode
            | Kind::Bridge
            | Kind::Zener
            | Kind::Led
            | Kind::TransientSuppressor
            | Kind::Bipolar
            | Kind::Mosfet => self.semiconductor(part),
            Kind::Regulator | Kind::AdjustableRegulator | Kind::ShuntReference => {
                self.regulator(part);
            }
            Kind::OpAmp => self.op_amp(part),
            Kind::Optocoupler => self.optocoupler(part),
            Kind::Switch | Kind::Relay => self.contacts(part),
            Kind::Jack | Kind::Plug | Kind::Connector => self.jack(part),
            Kind::Fuse
            | Kind::Ptc
            | Kind::Resistor
            | Kind::Thermistor
            | Kind::Potentiometer
            | Kind::Electrolytic
            | Kind::Tantalum
            | Kind::Ceramic
            | Kind::Film
            | Kind::Inductor
            | Kind::Lamp
            | Kind::Sensor
            | Kind::WireLink
            | Kind::Load => self.passive(part),
        }
    }

    /// The node of a net or internal point, made when new.
    fn node(&mut self, name: &str) -> Node {
        if let Some(node) = self.circuit.nodes.get(name) {
            return *node;
        }
        let node = self.circuit.netlist.nodes.len();
        self.circuit.netlist.nodes.push(name.to_owned());
        self.circuit.nodes.insert(name.to_owned(), node);
        node
    }

    /// The node of a part's terminal; `None` when it is open.
    fn terminal(&mut self, part: &Part, terminal: &str) -> Option<Node> {
        let net = part.net(terminal)?.to_owned();
        Some(self.node(&net))
    }

    /// The nodes of the first pair of terminals that the part has.
    fn pair(&mut self, part: &Part, pairs: &[(&str, &str)]) -> Option<(Node, Node)> {
        pairs
            .iter()
            .find_map(|(a, b)| Some((self.terminal(part, a)?, self.terminal(part, b)?)))
    }

    fn push(&mut self, name: impl Into<String>, model: Model) {
        let name = name.into();
        let index = self.circuit.netlist.elements.len();
        self.circuit.elements.insert(name.clone(), index);
        self.circuit.netlist.elements.push(Element { name, model });
    }

    fn resistor(&mut self, name: impl Into<String>, a: Node, b: Node, resistance: f64) {
        // A zero resistance would need a current unknown of its own; a milliohm is a short lead.
        self.push(
            name,
            Model::Resistor {
                a,
                b,
                resistance: resistance.max(1e-3),
            },
        );
    }

    /// Records that a part lacks a figure without which it has no model.
    fn lacks(&mut self, part: &Part, what: &str) {
        self.circuit
            .incomplete
            .push(format!("{} has no {what}", part.reference));
    }

    /// A part's figure at the level its corner says.
    fn figure(&self, part: &Part, property: Property) -> Option<f64> {
        let figure = part.figure(property)?;
        let level = self
            .situation
            .corner
            .level(&Parameter::Figure(part.reference.clone(), property));
        Some(level.of(figure.spread))
    }

    /// A part's figure at its level, or a value that does no harm to the answer when it is absent.
    fn figure_or(&self, part: &Part, property: Property, otherwise: f64) -> f64 {
        self.figure(part, property).unwrap_or(otherwise)
    }

    /// Nominal of a figure.
    fn nominal(part: &Part, property: Property) -> Option<f64> {
        part.figure(property).map(|figure| figure.spread.nominal)
    }

    /// Mains voltage as a share of its nominal.
    fn mains_share(&self) -> f64 {
        self.design.conditions.mains.map_or(1.0, |mains| {
            self.situation
                .corner
                .level(&Parameter::Mains)
                .of(mains.voltage)
                / mains.voltage.nominal
        })
    }

    /// Temperature of a part [K]: what it has settled at, or the ambient at its level.
    fn temperature(&self, part: &Part) -> f64 {
        let warmed = self.situation.warmed.as_ref();
        let settled = warmed.and_then(|warmed| warmed.get(&part.reference).copied());
        settled.unwrap_or_else(|| ambient(self.design, self.situation)) + 273.15
    }

    fn drop_level(&self, part: &Part) -> Level {
        self.situation
            .corner
            .level(&Parameter::Drop(part.reference.clone()))
    }

    fn finish(self) -> Circuit {
        self.circuit
    }
}

/// Does the model of such a part depend on its temperature?
#[must_use]
pub fn heeds_temperature(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Diode
            | Kind::Bridge
            | Kind::Zener
            | Kind::Led
            | Kind::TransientSuppressor
            | Kind::Bipolar
            | Kind::Mosfet
            | Kind::Regulator
            | Kind::AdjustableRegulator
            | Kind::Optocoupler
            | Kind::Thermistor
    )
}

/// The ambient temperature of a situation [°C].
#[must_use]
pub fn ambient(design: &Design, situation: &Situation) -> f64 {
    situation
        .corner
        .level(&Parameter::Ambient)
        .of(design.conditions.ambient)
}
