//! The topology: what depends on the wiring alone and is worked out once for many situations.
//!
//! Nodes tied by ideal sources share one unknown and differ by the sources' known voltages. Nodes
//! joined by ohmic paths among themselves but not to ground form an *island* (a floating
//! transformer winding): they are described by one common unknown and their differences from it,
//! because the common voltage hangs on leakage alone and would drown in the rounding of the ohmic
//! conductances. An element sees its circuit through *ports*, pairs of nodes whose voltage is a
//! short signed sum of unknowns plus known source voltages; a current through a port enters the
//! equations by the same signs, so that what cancels inside an island cancels exactly.

use std::collections::BTreeSet;

use super::elimination::Elimination;
use super::failure::Failure;
use super::stamps::Stamps;
use crate::circuit::{Element, Model, Netlist, Node};

/// Conductance from a node without any direct-current path to ground, so that it has a voltage
/// [S].
pub const FLOATING_LEAKAGE: f64 = 1e-12;

/// A pair of nodes: `voltage = Σ sign · unknown + Σ sign · wave`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Port {
    /// (node, terminal of the element) where the current enters.
    pub plus: (Node, usize),
    /// (node, terminal of the element) where it leaves.
    pub minus: (Node, usize),
    /// Unknowns with their signs.
    pub terms: Vec<(usize, f64)>,
    /// Waves (indices into [`Topology::waves`]) with their signs.
    pub waves: Vec<(usize, f64)>,
}

/// Why a linear conductance is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ohmic {
    /// A resistor element.
    Resistor(usize),
    /// A source element behind its resistance; the wave's index.
    Source(usize, usize),
    /// A capacitor element's leakage.
    Leakage(usize),
    /// [`FLOATING_LEAKAGE`].
    Floating,
}

/// Why a constant current is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Constant {
    /// A current source element.
    Source(usize),
    /// An op-amp's input bias.
    Bias(usize),
}

/// Why a junction is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JunctionOf {
    /// A diode element.
    Diode(usize),
    /// A regulator's reverse path.
    Reverse(usize),
    /// A MOSFET's body diode.
    Body(usize),
}

/// The wiring, ready to solve.
#[derive(Debug, Clone, PartialEq)]
pub struct Topology {
    /// Number of unknowns.
    pub unknowns: usize,
    /// Nodes left floating in direct current, each held by [`FLOATING_LEAKAGE`].
    pub floating: Vec<Node>,
    /// Every port; those of the vectors below come first.
    pub ports: Vec<Port>,
    /// Element of each voltage source, in order of the waves.
    pub waves: Vec<usize>,
    /// Linear conductances: port and origin.
    pub ohmic: Vec<(usize, Ohmic)>,
    /// Constant currents.
    pub constants: Vec<(usize, Constant)>,
    /// Capacitors: port and element.
    pub capacitors: Vec<(usize, usize)>,
    /// Inductors: port and element.
    pub inductors: Vec<(usize, usize)>,
    /// Junctions.
    pub junctions: Vec<(usize, JunctionOf)>,
    /// Regulators: ports input–common and output–common.
    pub regulators: Vec<([usize; 2], usize)>,
    /// Op-amps: ports plus–minus, supply–supply, output–supply minus.
    pub op_amps: Vec<([usize; 3], usize)>,
    /// Shunt references: ports reference–anode, cathode–anode.
    pub shunts: Vec<([usize; 2], usize)>,
    /// Bipolar transistors: ports base–emitter, base–collector.
    pub bipolars: Vec<([usize; 2], usize)>,
    /// MOSFETs: ports gate–source, drain–source.
    pub mosfets: Vec<([usize; 2], usize)>,
    /// Per element, its ports that carry current.
    pub element_ports: Vec<Vec<usize>>,
    /// Per wave of an ideal source: the ports (with signs) whose currents add up to its own.
    pub ideal_currents: Vec<Option<Vec<(usize, f64)>>>,
    /// The matrix program.
    pub elimination: Elimination,
    /// Where conductances and currents enter the equations.
    pub(super) stamps: Stamps,
    places: Vec<Place>,
    shape: Vec<Shape>,
}

