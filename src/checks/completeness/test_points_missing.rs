//! See [`CHECK`].

use crate::checks::prelude::*;
use std::collections::BTreeSet;

check! {
    /// Looks for a test point on every regulator's input and output and on every net that feeds
    /// an instrument.
    ///
    /// Bring-up is measuring in a safe order; a stranger needs a named place for each reading.
    ///
    /// Limits: what `test-points:` names.
    id: "test-points-missing", gate: Share, stage: Completeness,
    sources: [("a test point for each supply rail and output", Practice)],
    sign_off: "Each test point can be reached with a probe without slipping onto its neighbour.",
    always_assessed: "the design's own words are read",
    always_applies: "every box has something to measure",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let place = Place::design("test-points");
    let mut wanted: BTreeSet<&str> = design
        .parts
        .values()
        .filter(|part| REGULATORS.contains(&part.kind))
        .flat_map(|part| [part.net("in"), part.net("out")])
        .flatten()
        .filter(|net| *net != "gnd")
        .collect();
    for (jack, connections) in &design.connections {
        for connection in connections {
            if let (
                Some(part),
                Connection::Instrument {
                    instrument, input, ..
                },
            ) = (design.parts.get(jack), connection)
            {
                wanted.extend(
                    instrument
                        .inputs
                        .get(input)
                        .and_then(|i| part.net(&i.signal)),
                );
            }
        }
    }
    let absent: Vec<&str> = wanted
        .into_iter()
        .filter(|net| *net != "gnd" && !design.test_points.values().any(|point| point == net))
        .collect();
    vec![if absent.is_empty() {
        Outcome::holds(place, "every rail and output has a test point")
    } else {
        Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                format!("No test point is named for {}.", absent.join(", ")),
                "A stranger does not know where to put the probe, and slips.",
                "Name one for each under `test-points:`, for instance `TP1: %s`."
                    .replace("%s", absent.first().copied().unwrap_or("rail")),
            ),
        )
    }]
}
