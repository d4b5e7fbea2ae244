//! See [`CHECK`].

use crate::checks::prelude::*;

/// Rating of a fuse that gives none: automotive blades, the lowest of the usual ones [V].
const LOWEST: f64 = 32.0;

check! {
    /// Compares the highest voltage on either side of every fuse and resettable fuse with its
    /// voltage rating.
    ///
    /// Once open, a fuse has the whole supply across it. Above its rating the arc does not go out;
    /// a polymer type above its rating burns.
    ///
    /// Limits: voltages against `gnd`. A fuse without `voltage:` is taken as 32 V; a resettable
    /// one without it is not assessed, for they start at 6 V.
    id: "fuse-under-voltage", gate: Power, stage: Ratings,
    sources: [
        ("PTC: its maximum voltage must exceed the peak of the supply, makers' sheets", Memory),
        ("5 × 20 mm fuses 250 V, automotive blades 32 V", Practice),
    ],
    sign_off: "The voltage printed on each fuse or resettable fuse was read.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        &[Kind::Fuse, Kind::Ptc],
        "no fuse in the box",
        |part| {
            let rating = match rated(part, Property::Voltage) {
                Err(_) if part.kind == Kind::Fuse => LOWEST,
                given => given?,
            };
            let mut worst: Option<(f64, usize)> = None;
            for net in part
                .terminals
                .values()
                .filter(|net| *net != "gnd" && *net != "nc")
            {
                let low = context.evidence.net(net, Measure::Minimum, powered)?;
                let high = context.evidence.net(net, Measure::Maximum, powered)?;
                for (value, at) in [(-low.low, low.low_at), (high.high, high.high_at)] {
                    if worst.is_none_or(|(most, _)| value > most) {
                        worst = Some((value, at));
                    }
                }
            }
            let (value, situation) =
                worst.ok_or_else(|| lacks(format!("{} is wired to nothing", part.reference)))?;
            let mut comparison = Comparison::fixed(
                "voltage once open",
                value,
                Bound::AtMost,
                rating,
                Unit::Volt,
                "voltage rating",
            );
            comparison.situation = Some(situation);
            Ok(Outcome::compare(at(part, "voltage"), comparison, |c| {
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} has {} across it once open and is rated {}: {} too much.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "The arc does not go out, and what was to be protected burns.",
                    format!(
                        "Fit one rated above {} at {}; a 5 × 20 mm fuse is rated 250 V.",
                        volts(c.value),
                        part.reference
                    ),
                )
            }))
        },
    )
}
