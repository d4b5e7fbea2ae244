//! See [`CHECK`].

use crate::checks::prelude::*;
use crate::situations::Parameter;

/// A step of a 7-bit controller, as a share of the range.
const STEP: f64 = 1.0 / 128.0;

check! {
    /// Compares how far the output moves between the lowest and the highest ambient temperature,
    /// with nothing else changed, in the state where it moves most, with a step of a 7-bit
    /// controller over the range the input accepts: 0.78 % of it.
    ///
    /// What was tuned in the warm afternoon is out of tune on the cold stage, and nobody touched
    /// anything.
    ///
    /// Limits: diodes, LEDs, transistors and zeners as solved, at the ambient temperature; that of
    /// regulators and references lies within their tolerance, that of op-amps and resistors is left
    /// out, and so is what their own heat adds.
    id: "output-drifts-with-ambient", gate: Note, stage: OutputRange,
    sources: [
        ("a step of a 7-bit controller: 1/128 of the range", Computed),
        ("a silicon junction moves by about −2 mV/K", Memory),
    ],
    sign_off: "The output was read once with the box cold and once with it warm.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let ambient = context.design.conditions.ambient;
    each_feed(context, Gate::Note, "the box feeds no instrument", |feed| {
        let place = at(feed.jack, "nets");
        if !ambient.is_spread() {
            return Ok(Outcome::does_not_apply(
                place,
                "the ambient temperature does not change",
            ));
        }
        let still = |s: &Situation| {
            as_meant(s)
                && feed.plugged(s)
                && s.warmed.is_none()
                && s.corner
                    .levels()
                    .all(|(moved, _)| *moved == Parameter::Ambient)
        };
        let mut worst: Option<Extent> = None;
        for one in &context.evidence.situations {
            if !(still(one) && one.is_nominal()) {
                continue;
            }
            let reach = context.evidence.net(feed.net, Measure::Mean, |s| {
                still(s) && s.state == one.state
            })?;
            if worst.is_none_or(|known| known.high - known.low < reach.high - reach.low) {
                worst = Some(reach);
            }
        }
        let reach =
            worst.ok_or_else(|| lacks("no state with the instrument plugged in was solved"))?;
        let (floor, ceiling) = feed.accepts();
        let mut comparison = Comparison::fixed(
            "drift with the ambient temperature",
            reach.high - reach.low,
            Bound::AtMost,
            STEP * (ceiling - floor),
            Unit::Volt,
            "a step of a 7-bit controller",
        );
        comparison.situation = Some(reach.high_at);
        Ok(Outcome::compare(place, comparison, |c| {
            Failure::new(
                Gate::Note,
                format!(
                    "From {} to {} the output at {} moves by {} with nothing touched ({} to {}); {} goes unnoticed.",
                    format(ambient.low, Unit::Celsius),
                    format(ambient.high, Unit::Celsius),
                    feed.jack.reference,
                    c.value_text(),
                    volts(reach.low),
                    volts(reach.high),
                    c.limit_text()
                ),
                format!(
                    "{} is out of tune when the room has cooled down.",
                    feed.instrument.title
                ),
                "Take the control's voltage from a reference and let no diode or transistor stand between it and the jack, or say in the notes that it is tuned warm.",
            )
        }))
    })
}
