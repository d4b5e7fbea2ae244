//! The rails: what each net does, and its waveform.

use super::words::{missing_cell, situation};
use super::{Material, View};
use crate::checks::wiring;
use crate::design::{Design, Promised};
use crate::dossier::block::{Align, Block, Cell, Column, Figure, Row, Table, text};
use crate::dossier::font::Fonts;
use crate::dossier::plot::{Axis, Line, Plot};
use crate::dossier::scene::{Rgb, Stroke};
use crate::dossier::style;
use crate::evidence::{Measure, Recording};
use crate::quantity::{Unit, format_range, format_to};
use crate::situations::powered;

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let nets = nets(material.design);
    let rows: Vec<Row> = nets.iter().map(|net| row(material, net)).collect();
    let table = Table {
        id: "rails".to_owned(),
        caption: text(
            "Voltages to gnd with the box on: lowest and highest instant of all states and \
             corners, mean when nominal, and the largest ripple.",
        ),
        columns: vec![
            Column::new("Net", Align::Left),
            Column::new("At", Align::Left),
            Column::new("Lowest", Align::Decimal),
            Column::new("Mean, nominal", Align::Decimal),
            Column::new("Highest", Align::Decimal),
            Column::new("Ripple, peak to peak", Align::Decimal),
            Column::new("Lowest when", Align::Left).share(1.0),
            Column::new("Highest when", Align::Left).share(1.0),
        ],
        rows,
        empty: "The design has no supply net.".to_owned(),
    };
    view.offer("rails", true, vec![Block::Table(table)]);
    let figures: Vec<Block> = material
        .evidence
        .recordings
        .iter()
        .zip(1..)
        .filter_map(|(recording, number)| waveform(material, fonts, (recording, number), &nets))
        .collect();
    view.field("has_waveforms", !figures.is_empty());
    view.offer("waveforms", false, figures);
}

/// Nets with a name a builder meets: supplies, what regulators make, promised nets, test points.
fn nets(design: &Design) -> Vec<&str> {
    let promised: Vec<&str> = design
        .promises
        .iter()
        .filter_map(|promise| match &promise.promised {
            Promised::Is { at, .. } | Promised::Spans { at, .. } | Promised::Ripple { at, .. } => {
                Some(at.as_str())
            }
            Promised::Junction { .. } => None,
        })
        .collect();
    design
        .nets
        .iter()
        .map(String::as_str)
        .filter(|net| *net != "gnd")
        .filter(|net| {
            wiring::is_supply(design, net)
                || wiring::is_fed(design, net)
                || promised.contains(net)
                || design.test_points.values().any(|other| other == net)
        })
        .collect()
}

/// A mean below this share of a net's reach is none.
const ROUNDING: f64 = 1e-5;

fn row(material: &Material, net: &str) -> Row {
    let at: Vec<&str> = material
        .design
        .test_points
        .iter()
        .filter(|(_, other)| *other == net)
        .map(|(name, _)| name.as_str())
        .collect();
    let mut cells = vec![Cell::code(net), Cell::text(at.join(", "))];
    let look = |measure| material.evidence.net(net, measure, powered);
    let volts = |value: f64| Cell::text(format_to(value, Unit::Volt, 4));
    match (
        look(Measure::Minimum),
        look(Measure::Mean),
        look(Measure::Maximum),
    ) {
        (Ok(low), Ok(mean), Ok(high)) => {
            // What is left of an alternating voltage's mean is rounding.
            let reach = low.low.abs().max(high.high.abs());
            let rounding = mean.nominal.abs() < ROUNDING * reach;
            let nominal = if rounding { 0.0 } else { mean.nominal };
            cells.extend([volts(low.low), volts(nominal), volts(high.high)]);
            cells.push(match look(Measure::Ripple) {
                Ok(ripple) => Cell::text(format_to(ripple.high, Unit::Volt, 3)),
                Err(missing) => missing_cell(&missing),
            });
            cells.push(Cell::Text(situation(material, low.low_at)));
            cells.push(Cell::Text(situation(material, high.high_at)));
        }
        (Err(missing), ..) | (_, Err(missing), _) | (.., Err(missing)) => {
            cells.extend((0..4).map(|_| Cell::text("—")));
            cells.push(missing_cell(&missing));
        }
    }
    Row::new(cells)
}

/// Told apart by colour and by dash, and never in the colours that say how something stands.
const PENS: [(Rgb, &[f64]); 6] = [
    (style::ACCENT, &[]),
    (style::INK, &[4.0, 2.0]),
    (style::ACCENT, &[1.2, 1.6]),
    (style::QUIET, &[]),
    (style::INK, &[6.0, 2.0, 1.2, 2.0]),
    (style::QUIET, &[2.4, 1.6]),
];

fn waveform(
    material: &Material,
    fonts: &Fonts,
    (recording, number): (&Recording, usize),
    nets: &[&str],
) -> Option<Block> {
    let (first, last) = (recording.time.first()?, recording.time.last()?);
    // Where nothing alternates, one instant stands for all: the table says it.
    if last <= first {
        return None;
    }
    let lines: Vec<Line> = recording
        .nets
        .iter()
        .filter(|(net, volts)| nets.contains(&net.as_str()) && volts.len() == recording.time.len())
        .zip(PENS.iter().cycle())
        .map(|((net, volts), (colour, dash))| Line {
            points: recording
                .time
                .iter()
                .zip(volts)
                .map(|(time, volt)| (time * 1e3, *volt))
                .collect(),
            stroke: Stroke::dashed(1.1, *colour, dash),
            label: net.clone(),
        })
        .collect();
    if lines.is_empty() {
        return None;
    }
    let spans: Vec<String> = lines
        .iter()
        .map(|line| {
            let volts = line.points.iter().map(|point| point.1);
            let low = volts.clone().fold(f64::INFINITY, f64::min);
            let high = volts.fold(f64::NEG_INFINITY, f64::max);
            let range = format_range(low, high, Unit::Volt, 3);
            format!("{} between {range}", line.label)
        })
        .collect();
    let spans = spans.join("; ");
    let values = lines
        .iter()
        .flat_map(|line| line.points.iter().map(|p| p.1));
    let values: Vec<f64> = values.chain([0.0]).collect();
    let from = first * 1e3;
    let plot = Plot {
        width: 466.0,
        height: 158.0,
        x: Axis::over("time, ms", [from, last * 1e3], 0.0),
        y: Axis::over("voltage to gnd, V", values, 0.05),
        bands: Vec::new(),
        areas: Vec::new(),
        lines,
        limits: Vec::new(),
    };
    let mut caption = text(format!("Waveforms, {}", recording.title));
    let when = situation(material, recording.situation);
    if !when.is_empty() && recording.situation != 0 {
        caption.push(": ".into());
        caption.extend(when);
    }
    caption.push(".".into());
    Some(Block::Figure(Figure {
        id: format!("waveforms-{number}"),
        scene: plot.draw(fonts),
        caption,
        alt: format!("Voltage over {:.3} ms: {spans}", (last - first) * 1e3),
    }))
}
