//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Compares the rms current in an AC adaptor's or transformer's winding with its rated
    /// current.
    ///
    /// The current is printed on an adaptor as rms. A rectifier with a reservoir takes it in
    /// pulses: 50 mA of DC from a half-wave rectifier is 130 to 180 mA rms in the winding, and it
    /// is the rms that heats the copper. An overloaded adaptor melts or burns.
    ///
    /// Limits: states as meant; what a wrong plug does to the winding is `adaptor-overheats`.
    id: "winding-overload", gate: Power, stage: Ratings,
    sources: [
        ("Hammond, Design Guide for Rectifier Use: half-wave with capacitor Iac = 3.6 Idc, bridge 1.6 Idc", Confirmed),
        ("ATC-Frost, secondary current ratings: half-wave with capacitor 2.6 Idc", Confirmed),
    ],
    sign_off: "The adaptor's label was read: its current is an AC (rms) rating of at least the one listed.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        AC_SOURCES,
        "no AC adaptor or transformer",
        |part| {
            let rating = rated(part, Property::Current).or_else(|missing| {
                let va = rated(part, Property::Va).map_err(|_| missing)?;
                Ok::<f64, Missing>(va / rated(part, Property::Output)?)
            })?;
            let rms = context
                .evidence
                .stress(&part.reference, Stress::CurrentRms, as_meant)?;
            let comparison = Comparison::at_most(
                "winding current, rms",
                &rms,
                rating,
                Unit::Ampere,
                "rated current",
            );
            Ok(Outcome::compare(at(part, "current"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "The winding of {} carries {} rms and is rated {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The winding overheats; the rms of the charging pulses counts, not the DC load.",
                    format!(
                        "Use an adaptor rated at least {} AC at {}, or draw less.",
                        amperes(c.value * 1.25),
                        part.reference
                    ),
                )
            }))
        },
    )
}
