//! One step in words, for a plain terminal of 80 columns.

use crate::bringup::{Expected, Phase, Step};
use crate::quantity::{Unit, format_range, format_short, format_to};
use crate::records::Meter;
use textwrap::Options;

const WIDTH: usize = 78;

/// What a step expects, in words.
#[must_use]
pub fn expectation(step: &Step) -> String {
    match &step.expected {
        Expected::Voltage(window) | Expected::Alternating(window) => format!(
            "{}, about {}",
            format_range(window.low, window.high, Unit::Volt, 3),
            format_to(window.nominal, Unit::Volt, 3)
        ),
        Expected::AtLeast(ohms) => {
            format!("at least {}; `OL` is good", format_to(*ohms, Unit::Ohm, 2))
        }
        Expected::Near(ohms) => format!(
            "{}, the winding",
            format_range(0.5 * ohms, 2.0 * ohms, Unit::Ohm, 2)
        ),
        Expected::Unknown(why) => format!("not computed ({why}): the step cannot pass"),
    }
}

/// The whole step.
#[must_use]
pub fn prompt(step: &Step, of: usize, meter: &Meter) -> String {
    let mut lines = vec![format!("Step {} of {of}", step.number)];
    let mut add = |label: &str, text: &str| {
        let first = format!("  {label:<8} ");
        let options = Options::new(WIDTH)
            .initial_indent(&first)
            .subsequent_indent("           ");
        lines.push(textwrap::fill(text, options));
    };
    if !step.set.is_empty() {
        add("Set", &step.set);
    }
    let probes = match &step.jack {
        _ if step.place.alone => step.point.clone(),
        Some(_) => step.point.clone(),
        None => format!("red to {}, black to gnd", step.point),
    };
    add("Probes", &probes);
    let range = match (&step.expected, step.phase) {
        (_, Phase::Cold) => {
            let ohms = step.expected.limits().map_or(1e6, |limits| limits.low);
            let range = meter.range(ohms * 1.5, Unit::Ohm);
            format!("resistance, {} range", format_short(range, Unit::Ohm))
        }
        (Expected::Voltage(window), _) => {
            let first = step.first_range(meter).map_or_else(String::new, |first| {
                format!("{} range first, then ", format_short(first, Unit::Volt))
            });
            let range = format_short(window.range, Unit::Volt);
            format!("DC voltage, {first}{range} range")
        }
        (Expected::Alternating(window), _) => {
            format!(
                "AC voltage, {} range",
                format_short(window.range, Unit::Volt)
            )
        }
        _ => "DC voltage, highest range first".to_owned(),
    };
    add("Meter", &range);
    add("Expect", &expectation(step));
    if let Some(stop) = &step.stop {
        add("Stop", stop);
    }
    add("Below", &step.if_low);
    add("Above", &step.if_high);
    lines.join("\n")
}
