//! See [`CHECK`].

use crate::checks::prelude::*;
use crate::evidence::Curve;

/// Share of the travel that may do nothing.
const DEAD: f64 = 0.25;
/// A slope below this share of the mean one counts as nothing.
const FLAT: f64 = 0.1;

check! {
    /// Measures on every output's curve over a control's travel how much of the travel moves the
    /// output by less than a tenth of the mean rate, or moves it outside what the input accepts.
    ///
    /// A control that does nothing for its first third is hard to play.
    ///
    /// Limits: nominal values; a law given as a table or as audio is taken as meant, so the limit
    /// is a quarter of the travel.
    id: "useful-travel", gate: Share, stage: OutputRange,
    sources: [("at most a quarter of the travel without effect", Practice)],
    sign_off: "The control was played by the person who will use it.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let place = at(feed.jack, "nets");
            let worst = curves(context, feed)?
                .into_iter()
                .filter_map(|curve| Some((curve, dead(curve, feed.accepts())?)))
                .max_by(|a, b| a.1.total_cmp(&b.1));
            let Some((curve, share)) = worst else {
                return Ok(Outcome::does_not_apply(
                    place,
                    format!("no control moves {}", feed.net),
                ));
            };
            let comparison = Comparison::fixed(
                "travel without effect",
                share,
                Bound::AtMost,
                DEAD,
                Unit::Ratio,
                "a quarter of the travel",
            );
            Ok(Outcome::compare(place, comparison, |_| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} of the travel of {} does nothing at {} ({}); a quarter is the most.",
                        per_cent(share),
                        curve.control,
                        feed.jack.reference,
                        curve.state
                    ),
                    "The control feels dead over that part, and crowded over the rest.",
                    format!(
                        "Change the resistors in series with the ends of {} so that its whole travel falls within {} to {}.",
                        curve.control,
                        volts(feed.accepts().0),
                        volts(feed.accepts().1)
                    ),
                )
            }))
        },
    )
}

/// Share of the travel without effect; `None` for a curve that does not move at all.
fn dead(curve: &Curve, (floor, ceiling): (f64, f64)) -> Option<f64> {
    let (first, last) = (curve.points.first()?, curve.points.last()?);
    let travel = last.travel - first.travel;
    let values = curve.points.iter().map(|point| point.nominal);
    let span = values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min);
    if travel <= 0.0 || span < 0.01 {
        return None;
    }
    let dead: f64 = curve
        .points
        .windows(2)
        .filter(|pair| {
            let run = pair[1].travel - pair[0].travel;
            let rate = (pair[1].nominal - pair[0].nominal).abs() / run.max(1e-9);
            let outside = pair
                .iter()
                .all(|p| p.nominal < floor || p.nominal > ceiling);
            rate < FLAT * span / travel || outside
        })
        .map(|pair| pair[1].travel - pair[0].travel)
        .sum();
    Some(dead / travel)
}
