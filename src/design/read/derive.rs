//! Figures that follow from others, and what must hold between figures of one part.

use crate::catalogue::{self, Figure, Kind, Pedigree, Property, Property as P};
use crate::design::Part;
use crate::quantity::{Spread, Unit, format_short};
use crate::source::{Diagnostic, Entry, Reader};

/// Works out what the design left to be worked out.
pub(super) fn complete(part: &mut Part, entry: &Entry, reader: &mut Reader) {
    match part.kind {
        Kind::AcAdaptor | Kind::Transformer => winding(part),
        Kind::Battery => battery(part, entry, reader),
        Kind::Electrolytic => electrolytic(part),
        Kind::DcAdaptor => {
            let regulated = part.word("regulated") != Some("false");
            if !regulated && part.figure(P::OpenCircuit).is_none() {
                let error = Diagnostic::error(
                    "missing-figure",
                    format!("`{}` is not regulated and needs `open-circuit`", entry.key),
                )
                .at(entry.key_span, "")
                .hint("measure it with nothing connected; such adaptors can give half as much again as their label");
                reader.note(error);
            }
        }
        _ => {}
    }
    order(part, entry, P::Output, P::OpenCircuit, reader);
    order(part, entry, P::HoldCurrent, P::TripCurrent, reader);
}

fn derived(part: &mut Part, property: Property, spread: Spread, how: String) {
    let figure = Figure {
        spread,
        pedigree: Pedigree::Derived(how),
        tolerance_assumed: false,
    };
    part.figures.insert(property, figure);
}

/// Windings of the secondary that carry the rated current: a dual or centre-tapped one has two,
/// each of the `output` voltage.
fn windings(part: &Part) -> f64 {
    let two = ["a1", "centre"].iter().any(|t| part.net(t).is_some());
    if two { 2.0 } else { 1.0 }
}

/// VA from volts and amperes or amperes from VA; the open-circuit voltage from the VA.
fn winding(part: &mut Part) {
    let count = windings(part);
    let Some(output) = part.figure(P::Output).map(|figure| figure.spread.nominal) else {
        return;
    };
    let current = part.figure(P::Current).map(|figure| figure.spread.nominal);
    let va = part.figure(P::Va).map(|figure| figure.spread.nominal);
    let va = match (current, va) {
        (Some(current), None) => {
            let va = output * current * count;
            derived(
                part,
                P::Va,
                Spread::exact(va),
                "rated voltage × rated current".to_owned(),
            );
            va
        }
        (None, Some(va)) => {
            let current = va / output / count;
            derived(
                part,
                P::Current,
                Spread::exact(current),
                "VA ÷ rated voltage".to_owned(),
            );
            va
        }
        (_, Some(va)) => va,
        (None, None) => return,
    };
    if part.figure(P::OpenCircuit).is_none() {
        let (low, high) = no_load_factor(va);
        let spread = Spread {
            low: output * low,
            nominal: output * f64::midpoint(low, high),
            high: output * high,
        };
        let how = format!(
            "rated voltage × {low:.2}..{high:.2}, the usual no-load factor at {} (from memory)",
            format_short(va, Unit::VoltAmpere)
        );
        derived(part, P::OpenCircuit, spread, how);
    }
}

/// Open-circuit voltage ÷ rated voltage of small mains transformers by rated VA. Usual values of
/// the trade, from memory; read between the rows on a logarithmic scale, held beyond them.
fn no_load_factor(va: f64) -> (f64, f64) {
    const ROWS: [(f64, f64, f64); 7] = [
        (0.5, 1.9, 2.2),
        (1.0, 1.6, 1.9),
        (3.0, 1.35, 1.55),
        (6.0, 1.25, 1.40),
        (10.0, 1.20, 1.30),
        (20.0, 1.15, 1.22),
        (50.0, 1.10, 1.15),
    ];
    let after = ROWS.iter().position(|row| row.0 > va);
    let (before, after) = match after {
        Some(0) => return (ROWS[0].1, ROWS[0].2),
        None => return (ROWS[6].1, ROWS[6].2),
        Some(after) => (ROWS[after - 1], ROWS[after]),
    };
    let share = libm::log(va / before.0) / libm::log(after.0 / before.0);
    let between = |a: f64, b: f64| a + share * (b - a);
    (between(before.1, after.1), between(before.2, after.2))
}

/// What an aluminium electrolytic of that size may be expected to have, where nothing is said.
fn electrolytic(part: &mut Part) {
    let (Some(value), Some(rating)) = (part.figure(P::Value), part.figure(P::Rating)) else {
        return;
    };
    let expected = catalogue::electrolytic(value.spread.nominal, rating.spread.nominal);
    for (property, figure) in expected {
        part.figures.entry(property).or_insert(figure);
    }
}

/// The working voltage runs from flat to fresh.
fn battery(part: &mut Part, entry: &Entry, reader: &mut Reader) {
    let (Some(fresh), Some(flat)) = (part.figure(P::Fresh), part.figure(P::Flat)) else {
        return;
    };
    let (low, high) = (flat.spread.low, fresh.spread.high);
    if low >= high {
        reader.note(
            Diagnostic::error(
                "impossible-value",
                format!("`{}` is flat at a higher voltage than fresh", entry.key),
            )
            .at(entry.key_span, "")
            .hint("`fresh` is the voltage of a new battery, `flat` that of a spent one"),
        );
        return;
    }
    let nominal = part
        .figure(P::Value)
        .map_or(f64::midpoint(low, high), |figure| figure.spread.nominal)
        .clamp(low, high);
    let spread = Spread { low, nominal, high };
    derived(part, P::Value, spread, "from flat to fresh".to_owned());
}

/// The first may not exceed the second.
fn order(part: &Part, entry: &Entry, less: Property, more: Property, reader: &mut Reader) {
    let (Some(low), Some(high)) = (part.figure(less), part.figure(more)) else {
        return;
    };
    if low.spread.nominal > high.spread.nominal {
        let place = entry
            .value
            .get(more.key())
            .map_or(entry.key_span, |n| n.span);
        let unit = less.unit(part.kind);
        reader.note(
            Diagnostic::error(
                "impossible-value",
                format!(
                    "`{}` of {} is below its `{}` of {}",
                    more.key(),
                    format_short(high.spread.nominal, unit),
                    less.key(),
                    format_short(low.spread.nominal, unit)
                ),
            )
            .at(place, ""),
        );
    }
}
