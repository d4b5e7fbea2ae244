//! When the procedure stops at once, whatever else it says.
//!
//! A rail's stop limit is the lowest rating that hangs on it, or a quarter beyond the highest a
//! healthy box shows, whichever is less: 35 V of rating say nothing of a rail of 6 V. A rail that
//! shows less than half of what a healthy box shows at least, or the other sign, is stopped too:
//! something is short or turned round, and getting hot.

use super::{Limits, Phase, output_of};
use crate::catalogue::{Kind, Property};
use crate::design::{Connection, Design};
use crate::quantity::{Unit, format_range, format_to};

/// How far beyond the farthest healthy reading a rail is stopped, as a share (project choice).
const BEYOND: f64 = 1.25;
/// And at least this much [V] (project choice).
const BEYOND_AT_LEAST: f64 = 1.0;
/// The share of the least healthy reading below which a rail is stopped (project choice).
const SHORT_OF: f64 = 0.5;

/// The limits at which to stop, and in words: for a rail see above, for an output what the
/// instrument accepts. `shows` is what a healthy box shows.
pub(super) fn stop(
    design: &Design,
    phase: Phase,
    net: &str,
    shows: Option<Limits>,
) -> Option<(Limits, String)> {
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
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let farthest = shows.map(|shows| shows.low.abs().max(shows.high.abs()));
    let healthy = farthest.map(|farthest| (BEYOND * farthest).max(farthest + BEYOND_AT_LEAST));
    let (limit, why) = match (lowest, healthy) {
        (Some((rating, _)), Some(healthy)) if healthy < rating => {
            (healthy, "more than a healthy box shows".to_owned())
        }
        (Some((rating, part)), _) => (rating, format!("rating of {part}")),
        (None, Some(healthy)) => (healthy, "more than a healthy box shows".to_owned()),
        (None, None) => return None,
    };
    let volts = |volts: f64| format_to(volts, Unit::Volt, 3);
    let (limits, words) = match shows {
        Some(shows) if shows.low > 0.0 || shows.high < 0.0 => {
            let (near, far) = if shows.low > 0.0 {
                (SHORT_OF * shows.low, limit)
            } else {
                (SHORT_OF * shows.high, -limit)
            };
            let limits = Limits {
                low: near.min(far),
                high: near.max(far),
            };
            let words = format!(
                "beyond {} ({why}), less than {}, or the other sign (a short, or a part turned \
                 round): switch off",
                volts(far),
                volts(near)
            );
            (limits, words)
        }
        _ => {
            let limits = Limits {
                low: -limit,
                high: limit,
            };
            let words = format!("beyond {} either way ({why}): switch off", volts(limit));
            (limits, words)
        }
    };
    Some((limits, words))
}
