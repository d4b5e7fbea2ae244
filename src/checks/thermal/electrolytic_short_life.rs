//! See [`CHECK`].

use super::electrolytic_over_temperature::LOWEST;
use crate::checks::prelude::*;

/// Ten years at eight hours a day [h].
const WANTED: f64 = 29_200.0;
/// Rated life where none is given: a plain 85 °C part [h].
const SHORTEST: f64 = 1000.0;

check! {
    /// Estimates the life of every aluminium electrolytic by the ten-kelvin rule from its rated
    /// life, temperature limit and the air around it, and compares it with ten years at eight
    /// hours a day.
    ///
    /// L = L0 · 2^((T0 − T)/10): each 10 K cooler doubles it.
    ///
    /// Limits: 25 °C of ambient and nominal load; ripple heating is not added; beyond some fifteen
    /// years the seal decides, not the rule. The low end of the rated life and of the limit counts. Without a rated life 1000 h is taken, without a limit
    /// 85 °C.
    id: "electrolytic-short-life", gate: Share, stage: Thermal,
    sources: [
        ("10 K cooler doubles the life of an electrolytic, makers' notes", Memory),
        ("2000 h at 105 °C is 90 500 h at 50 °C", Computed),
    ],
    sign_off: "Electrolytics are new, or of known age and measured.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Electrolytic],
        "no electrolytic in the box",
        |part| {
            let limit = part
                .figure(Property::TemperatureLimit)
                .map_or(LOWEST, |f| f.spread.low);
            let rated_life = part
                .figure(Property::Life)
                .map_or(SHORTEST, |f| f.spread.low);
            let air = context
                .evidence
                .stress(&part.reference, Stress::Air, powered)?;
            let life = rated_life * libm::exp2((limit - air.nominal) / 10.0);
            let comparison = Comparison::fixed(
                "expected life",
                life,
                Bound::AtLeast,
                WANTED,
                Unit::Hour,
                "ten years at eight hours a day",
            );
            Ok(Outcome::compare(at(part, "life"), comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} lasts about {} in air of {}; {} is wanted ({}).",
                        named(part),
                        c.value_text(),
                        celsius(air.nominal),
                        c.limit_text(),
                        c.limit_is
                    ),
                    "Ripple grows as it dries out, then hum, then drop-out.",
                    format!(
                        "Fit a 105 °C long-life type at {}, or cool the box.",
                        part.reference
                    ),
                )
            }))
        },
    )
}
