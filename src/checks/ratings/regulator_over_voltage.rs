//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares a regulator's highest input, with the mains at its upper limit and nothing drawn,
    /// with its absolute maximum; for an adjustable one the input-to-output voltage counts.
    ///
    /// A small adaptor without load stands 20 to 40 % above its label, the mains adds 10 %, and
    /// the reservoir holds the peak: a "15 V" AC adaptor gives 25 V and more. A regulator beyond
    /// its maximum often fails by passing its whole input to the output.
    ///
    /// Limits: spikes on the mains are not in it; the derating check stands beside this one.
    id: "regulator-over-voltage", gate: Power, stage: Ratings,
    sources: [
        ("ST L78L table 1: input 30 V to the 9 V types, 35 V from 12 V on", Confirmed),
        ("ST LM317: input to output 40 V", Confirmed),
    ],
    sign_off: "The rail before the regulator was measured with the box idle, and the mains voltage noted beside it.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        REGULATORS,
        "no regulator in the box",
        |part| {
            let (property, stress, quantity) = if part.kind == Kind::AdjustableRegulator {
                (
                    Property::InputOutputLimit,
                    Stress::InputOutput,
                    "input to output",
                )
            } else {
                (Property::InputLimit, Stress::InputVoltage, "input voltage")
            };
            let limit = rated(part, property)?.abs();
            let seen = context.evidence.stress(&part.reference, stress, powered)?;
            let comparison =
                Comparison::at_most(quantity, &seen, limit, Unit::Volt, "absolute maximum");
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} sees {} ({quantity}) and takes {} at most: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "Beyond its maximum a regulator can pass its whole input on to the output.",
                    format!(
                        "Use an adaptor of lower voltage, or a regulator that takes more than {} at {}.",
                        c.value_text(),
                        part.reference
                    ),
                )
            }))
        },
    )
}
