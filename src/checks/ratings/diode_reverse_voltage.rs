//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the highest reverse voltage of every diode and bridge element with its repetitive
    /// rating.
    ///
    /// In a half-wave rectifier with a reservoir the diode sees the peak of the winding on one
    /// side and the charged capacitor on the other: twice the peak, at high mains and no load. A
    /// diode that breaks down puts AC on an electrolytic.
    ///
    /// Limits: steady state; spikes riding on the mains are not in it, which is why the derating
    /// check stands beside this one.
    id: "diode-reverse-voltage", gate: Power, stage: Ratings,
    sources: [
        ("Hammond, Design Guide for Rectifier Use: VR > 2.8 Vac half-wave, > 1.4 Vac full-wave", Confirmed),
        ("1N4001/D rev 17, VRRM by type", Confirmed),
    ],
    sign_off: "The type number printed on each diode is the one in the parts list.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Diode, Kind::Bridge];
    each_part(context, Gate::Power, kinds, "no diode in the box", |part| {
        let rating = rated(part, Property::ReverseVoltage)?;
        let reverse = context
            .evidence
            .stress(&part.reference, Stress::ReverseVoltage, any)?;
        let comparison = Comparison::at_most(
            "peak reverse voltage",
            &reverse,
            rating,
            Unit::Volt,
            "repetitive peak reverse voltage",
        );
        Ok(Outcome::compare(at(part, "type"), comparison, |c| {
            Failure::new(
                Gate::Power,
                format!(
                    "{} blocks up to {} and is rated {}: {} too much.",
                    named(part),
                    c.value_text(),
                    c.limit_text(),
                    c.gap()
                ),
                "A diode that breaks down puts alternating voltage on the reservoir capacitor.",
                format!(
                    "Fit a diode rated at least {} at {}, a 1N4004 (400 V) for instance.",
                    volts(c.value / 0.8),
                    part.reference
                ),
            )
        }))
    })
}
