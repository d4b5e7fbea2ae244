//! See [`CHECK`].

use crate::checks::claims::{Claim, claims};
use crate::checks::prelude::*;

/// How far a stated figure may stand outside what was computed, as a share of it.
const SLACK: f64 = 0.05;

check! {
    /// Compares every voltage, current, power and temperature that the designer's notes state of a
    /// net, test point or part with what was computed, and five per cent more on both sides.
    ///
    /// A stranger measures what the notes say. A figure that belongs to an earlier revision sends
    /// him looking for a fault that is not there, or hides one that is.
    ///
    /// Limits: reads `rail+ reads 6 V`, `U1 draws about 20 mA`, `TP2: 5 V`: a name, linking words,
    /// a figure. Bounds (below, at least) and anything said otherwise are not read.
    id: "note-contradicted", gate: Share, stage: Completeness,
    sources: [("a document does not contradict itself", Practice)],
    sign_off: "The notes were read against the figures of this revision.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let mut outcomes = Vec::new();
    for (index, note) in design.notes.iter().enumerate() {
        for claim in claims(design, note, None) {
            outcomes.push(judge(
                context,
                Place::design(&format!("notes.{index}")),
                &claim,
            ));
        }
    }
    for part in design.parts.values() {
        for claim in part
            .note
            .iter()
            .flat_map(|note| claims(design, note, Some(part)))
        {
            outcomes.push(judge(context, at(part, "note"), &claim));
        }
    }
    if outcomes.is_empty() {
        outcomes.push(Outcome::does_not_apply(
            Place::design("notes"),
            "the notes state no figure of a net or part",
        ));
    }
    outcomes
}

fn judge(context: &Context, place: Place, claim: &Claim) -> Outcome {
    let found = match claim.quantity.found(context.evidence, as_meant) {
        Ok(found) => found,
        Err(missing) => return Outcome::missing(place, Gate::Share, &missing),
    };
    let slack = SLACK * claim.value.abs();
    let (bound, limit, situation) = if claim.value > found.high {
        (Bound::AtMost, found.high + slack, found.high_at)
    } else {
        (Bound::AtLeast, found.low - slack, found.low_at)
    };
    let mut comparison = Comparison::fixed(
        format!("what the note says of {}", claim.of),
        claim.value,
        bound,
        limit,
        claim.unit,
        "computed, and five per cent",
    );
    comparison.situation = Some(situation);
    Outcome::compare(place, comparison, |c| {
        Failure::new(
            Gate::Share,
            format!(
                "A note says {} of {}; computed is {}.",
                c.value_text(),
                claim.of,
                range(&found, claim.unit)
            ),
            "A stranger who measures what the note says looks for a fault that is not there.",
            "Correct the note, or find out why the circuit does not do what it says.",
        )
    })
}

/// `5.70 V to 6.30 V`, or one value where both ends print alike.
fn range(found: &Extent, unit: Unit) -> String {
    let (low, high) = (format(found.low, unit), format(found.high, unit));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}
