//! See [`CHECK`].

use crate::checks::prelude::*;

/// How far rated primary and mains may differ, as a share.
const APART: f64 = 0.06;

check! {
    /// Compares the rated primary voltage of every adaptor and transformer with the nominal mains
    /// of the conditions.
    ///
    /// A 120 V adaptor on 230 V burns; a 220 V one on 240 V runs 9 % high, at no load on top of
    /// everything else.
    ///
    /// Limits: parts that give a `primary` voltage.
    id: "transformer-primary-mismatch", gate: Power, stage: Isolation,
    sources: [("IEC 60038: 230 V ± 10 %; ANSI C84.1: 120 V", Memory)],
    sign_off: "The input voltage on the adaptor's label was compared with the local mains.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::AcAdaptor, Kind::DcAdaptor, Kind::Transformer];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no adaptor or transformer",
        |part| {
            let place = at(part, "primary");
            let (Some(primary), Some(mains)) = (
                part.figure(Property::Primary),
                context.design.conditions.mains,
            ) else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "no primary voltage is given",
                ));
            };
            let rated = primary.spread;
            let nominal = mains.voltage.nominal;
            let outside = (rated.low - nominal).max(nominal - rated.high).max(0.0);
            let comparison = Comparison::fixed(
                "primary rating off the mains",
                outside,
                Bound::AtMost,
                APART * nominal,
                Unit::Volt,
                format!("6 % of {}", volts(nominal)),
            );
            Ok(Outcome::compare(place, comparison, |_| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} is made for {} and the mains is {}.",
                        named(part),
                        volts(rated.nominal),
                        volts(nominal)
                    ),
                    "It overheats, or gives too much or too little voltage.",
                    format!("Use one made for {} at {}.", volts(nominal), part.reference),
                )
            }))
        },
    )
}
