//! See [`CHECK`].

use crate::checks::prelude::*;
use crate::evidence::carlo::Quantity;

check! {
    /// Compares boxes drawn at random, every figure anywhere within its tolerance, with the extremes
    /// that the search of corners found, for every output, every regulator's output and its junction.
    ///
    /// The corners are found by moving one figure at a time. Where two figures matter only together
    /// (the mains on an output that is balanced to zero) the worst case is missed, and every check
    /// that rests on it says "holds" too soon. A drawn box that lies beyond counts as evidence in
    /// every other check.
    ///
    /// Limits: what no drawn box did may still happen, to at most three in as many boxes as were
    /// drawn.
    id: "extreme-missed", gate: Share, stage: OutputRange,
    sources: [
        ("every value between the limits as likely as any other when only these are known: JCGM 101:2008 6.4.2", Memory),
        ("three over the number of runs bounds what was never seen, with 95 % confidence", Computed),
    ],
    sign_off: "Where a drawn box lay beyond the extremes, a person has looked which figures do that together and how far they can go.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = || Place::design("parts");
    if let Some(lack) = context.evidence.incomplete.first() {
        return vec![Outcome::not_assessed(place(), Gate::Share, lack)];
    }
    let Some(carlo) = &context.evidence.carlo else {
        let why = if context.design.draws.runs == 0 {
            "no boxes are drawn (`monte-carlo: {runs: 0}`)"
        } else {
            "nothing varies"
        };
        return vec![Outcome::does_not_apply(place(), why)];
    };
    if carlo.unsolved > 0 {
        let what = format!("{} drawn boxes have no solution", carlo.unsolved);
        return vec![Outcome::not_assessed(place(), Gate::Share, what)];
    }
    if carlo.quantities == 0 {
        return vec![Outcome::does_not_apply(
            place(),
            "there is no output and no regulator",
        )];
    }
    if carlo.spreads.is_empty() {
        let what = "no state could be solved from which boxes are drawn";
        return vec![Outcome::not_assessed(place(), Gate::Share, what)];
    }
    let missed: Vec<String> = carlo
        .spreads
        .iter()
        .filter(|spread| spread.beyond > 0)
        .map(|spread| {
            let (what, unit) = match &spread.quantity {
                Quantity::Net(net) => (format!("the voltage of `{net}`"), Unit::Volt),
                Quantity::Junction(part) => (format!("the junction of {part}"), Unit::Celsius),
            };
            let told = |value: f64| format(value, unit);
            let ends = (spread.values.first(), spread.values.last());
            format!(
                "{what} ran from {} to {} in {} of them, where the corners say {} to {}",
                told(ends.0.copied().unwrap_or(f64::NAN)),
                told(ends.1.copied().unwrap_or(f64::NAN)),
                spread.beyond,
                told(spread.extremes.0),
                told(spread.extremes.1)
            )
        })
        .collect();
    let runs = carlo.draws.runs;
    if missed.is_empty() {
        let says = format!("none of {runs} boxes drawn at random lies beyond the corners");
        return vec![Outcome::holds(place(), says)];
    }
    vec![Outcome::fails(
        place(),
        Failure::new(
            Gate::Share,
            format!(
                "Of {runs} boxes drawn at random some lie beyond the corners: {}.",
                missed.join("; ")
            ),
            "The worst case is worse than the corners say; the drawn boxes are counted in every check, but a worse one may be missing.",
            "Draw more boxes (`monte-carlo: {runs: 5000}`) and leave room beyond the worst of them.",
        ),
    )]
}
