//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares how far the output goes during switch-on and switch-off with what the instrument's
    /// input survives.
    ///
    /// The two rails of a dual supply do not come up together; an op-amp's output goes to a rail
    /// while its supplies are half there. It takes milliseconds, and the input sees it each time.
    ///
    /// Limits: the transients that were computed; a supply that makes bad contact is not one.
    id: "output-excursion", gate: Plug, stage: OutputRange,
    sources: [
        ("the output stays inside what the input survives the whole time, not only when settled", Practice),
    ],
    sign_off: "The output was watched on a scope while the box was switched on and off, before it met the instrument.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(context, Gate::Plug, "the box feeds no instrument", |feed| {
        let (floor, ceiling) = feed.survives()?;
        let (reach, event) = context.evidence.excursion(feed.net)?;
        let comparison = super::range::nearer(
            &reach,
            floor,
            &reach,
            ceiling,
            "output while switching",
            "what the input survives",
        );
        Ok(Outcome::compare(at(feed.jack, "nets"), comparison, |c| {
            Failure::new(
                Gate::Plug,
                format!(
                    "At {event} the output at {} reaches {} where {} survives {} to {}: {} beyond.",
                    feed.jack.reference,
                    c.value_text(),
                    feed.label(),
                    volts(floor),
                    volts(ceiling),
                    c.gap()
                ),
                "Each switching sends a pulse into the input that it does not survive.",
                format!(
                    "Switch the box on before plugging {} in, and hold its output with 1 kΩ and a clamp.",
                    feed.jack.reference
                ),
            )
        }))
    })
}
