//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the switch-on surge with the diode's one-cycle rating derated by the design's
    /// policy (75 % benign, 50 % severe).
    ///
    /// A box is switched on thousands of times; the rating is for few.
    ///
    /// Limits: as for the surge itself; the policy `none` switches it off.
    id: "diode-surge-derating", gate: Share, stage: Ratings,
    sources: [
        ("EEE-INST-002, diode surge 50 %", Memory),
        ("75 % for hobby boxes, common practice", Practice),
    ],
    sign_off: "The box is not switched off and on quickly to clear a fault.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Diode, Kind::Bridge];
    each_part(context, Gate::Share, kinds, "no diode in the box", |part| {
        let place = at(part, "type");
        let Some(allowance) = derating::diode_surge(context.design.derating) else {
            return Ok(Outcome::does_not_apply(
                place,
                "the design asks for no derating",
            ));
        };
        let rating = rated(part, Property::SurgeCurrent)?;
        let surge = context
            .evidence
            .stress(&part.reference, Stress::SurgeHalfCycle, powered)?;
        let comparison = Comparison::at_most(
            "switch-on surge, derated",
            &surge,
            rating * allowance.share,
            Unit::Ampere,
            allowance.of(&amperes(rating)),
        );
        Ok(Outcome::compare(place, comparison, |c| {
            Failure::new(
                Gate::Share,
                format!(
                    "{} takes a switch-on surge that heats it like a half-cycle of {}, above the {} it should be held to ({}): {} too much.",
                    named(part),
                    c.value_text(),
                    c.limit_text(),
                    c.limit_is,
                    c.gap()
                ),
                "Each switch-on wears the junction a little.",
                format!(
                    "Put 1 Ω in series before {} or make the reservoir smaller.",
                    part.reference
                ),
            )
        }))
    })
}
