//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for a net that two supplies drive at once: regulators' outputs, op-amps' outputs,
    /// adaptors, batteries, windings.
    ///
    /// Two supplies on one net fight: the higher one feeds the lower one backwards. Batteries in
    /// series (plus of one to minus of the next) are not joined in this sense.
    ///
    /// Limits: directly joined nets; supplies joined by a switch are found by their currents.
    id: "supplies-joined", gate: Power, stage: Polarity,
    sources: [("supplies are joined through diodes or not at all", Practice)],
    sign_off: "Before first power the resistance between any two supply rails was measured.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let mut outcomes = Vec::new();
    for net in design.nets.iter().filter(|net| *net != "gnd") {
        let driving: Vec<_> = wiring::on(design, net)
            .into_iter()
            .filter(|(part, terminal)| wiring::drives(part, terminal))
            .collect();
        let Some((first, _)) = driving.first() else {
            continue;
        };
        let place = at(first, "nets");
        let others: Vec<&str> = driving[1..]
            .iter()
            .map(|(part, _)| part.reference.as_str())
            .filter(|reference| *reference != first.reference)
            .collect();
        if others.is_empty() || in_series(&driving) {
            outcomes.push(Outcome::holds(place, format!("drives {net} alone")));
            continue;
        }
        outcomes.push(Outcome::fails(
            place,
            Failure::new(
                Gate::Power,
                format!(
                    "{} and {} both drive {net}.",
                    first.reference,
                    others.join(", ")
                ),
                "They fight: the stronger one feeds the other backwards until one of them fails.",
                format!(
                    "Separate them, or join them through a diode each (1N5819), cathodes on {net}."
                ),
            )
            .with(others.iter().map(|name| Place::part(name)).collect()),
        ));
    }
    if outcomes.is_empty() {
        outcomes.push(Outcome::does_not_apply(
            Place::design("parts"),
            "nothing drives a net",
        ));
    }
    outcomes
}

/// Batteries, adaptors or windings stacked: two parts, an upper and a lower end.
fn in_series(driving: &[(&Part, &str)]) -> bool {
    let [(one, upper), (other, lower)] = driving else {
        return false;
    };
    let stackable = |part: &Part| matches!(part.kind, Kind::Battery | Kind::DcAdaptor);
    stackable(one) && stackable(other) && upper != lower
}
