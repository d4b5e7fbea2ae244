//! See [`CHECK`].

use crate::checks::prelude::*;

/// What touches a resistor stands this much: PVC insulation and board [°C].
const NEIGHBOURS: f64 = 105.0;

check! {
    /// Compares the hottest spot of every resistor with the 105 °C that wire insulation and board
    /// stand.
    ///
    /// A resistor within its rating may still run at 150 °C: right for the resistor, wrong for
    /// the wire, the label and the finger on it.
    ///
    /// Limits: where the design gives no thermal resistance the rise is taken as 85 K at the full rating, which
    /// is what the film resistor's derating line says.
    id: "resistor-hot-spot", gate: Share, stage: Thermal,
    sources: [
        ("film resistor: full rating to 70 °C, hot spot 155 °C", Memory),
        ("PVC insulation 105 °C", Practice),
    ],
    sign_off: "No wire, label or capacitor touches a resistor that runs warm.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Resistor],
        "no resistor in the box",
        |part| {
            let reference = &part.reference;
            let spot = context
                .evidence
                .stress(reference, Stress::Junction, powered)?;
            let comparison = Comparison::at_most(
                "hot spot",
                &spot,
                NEIGHBOURS,
                Unit::Celsius,
                "what insulation and board stand",
            );
            Ok(Outcome::compare(at(part, "power"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} reaches {}; insulation and board stand {}: {} too hot.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "It scorches the board and softens any wire that touches it.",
                    format!(
                        "Fit a resistor of twice the power at {reference} and mount it off the board."
                    ),
                )
            }))
        },
    )
}
