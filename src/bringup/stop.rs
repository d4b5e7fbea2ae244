//! When the procedure stops at once, whatever else it says.

use super::{Limits, Phase, output_of};
use crate::catalogue::{Kind, Property};
use crate::design::{Connection, Design};
use crate::quantity::{Unit, format, format_range};

/// The limits at which to stop, and in words: the lowest rating that hangs on the net, or what the
/// instrument accepts.
pub(super) fn stop(design: &Design, phase: Phase, net: &str) -> Option<(Limits, String)> {
    if matches!(phase, Phase::Outputs | Phase::PlugIn) {
        let jack = output_of(design, net)?;
        let connections = design.connections.get(&jack)?;
        return connections.iter().find_map(|connection| match connection {
            Connection::Instrument {
                instrument, input, ..
            } => {
                let accepts = instrument.inputs.get(input)?.accepts.spread;
                let range = format_range(accepts.low, accepts.high, Unit::Volt, 3);
                let limits = Limits {
                    low: accepts.low,
                    high: accepts.high,
                };
                let what = if phase == Phase::PlugIn {
                    "pull the plug"
                } else {
                    "do not plug in"
                };
                Some((limits, format!("outside {range}: {what}")))
            }
            Connection::Controller { .. } => None,
        });
    }
    let rated = design.parts.values().filter(|part| {
        part.terminals.values().any(|at| at == net) && part.terminals.values().any(|at| at == "gnd")
    });
    let lowest = rated
        .filter_map(|part| {
            let property = match part.kind {
                Kind::Regulator if part.net("in") == Some(net) => Property::InputLimit,
                Kind::Electrolytic | Kind::Tantalum | Kind::Ceramic | Kind::Film => {
                    Property::Rating
                }
                _ => return None,
            };
            Some((
                part.figure(property)?.spread.low.abs(),
                part.reference.clone(),
            ))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let limits = Limits {
        low: -lowest.0,
        high: lowest.0,
    };
    let words = format!(
        "beyond {} ({}): switch off",
        format(lowest.0, Unit::Volt),
        lowest.1
    );
    Some((limits, words))
}
