//! See [`CHECK`].

use crate::checks::prelude::*;

/// Repetitive peak allowed, as a multiple of the average rating.
const PEAK_TO_AVERAGE: f64 = 10.0;

check! {
    /// Compares the charging pulse that repeats every mains period with ten times the diode's
    /// average rating, and never more than half its one-cycle surge rating.
    ///
    /// A large reservoir behind a stiff winding draws its whole charge in a millisecond: peaks
    /// of ten to twenty times the load are usual. The surge rating is for a few events in a
    /// lifetime, not fifty a second.
    ///
    /// Limits: few makers print a repetitive peak rating; ten times the average is what those of
    /// the 1 A rectifiers print who do.
    id: "diode-repetitive-peak", gate: Power, stage: Ratings,
    sources: [
        ("IFRM 10 A of 1 A rectifiers, one maker's sheet", Memory),
        ("IFSM is non-repetitive: 1N4001/D rev 17", Confirmed),
    ],
    sign_off: "The reservoir was not made larger than in the parts list.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Diode, Kind::Bridge];
    each_part(context, Gate::Power, kinds, "no diode in the box", |part| {
        let average = rated(part, Property::Current)?;
        let surge = rated(part, Property::SurgeCurrent)?;
        let limit = (average * PEAK_TO_AVERAGE).min(surge / 2.0);
        let peak = context
            .evidence
            .stress(&part.reference, Stress::CurrentPeak, powered)?;
        let comparison = Comparison::at_most(
            "repetitive peak current",
            &peak,
            limit,
            Unit::Ampere,
            "ten times the average rating, half the surge rating at most",
        );
        Ok(Outcome::compare(at(part, "type"), comparison, |c| {
            Failure::new(
                Gate::Power,
                format!(
                    "{} carries peaks of {} every mains period and may carry {}: {} too much.",
                    named(part),
                    c.value_text(),
                    c.limit_text(),
                    c.gap()
                ),
                "The bond wire and junction tire under pulses that only a surge rating covers.",
                format!(
                    "Make the reservoir behind {} smaller, put 1 Ω in series with it, or fit a larger diode.",
                    part.reference
                ),
            )
        }))
    })
}
