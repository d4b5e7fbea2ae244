//! The resistance from a net to ground that a meter shows before power is applied.

use super::plan::Plan;
use crate::circuit::{Element, Model, build};
use crate::design::Design;
use crate::situations::{Corner, Plugged, Situation};
use crate::solver::{self, Probe, Settings};
use std::collections::BTreeMap;

/// Current of the test, into the net as from the red probe [A].
const TEST_CURRENT: f64 = 1e-6;

/// Resistances of the nets that are measured, everything off and unplugged, capacitors charged;
/// what has no solution is left out.
pub(super) fn resistances(design: &Design, plan: &Plan) -> BTreeMap<String, f64> {
    let Some(nominal) = plan.situations.first() else {
        return BTreeMap::new();
    };
    let mut state = nominal.state.clone();
    state.powered = false;
    for plug in state.plugs.values_mut() {
        *plug = Plugged::Nothing;
    }
    let situation = Situation {
        state,
        corner: Corner::nominal(),
    };
    let circuit = build(design, &situation);
    let mut found = BTreeMap::new();
    for net in &plan.cold {
        let Some(node) = circuit.nodes.get(net).copied() else {
            continue;
        };
        let probes = [Probe::Voltage {
            plus: node,
            minus: 0,
        }];
        let settled = |current: f64| {
            let mut netlist = circuit.netlist.clone();
            netlist.elements.push(Element {
                name: "test current".into(),
                model: Model::CurrentSource {
                    from: 0,
                    to: node,
                    current,
                },
            });
            solver::operating_point(&netlist, &probes, &Settings::default())
                .ok()
                .map(|point| point.probes[0].average)
        };
        if let (Some(rest), Some(driven)) = (settled(0.0), settled(TEST_CURRENT)) {
            found.insert(net.clone(), (driven - rest) / TEST_CURRENT);
        }
    }
    found
}
