//! Tolerances three ways: the extremes, first order, and boxes drawn at random.

use super::words::situation;
use super::{Material, View};
use crate::dossier::block::{
    Align, Block, Cell, Column, Figure, Row as TableRow, Table, code, text,
};
use crate::dossier::draw::windows::{self, Mark, Row, Scale, Shape};
use crate::dossier::font::Fonts;
use crate::evidence::carlo::statistics::{quantile, unseen};
use crate::evidence::carlo::{Carlo, Quantity, Spreading};
use crate::quantity::{Unit, format_percent, format_range, format_to};

/// The part of all boxes that a spread encloses: from this quantile to the one as far from the top.
const TAIL: f64 = 0.025;
/// Normal deviate of that tail.
const DEVIATE: f64 = 1.96;

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let drawn = material
        .evidence
        .carlo
        .as_ref()
        .filter(|carlo| carlo.unsolved == 0 && !carlo.spreads.is_empty());
    view.field("has_tolerances", drawn.is_some());
    let mut blocks = Vec::new();
    if let Some(carlo) = drawn {
        view.field("runs_count", carlo.draws.runs);
        view.field("runs_seed", carlo.draws.seed.to_string());
        view.field("runs_unseen", format_percent(unseen(carlo.draws.runs), 2));
        blocks.push(figure(material, carlo, fonts));
        blocks.push(Block::Table(table(material, carlo)));
    }
    view.offer("tolerances", false, blocks);
}

fn unit(spread: &Spreading) -> Unit {
    match spread.quantity {
        Quantity::Net(_) => Unit::Volt,
        Quantity::Junction(_) => Unit::Celsius,
    }
}

fn name(spread: &Spreading) -> String {
    match &spread.quantity {
        Quantity::Net(net) => net.clone(),
        Quantity::Junction(part) => format!("{part} junction"),
    }
}

/// What its state has that the nominal one has not, after a comma.
fn unusual(material: &Material, spread: &Spreading) -> String {
    let words = |at: usize| {
        let situation = material.evidence.situations.get(at);
        situation.map_or_else(Vec::new, |s| s.state.words.split(", ").collect())
    };
    let usual = words(0);
    let mut here = words(spread.state);
    here.retain(|word| !usual.contains(word));
    here.insert(0, "");
    here.join(", ")
}

fn told(value: f64, unit: Unit) -> String {
    if unit == Unit::Volt && value.abs() < 1e-4 {
        return "0 V".to_owned();
    }
    format_to(value, unit, 3)
}

/// The enclosed range of the runs.
fn enclosed(spread: &Spreading) -> (f64, f64) {
    let at = |part| quantile(&spread.values, part).value;
    (at(TAIL), at(1.0 - TAIL))
}

fn figure(material: &Material, carlo: &Carlo, fonts: &Fonts) -> Block {
    let rows: Vec<Row> = carlo
        .spreads
        .iter()
        .map(|spread| {
            let unit = unit(spread);
            let when = unusual(material, spread);
            let window = spread.extremes;
            let median = quantile(&spread.values, 0.5).value;
            let shape = if spread.beyond > 0 {
                Shape::Cross
            } else {
                Shape::Dot
            };
            Row {
                name: format!("{}{when}", name(spread)),
                scale: Scale::around(window),
                outer: None,
                window,
                expected: Some(spread.nominal),
                marks: vec![Mark {
                    at: median,
                    reach: enclosed(spread),
                    shape,
                }],
                words: format_range(enclosed(spread).0, enclosed(spread).1, unit, 3),
            }
        })
        .collect();
    let alt: Vec<String> = rows
        .iter()
        .map(|row| format!("{}: {}", row.name, row.words))
        .collect();
    Block::Figure(Figure {
        id: "tolerances-figure".to_owned(),
        scene: windows::draw(&rows, ["", "between the extremes", ""], fonts),
        caption: text(format!(
            "Where 95 in 100 of {} boxes drawn at random lie (whisker; dot: the middle one), between the \
             extremes of the corners (window; broken line: all nominal). Each row has a scale of its own.",
            carlo.draws.runs
        )),
        alt: format!("Where 95 in 100 drawn boxes lie: {}", alt.join("; ")),
    })
}

fn table(material: &Material, carlo: &Carlo) -> Table {
    let rows = carlo.spreads.iter().map(|spread| {
        let unit = unit(spread);
        let (low, high) = (
            quantile(&spread.values, TAIL),
            quantile(&spread.values, 1.0 - TAIL),
        );
        let (deviation, agrees) = spread.first_order;
        let first_order = if agrees {
            // No further than the extremes: a sum of squares knows of no limits.
            let end = |sign: f64| {
                (spread.nominal + sign * DEVIATE * deviation)
                    .clamp(spread.extremes.0, spread.extremes.1)
            };
            format_range(end(-1.0), end(1.0), unit, 3)
        } else {
            "does not hold".to_owned()
        };
        let eats: Vec<String> = spread
            .shares
            .iter()
            .take(3)
            .filter(|(_, share)| *share >= 0.05)
            .map(|(parameter, share)| format!("{} {:.0} %", parameter.describe(), share * 100.0))
            .collect();
        let surely = |interval: (f64, f64)| {
            let end = |value: f64| {
                if value.is_finite() {
                    told(value, unit)
                } else {
                    "?".to_owned()
                }
            };
            format!("{} to {}", end(interval.0), end(interval.1))
        };
        let mut what = match &spread.quantity {
            Quantity::Net(net) => vec![code(net.as_str())],
            Quantity::Junction(_) => text(name(spread)),
        };
        let when = situation(material, spread.state);
        if !when.is_empty() {
            what.push(", ".into());
            what.extend(when);
        }
        TableRow::new(vec![
            Cell::Text(what),
            Cell::text(format_range(spread.extremes.0, spread.extremes.1, unit, 3)),
            Cell::text(first_order),
            Cell::text(format!(
                "{} ({})",
                told(low.value, unit),
                surely(low.interval)
            )),
            Cell::text(format!(
                "{} ({})",
                told(high.value, unit),
                surely(high.interval)
            )),
            Cell::text(eats.join(", ")),
        ])
    });
    Table {
        id: "tolerances".to_owned(),
        caption: text(
            "Mean voltages and junction temperatures where each stands highest and lowest. By first \
             order: the root of the sum of squares, 95 in 100, where the drawn boxes bear it out. Of \
             these: the quantiles, with the interval that holds the true one with 95 % confidence, \
             whatever the distribution.",
        ),
        columns: vec![
            Column::new("Of", Align::Left).share(1.0),
            Column::new("Extremes", Align::Left),
            Column::new("By first order", Align::Left),
            Column::new("2.5 % lie below", Align::Left).share(0.9),
            Column::new("2.5 % lie above", Align::Left).share(0.9),
            Column::new("What spreads it most", Align::Left).share(1.0),
        ],
        rows: rows.collect(),
        ..Table::default()
    }
}
