//! See [`CHECK`].

use crate::catalogue::Figure;
use crate::checks::feed::guessed;
use crate::checks::prelude::*;

check! {
    /// Lists the figures of instruments and parts on which this review rests and which somebody
    /// guessed: what an input accepts and survives, its impedance, its supply.
    ///
    /// A guess copied often enough becomes a fact. The box is shared with people who will plug it
    /// into the one instrument there is.
    ///
    /// Limits: what the files call guessed; a guess called a measurement cannot be seen.
    id: "guess-used-as-fact", gate: Share, stage: OutputRange,
    sources: [("guessed figures are printed as guessed and widen the tolerance", Practice)],
    sign_off: "What the instrument's input accepts and survives was read in its manual or measured on it.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let mut outcomes = each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let input = feed.input;
            let figures = [
                ("what it accepts", Some(&input.accepts)),
                ("what it survives", input.survives.as_ref()),
                ("its impedance", input.impedance.as_ref()),
                (
                    "the voltage of its supply",
                    input.supply.as_ref().map(|s| &s.voltage),
                ),
                (
                    "the resistance of its supply",
                    input.supply.as_ref().map(|s| &s.through),
                ),
            ];
            let place = Place::design(&format!("connect.{}", feed.jack.reference));
            Ok(judge(place, &feed.label(), &figures))
        },
    );
    for part in context.design.parts.values() {
        let figures: Vec<(&str, Option<&Figure>)> = part
            .figures
            .iter()
            .filter(|(_, figure)| guessed(figure))
            .map(|(property, figure)| (property.key(), Some(figure)))
            .collect();
        if let [(key, _), ..] = figures[..] {
            outcomes.push(judge(at(part, key), &named(part), &figures));
        }
    }
    outcomes
}

fn judge(place: Place, whose: &str, figures: &[(&str, Option<&Figure>)]) -> Outcome {
    let guesses: Vec<&str> = figures
        .iter()
        .filter(|(_, figure)| figure.is_some_and(guessed))
        .map(|(name, _)| *name)
        .collect();
    if guesses.is_empty() {
        return Outcome::holds(place, format!("no figure of {whose} is a guess"));
    }
    Outcome::fails(
        place,
        Failure::new(
            Gate::Share,
            format!(
                "This review rests on a guess about {whose}: {}.",
                guesses.join(", ")
            ),
            "If the guess is wrong, so is the answer, and the stranger has no way to know.",
            format!(
                "Measure it or find it in the manual ({}), and write where it came from.",
                guesses.join(", ")
            ),
        ),
    )
}
