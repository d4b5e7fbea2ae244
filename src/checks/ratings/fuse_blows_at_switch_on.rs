//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of its melting integral that a fuse takes again and again.
const AGAIN: f64 = 0.3;

check! {
    /// Compares the I²t of the switch-on surge through every fuse with 30 % of the fuse's melting
    /// I²t.
    ///
    /// A reservoir charging through the winding is a short for a few milliseconds. A quick fuse of
    /// the right rating goes at once or, worse, at the twentieth switch-on, and is then replaced by
    /// a bigger one.
    ///
    /// Limits: the surge is taken as an RC step, half of peak current × voltage × capacitance,
    /// with all electrolytics of the box charging through the fuse. Where the design gives no
    /// `melting-integral`, 2·I² (T) or 0.1·I² (F, and where no speed is given) is taken, the low
    /// end of the standard's melting times at ten times the rating.
    id: "fuse-blows-at-switch-on", gate: Share, stage: Ratings,
    sources: [
        ("capacitor inrush I²t = Vp²·C/(2R): 17 V, 1000 µF, 4 Ω is 0.036 A²s", Computed),
        ("IEC 60127-2: at ten times the rating F melts in 1–20 ms, T in 20–300 ms", Memory),
        ("20–30 % of the melting I²t for ten thousand cycles, makers' guides", Memory),
    ],
    sign_off: "The box was switched on twenty times in a row, reservoir empty each time, with the listed fuse.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Share,
        &[Kind::Fuse],
        "no fuse in the box",
        |part| {
            let rating = rated(part, Property::Current)?;
            let slow = matches!(part.word("speed"), Some("T" | "TT"));
            let melting = part.figure(Property::MeltingIntegral).map_or_else(
                || rating * rating * if slow { 2.0 } else { 0.1 },
                |figure| figure.spread.low,
            );
            let surge = context
                .evidence
                .stress(&part.reference, Stress::Surge, powered)?;
            let charge = charge(context)?;
            let comparison = Comparison::fixed(
                "switch-on I²t",
                0.5 * surge.high * charge,
                Bound::AtMost,
                AGAIN * melting,
                Unit::AmpereSquaredSecond,
                format!("30 % of {}", format(melting, Unit::AmpereSquaredSecond)),
            );
            Ok(Outcome::compare(at(part, "current"), comparison, |c| {
                let larger = libm::sqrt(c.value / AGAIN / 2.0);
                Failure::new(
                    Gate::Share,
                    format!(
                        "Each switch-on puts {} through {} (peak {}); it bears {} ({}) again and again.",
                        c.value_text(),
                        named(part),
                        amperes(surge.high),
                        c.limit_text(),
                        c.limit_is
                    ),
                    "It blows at some switch-on for no reason anyone can see, and a bigger one is put in.",
                    if slow {
                        format!(
                            "Fit a slow (T) fuse of {} or more at {}, as far as the supply allows, or a smaller reservoir.",
                            amperes(larger),
                            part.reference
                        )
                    } else {
                        format!(
                            "Fit a slow (T) fuse of {} at {}.",
                            amperes(rating.max(larger)),
                            part.reference
                        )
                    },
                )
            }))
        },
    )
}

/// Charge that flows into all electrolytics together [C], at the high end of their capacitance.
fn charge(context: &Context) -> Result<f64, Missing> {
    context
        .design
        .parts
        .values()
        .filter(|part| POLARISED.contains(&part.kind))
        .map(|part| {
            let peak = context
                .evidence
                .stress(&part.reference, Stress::PeakVoltage, powered)?;
            let value = part.figure(Property::Value).map_or(0.0, |f| f.spread.high);
            Ok(value * peak.high.max(0.0))
        })
        .sum()
}
