//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the switch-on surge at the worst phase of the mains, into an empty reservoir,
    /// with the diode's one-cycle surge rating.
    ///
    /// At switch-on the empty reservoir is a short; only the winding and the diode limit the
    /// first pulse: peak voltage over winding resistance, ESR and diode resistance.
    ///
    /// Limits: the rating is for one half-cycle of 8.3 ms; a shorter pulse is milder than this.
    id: "diode-surge", gate: Power, stage: Ratings,
    sources: [
        ("1N4001/D rev 17: IFSM 30 A, 8.3 ms half sine", Confirmed),
        ("first-cycle surge ≤ Vp / (Rw + ESR + rd)", Computed),
    ],
    sign_off: "A stronger adaptor than the one listed was not used: its surge is larger.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Diode, Kind::Bridge];
    each_part(context, Gate::Power, kinds, "no diode in the box", |part| {
        let rating = rated(part, Property::SurgeCurrent)?;
        let surge = context
            .evidence
            .stress(&part.reference, Stress::Surge, powered)?;
        let comparison = Comparison::at_most(
            "switch-on surge",
            &surge,
            rating,
            Unit::Ampere,
            "one-cycle surge rating",
        );
        Ok(Outcome::compare(at(part, "type"), comparison, |c| {
            Failure::new(
                Gate::Power,
                format!(
                    "{} takes a switch-on surge of {} and is rated {}: {} too much.",
                    named(part),
                    c.value_text(),
                    c.limit_text(),
                    c.gap()
                ),
                "One bad switch-on can fuse the diode; shorted, it puts AC on the reservoir.",
                format!(
                    "Put a resistor of {} in series before {}, or make the reservoir smaller.",
                    format_short(preferred::e12(0.5 * c.value / c.limit), Unit::Ohm),
                    part.reference
                ),
            )
        }))
    })
}
