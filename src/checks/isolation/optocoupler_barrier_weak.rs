//! See [`CHECK`].

use crate::checks::prelude::*;

/// Test voltage of basic insulation at 230 V, rms [V].
const BARRIER: f64 = 1500.0;

check! {
    /// Where one side of an optocoupler is declared isolated from `gnd`, compares the voltage its
    /// barrier was tested with against 1.5 kV. Where both sides hang on `gnd`, a note says that it
    /// isolates nothing.
    ///
    /// An isolated side floats: behind a class II adaptor at half the mains, and with a fault in
    /// that adaptor at all of it. The barrier is then what stands between it and the instrument.
    ///
    /// Limits: the part's barrier alone; creepage on the board, wires that cross over, and
    /// capacitors from side to side are for the eye. No transistor output makes mains safe to handle.
    id: "optocoupler-barrier-weak", gate: Plug, stage: Isolation,
    sources: [
        ("IEC 60950-1 table 5B: 1500 V rms tests basic insulation at 230 V", Memory),
        ("a barrier joined on both sides to one ground isolates nothing", Practice),
    ],
    sign_off: "No wire, trace or screw bridges the barrier; 5 mm stay free under the optocoupler.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let isolated = |part: &Part, leads: [&str; 2]| {
        leads.iter().any(|lead| {
            part.net(lead)
                .is_some_and(|net| context.design.isolated.iter().any(|one| one == net))
        })
    };
    each_part(
        context,
        Gate::Plug,
        &[Kind::Optocoupler],
        "no optocoupler in the box",
        |part| {
            let apart =
                isolated(part, ["anode", "cathode"]) != isolated(part, ["collector", "emitter"]);
            if !apart {
                return Ok(Outcome::fails(
                    at(part, "nets"),
                    Failure::new(
                        Gate::Note,
                        format!(
                            "{} isolates nothing: its LED and its transistor hang on one ground.",
                            named(part)
                        ),
                        "Whoever counts on it for isolation is mistaken; hum and faults pass round it.",
                        format!(
                            "If it is there to isolate, give one side of {} its own supply and ground and list its nets under `isolated:`.",
                            part.reference
                        ),
                    ),
                ));
            }
            let comparison = Comparison::fixed(
                "isolation test voltage",
                rated(part, Property::IsolationVoltage)?,
                Bound::AtLeast,
                BARRIER,
                Unit::Volt,
                "basic insulation at 230 V",
            );
            Ok(Outcome::compare(at(part, "type"), comparison, |c| {
                Failure::new(
                    Gate::Plug,
                    format!(
                        "The barrier of {} was tested with {}; {} is the least: {} short.",
                        named(part),
                        c.value_text(),
                        c.limit_text(),
                        c.gap()
                    ),
                    "A fault in the adaptor on one side then reaches the instrument on the other.",
                    format!("Fit a type tested with {} or more.", c.limit_text()),
                )
            }))
        },
    )
}
