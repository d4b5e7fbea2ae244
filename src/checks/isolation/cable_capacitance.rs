//! See [`CHECK`].

use crate::checks::prelude::*;

/// Capacitance of ten metres of screened cable [F].
const CABLE: f64 = 1e-9;

check! {
    /// For an op-amp that drives a jack without a resistor, compares the capacitance of ten metres
    /// of cable and the instrument's input with the load under which its maker keeps it stable.
    ///
    /// An op-amp into a cable oscillates at a frequency nobody hears and everything feels.
    ///
    /// Limits: 100 pF for each metre; a resistor of some 100 Ω between op-amp and jack settles it.
    id: "cable-capacitance", gate: Share, stage: Isolation,
    sources: [("screened cable about 100 pF/m; isolate a buffer with 47–470 Ω", Practice)],
    sign_off: "The output was looked at with a scope and the longest cable.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let place = at(feed.jack, "nets");
            let driver = wiring::driven_directly(context.design, feed.net);
            let Some(op_amp) = driver.filter(|part| part.kind == Kind::OpAmp) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "no op-amp drives the cable directly",
                ));
            };
            let able = rated(op_amp, Property::CapacitiveLoad)?;
            let input = feed
                .input
                .capacitance
                .as_ref()
                .map_or(0.0, |f| f.spread.high);
            let comparison = Comparison::fixed(
                "capacitive load",
                CABLE + input,
                Bound::AtMost,
                able,
                Unit::Farad,
                format!("what {} drives stably", op_amp.reference),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                Gate::Share,
                format!(
                    "{} drives {} of cable and input directly and is stable to {}.",
                    named(op_amp), c.value_text(), c.limit_text()
                ),
                "It oscillates: the output is off, noisy and warm, and only with the long cable.",
                format!("Put 100 Ω to 1 kΩ between {} and {}.", op_amp.reference, feed.jack.reference),
            )
            .with(vec![Place::part(&op_amp.reference)])
            }))
        },
    )
}
