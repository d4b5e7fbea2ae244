//! See [`CHECK`].

use crate::checks::prelude::*;

/// Difference of the two ends, as a share of the larger.
const DIFFERENCE: f64 = 0.15;

check! {
    /// Where an input accepts as much below zero as above it, compares how far the output reaches
    /// on both sides.
    ///
    /// A bend lever that bends further up than down cannot be tuned.
    ///
    /// Limits: nominal values of every curve; inputs that accept one sign only do not apply.
    id: "output-asymmetric", gate: Share, stage: OutputRange,
    sources: [("both sides alike within 15 %", Practice)],
    sign_off: "The instrument's zero is where the control rests.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let place = at(feed.jack, "nets");
            let accepted = feed.input.accepts.spread;
            if (accepted.low + accepted.high).abs() > 0.05 * (accepted.high - accepted.low) {
                return Ok(Outcome::does_not_apply(
                    place,
                    "the input accepts one side more than the other",
                ));
            }
            let worst = curves(context, feed)?
                .into_iter()
                .map(|curve| {
                    let values = curve.points.iter().map(|point| point.nominal);
                    let low = values.clone().fold(f64::MAX, f64::min);
                    let high = values.fold(f64::MIN, f64::max);
                    (curve, low, high)
                })
                .filter(|(_, low, high)| *low < 0.0 && *high > 0.0)
                .map(|(curve, low, high)| (curve, low, high, (high + low).abs() / high.max(-low)))
                .max_by(|a, b| a.3.total_cmp(&b.3));
            let Some((curve, low, high, share)) = worst else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "no control moves the output to both sides of zero",
                ));
            };
            let comparison = Comparison::fixed(
                "difference of the two sides",
                share,
                Bound::AtMost,
                DIFFERENCE,
                Unit::Ratio,
                "15 % of the larger",
            );
            Ok(Outcome::compare(place, comparison, |_| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} moves the output at {} from {} to {}: {} apart ({}).",
                        curve.control,
                        feed.jack.reference,
                        volts(low),
                        volts(high),
                        per_cent(share),
                        curve.state
                    ),
                    "Up and down are not alike, and the rest position is not in the middle.",
                    format!(
                        "Make the resistors at both ends of {} alike, and the two rails.",
                        curve.control
                    ),
                )
            }))
        },
    )
}
