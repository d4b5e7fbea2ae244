//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for a half-wave rectifier that waits for the other half-cycle behind a DC adaptor or
    /// a battery: a diode with its cathode on the supply's positive side whose other end feeds a
    /// rail.
    ///
    /// A dual supply from one winding needs AC. With DC one rail works and the other never
    /// comes up; a regulator or op-amp with one rail missing puts out anything.
    ///
    /// Limits: the wiring is read through fuses, switches and links. Charge pumps are left alone.
    id: "dc-where-ac-is-needed", gate: Share, stage: Polarity,
    sources: [("IEC 60417-5031 direct, 5032 alternating current on the adaptor's label", Confirmed)],
    sign_off: "The adaptor's label shows ~ for AC or ⎓ for DC as the parts list has it.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::DcAdaptor, Kind::Battery];
    each_part(
        context,
        Gate::Share,
        kinds,
        "no DC adaptor or battery",
        |source| {
            let place = at(source, "kind");
            let design = context.design;
            let waiting = source
                .net("positive")
                .map(|net| wiring::reach(design, net))
                .into_iter()
                .flatten()
                .flat_map(|net| wiring::on(design, net))
                .find_map(|(part, lead)| {
                    let rail = part.net("anode")?;
                    let rectifies = part.kind == Kind::Diode && lead == "cathode" && rail != "gnd";
                    let sign = wiring::expected_sign(design, rail)
                        .or_else(|| wiring::capacitor_sign(design, rail))?;
                    (rectifies && sign < 0.0).then_some((part, rail))
                });
            let Some((diode, rail)) = waiting else {
                return Ok(Outcome::holds(place, "nothing behind it waits for AC"));
            };
            Ok(Outcome::fails(
            place,
            Failure::new(
                Gate::Share,
                format!(
                    "{} gives DC, but {} on {rail} only works on the negative half-cycles of AC.",
                    named(source), diode.reference
                ),
                format!("{rail} never comes up; what needs both rails puts out anything."),
                format!("Use an AC adaptor of the same voltage at {}.", source.reference),
            )
            .with(vec![Place::part(&diode.reference), Place::net(rail, "parts")]),
        ))
        },
    )
}
