//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of IF(AV) left with a capacitive load.
const CAPACITIVE: f64 = 0.8;
/// A capacitor from here on makes the load capacitive [F].
const RESERVOIR: f64 = 10e-6;

check! {
    /// Compares the mean forward current of every diode and bridge element with its average
    /// rating, less 20 % where the diode charges a reservoir.
    ///
    /// With a reservoir the current comes in short tall pulses that heat the diode more than the
    /// same average spread out; makers say so in a footnote.
    ///
    /// Limits: the rating holds at 75 °C ambient and 9.5 mm leads.
    id: "diode-average-current", gate: Power, stage: Ratings,
    sources: [
        ("1N4001/D rev 17 and others: derate IF(AV) 20 % for a capacitive load", Confirmed),
    ],
    sign_off: "Rectifier diodes stand clear of the board by a few millimetres of lead.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Diode, Kind::Bridge];
    each_part(context, Gate::Power, kinds, "no diode in the box", |part| {
        let rating = rated(part, Property::Current)?;
        let reservoir = charges_reservoir(context.design, part);
        let (limit, limit_is) = if reservoir {
            (
                rating * CAPACITIVE,
                "average rating less 20 % for a capacitive load",
            )
        } else {
            (rating, "average rating")
        };
        let mean = context
            .evidence
            .stress(&part.reference, Stress::CurrentMean, powered)?;
        let comparison = Comparison::at_most("mean current", &mean, limit, Unit::Ampere, limit_is);
        Ok(Outcome::compare(at(part, "type"), comparison, |c| {
            Failure::new(
                Gate::Power,
                format!(
                    "{} carries {} on average and may carry {} ({}): {} too much.",
                    named(part),
                    c.value_text(),
                    c.limit_text(),
                    c.limit_is,
                    c.gap()
                ),
                "An overloaded rectifier overheats and fails as a short more often than not.",
                format!(
                    "Fit a diode rated at least {} at {}, or find what draws the current.",
                    amperes(c.value / CAPACITIVE),
                    part.reference
                ),
            )
        }))
    })
}

fn charges_reservoir(design: &Design, diode: &Part) -> bool {
    diode
        .terminals
        .values()
        .filter(|net| *net != "gnd")
        .any(|net| {
            wiring::on(design, net).iter().any(|(part, _)| {
                CAPACITORS.contains(&part.kind)
                    && part
                        .figure(Property::Value)
                        .is_some_and(|f| f.spread.nominal >= RESERVOIR)
            })
        })
}
