//! See [`CHECK`].

use crate::checks::prelude::*;
use crate::design::Structure;

/// Share of the accepted range that a switch may move the output at once.
const STEP: f64 = 0.1;

check! {
    /// For every switch, with every control in turn held where it is, compares the step of the
    /// output when the switch is thrown with a tenth of the range the input accepts, at the control
    /// position where that step is smallest.
    ///
    /// An instrument follows a step at once: the pitch jumps, the light flashes. A switch that can
    /// be thrown without a step somewhere is thrown there; one that cannot is not for use while
    /// playing.
    ///
    /// Limits: settled values before and after, all tolerances nominal; what happens while the
    /// contact travels is not in it. A note, for a switch may be meant to do just that.
    id: "step-on-switching", gate: Note, stage: OutputRange,
    sources: [("a step of a tenth of the range is heard and seen", Practice)],
    sign_off: "Each switch was thrown with the instrument plugged in and its volume low.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let switches = context
        .design
        .parts
        .values()
        .filter(|part| matches!(part.structure, Structure::Contacts { .. }));
    let none = "no switch in the box";
    each_feed_for(context, switches, Gate::Note, none, |switch, feed| {
        look(context, switch, feed)
    })
}

fn look(context: &Context, switch: &Part, feed: &Feed) -> Look {
    let place = at(switch, "poles");
    let nominal = |s: &Situation| as_meant(s) && feed.plugged(s) && s.is_nominal();
    let states: Vec<&Situation> = context
        .evidence
        .situations
        .iter()
        .filter(|s| nominal(s))
        .collect();
    let mut smallest: Option<(f64, f64, f64, usize)> = None;
    for one in &states {
        let partners = |other: &Situation| {
            let mut switches = other.state.switches.clone();
            if let Some(here) = one.state.switches.get(&switch.reference) {
                switches.insert(switch.reference.clone(), *here);
            }
            nominal(other)
                && switches == one.state.switches
                && other.state.travel == one.state.travel
                && other.state.plugs == one.state.plugs
        };
        let reach = context.evidence.net(feed.net, Measure::Mean, partners)?;
        let step = reach.high - reach.low;
        if smallest.is_none_or(|(known, ..)| step < known) {
            smallest = Some((step, reach.low, reach.high, reach.high_at));
        }
    }
    let (step, low, high, situation) =
        smallest.ok_or_else(|| lacks("no state with the instrument plugged in was solved"))?;
    let (floor, ceiling) = feed.accepts();
    let mut comparison = Comparison::fixed(
        "smallest step when thrown",
        step,
        Bound::AtMost,
        STEP * (ceiling - floor),
        Unit::Volt,
        "a tenth of the accepted range",
    );
    comparison.situation = Some(situation);
    Ok(Outcome::compare(place, comparison, |c| {
        Failure::new(
            Gate::Note,
            format!(
                "Throwing {} moves the output at {} by {} at once ({} to {}), wherever the controls stand; {} goes unnoticed.",
                named(switch),
                feed.jack.reference,
                c.value_text(),
                volts(low),
                volts(high),
                c.limit_text()
            ),
            format!("{} jumps with it.", feed.instrument.title),
            format!(
                "Say in the notes that {} is not thrown while playing, or put 1 µF from the output to gnd behind its series resistor.",
                switch.reference
            ),
        )
    }))
}
