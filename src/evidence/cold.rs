//! The resistance from a net to ground that a meter shows before power is applied.

use crate::circuit::{Circuit, build};
use crate::design::Design;
use crate::situations::{Corner, Situation, State};
use crate::solver::{self, Probe, Settings};
use std::collections::BTreeMap;

/// Current of the test, into the net as from the red probe [A].
const TEST_CURRENT: f64 = 1e-6;

/// Resistances of nets to ground [Ω], all nominal, the box off, everything unplugged, switches and
/// controls as in `state`, capacitors charged; what has no solution is left out.
pub(super) fn resistances<'n>(
    design: &Design,
    state: &State,
    nets: impl Iterator<Item = &'n String>,
) -> BTreeMap<String, f64> {
    let situation = Situation::new(state.cold(), Corner::nominal());
    let circuit = build(design, &situation);
    nets.filter_map(|net| Some((net.clone(), resistance(&circuit, net)?)))
        .collect()
}

fn resistance(circuit: &Circuit, net: &str) -> Option<f64> {
    let node = circuit.nodes.get(net).copied()?;
    let probes = [Probe::Voltage {
        plus: node,
        minus: 0,
    }];
    let settled = |current: f64| {
        let netlist = circuit.netlist.driven(node, current);
        let point = solver::operating_point(&netlist, &probes, &Settings::default()).ok()?;
        Some(point.probes[0].average)
    };
    Some((settled(TEST_CURRENT)? - settled(0.0)?) / TEST_CURRENT)
}
