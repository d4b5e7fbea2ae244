//! Heat: the thermal table, and junction temperature over room temperature.

use super::margins;
use super::{Material, View};
use crate::catalogue::Property;
use crate::checks::Stage;
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::font::Fonts;
use crate::dossier::plot::{Axis, Limit, Line, Plot};
use crate::dossier::scene::Stroke;
use crate::dossier::style;
use crate::evidence::Stress;
use crate::quantity::{Unit, format_short};
use crate::situations::{Level, Parameter, Situation, powered};

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let table = margins::table(
        "thermal",
        "Heat, at the hottest of all situations. Shares of a temperature are counted from 25 °C.",
        margins::rows(material, Stage::Thermal),
        "No part has a temperature to be held against.",
    );
    view.offer("thermal", true, vec![Block::Table(table)]);
    view.field(
        "thermal_nearest",
        margins::nearest(material, Stage::Thermal),
    );
    let figure = junctions(material, fonts);
    view.field("has_junctions", figure.is_some());
    view.offer("junctions", false, figure.into_iter().collect());
}

/// Junction temperature over room temperature: each part's highest at the cold and at the warm end
/// of the room, all else at its worst.
fn junctions(material: &Material, fonts: &Fonts) -> Option<Block> {
    let room = material.design.conditions.ambient;
    if !room.is_spread() {
        return None;
    }
    let at = |part: &str, level: Level| -> Option<f64> {
        let when = |s: &Situation| powered(s) && s.corner.level(&Parameter::Ambient) == level;
        let extent = material
            .evidence
            .stress(part, Stress::Junction, when)
            .ok()?;
        Some(extent.high)
    };
    let mut lines: Vec<(f64, Line)> = Vec::new();
    let mut limits: Vec<(f64, String)> = Vec::new();
    for part in material.design.parts.values() {
        let ends = [
            (room.low, Level::Low),
            (room.nominal, Level::Nominal),
            (room.high, Level::High),
        ];
        let points: Vec<(f64, f64)> = ends
            .into_iter()
            .filter_map(|(ambient, level)| Some((ambient, at(&part.reference, level)?)))
            .collect();
        let [_, .., (_, hottest)] = points[..] else {
            continue;
        };
        lines.push((
            hottest,
            Line {
                points,
                stroke: Stroke::solid(1.1, style::ACCENT),
                label: format!(
                    "{} {}",
                    part.reference,
                    format_short(hottest.round(), Unit::Celsius)
                ),
            },
        ));
        if let Some(limit) = part.figure(Property::JunctionLimit) {
            limits.push((limit.spread.nominal, part.reference.clone()));
        }
    }
    // The six hottest say what matters; the table has them all.
    lines.sort_by(|a, b| b.0.total_cmp(&a.0));
    lines.truncate(6);
    let hottest = lines.first()?.0;
    let shown: Vec<Line> = lines.into_iter().map(|(_, line)| line).collect();
    let lowest = limits
        .iter()
        .map(|(limit, _)| *limit)
        .fold(f64::INFINITY, f64::min);
    let values = shown
        .iter()
        .flat_map(|line| line.points.iter().map(|p| p.1));
    let values: Vec<f64> = values
        .chain([room.low, lowest.min(hottest.max(lowest))])
        .collect();
    let plot = Plot {
        width: 460.0,
        height: 170.0,
        x: Axis::over("room temperature, °C", [room.low, room.high], 0.0),
        y: Axis::over("junction temperature, °C", values, 0.05),
        bands: Vec::new(),
        areas: Vec::new(),
        lines: shown,
        limits: lowest
            .is_finite()
            .then(|| Limit {
                y: lowest,
                label: format!("lowest limit {}", format_short(lowest, Unit::Celsius)),
                colour: style::FAILS,
            })
            .into_iter()
            .collect(),
    };
    Some(Block::Figure(Figure {
        id: "junctions".to_owned(),
        scene: plot.draw(fonts),
        caption: text(
            "Highest junction temperature over the temperature of the room, mains and tolerances \
             at their worst; the hottest parts.",
        ),
        alt: format!(
            "Lines rising from left to right; the highest ends at {}",
            format_short(hottest.round(), Unit::Celsius),
        ),
    }))
}
