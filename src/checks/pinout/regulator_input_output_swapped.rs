//! See [`CHECK`].

use crate::checks::prelude::*;

/// Input below output by this much means they are exchanged or fed with the wrong sign [V].
const SLACK: f64 = 0.1;

check! {
    /// Compares the mean voltage at the input and output net of every regulator: in its own
    /// polarity the input must stand above the output.
    ///
    /// A regulator fitted the wrong way about passes the raw supply to the output through its
    /// reverse path: the rail behind it, and whatever hangs on it, sees all of it.
    ///
    /// Limits: the nominal situation with the box on.
    id: "regulator-input-output-swapped", gate: Power, stage: Pinout,
    sources: [
        ("78L in TO-92 is out, ground, in; 78xx in TO-220 is in, ground, out (ST, TI, onsemi)", Confirmed),
        ("79L in TO-92 is ground, in, out (onsemi)", Confirmed),
    ],
    sign_off: "With the regulator out, the raw supply was measured at its input hole, and nothing at its output hole.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_part(
        context,
        Gate::Power,
        REGULATORS,
        "no regulator in the box",
        |part| {
            let place = at(part, if part.pins.is_empty() { "nets" } else { "pins" });
            let (Some(input), Some(output)) = (part.net("in"), part.net("out")) else {
                return Err(lacks(format!(
                    "{} has an open input or output",
                    part.reference
                )));
            };
            let sign = wiring::polarity(part);
            let before = context.evidence.net(input, Measure::Mean, powered)?;
            let after = context.evidence.net(output, Measure::Mean, powered)?;
            let comparison = Comparison {
                quantity: "input less output".into(),
                value: sign * (before.nominal - after.nominal),
                limit: -SLACK,
                unit: Unit::Volt,
                bound: Bound::AtLeast,
                situation: Some(before.nominal_at),
                limit_is: "the input stands above the output".into(),
            };
            Ok(Outcome::compare(place, comparison, |_| {
                let word = if sign > 0.0 { "positive" } else { "negative" };
                let wrong_sign = sign * before.nominal < -SLACK;
                let package = part.package.as_deref().unwrap_or("the package as built");
                let pins: Vec<String> = part
                    .pins
                    .iter()
                    .map(|(pin, net)| format!("pin {pin} on {net}"))
                    .collect();
                let as_built = if pins.is_empty() {
                    String::new()
                } else {
                    format!(" ({}, {})", package, pins.join(", "))
                };
                Failure::new(
                    Gate::Power,
                    if wrong_sign {
                        format!(
                            "{} is a {word} regulator and gets {} at its input {input}{as_built}.",
                            named(part),
                            volts(before.nominal)
                        )
                    } else {
                        format!(
                            "{} has {} at its input {input} and {} at its output {output}{as_built}: the two are exchanged.",
                            named(part),
                            volts(before.nominal),
                            volts(after.nominal)
                        )
                    },
                    "The raw supply reaches the rail through the regulator's reverse path; it and what it feeds are destroyed.",
                    order(part),
                )
            }))
        },
    )
}

/// The pin order of this type and package, in words.
fn order(part: &Part) -> String {
    if part.pin_functions.is_empty() {
        return format!(
            "Put the raw supply on the input of {} and the rail on its output.",
            part.reference
        );
    }
    let order: Vec<String> = part
        .pin_functions
        .iter()
        .map(|(pin, function)| format!("{pin} {function}"))
        .collect();
    format!(
        "Wire {} as its package has it: {} ({}).",
        part.reference,
        order.join(", "),
        part.package
            .as_deref()
            .unwrap_or("flat face toward you, leads down")
    )
}