/// How a node's voltage is put together.
#[derive(Debug, Clone, PartialEq, Default)]
struct Place {
    own: Option<usize>,
    island: Option<usize>,
    waves: Vec<(usize, f64)>,
}

/// What must agree for two netlists to share a topology.
#[derive(Debug, Clone, PartialEq)]
struct Shape {
    kind: std::mem::Discriminant<Model>,
    nodes: Vec<Node>,
    variant: bool,
}

/// The nodes of a model, in the order in which it names its terminals.
#[must_use]
pub fn terminals(model: &Model) -> Vec<Node> {
    match *model {
        Model::VoltageSource {
            positive, negative, ..
        }
        | Model::Capacitor {
            positive, negative, ..
        } => vec![positive, negative],
        Model::CurrentSource { from, to, .. } => vec![from, to],
        Model::Resistor { a, b, .. } | Model::Inductor { a, b, .. } => vec![a, b],
        Model::Diode { anode, cathode, .. } => vec![anode, cathode],
        Model::Regulator {
            input,
            output,
            common,
            ..
        } => vec![input, output, common],
        Model::OpAmp {
            plus,
            minus,
            output,
            supply_plus,
            supply_minus,
            ..
        } => vec![plus, minus, output, supply_plus, supply_minus],
        Model::ShuntReference {
            cathode,
            anode,
            reference,
            ..
        } => vec![cathode, anode, reference],
        Model::Bipolar {
            base,
            collector,
            emitter,
            ..
        } => vec![base, collector, emitter],
        Model::Mosfet {
            gate,
            drain,
            source,
            ..
        } => vec![gate, drain, source],
    }
}

fn shape(element: &Element) -> Shape {
    let variant = match &element.model {
        Model::VoltageSource { resistance, .. } => *resistance > 0.0,
        Model::Regulator { regulator, .. } => regulator.reverse.is_some(),
        Model::Capacitor { leakage, .. } => *leakage > 0.0,
        _ => false,
    };
    Shape {
        kind: std::mem::discriminant(&element.model),
        nodes: terminals(&element.model),
        variant,
    }
}

/// Union-find over nodes.
struct Groups(Vec<usize>);

impl Groups {
    fn new(size: usize) -> Self {
        Self((0..size).collect())
    }
    fn root(&self, mut node: usize) -> usize {
        while self.0[node] != node {
            node = self.0[node];
        }
        node
    }
    /// Joins two groups under the lower root; `false` if they were one already.
    fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
        a != b
    }
}

impl Topology {
    /// Works out the wiring of a netlist.
    ///
    /// # Errors
    /// [`Failure::SourcesInConflict`] when ideal sources form a loop.
    pub fn new(netlist: &Netlist) -> Result<Self, Failure> {
        let size = netlist.nodes.len();
        let forest = ideal_forest(netlist)?;
        let places = places(netlist, &forest);
        let unknowns = places
            .iter()
            .flat_map(|p| [p.own, p.island])
            .flatten()
            .max()
            .map_or(0, |u| u + 1);
        let mut topology = Self {
            unknowns,
            floating: floating_nodes(netlist),
            ports: Vec::new(),
            waves: forest.waves.clone(),
            ohmic: Vec::new(),
            constants: Vec::new(),
            capacitors: Vec::new(),
            inductors: Vec::new(),
            junctions: Vec::new(),
            regulators: Vec::new(),
            op_amps: Vec::new(),
            shunts: Vec::new(),
            bipolars: Vec::new(),
            mosfets: Vec::new(),
            element_ports: vec![Vec::new(); netlist.elements.len()],
            ideal_currents: Vec::new(),
            elimination: Elimination::record(0, &BTreeSet::new(), &[]),
            stamps: Stamps::default(),
            places,
            shape: netlist.elements.iter().map(shape).collect(),
        };
        for (index, element) in netlist.elements.iter().enumerate() {
            topology.add(index, &element.model);
        }
        for node in topology.floating.clone() {
            let port = topology.port((node, 0), (0, 0));
            topology.ohmic.push((port, Ohmic::Floating));
        }
        topology.ideal_currents = topology.sum_ideal_currents(&forest, size);
        topology.elimination = topology.record();
        topology.stamps = Stamps::new(&topology);
        Ok(topology)
    }

