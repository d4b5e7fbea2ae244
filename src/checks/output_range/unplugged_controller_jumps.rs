//! See [`CHECK`].

use crate::checks::prelude::*;

/// How far beyond what the controller reaches the output may go without it, of the accepted range.
const BEYOND: f64 = 0.05;

check! {
    /// With each controller unplugged, compares how far the output goes beyond what the plugged
    /// controller can set with a twentieth of the range the input accepts.
    ///
    /// A pedal is pulled out on stage. What the open contact leaves on the output then should be a
    /// value that the pedal could have set, best its rest.
    ///
    /// Limits: settled states; the moment of pulling, when contacts meet in the wrong order, is
    /// another check's.
    id: "unplugged-controller-jumps", gate: Share, stage: OutputRange,
    sources: [("an input with nothing plugged in rests at an end of its range", Practice)],
    sign_off: "The controller was pulled out and put back with the instrument plugged in.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let controlled = |all: &[Connection]| {
        all.iter()
            .any(|one| matches!(one, Connection::Controller { .. }))
    };
    let jacks = design
        .connections
        .iter()
        .filter(|(_, all)| controlled(all))
        .filter_map(|(jack, _)| design.parts.get(jack));
    let none = "no controller is plugged into the box";
    each_feed_for(context, jacks, Gate::Share, none, |jack, feed| {
        look(context, jack, feed)
    })
}

fn look(context: &Context, jack: &Part, feed: &Feed) -> Look {
    let with = |s: &Situation, plugged: bool| {
        as_meant(s)
            && feed.plugged(s)
            && matches!(
                s.state.plugs.get(&jack.reference),
                Some(Plugged::Device { .. })
            ) == plugged
    };
    let set = context
        .evidence
        .net(feed.net, Measure::Mean, |s| with(s, true))?;
    let left = context
        .evidence
        .net(feed.net, Measure::Mean, |s| with(s, false))?;
    let (floor, ceiling) = feed.accepts();
    let (above, below) = (left.high - set.high, set.low - left.low);
    let (beyond, at_value, situation) = if above > below {
        (above, left.high, left.high_at)
    } else {
        (below, left.low, left.low_at)
    };
    let mut comparison = Comparison::fixed(
        "beyond the controller's reach when it is unplugged",
        beyond.max(0.0),
        Bound::AtMost,
        BEYOND * (ceiling - floor),
        Unit::Volt,
        "a twentieth of the accepted range",
    );
    comparison.situation = Some(situation);
    Ok(Outcome::compare(at(jack, "nets"), comparison, |c| {
        Failure::new(
            Gate::Share,
            format!(
                "With nothing in {} the output at {} goes to {}; the controller itself sets {} to {}: {} beyond.",
                jack.reference,
                feed.jack.reference,
                volts(at_value),
                volts(set.low),
                volts(set.high),
                c.value_text()
            ),
            format!(
                "{} jumps when the controller is pulled out.",
                feed.instrument.title
            ),
            format!(
                "Put 100 kΩ from the contact of {} that carries the wiper to the end of the range where the output is to rest.",
                jack.reference
            ),
        )
    }))
}
