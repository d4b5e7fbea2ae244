//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the highest instantaneous voltage across every capacitor, at the worst corner of
    /// mains, load and tolerance, with its rated working voltage.
    ///
    /// An over-volted electrolytic heats, vents and can burst. Mains at its upper limit with no
    /// load is the usual worst case: a small adaptor then stands far above its label.
    ///
    /// Limits: steady state; the surge allowance of the standard (1.15 times the rating, a few
    /// times in the part's life) is not used as a working voltage.
    id: "capacitor-over-voltage", gate: Power, stage: Ratings,
    sources: [
        ("IEC 60384-4, rated voltage: DC plus peak ripple shall not exceed it", Memory),
        ("capacitor maker's application guide: working voltage, DC plus peak ripple ≤ rated", Confirmed),
    ],
    sign_off: "The voltage printed on each capacitor fitted is at least the one in the parts list.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        CAPACITORS,
        "no capacitor in the box",
        |part| {
            let rating = rated(part, Property::Rating)?;
            let peak = context
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, any)?;
            let comparison = Comparison::at_most(
                "peak working voltage",
                &peak,
                rating,
                Unit::Volt,
                "rated voltage",
            );
            Ok(Outcome::compare(at(part, "rating"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} is rated {} and sees up to {}: {} too much.",
                        named(part),
                        c.limit_text(),
                        c.value_text(),
                        c.gap()
                    ),
                    "An over-volted capacitor leaks, heats and can burst.",
                    format!(
                        "Fit a capacitor rated {} at {}.",
                        format_short(preferred::capacitor_voltage(c.value / 0.8), Unit::Volt),
                        part.reference
                    ),
                )
            }))
        },
    )
}
