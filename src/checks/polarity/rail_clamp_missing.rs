//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// In a box with a positive and a negative regulator, looks for a diode from each output to
    /// `gnd` that blocks in normal use.
    ///
    /// At switch-on one rail comes up first and, through whatever joins the two rails, drags the
    /// other past ground; a regulator whose output starts beyond ground may latch and never come
    /// up.
    ///
    /// Limits: a note, for small loads between the rails seldom do it; the wiring is read.
    id: "rail-clamp-missing", gate: Note, stage: Polarity,
    sources: [("clamp diode from each output of a ± pair to ground, regulator makers' notes", Memory)],
    sign_off: "Both rails come up every time, also with the adaptor plugged in slowly.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let regulators: Vec<&Part> = design
        .parts
        .values()
        .filter(|part| REGULATORS.contains(&part.kind))
        .collect();
    let both = [1.0, -1.0].iter().all(|sign| {
        regulators
            .iter()
            .any(|part| (wiring::polarity(part) - sign).abs() < 0.5)
    });
    if !both {
        return vec![Outcome::does_not_apply(
            Place::design("parts"),
            "the box has not both a positive and a negative regulator",
        )];
    }
    regulators
        .into_iter()
        .map(|part| {
            let place = at(part, "type");
            let out = part.net("out").unwrap_or("nc");
            let wanted = if wiring::polarity(part) > 0.0 { "cathode" } else { "anode" };
            let clamp = wiring::on(design, out).into_iter().find(|(other, lead)| {
                other.kind == Kind::Diode
                    && *lead == wanted
                    && wiring::across(other, lead) == Some("gnd")
            });
            if let Some((diode, _)) = clamp {
                return Outcome::holds(place, format!("{} clamps {out}", diode.reference));
            }
            Outcome::fails(
                place,
                Failure::new(
                    Gate::Note,
                    format!("No diode keeps {out}, the output of {}, from being dragged past gnd at switch-on.", named(part)),
                    "A regulator started with its output beyond ground may latch and not come up.",
                    format!("Fit a 1N4001 at {}: {wanted} on {out}, the other end on gnd.", part.reference),
                ),
            )
        })
        .collect()
}
