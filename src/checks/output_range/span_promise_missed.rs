//! See [`CHECK`].

use super::promised::{binds, each_promise};
use crate::checks::prelude::*;
use std::collections::BTreeMap;

check! {
    /// Compares what the output reaches at the two ends of the control's travel, at the corner
    /// where it reaches least and in every switch position the promise covers, with the two
    /// promised ends.
    ///
    /// With pot and resistors at the wrong ends of their tolerance the range shrinks; the promise
    /// must hold for every unit.
    ///
    /// Limits: settled means at the ends of the travel.
    id: "span-promise-missed", gate: Share, stage: OutputRange,
    sources: [("the design's own promise", Practice)],
    sign_off: "The output was swept end to end on a built unit and both ends written down.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_promise(context, "no span is promised", |index, promise| {
        let Promised::Spans {
            at,
            low,
            high,
            over,
        } = &promise.promised
        else {
            return None;
        };
        let control = control(context.design, over);
        Some(worst(context, at, &control, |s| binds(context.design, promise, s)).map(
            |(bottom, top)| {
                let below = Comparison::at_most("lowest reached", &bottom, *low, Unit::Volt, "promised lower end");
                let above = Comparison::at_least("highest reached", &top, *high, Unit::Volt, "promised upper end");
                let comparison = if above.margin() <= below.margin() { above } else { below };
                Outcome::compare(Place::promise(index), comparison, |c| {
                    Failure::new(
                        Gate::Share,
                        format!(
                            "{at} is promised to span {} to {} over {over}; its end comes only to {}: {} short, with {}.",
                            volts(*low), volts(*high), c.value_text(),
                            format(c.margin().abs(), Unit::Volt),
                            state_words(context, c.situation.unwrap_or_default())
                        ),
                        "Some units will not reach the ends of their range.",
                        format!("Make the resistors in series with the ends of {over} smaller, or promise less."),
                    )
                })
            },
        ))
    })
}

/// The part or jack whose travel a control's name means.
fn control(design: &Design, name: &str) -> String {
    design
        .parts
        .values()
        .find(|part| part.reference == name || part.word("control") == Some(name))
        .map_or_else(|| name.to_owned(), |part| part.reference.clone())
}

/// Lower and upper end over the travel, each in the switch position where it reaches least far.
fn worst(
    context: &Context,
    net: &str,
    control: &str,
    when: impl Fn(&Situation) -> bool,
) -> Result<(Extent, Extent), Missing> {
    let settings: Vec<BTreeMap<String, usize>> = context
        .evidence
        .situations
        .iter()
        .filter(|s| when(s))
        .map(|s| s.state.switches.clone())
        .collect::<std::collections::BTreeSet<_>>()
        .into_iter()
        .collect();
    let end = |setting: &BTreeMap<String, usize>, travel: f64| {
        context.evidence.net(net, Measure::Mean, |s| {
            when(s)
                && s.state.switches == *setting
                && s.state
                    .travel
                    .get(control)
                    .is_some_and(|at| (at - travel).abs() < 1e-9)
        })
    };
    let mut reached: Option<(Extent, Extent)> = None;
    for setting in &settings {
        let (one, other) = (end(setting, 0.0)?, end(setting, 1.0)?);
        let (bottom, top) = if one.nominal <= other.nominal {
            (one, other)
        } else {
            (other, one)
        };
        reached = Some(match reached {
            None => (bottom, top),
            Some((b, t)) => (
                if bottom.high > b.high { bottom } else { b },
                if top.low < t.low { top } else { t },
            ),
        });
    }
    reached.ok_or_else(|| lacks(format!("no solved situation moves {control}")))
}