    /// Whether a netlist has this wiring, so that only its parameters differ.
    #[must_use]
    pub fn fits(&self, netlist: &Netlist) -> bool {
        self.places.len() == netlist.nodes.len()
            && self.shape.len() == netlist.elements.len()
            && netlist
                .elements
                .iter()
                .zip(&self.shape)
                .all(|(element, known)| shape(element) == *known)
    }

    /// Adds a port between two nodes.
    pub fn port(&mut self, plus: (Node, usize), minus: (Node, usize)) -> usize {
        self.ports.push(self.make_port(plus, minus));
        self.ports.len() - 1
    }

    /// A port between two nodes, outside the list.
    #[must_use]
    pub fn make_port(&self, plus: (Node, usize), minus: (Node, usize)) -> Port {
        let mut terms: Vec<(usize, f64)> = Vec::with_capacity(4);
        let mut waves: Vec<(usize, f64)> = Vec::new();
        for (node, sign) in [(plus.0, 1.0), (minus.0, -1.0)] {
            let place = &self.places[node];
            for unknown in [place.own, place.island].into_iter().flatten() {
                add_term(&mut terms, unknown, sign);
            }
            for &(wave, s) in &place.waves {
                add_term(&mut waves, wave, sign * s);
            }
        }
        Port {
            plus,
            minus,
            terms,
            waves,
        }
    }

    fn element_port(&mut self, element: usize, nodes: &[Node], plus: usize, minus: usize) -> usize {
        let port = self.port((nodes[plus], plus), (nodes[minus], minus));
        self.element_ports[element].push(port);
        port
    }

    fn add(&mut self, element: usize, model: &Model) {
        let n = terminals(model);
        match model {
            Model::VoltageSource { resistance, .. } => {
                let wave = self.waves.iter().position(|&e| e == element).unwrap_or(0);
                if *resistance > 0.0 {
                    let port = self.element_port(element, &n, 0, 1);
                    self.ohmic.push((port, Ohmic::Source(element, wave)));
                }
            }
            Model::CurrentSource { .. } => {
                let port = self.element_port(element, &n, 0, 1);
                self.constants.push((port, Constant::Source(element)));
            }
            Model::Resistor { .. } => {
                let port = self.element_port(element, &n, 0, 1);
                self.ohmic.push((port, Ohmic::Resistor(element)));
            }
            Model::Capacitor { leakage, .. } => {
                let port = self.element_port(element, &n, 0, 1);
                self.capacitors.push((port, element));
                if *leakage > 0.0 {
                    let port = self.element_port(element, &n, 0, 1);
                    self.ohmic.push((port, Ohmic::Leakage(element)));
                }
            }
            Model::Inductor { .. } => {
                let port = self.element_port(element, &n, 0, 1);
                self.inductors.push((port, element));
            }
            Model::Diode { .. } => {
                let port = self.element_port(element, &n, 0, 1);
                self.junctions.push((port, JunctionOf::Diode(element)));
            }
            Model::Regulator { regulator, .. } => {
                let input = self.element_port(element, &n, 0, 2);
                let output = self.element_port(element, &n, 1, 2);
                self.regulators.push(([input, output], element));
                if regulator.reverse.is_some() {
                    let (anode, cathode) = if regulator.negative { (0, 1) } else { (1, 0) };
                    let port = self.element_port(element, &n, anode, cathode);
                    self.junctions.push((port, JunctionOf::Reverse(element)));
                }
            }
            Model::OpAmp { .. } => {
                let input = self.port((n[0], 0), (n[1], 1));
                let supply = self.element_port(element, &n, 3, 4);
                let output = self.element_port(element, &n, 2, 4);
                self.op_amps.push(([input, supply, output], element));
                for terminal in [0, 1] {
                    let port = self.element_port(element, &n, terminal, 4);
                    self.constants.push((port, Constant::Bias(element)));
                }
            }
            Model::ShuntReference { .. } => {
                let reference = self.element_port(element, &n, 2, 1);
                let cathode = self.element_port(element, &n, 0, 1);
                self.shunts.push(([reference, cathode], element));
            }
            Model::Bipolar { .. } => {
                let emitter = self.element_port(element, &n, 0, 2);
                let collector = self.element_port(element, &n, 0, 1);
                self.bipolars.push(([emitter, collector], element));
            }
            Model::Mosfet { mosfet, .. } => {
                let gate = self.port((n[0], 0), (n[2], 2));
                let drain = self.element_port(element, &n, 1, 2);
                self.mosfets.push(([gate, drain], element));
                let (anode, cathode) = if mosfet.p_channel { (1, 2) } else { (2, 1) };
                let port = self.element_port(element, &n, anode, cathode);
                self.junctions.push((port, JunctionOf::Body(element)));
            }
        }
    }

