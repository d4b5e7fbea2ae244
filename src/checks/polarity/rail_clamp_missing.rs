//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Where something other than ground joins a positive to a negative regulated rail, looks for
    /// a diode from each of them to `gnd` that blocks in normal use.
    ///
    /// At switch-on one rail comes up first and, through whatever joins the two rails, drags the
    /// other past ground; a regulator whose output starts beyond ground may latch and never come
    /// up.
    ///
    /// Limits: a note, for small loads between the rails seldom do it; the wiring is read.
    id: "rail-clamp-missing", gate: Note, stage: Polarity,
    sources: [("clamp diode from each output of a ± pair to ground, regulator makers' notes", Memory)],
    sign_off: "Both rails come up every time, also with the adaptor plugged in slowly.",
    always_assessed: "the wiring alone is read",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let regulators: Vec<(&Part, &str)> = design
        .parts
        .values()
        .filter(|part| REGULATORS.contains(&part.kind))
        .filter_map(|part| Some((part, part.net("out")?)))
        .collect();
    let (joined, lone): (Vec<_>, Vec<_>) = regulators.iter().partition(|(part, rail)| {
        let together = wiring::joined(design, rail);
        regulators.iter().any(|(other, far)| {
            wiring::polarity(part) * wiring::polarity(other) < 0.0 && together.contains(far)
        })
    });
    if joined.is_empty() {
        let why = if lone.is_empty() {
            "no regulator in the box"
        } else {
            "nothing but ground joins a positive and a negative regulated rail"
        };
        return vec![Outcome::does_not_apply(Place::design("parts"), why)];
    }
    let (clamped, bare): (Vec<_>, Vec<_>) = joined
        .into_iter()
        .partition(|(part, rail)| clamp(design, part, rail).is_some());
    let mut outcomes: Vec<Outcome> = clamped
        .iter()
        .map(|(part, rail)| Outcome::holds(at(part, "type"), format!("a diode clamps {rail}")))
        .collect();
    if let Some(((first, _), others)) = bare.split_first() {
        let rails: Vec<String> = bare
            .iter()
            .map(|(part, rail)| format!("{rail} ({})", part.reference))
            .collect();
        let fit: Vec<String> = bare
            .iter()
            .map(|(part, rail)| format!("{} on {rail}", wanted(part)))
            .collect();
        let failure = Failure::new(
            Gate::Note,
            format!(
                "No diode keeps {} from being dragged past gnd by the other rail at switch-on.",
                rails.join(" and ")
            ),
            "A regulator started with its output beyond ground may latch and not come up.",
            format!(
                "Fit a 1N4001 from each to gnd: {}, the other end on gnd.",
                fit.join(", ")
            ),
        );
        let places = others.iter().map(|(part, _)| Place::part(&part.reference));
        outcomes.push(Outcome::fails(
            at(first, "type"),
            failure.with(places.collect()),
        ));
    }
    outcomes
}

/// The end of a clamp diode that goes on the rail.
fn wanted(part: &Part) -> &'static str {
    if wiring::polarity(part) > 0.0 {
        "cathode"
    } else {
        "anode"
    }
}

fn clamp<'a>(design: &'a Design, part: &Part, rail: &str) -> Option<&'a Part> {
    wiring::on(design, rail)
        .into_iter()
        .find(|(other, lead)| {
            other.kind == Kind::Diode
                && *lead == wanted(part)
                && wiring::across(other, lead) == Some("gnd")
        })
        .map(|(diode, _)| diode)
}
