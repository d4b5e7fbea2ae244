//! See [`CHECK`].

use crate::checks::prelude::*;

/// Direct voltage that may be touched [V].
const DIRECT: f64 = 60.0;
/// Peak of an alternating voltage that may be touched [V]: 30 V rms.
const ALTERNATING: f64 = 42.4;

check! {
    /// Compares the highest instant on every net against `gnd`, and the largest voltage between
    /// any two nets, with what may be touched: 60 V direct, 42.4 V peak on nets that alternate.
    ///
    /// All of such a box is within reach once the lid is off. A dual supply doubles the voltage
    /// between its rails, a voltage doubler does so on one.
    ///
    /// Limits: dry hands and indoor use; between two nets the sum of their extremes is taken, which
    /// may never stand at the same instant.
    id: "extra-low-voltage", gate: Power, stage: Isolation,
    sources: [
        ("IEC 62368-1, ES1: 60 V DC, 30 V rms, 42.4 V peak", Memory),
        ("IEC 61558-1, 3.7.16: extra-low voltage 50 V AC, 120 V ripple-free DC", Confirmed),
    ],
    sign_off: "The supply carries the mark of a safety isolating transformer (SELV).",
    always_applies: "every box has voltages in it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let place = Place::design("parts");
    let alternating = wiring::alternating(design);
    let mut reaches = vec![("gnd", 0.0, 0.0, 0)];
    let mut outcomes = Vec::new();
    for net in &design.nets {
        if design.isolated.contains(net) || net == "gnd" {
            continue;
        }
        let reach = context
            .evidence
            .net(net, Measure::Minimum, powered)
            .and_then(|low| Ok((low, context.evidence.net(net, Measure::Maximum, powered)?)));
        let (low, high) = match reach {
            Ok(reach) => reach,
            Err(missing) => {
                return vec![Outcome::missing(place, Gate::Power, &missing)];
            }
        };
        if alternating.contains(net.as_str()) {
            let (peak, situation) = if -low.low > high.high {
                (-low.low, low.low_at)
            } else {
                (high.high, high.high_at)
            };
            let source = source_place(design, net);
            let quantity = format!("peak on {net}");
            outcomes.push(judge(source, quantity, peak, ALTERNATING, situation));
        }
        reaches.push((net, low.low, high.high, high.high_at));
    }
    let widest = reaches
        .iter()
        .flat_map(|above| reaches.iter().map(move |below| (above, below)))
        .filter(|(above, below)| above.0 != below.0)
        .max_by(|a, b| (a.0.2 - a.1.1).total_cmp(&(b.0.2 - b.1.1)));
    if let Some(((above, _, high, situation), (below, low, ..))) = widest {
        let quantity = format!("voltage between {above} and {below}");
        outcomes.push(judge(place, quantity, high - low, DIRECT, *situation));
    }
    outcomes
}

fn source_place(design: &Design, net: &str) -> Place {
    wiring::on(design, net)
        .into_iter()
        .find(|(part, terminal)| AC_SOURCES.contains(&part.kind) && wiring::drives(part, terminal))
        .map_or_else(|| Place::net(net, "parts"), |(part, _)| at(part, "output"))
}

fn judge(place: Place, quantity: String, value: f64, limit: f64, situation: usize) -> Outcome {
    let mut comparison = Comparison::fixed(
        quantity,
        value,
        Bound::AtMost,
        limit,
        Unit::Volt,
        "what may be touched",
    );
    comparison.situation = Some(situation);
    Outcome::compare(place, comparison, |c| {
        Failure::new(
            Gate::Power,
            format!(
                "The {} reaches {}; {} may be touched: {} too much.",
                c.quantity,
                c.value_text(),
                c.limit_text(),
                c.gap()
            ),
            "Above extra-low voltage a shock can injure, and home-built insulation is not made for it.",
            "Use an adaptor of lower voltage; this tool's cautions do not cover higher ones.",
        )
    })
}