    /// Groups of ports whose currents depend on each other's voltages: (currents, voltages).
    pub(super) fn couplings(&self) -> impl Iterator<Item = (&[usize], &[usize])> {
        self.regulators
            .iter()
            .map(|(p, _)| (&p[..], &p[..]))
            .chain(self.op_amps.iter().map(|(p, _)| (&p[1..], &p[..])))
            .chain(self.shunts.iter().map(|(p, _)| (&p[..], &p[..])))
            .chain(self.bipolars.iter().map(|(p, _)| (&p[..], &p[..])))
            .chain(self.mosfets.iter().map(|(p, _)| (&p[1..], &p[..])))
    }

    fn record(&self) -> Elimination {
        let mut pattern = BTreeSet::new();
        let mut late = vec![false; self.unknowns];
        let mut couple = |currents: &Port, voltages: &Port| {
            for &(row, _) in &currents.terms {
                for &(column, _) in &voltages.terms {
                    pattern.insert((row, column));
                }
            }
        };
        for port in &self.ports {
            couple(port, port);
        }
        for (currents, voltages) in self.couplings() {
            for &current in currents {
                for &voltage in voltages {
                    couple(&self.ports[current], &self.ports[voltage]);
                }
            }
        }
        let nonlinear = self.junctions.iter().map(|(port, _)| *port).chain(
            self.couplings()
                .flat_map(|(_, voltages)| voltages.iter().copied()),
        );
        for port in nonlinear {
            for &(unknown, _) in &self.ports[port].terms {
                late[unknown] = true;
            }
        }
        Elimination::record(self.unknowns, &pattern, &late)
    }

    /// An ideal source's current, from Kirchhoff's law over the nodes that it alone joins to the
    /// rest of its tree.
    fn sum_ideal_currents(&self, forest: &Forest, size: usize) -> Vec<Option<Vec<(usize, f64)>>> {
        forest
            .edges
            .iter()
            .map(|edge| {
                let edge = edge.as_ref()?;
                let mut beyond = vec![false; size];
                for (node, inside) in beyond.iter_mut().enumerate() {
                    *inside = forest.passes(node, edge.child);
                }
                let mut sum = Vec::new();
                for (index, port) in self.ports.iter().enumerate() {
                    match (beyond[port.plus.0], beyond[port.minus.0]) {
                        (true, false) => sum.push((index, -edge.sign)),
                        (false, true) => sum.push((index, edge.sign)),
                        _ => {}
                    }
                }
                Some(sum)
            })
            .collect()
    }
}

