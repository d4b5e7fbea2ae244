//! See [`CHECK`].

use crate::checks::prelude::*;

/// Current above the rating that a filament still bears.
const ABOVE: f64 = 1.1;

check! {
    /// Compares the rms current through every lamp with its rated current and ten per cent.
    ///
    /// A filament's life falls with about the twelfth power of its voltage: ten per cent over
    /// costs two thirds of it.
    ///
    /// Limits: the filament at its rated resistance; cold it draws ten times as much for some
    /// milliseconds, which contacts and transistors must bear.
    id: "lamp-overrun", gate: Share, stage: Ratings,
    sources: [("lamp life goes with the minus twelfth power of the voltage", Memory)],
    sign_off: "The lamp's base carries the listed voltage and current.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Lamp],
        "no lamp in the box",
        |part| {
            let rating = rated(part, Property::Current)?;
            let current = context
                .evidence
                .stress(&part.reference, Stress::CurrentRms, powered)?;
            let comparison = Comparison::at_most(
                "lamp current, rms",
                &current,
                rating * ABOVE,
                Unit::Ampere,
                format!("{} and ten per cent", amperes(rating)),
            );
            Ok(Outcome::compare(at(part, "current"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} carries {} and should carry {} at most ({}): {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.limit_is,
                        c.gap()
                    ),
                    "It is bright for a few evenings and dark in the middle of a show.",
                    format!(
                        "Fit a lamp of higher voltage at {}, or a resistor in series.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
