//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks for a diode, zener or suppressor across the coil of every relay.
    ///
    /// A coil that is switched off drives its current on: without a path the voltage rises to a
    /// hundred volts and more, through the transistor that switched it, or as a spark at the
    /// contact and a click in the audio.
    ///
    /// Limits: the wiring is read: a part from one coil lead to the other. Its direction is
    /// another check's.
    id: "relay-coil-unclamped", gate: Power, stage: Ratings,
    sources: [("a free-wheeling diode across every relay coil", Practice)],
    sign_off: "The diode sits at the coil, its band towards the positive supply.",
    always_assessed: "the wiring alone is read",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    each_part(
        context,
        Gate::Power,
        &[Kind::Relay],
        "no relay in the box",
        |part| {
            let place = at(part, "nets");
            let coil = [part.net("coil1"), part.net("coil2")];
            let clamp = design.parts.values().find(|other| {
                matches!(
                    other.kind,
                    Kind::Diode | Kind::Zener | Kind::TransientSuppressor
                ) && other
                    .terminals
                    .values()
                    .all(|net| coil.contains(&Some(net.as_str())))
            });
            if let Some(clamp) = clamp {
                return Ok(Outcome::holds(
                    place,
                    format!("{} catches the coil's kick", clamp.reference),
                ));
            }
            let driver = design.parts.values().find(|other| {
                matches!(other.kind, Kind::Bipolar | Kind::Mosfet)
                    && other
                        .terminals
                        .values()
                        .any(|net| coil.contains(&Some(net.as_str())))
            });
            let (gate, then) = match driver {
                Some(_) => (
                    Gate::Power,
                    "The transistor that switches it sees a hundred volts or more and dies.",
                ),
                None => (
                    Gate::Share,
                    "The contact that switches it sparks, and every jack nearby hears the click.",
                ),
            };
            let related = driver.map(|driver| Place::part(&driver.reference));
            let (plus, minus) = (
                coil[0].unwrap_or("one lead"),
                coil[1].unwrap_or("the other"),
            );
            Ok(Outcome::fails(
                place,
                Failure::new(
                    gate,
                    format!("Nothing catches the kick of the coil of {} when it is switched off.", named(part)),
                    then,
                    format!("Fit a 1N4148 or 1N4001 across {plus} and {minus}, its band to the more positive one."),
                )
                .with(related.into_iter().collect()),
            ))
        },
    )
}
