//! See [`CHECK`].

use crate::checks::prelude::*;

/// The least rated voltage of common switches and relays [V].
const LEAST: f64 = 30.0;

check! {
    /// Compares the highest voltage across the contacts of every switch and relay with their
    /// rating.
    ///
    /// A contact that opens above its rating draws an arc; with DC the arc stays.
    ///
    /// Limits: the extremes of the two nets are set against each other, which is an upper bound.
    /// Without a rating 30 V is taken, the least of common signal switches.
    id: "contact-over-voltage", gate: Power, stage: Ratings,
    sources: [("the smallest slide and toggle switches are rated 30 V DC and more", Practice)],
    sign_off: "The rating printed on each switch is for DC where it switches DC.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::Switch, Kind::Relay];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no switch or relay in the box",
        |part| {
            let rating = part
                .figure(Property::Voltage)
                .map_or(LEAST, |f| f.spread.nominal);
            let (worst, situation) = across(context, part)?;
            let mut comparison = Comparison::fixed(
                "voltage across contacts",
                worst,
                Bound::AtMost,
                rating,
                Unit::Volt,
                "rated voltage",
            );
            comparison.situation = situation;
            Ok(Outcome::compare(at(part, "voltage"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "Open contacts of {} see {} and are rated {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The contact arcs as it opens and burns away.",
                    format!(
                        "Fit a switch rated at least {} at {}.",
                        volts(c.value),
                        part.reference
                    ),
                )
            }))
        },
    )
}

/// Highest voltage that may stand between a common and any of its throws [V]: the extremes of the
/// two nets, which need not come at one instant.
fn across(context: &Context, part: &Part) -> Result<(f64, Option<usize>), Missing> {
    let Structure::Contacts { poles, .. } = &part.structure else {
        return Err(lacks(format!("{} has no contacts", part.reference)));
    };
    let ends = |net: &str| -> Result<(f64, f64, Option<usize>), Missing> {
        if net == "gnd" {
            return Ok((0.0, 0.0, None));
        }
        let low = context.evidence.net(net, Measure::Minimum, any)?;
        let high = context.evidence.net(net, Measure::Maximum, any)?;
        Ok((low.low, high.high, Some(high.high_at)))
    };
    let mut worst = (0.0, None);
    for pole in poles.values().filter(|pole| pole.common != "nc") {
        let (low, high, at) = ends(&pole.common)?;
        for throw in pole
            .throws
            .iter()
            .filter(|throw| *throw != "nc" && **throw != pole.common)
        {
            let (floor, ceiling, when) = ends(throw)?;
            for (value, situation) in [(high - floor, at), (ceiling - low, when)] {
                if value > worst.0 {
                    worst = (value, situation);
                }
            }
        }
    }
    Ok(worst)
}
