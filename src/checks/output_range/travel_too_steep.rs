//! See [`CHECK`].

use crate::checks::prelude::*;
use crate::evidence::Curve;

/// Steepest part as a multiple of the mean rate.
const STEEP: f64 = 5.0;

check! {
    /// Measures on every output's curve over a control's travel how much steeper its steepest
    /// part is than the mean.
    ///
    /// Where a few degrees of knob make most of the voltage, nobody can set a value, and the
    /// pot's own graininess shows.
    ///
    /// Limits: a note; nominal values at the points that were solved.
    id: "travel-too-steep", gate: Note, stage: OutputRange,
    sources: [("steepest part at most five times the mean", Practice)],
    sign_off: "Any value in the range can be set and held by hand.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(context, Gate::Note, "the box feeds no instrument", |feed| {
        let place = at(feed.jack, "nets");
        let worst = curves(context, feed)?
            .into_iter()
            .filter_map(|curve| Some((curve, steepness(curve)?)))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((curve, times)) = worst else {
            return Ok(Outcome::does_not_apply(
                place,
                format!("no control moves {}", feed.net),
            ));
        };
        let comparison = Comparison::fixed(
            "steepest part against the mean",
            times,
            Bound::AtMost,
            STEEP,
            Unit::Ratio,
            "five times the mean rate",
        );
        Ok(Outcome::compare(place, comparison, |_| {
            Failure::new(
                Gate::Note,
                format!(
                    "{} moves the output at {} {times:.1} times faster in one place than on average ({}).",
                    curve.control, feed.jack.reference, curve.state
                ),
                "Values there can hardly be set by hand.",
                format!(
                    "Use another law or a lower resistance at {}, or a resistor across part of it.",
                    curve.control
                ),
            )
        }))
    })
}

fn steepness(curve: &Curve) -> Option<f64> {
    let (first, last) = (curve.points.first()?, curve.points.last()?);
    let travel = last.travel - first.travel;
    let values = curve.points.iter().map(|point| point.nominal);
    let span = values.clone().fold(f64::MIN, f64::max) - values.fold(f64::MAX, f64::min);
    if travel <= 0.0 || span < 0.01 {
        return None;
    }
    curve
        .points
        .windows(2)
        .map(|pair| {
            let run = (pair[1].travel - pair[0].travel).max(1e-9);
            (pair[1].nominal - pair[0].nominal).abs() / run / (span / travel)
        })
        .max_by(f64::total_cmp)
}
