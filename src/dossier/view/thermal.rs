//! Heat: the thermal table, and junction temperature over room temperature.

use super::margins;
use super::words::listed;
use super::{Material, View};
use crate::catalogue::Property;
use crate::checks::Stage;
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::font::Fonts;
use crate::dossier::plot::{Axis, Limit, Line, Plot};
use crate::dossier::scene::Stroke;
use crate::dossier::style;
use crate::evidence::BEYOND_ANY_MODEL;
use crate::quantity::{Unit, format_short};

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

/// Junction temperature over room temperature: each part's hottest situation with the room alone
/// changed.
fn junctions(material: &Material, fonts: &Fonts) -> Option<Block> {
    let room = material.design.conditions.ambient;
    if !room.is_spread() {
        return None;
    }
    let mut lines: Vec<(f64, (f64, String), Line)> = Vec::new();
    let mut beyond: Vec<String> = Vec::new();
    for part in material.design.parts.values() {
        let over = &material.evidence.junctions_over_room;
        let Some(points) = over.get(&part.reference).cloned() else {
            continue;
        };
        let Some((_, hottest)) = points.last().copied() else {
            continue;
        };
        if hottest > BEYOND_ANY_MODEL {
            beyond.push(part.reference.clone());
            continue;
        }
        let limit = part
            .figure(Property::JunctionLimit)
            .or_else(|| part.figure(Property::TemperatureLimit))
            .map_or(f64::INFINITY, |limit| limit.spread.low);
        lines.push((
            hottest,
            (limit, part.reference.clone()),
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
    }
    // The six hottest say what matters; the table has them all.
    lines.sort_by(|a, b| b.0.total_cmp(&a.0));
    lines.truncate(6);
    let hottest = lines.first()?.0;
    let limits = limits(&lines);
    let shown: Vec<Line> = lines.into_iter().map(|(.., line)| line).collect();
    let values = shown
        .iter()
        .flat_map(|line| line.points.iter().map(|p| p.1));
    let values: Vec<f64> = values
        .chain(limits.iter().map(|limit| limit.y))
        .chain([room.low])
        .collect();
    let plot = Plot {
        width: 460.0,
        height: 170.0,
        x: Axis::over("room temperature, °C", [room.low, room.high], 0.0),
        y: Axis::over("junction temperature, °C", values, 0.05),
        bands: Vec::new(),
        areas: Vec::new(),
        lines: shown,
        limits,
    };
    Some(Block::Figure(Figure {
        id: "junctions".to_owned(),
        scene: plot.draw(fonts),
        caption: text(format!(
            "Highest junction temperature over the temperature of the room, all else held where \
             each part is hottest; what the heat itself changes in the circuit is in the table, not \
             here; the hottest parts.{}",
            if beyond.is_empty() {
                String::new()
            } else {
                format!(
                    " Not drawn: {}, above {}, where no model holds.",
                    listed(&beyond),
                    format_short(BEYOND_ANY_MODEL, Unit::Celsius)
                )
            }
        )),
        alt: format!(
            "Lines rising from left to right; the highest ends at {}",
            format_short(hottest.round(), Unit::Celsius),
        ),
    }))
}

/// The limits of the hottest part and of those that come within ten kelvins of theirs.
fn limits(lines: &[(f64, (f64, String), Line)]) -> Vec<Limit> {
    let near = |(index, (hottest, (limit, _), _)): &(usize, &(f64, (f64, String), Line))| {
        limit.is_finite() && (*index == 0 || hottest + 10.0 >= *limit)
    };
    let mut limits: Vec<(f64, Vec<&str>)> = Vec::new();
    for (_, (_, (limit, part), _)) in lines.iter().enumerate().filter(near) {
        match limits
            .iter_mut()
            .find(|(known, _)| known.total_cmp(limit).is_eq())
        {
            Some((_, parts)) => parts.push(part),
            None => limits.push((*limit, vec![part])),
        }
    }
    limits
        .into_iter()
        .map(|(limit, parts)| Limit {
            y: limit,
            label: format!(
                "limit of {} {}",
                parts.join(", "),
                format_short(limit, Unit::Celsius)
            ),
            colour: style::FAILS,
        })
        .collect()
}
