//! See [`CHECK`].

use crate::checks::prelude::*;

/// Filter capacitance of one mains lead in a switching adaptor [F].
const FILTER: f64 = 2.2e-9;
/// Class II touch current limit [A].
const TOUCH: f64 = 0.25e-3;
/// Series resistance that tames the plug-in pulse [Ω].
const SERIES: f64 = 470.0;

check! {
    /// For boxes on a class II switching (regulated DC) adaptor, looks for at least 470 Ω between
    /// the box and the instrument's input.
    ///
    /// The secondary of such an adaptor floats at half the mains behind its filter capacitors. When
    /// a plug's tip touches before its sleeve, that voltage meets the input: 2 × 2.2 nF at 163 V
    /// hold 58 µJ. A resistor of 1 kΩ limits the pulse to 163 mA for a few microseconds.
    ///
    /// Limits: 2.2 nF for each lead is taken, which stays within the class II touch current of
    /// 0.25 mA; transformer adaptors float too, behind a hundred times less.
    id: "floating-adaptor-meets-jack", gate: Share, stage: Isolation,
    sources: [
        ("class II touch current 0.25 mA, IEC 60950-1", Confirmed),
        ("2.2 nF at 253 V 50 Hz: 0.175 mA; 2 × 2.2 nF at 163 V: 58 µJ", Computed),
        ("tip-first mating needs a series resistor and a clamp, or ground made first", Practice),
    ],
    sign_off: "The box is connected to the instrument before its adaptor is plugged into the mains.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let floats = wiring::sources(design).find(|part| {
        part.kind == Kind::DcAdaptor
            && part.word("regulated") != Some("false")
            && matches!(part.word("class"), Some("II") | None)
    });
    each_feed(
        context,
        Gate::Share,
        "the box feeds no instrument",
        |feed| {
            let place = at(feed.jack, "nets");
            let Some(adaptor) = floats else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "no class II switching adaptor supplies the box",
                ));
            };
            let source = context.evidence.source_resistance(feed.net)?;
            let mains = design
                .conditions
                .mains
                .map_or(253.0, |mains| mains.voltage.high);
            let frequency = design
                .conditions
                .mains
                .map_or(50.0, |mains| mains.frequency);
            let current = (2.0 * std::f64::consts::PI * frequency * FILTER * mains).min(TOUCH);
            let comparison = Comparison::at_least(
                "series resistance to the jack",
                &source,
                SERIES,
                Unit::Ohm,
                "what tames the plug-in pulse",
            );
            Ok(Outcome::compare(place, comparison, |c| {
                Failure::new(
                    Gate::Share,
                    format!(
                        "{} floats at up to {} ({} of touch current) and only {} stands between it and {}.",
                        named(adaptor),
                        volts(mains / 2.0),
                        amperes(current),
                        c.value_text(),
                        feed.label()
                    ),
                    "If the tip touches before the sleeve, that voltage discharges into the input.",
                    format!(
                        "Put 1 kΩ in series at {}, and plug in before power.",
                        feed.jack.reference
                    ),
                )
            }))
        },
    )
}
