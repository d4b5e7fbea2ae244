//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of its rated voltage at which a class 2 ceramic has lost about half its capacitance.
const HALF_GONE: f64 = 0.5;
/// Smaller ones lose too little to matter [F].
const SMALL: f64 = 10e-9;

check! {
    /// Compares the voltage on every ceramic capacitor above 10 nF, unless its `dielectric:` is
    /// C0G or NP0, with half its rating.
    ///
    /// Class 2 ceramics (X7R, X5R, Y5V) lose capacitance with the voltage on them: at half the
    /// rating about half is gone, and a small body loses more. The 330 nF that the regulator asks
    /// for is then not there, and nothing on the part tells.
    ///
    /// Limits: the loss follows the body's size more than its rating; the maker's curve decides.
    id: "ceramic-bias-loss", gate: Share, stage: Ratings,
    sources: [
        ("10 µF 10 V 0805 at 5 V: 5 µF left (ufcapacitors.com 5354)", Secondary),
        ("22 µF 35 V 1210: 80 % gone at 25 V, pages quoting a maker's note", Secondary),
        ("take half as lost at half the rated voltage unless a curve is at hand", Practice),
    ],
    sign_off: "For each ceramic above 1 µF the maker's curve of capacitance against voltage was looked up.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Ceramic],
        "no ceramic capacitor in the box",
        |part| {
            let place = at(part, "rating");
            let value = rated(part, Property::Value)?;
            let stable = part.word("dielectric").is_some_and(|word| {
                let word = word.to_uppercase();
                ["C0G", "COG", "NP0", "NPO"]
                    .iter()
                    .any(|name| word.contains(name))
            });
            if stable || value <= SMALL {
                return Ok(Outcome::does_not_apply(
                    place,
                    "it loses next to nothing under voltage",
                ));
            }
            let rating = rated(part, Property::Rating)?;
            let peak = context
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, powered)?;
            let comparison = Comparison::at_most(
                "voltage on a class 2 ceramic",
                &peak,
                rating * HALF_GONE,
                Unit::Volt,
                format!(
                    "half of {}, where half the capacitance is gone",
                    volts(rating)
                ),
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} stands at {} of its {}: of {} less than half is likely to be left.",
                        named(part),
                        c.value_text(),
                        volts(rating),
                        format(value, Unit::Farad)
                    ),
                    "What it was put there for, a stable regulator or a clean rail, is then half done.",
                    format!(
                        "Fit a ceramic rated {}, a film capacitor, or a C0G type at {}.",
                        format_short(
                            preferred::capacitor_voltage(c.value / HALF_GONE),
                            Unit::Volt
                        ),
                        part.reference
                    ),
                )
            }))
        },
    )
}
