//! See [`CHECK`].

use crate::catalogue::{Kind, Property};
use crate::check;
use crate::checks::{Bound, Comparison, Context, Failure, Gate, Outcome, Place};
use crate::evidence::Stress;
use crate::quantity::{Unit, format};
use crate::situations::powered;

check! {
    /// Compares the highest instantaneous voltage across every capacitor, at the worst corner of
    /// mains, load and tolerance, with its rated working voltage.
    ///
    /// An over-volted electrolytic heats, vents and can burst. Mains at its upper limit with no
    /// load is the usual worst case: a small adaptor then stands far above its label.
    ///
    /// Limits: steady state; the surge allowance of the standard is not used as a working voltage.
    id: "capacitor-over-voltage", gate: Power, stage: Ratings,
    sources: [
        ("IEC 60384-4, rated voltage: DC plus peak ripple shall not exceed it", Memory),
        ("capacitor maker's application guide: working voltage, DC plus peak ripple ≤ rated", Confirmed),
    ],
    sign_off: "The voltage printed on each capacitor fitted is at least the one in the parts list.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let capacitors = context.design.parts.values().filter(|part| {
        matches!(
            part.kind,
            Kind::Electrolytic | Kind::Tantalum | Kind::Ceramic | Kind::Film
        )
    });
    let mut outcomes: Vec<Outcome> = capacitors
        .map(|part| {
            let place = Place::part_key(&part.reference, "rating");
            let Some(rating) = part.figure(Property::Rating) else {
                return Outcome::NotAssessed {
                    place,
                    gate: Gate::Power,
                    missing: format!("{} has no rated voltage", part.reference),
                };
            };
            let extent =
                match context
                    .evidence
                    .stress(&part.reference, Stress::PeakVoltage, powered)
                {
                    Ok(extent) => extent,
                    Err(missing) => return Outcome::missing(place, Gate::Power, &missing),
                };
            let limit = rating.spread.low;
            let comparison = Comparison {
                quantity: "peak working voltage".into(),
                value: extent.high,
                limit,
                unit: Unit::Volt,
                bound: Bound::AtMost,
                situation: Some(extent.high_at),
                limit_is: "rated voltage".into(),
            };
            Outcome::compare(place, comparison, |c| Failure {
                gate: Gate::Power,
                what: format!(
                    "{} is rated {} and sees {}.",
                    part.reference,
                    format(c.limit, Unit::Volt),
                    format(c.value, Unit::Volt)
                ),
                why: "An over-volted capacitor leaks, heats and can burst.".into(),
                remedy: format!(
                    "Fit a capacitor rated at least {} at {}.",
                    format(c.value / 0.8, Unit::Volt),
                    part.reference
                ),
                comparison: None,
                related: Vec::new(),
            })
        })
        .collect();
    if outcomes.is_empty() {
        outcomes.push(Outcome::DoesNotApply {
            place: Place::design("parts"),
            why: "no capacitor in the box".into(),
        });
    }
    outcomes
}