fn add_term(terms: &mut Vec<(usize, f64)>, index: usize, sign: f64) {
    if let Some(position) = terms.iter().position(|&(known, _)| known == index) {
        terms[position].1 += sign;
        if terms[position].1 == 0.0 {
            terms.remove(position);
        }
    } else {
        terms.push((index, sign));
    }
}

/// The trees that ideal sources make of the nodes.
struct Forest {
    /// Element of each voltage source.
    waves: Vec<usize>,
    /// Per wave of an ideal source: the edge it makes.
    edges: Vec<Option<Edge>>,
    /// Per node: the wave (with sign) and the node it hangs from.
    parents: Vec<Option<(usize, f64, Node)>>,
}

struct Edge {
    child: Node,
    /// +1 when the source's positive terminal is the child.
    sign: f64,
}

impl Forest {
    fn root(&self, mut node: Node) -> (Node, Vec<(usize, f64)>) {
        let mut waves = Vec::new();
        while let Some((wave, sign, parent)) = self.parents[node] {
            add_term(&mut waves, wave, sign);
            node = parent;
        }
        (node, waves)
    }

    /// Whether the way from `node` to its root passes `through`.
    fn passes(&self, mut node: Node, through: Node) -> bool {
        while node != through {
            match self.parents[node] {
                Some((_, _, parent)) => node = parent,
                None => return false,
            }
        }
        true
    }
}

fn ideal_forest(netlist: &Netlist) -> Result<Forest, Failure> {
    let size = netlist.nodes.len();
    let mut groups = Groups::new(size);
    let mut waves = Vec::new();
    let mut links: Vec<(usize, Node, Node)> = Vec::new();
    for (index, element) in netlist.elements.iter().enumerate() {
        if let Model::VoltageSource {
            positive,
            negative,
            resistance,
            ..
        } = element.model
        {
            if resistance <= 0.0 {
                if !groups.join(positive, negative) {
                    return Err(conflict(netlist, &links, &waves, index));
                }
                links.push((waves.len(), positive, negative));
            }
            waves.push(index);
        }
    }
    // Hang every tree from ground, or else from its lowest node.
    let mut parents: Vec<Option<(usize, f64, Node)>> = vec![None; size];
    let mut edges: Vec<Option<Edge>> = waves.iter().map(|_| None).collect();
    let mut reached: Vec<bool> = (0..size).map(|node| groups.root(node) == node).collect();
    let mut grown = true;
    while grown {
        grown = false;
        for &(wave, positive, negative) in &links {
            let (child, parent, sign) = match (reached[positive], reached[negative]) {
                (false, true) => (positive, negative, 1.0),
                (true, false) => (negative, positive, -1.0),
                _ => continue,
            };
            parents[child] = Some((wave, sign, parent));
            edges[wave] = Some(Edge { child, sign });
            reached[child] = true;
            grown = true;
        }
    }
    Ok(Forest {
        waves,
        edges,
        parents,
    })
}

/// The loop that the source `closing` closes over the earlier ideal sources.
fn conflict(
    netlist: &Netlist,
    links: &[(usize, Node, Node)],
    waves: &[usize],
    closing: usize,
) -> Failure {
    let ends = terminals(&netlist.elements[closing].model);
    // Drop sources at dead ends until only the loop's path between the two ends is left.
    let mut path: Vec<&(usize, Node, Node)> = links.iter().collect();
    loop {
        let degree = |node: Node| {
            path.iter()
                .filter(|(_, p, n)| *p == node || *n == node)
                .count()
                + usize::from(ends.contains(&node))
        };
        let keep: Vec<&(usize, Node, Node)> = path
            .iter()
            .copied()
            .filter(|(_, p, n)| degree(*p) > 1 && degree(*n) > 1)
            .collect();
        if keep.len() == path.len() {
            break;
        }
        path = keep;
    }
    let mut elements: Vec<String> = path
        .iter()
        .map(|(wave, _, _)| netlist.elements[waves[*wave]].name.clone())
        .collect();
    elements.push(netlist.elements[closing].name.clone());
    Failure::SourcesInConflict { elements }
}

