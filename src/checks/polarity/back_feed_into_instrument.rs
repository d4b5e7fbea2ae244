//! See [`CHECK`].

use crate::checks::prelude::*;

/// Current into the protection diode of an unpowered input that it is sure to bear [A].
const INJECTION: f64 = 0.010;
/// Drop of that diode [V].
const DROP: f64 = 0.6;

check! {
    /// With the box on and the instrument off, estimates the current that the box's output can
    /// push through the instrument's input protection into its dead supply, and compares it with
    /// 10 mA: highest output voltage less 0.6 V, over the output's source resistance.
    ///
    /// An unpowered input looks like a diode to ground. Enough current powers the instrument
    /// halfway, latches it or burns the diode.
    ///
    /// Limits: where the instrument's file states its protection, a person must judge that instead
    /// (see the line to sign). The instrument's own series resistance is not counted, so the figure is an upper
    /// bound; 10 mA is the absolute maximum of common logic inputs, and makers of converters ask
    /// for 1 to 5 mA.
    id: "back-feed-into-instrument", gate: Plug, stage: Polarity,
    sources: [
        ("injection ±15 mA, and ±1 mA at the top of the supply range, a converter maker's sheet", Confirmed),
        ("10 mA absolute maximum input diode current, 4000 series", Memory),
    ],
    sign_off: "The protection stated of the instrument is known from its maker or its circuit, not only assumed; the instrument is switched on before the box, and off after it.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(context, Gate::Plug, "the box feeds no instrument", |feed| {
        let stated = feed.input.protection.as_deref();
        if let Some(protection) =
            stated.filter(|text| !matches!(*text, "none" | "unknown" | "none known"))
        {
            let says = format!("the instrument's own protection is stated: {protection}");
            return Ok(Outcome::holds(at(feed.jack, "nets"), says));
        }
        let meets = |s: &Situation| powered(s) && feed.may_meet(s);
        let high = context.evidence.net(feed.net, Measure::Maximum, meets)?;
        let low = context.evidence.net(feed.net, Measure::Minimum, meets)?;
        let source = context.evidence.source_resistance(feed.net)?;
        let (reach, situation) = if -low.low > high.high {
            (-low.low, low.low_at)
        } else {
            (high.high, high.high_at)
        };
        let through = (reach - DROP).max(0.0) / source.low.max(1e-3);
        // What drives the contact directly gives no more than its own limit.
        let limit = wiring::driven_directly(context.design, feed.net).and_then(most);
        let current = through.min(limit.unwrap_or(f64::INFINITY));
        let what = match limit {
            Some(limit) if limit < through => "as much as what drives it gives".to_owned(),
            _ => format!("{} through {}", volts(reach), ohms(source.low)),
        };
        let mut comparison = Comparison::fixed(
            "current into an unpowered input",
            current,
            Bound::AtMost,
            INJECTION,
            Unit::Ampere,
            "what a protection diode is sure to bear",
        );
        comparison.situation = Some(situation);
        Ok(Outcome::compare(at(feed.jack, "nets"), comparison, |c| {
            Failure::new(
                Gate::Plug,
                format!(
                    "With the instrument off, {} can push {} into {}: {what}; {} is safe.",
                    feed.jack.reference,
                    c.value_text(),
                    feed.label(),
                    c.limit_text()
                ),
                "The current powers the instrument through its input protection, latches or burns it.",
                format!(
                    "Fit {} in series with the output at {}.",
                    format_short(
                        preferred::e12((reach - DROP) / (INJECTION / 2.0)),
                        Unit::Ohm
                    ),
                    feed.jack.reference
                ),
            )
        }))
    })
}

/// The most current that a part drives out of its output [A]; `None` where nothing says.
fn most(driver: &Part) -> Option<f64> {
    [
        Property::ShortCircuitCurrent,
        Property::PeakCurrent,
        Property::OutputCurrent,
    ]
    .iter()
    .find_map(|property| driver.figure(*property))
    .map(|figure| figure.spread.high)
}
