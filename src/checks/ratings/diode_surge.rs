//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the switch-on surge at the worst phase of the mains, into an empty reservoir,
    /// with the diode's one-cycle surge rating.
    ///
    /// At switch-on the empty reservoir is a short; only the winding and the diode limit the
    /// first pulse: peak voltage over winding resistance, ESR and diode resistance. The rating is
    /// for a half-cycle of 8.3 ms; a shorter pulse counts as the half-cycle that heats as much.
    ///
    /// Limits: equal heating is the makers' rule from 1 to 8.3 ms; for a shorter pulse, as of a
    /// stiff supply into a small reservoir, it is taken further. The later pulses of the first 15
    /// periods are counted in.
    id: "diode-surge", gate: Power, stage: Ratings,
    sources: [
        ("1N4001/D rev 17: IFSM 30 A, 8.3 ms half sine", Confirmed),
        ("first-cycle surge ≤ Vp / (Rw + ESR + rd)", Computed),
        ("equal ∫i²dt for pulses shorter than the half-cycle", Practice),
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
            .stress(&part.reference, Stress::SurgeHalfCycle, powered)?;
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
                    "{} takes a switch-on surge that heats it like a half-cycle of {} and is rated {}: {} too much.",
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
