//! See [`CHECK`].

use crate::checks::prelude::*;

/// Tolerance that a shared design must stand, as a share, less rounding.
const TOLERANCE: f64 = 0.0999;

check! {
    /// Compares the mains tolerance that the design was worked out for with ±10 %.
    ///
    /// A design worked out for the mains at one desk meets a festival's generator. 230 V mains may
    /// be anything from 207 to 253 V by its standard.
    ///
    /// Limits: the nominal itself is taken from the design: a box for 230 V says nothing for 120 V.
    id: "mains-tolerance-narrow", gate: Share, stage: Isolation,
    sources: [
        ("IEC 60038 and EN 50160: 230 V ± 10 %", Memory),
        ("drops and rises as much as 10 %, a maker's practice", Confirmed),
    ],
    sign_off: "The mains voltages at which the box is to be used are known.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("conditions.mains");
    let from_mains = wiring::sources(context.design).any(|part| part.kind != Kind::Battery);
    let Some(mains) = context.design.conditions.mains.filter(|_| from_mains) else {
        return vec![if from_mains {
            Outcome::not_assessed(
                place,
                Gate::Share,
                "the design has an adaptor and does not give the mains",
            )
        } else {
            Outcome::does_not_apply(place, "the box does not run from the mains")
        }];
    };
    let spread = mains.voltage;
    let tolerance =
        (spread.high - spread.nominal).min(spread.nominal - spread.low) / spread.nominal;
    let comparison = Comparison::fixed(
        "mains tolerance",
        tolerance,
        Bound::AtLeast,
        TOLERANCE,
        Unit::Ratio,
        "±10 % of nominal",
    );
    vec![Outcome::compare(place, comparison, |_| {
        Failure::new(
            Gate::Share,
            format!(
                "The design is worked out for {} to {}, narrower than ±10 % of {}.",
                volts(spread.low),
                volts(spread.high),
                volts(spread.nominal)
            ),
            "At another venue the rails drop out or the parts are over-volted, and nobody looked.",
            format!(
                "Write `voltage: {} ± 10 %` and see what no longer holds.",
                volts(spread.nominal)
            ),
        )
    })]
}