fn places(netlist: &Netlist, forest: &Forest) -> Vec<Place> {
    let size = netlist.nodes.len();
    // Ohmic neighbourhoods over the trees' roots.
    let mut islands = Groups::new(size);
    for element in &netlist.elements {
        if let Model::VoltageSource { .. } | Model::Resistor { .. } | Model::Inductor { .. } =
            element.model
        {
            let ends = terminals(&element.model);
            islands.join(forest.root(ends[0]).0, forest.root(ends[1]).0);
        }
    }
    let mut numbers: Vec<Option<usize>> = vec![None; size];
    let mut count = 0;
    let mut number = |node: usize, numbers: &mut Vec<Option<usize>>| {
        *numbers[node].get_or_insert_with(|| {
            count += 1;
            count - 1
        })
    };
    (0..size)
        .map(|node| {
            let (root, waves) = forest.root(node);
            let island = islands.root(root);
            let mut place = Place {
                own: None,
                island: None,
                waves,
            };
            if root != 0 {
                if island == 0 || island == root {
                    place.own = Some(number(root, &mut numbers));
                } else {
                    place.island = Some(number(island, &mut numbers));
                    place.own = Some(number(root, &mut numbers));
                }
            }
            place
        })
        .collect()
}

/// One node of every part of the circuit that no direct current can leave for ground.
fn floating_nodes(netlist: &Netlist) -> Vec<Node> {
    let mut groups = Groups::new(netlist.nodes.len());
    for element in &netlist.elements {
        let n = terminals(&element.model);
        match element.model {
            Model::Capacitor { leakage, .. } if leakage <= 0.0 => {}
            Model::CurrentSource { .. } => {}
            Model::OpAmp { .. } => {
                groups.join(n[2], n[4]);
                groups.join(n[3], n[4]);
            }
            Model::Mosfet { .. } => {
                groups.join(n[1], n[2]);
            }
            _ => {
                for &other in &n[1..] {
                    groups.join(n[0], other);
                }
            }
        }
    }
    (1..netlist.nodes.len())
        .filter(|&node| groups.root(node) == node)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::Wave;

    fn source(name: &str, positive: Node, negative: Node, resistance: f64) -> Element {
        Element {
            name: name.into(),
            model: Model::VoltageSource {
                positive,
                negative,
                wave: Wave::Steady(1.0),
                resistance,
            },
        }
    }

    #[test]
    fn two_ideal_sources_across_the_same_nodes_are_named() {
        let netlist = Netlist {
            nodes: vec!["gnd".into(), "a".into(), "b".into()],
            elements: vec![
                source("V1", 1, 0, 0.0),
                source("V2", 2, 0, 0.0),
                source("V3", 1, 0, 0.0),
            ],
        };
        assert_eq!(
            Topology::new(&netlist),
            Err(Failure::SourcesInConflict {
                elements: vec!["V1".into(), "V3".into()]
            })
        );
    }

    #[test]
    fn a_floating_winding_is_an_island_of_differences() {
        let netlist = Netlist {
            nodes: vec!["gnd".into(), "a".into(), "b".into(), "c".into()],
            elements: vec![
                source("V1", 1, 2, 0.0),
                Element {
                    name: "R1".into(),
                    model: Model::Resistor {
                        a: 1,
                        b: 3,
                        resistance: 1.0,
                    },
                },
            ],
        };
        let topology = Topology::new(&netlist).unwrap();
        assert_eq!(topology.unknowns, 2);
        assert_eq!(topology.floating, vec![1]);
        // The resistor touches only the difference.
        assert_eq!(topology.ports[0].terms.len(), 1);
    }
}
