//! See [`CHECK`].

use crate::checks::prelude::*;

/// Output capacitance from which on the charge behind a regulator can harm it [F].
const LARGE: f64 = 10e-6;
/// Output voltage up to which the base–emitter junction inside stands it [V].
const STANDS: f64 = 6.0;
/// A reservoir so many times larger than what stands behind the regulator outlives it.
const OUTLIVES: f64 = 5.0;

check! {
    /// Where 10 µF or more stand behind a regulator without a diode from output to input, and the
    /// reservoir before it is not five times as large, compares its output voltage with 6 V.
    ///
    /// Pull the plug or short the input, and the output capacitor discharges backwards through the
    /// regulator, whose junction inside breaks down at some seven volts.
    ///
    /// Limits: the wiring and the values are read; how fast the input falls is judged by the two
    /// capacitances alone. A jack or a switch on the input net can short or cut the reservoir off,
    /// and then it does not count.
    id: "regulator-reverse-discharge", gate: Share, stage: Ratings,
    sources: [
        ("reverse diode if the output can outlive the input: above 10 µF and 6–7 V (78xx), makers' notes", Memory),
    ],
    sign_off: "The input was shorted once at the bench with the output charged, and the regulator lived.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    each_regulator(context, Gate::Share, |part, place, output| {
        let input = part
            .net("in")
            .ok_or_else(|| lacks(format!("{} has its input open", part.reference)))?;
        let behind = stored(design, output);
        if behind < LARGE {
            return Ok(Outcome::does_not_apply(
                place,
                format!("only {} stand behind it", format(behind, Unit::Farad)),
            ));
        }
        let (anode, cathode) = if wiring::polarity(part) > 0.0 {
            (output, input)
        } else {
            (input, output)
        };
        let diode = design.parts.values().find(|other| {
            other.kind == Kind::Diode
                && other.net("anode") == Some(anode)
                && other.net("cathode") == Some(cathode)
        });
        if let Some(diode) = diode {
            return Ok(Outcome::holds(
                place,
                format!("{} carries the charge round it", diode.reference),
            ));
        }
        let exposed = wiring::on(design, input)
            .iter()
            .any(|(other, _)| matches!(other.kind, Kind::Jack | Kind::Plug | Kind::Switch));
        if !exposed && stored(design, input) >= OUTLIVES * behind {
            return Ok(Outcome::holds(place, "the reservoir before it outlives it"));
        }
        let mean = context.evidence.net(output, Measure::Mean, powered)?;
        let (volts_behind, situation) = if -mean.low > mean.high {
            (-mean.low, mean.low_at)
        } else {
            (mean.high, mean.high_at)
        };
        let mut comparison = Comparison::fixed(
            "output behind a large capacitor",
            volts_behind,
            Bound::AtMost,
            STANDS,
            Unit::Volt,
            "what the junction inside stands",
        );
        comparison.situation = Some(situation);
        Ok(Outcome::compare(place, comparison, |c| {
            Failure::new(
                Gate::Share,
                format!(
                    "{} stand at {} behind {}, and no diode leads their charge round it; above {} one is needed.",
                    format(behind, Unit::Farad),
                    c.value_text(),
                    named(part),
                    c.limit_text()
                ),
                "When the input falls first, they discharge backwards through the regulator and destroy it.",
                format!(
                    "Fit a 1N4001 at {}: anode on {anode}, cathode on {cathode}.",
                    part.reference
                ),
            )
        }))
    })
}

/// Capacitance from a net to `gnd` [F].
fn stored(design: &Design, net: &str) -> f64 {
    wiring::on(design, net)
        .into_iter()
        .filter(|(part, lead)| {
            CAPACITORS.contains(&part.kind) && wiring::across(part, lead) == Some("gnd")
        })
        .filter_map(|(part, _)| part.figure(Property::Value))
        .map(|figure| figure.spread.nominal)
        .sum()
}
