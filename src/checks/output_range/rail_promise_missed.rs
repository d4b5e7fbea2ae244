//! See [`CHECK`].

use super::promised::{binds, each_promise};
use super::range::nearer;
use crate::checks::prelude::*;

check! {
    /// Compares the mean voltage of every net for which the design promises a value, at every
    /// corner and in every state the promise covers, with the promised range.
    ///
    /// What the designer intends is the first thing a stranger measures.
    ///
    /// Where a fixed regulator on `gnd` makes the voltage, at least its maker's whole tolerance over
    /// line, load and temperature is held against the promise: the corners solved here take the
    /// line and load terms as known, and a single part need not keep to them.
    ///
    /// Limits: settled means with the box on and healthy. The maker's tolerance is taken up to the
    /// absolute maximum input; beyond the specified input a note says by how much that is more
    /// than the sheet gives. An adjustable regulator is taken at its solved corners.
    id: "rail-promise-missed", gate: Share, stage: OutputRange,
    sources: [("the design's own promise", Practice)],
    sign_off: "The promised voltages were measured on a built unit.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_promise(context, "no voltage is promised", |index, promise| {
        let Promised::Is { at, range } = &promise.promised else {
            return None;
        };
        Some(context.evidence.net(at, Measure::Mean, |s| binds(context.design, promise, s)).map(
            |mean| {
                let mean = widened(context, at, mean);
                let comparison = nearer(&mean, range.low, &mean, range.high, "mean", "promised");
                Outcome::compare(Place::promise(index), comparison, |c| {
                    Failure::new(
                        Gate::Share,
                        format!(
                            "{at} is promised {} to {} and reaches {}: {} beyond, with {}.",
                            volts(range.low), volts(range.high), c.value_text(),
                            format(c.margin().abs(), Unit::Volt),
                            state_words(context, c.situation.unwrap_or_default())
                        ),
                        "A good unit would be judged bad at the bench, or a bad one good.",
                        format!("Widen the promise for {at} to what the parts hold, or fit a closer grade."),
                    )
                })
            },
        ))
    })
}

/// The extent of a regulator's output net, drawn out to its maker's tolerance. Nothing is drawn
/// out where the rail is switched off or drops out in some covered state.
fn widened(context: &Context, net: &str, mean: Extent) -> Extent {
    let maker = context.design.parts.values().find_map(|part| {
        let makes = part.kind == Kind::Regulator
            && part.net("out") == Some(net)
            && part.net("ground") == Some("gnd");
        let spread = part.figure(Property::Output)?.spread;
        makes.then(|| {
            let (low, high) = (spread.low.abs(), spread.high.abs());
            let (low, high) = (low.min(high), low.max(high));
            if wiring::polarity(part) > 0.0 {
                (low, high)
            } else {
                (-high, -low)
            }
        })
    });
    maker.map_or(mean, |(low, high)| Extent {
        low: mean.low.min(low),
        high: mean.high.max(high),
        ..mean
    })
}
