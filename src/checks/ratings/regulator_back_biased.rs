//! See [`CHECK`].

use crate::checks::prelude::*;

/// Output above input from which on current runs backwards through a regulator [V].
const ONSET: f64 = 0.5;

check! {
    /// Compares the voltage by which a regulator's output ever stands beyond its input with the
    /// half volt from which on current runs backwards through it. A diode across the regulator
    /// that carries that current instead is enough.
    ///
    /// When the input collapses faster than the output (a large output capacitor, another supply
    /// behind the output, an instrument that feeds back), current flows backwards through the
    /// pass transistor; above 6 to 7 V its junction breaks down.
    ///
    /// Limits: settled states, box on or off; how fast the two sides discharge at switch-off is
    /// seen only as far as the switch-off transient was computed.
    id: "regulator-back-biased", gate: Power, stage: Ratings,
    sources: [
        ("reverse diode output to input if the output can outlive the input by more than 6–7 V", Memory),
    ],
    sign_off: "By eye, not by trying: a diode from each regulator's output to its input is fitted, or its output capacitor is small, so that a short at the input does it no harm.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        REGULATORS,
        "no regulator in the box",
        |part| {
            let (from, to) = if wiring::polarity(part) > 0.0 {
                ("out", "in")
            } else {
                ("in", "out")
            };
            let (from, to) = (part.net(from).unwrap_or(from), part.net(to).unwrap_or(to));
            let guard = wiring::on(context.design, from)
                .into_iter()
                .find(|(other, lead)| {
                    other.kind == Kind::Diode
                        && *lead == "anode"
                        && other.net("cathode") == Some(to)
                });
            if let Some((diode, _)) = guard {
                return Ok(Outcome::holds(
                    at(part, "nets"),
                    format!("{} carries what runs backwards", diode.reference),
                ));
            }
            let back = context
                .evidence
                .stress(&part.reference, Stress::BackBias, any)?;
            let comparison = Comparison::at_most(
                "output above input",
                &back,
                ONSET,
                Unit::Volt,
                "where current begins to run backwards",
            );
            Ok(Outcome::compare(at(part, "nets"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "The output of {} stands {} beyond its input; from {} on current runs backwards through it.",
                        named(part),
                        c.value_text(),
                        c.limit_text()
                    ),
                    "Current runs backwards through the pass transistor and destroys it.",
                    format!(
                        "Fit a 1N4001 at {}: anode on {}, cathode on {}.",
                        part.reference, from, to
                    ),
                )
            }))
        },
    )
}
