//! See [`CHECK`].

use super::disturbed::computed;
use crate::checks::prelude::*;
use std::collections::BTreeSet;

/// How many are named in the finding; the dossier's table has them all.
const NAMED: usize = 3;

check! {
    /// Takes every single fault and slip and compares what each other part then bears with its
    /// absolute rating: voltage of capacitors, current of diodes and supplies, dissipation of
    /// resistors, input and temperature of regulators.
    ///
    /// A slip that is mended may have hurt a second part, which then fails later and in another
    /// place. Whoever mends it should know which part to replace with it.
    ///
    /// Limits: settled states; a fuse is taken as not yet blown, so that what it would cut off in
    /// time is named too.
    id: "fault-overstress", gate: Note, stage: OutputRange,
    sources: [
        ("failure modes and effects are listed with what they take along, IEC 60812", Memory),
    ],
    sign_off: "After a fault or a slip was mended, the parts it over-stressed were replaced too.",
    always_applies: "every design has parts that can fail",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("parts");
    let disturbed = match computed(context) {
        Ok(disturbed) => disturbed,
        Err(missing) => return vec![Outcome::missing(place, Gate::Note, &missing)],
    };
    let over: Vec<_> = disturbed
        .cases
        .iter()
        .filter(|case| !case.overstressed.is_empty())
        .collect();
    if over.is_empty() {
        let says = "no single fault or slip takes another part beyond its rating";
        return vec![Outcome::holds(place, says)];
    }
    let parts: BTreeSet<&str> = over
        .iter()
        .flat_map(|case| &case.overstressed)
        .map(|one| one.part.as_str())
        .collect();
    let named: Vec<String> = over
        .iter()
        .take(NAMED)
        .filter_map(|case| {
            let one = case.overstressed.first()?;
            Some(format!(
                "{} ({} of {}: {} against {})",
                case.disturbance.describe(),
                one.stress.words(),
                one.part,
                format(one.value, one.stress.unit()),
                format(one.limit, one.stress.unit())
            ))
        })
        .collect();
    let parts: Vec<&str> = parts.into_iter().collect();
    let failure = Failure::new(
        Gate::Note,
        format!(
            "{} of {} single faults and slips take a part beyond its absolute rating, among them {}.",
            over.len(),
            disturbed.cases.len(),
            named.join("; ")
        ),
        "A part that was over-stressed may fail later, in another place.",
        format!(
            "When a fault or slip was found and mended, replace what it over-stressed with it \
             (parts concerned: {}); power up for the first time behind a fuse or a current limit.",
            parts.join(", ")
        ),
    );
    vec![Outcome::fails(place, failure)]
}
