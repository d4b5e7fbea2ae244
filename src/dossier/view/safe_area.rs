//! Which adaptor and which load each regulator can be given.

use super::{Material, View};
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::scene::{Anchor, Label, Rgb, Scene, Stroke};
use crate::dossier::style;
use crate::evidence::safe_area::{SafeArea, Verdict};
use crate::quantity::{Unit, format, format_short, format_to};

const CELL: (f64, f64) = (38.0, 14.0);
const LEFT: f64 = 64.0;
const TOP: f64 = 16.0;

pub(super) fn add(material: &Material, view: &mut View) {
    let figures: Vec<Block> = material.safe_areas.iter().map(figure).collect();
    view.field("has_safe_areas", !figures.is_empty());
    view.offer("safe-areas", false, figures);
}

/// The letter of a verdict and the ground it stands on.
fn look(verdict: Verdict) -> (&'static str, Rgb) {
    match verdict {
        Verdict::Works => ("", style::HOLDS.tint(0.22)),
        Verdict::DropsOut => ("D", style::WHITE),
        Verdict::Overloaded => ("A", style::RULE.tint(0.5)),
        Verdict::TooHot => ("T", style::NOT_ASSESSED.tint(0.35)),
        Verdict::TooHigh => ("V", style::FAILS.tint(0.35)),
        Verdict::Unknown => ("?", style::WHITE),
    }
}

fn figure(area: &SafeArea) -> Block {
    let (rows, columns) = (area.voltages.len(), area.loads.len());
    let (width, height) = (CELL.0 * columns as f64, CELL.1 * rows as f64);
    let mut scene = Scene::new(466.0, TOP + height + 30.0);
    let said = |at: (f64, f64), words: String, anchor| {
        Label::new(at, words, style::PLOT, style::INK).anchored(anchor)
    };
    scene.label(said(
        (0.0, 9.0),
        format!("rated voltage of {}", area.supply),
        Anchor::Start,
    ));
    for (row, verdicts) in area.verdicts.iter().enumerate() {
        // The highest voltage at the top.
        let y = TOP + CELL.1 * (rows - 1 - row) as f64;
        let words = format_to(area.voltages[row], Unit::Volt, 3);
        scene.label(said((LEFT - 6.0, y + 10.0), words, Anchor::End));
        for (column, verdict) in verdicts.iter().enumerate() {
            let x = LEFT + CELL.0 * column as f64;
            let (letter, ground) = look(*verdict);
            let edge = Stroke::solid(0.4, style::RULE);
            scene.rect((x, y), CELL, Some(ground), Some(edge));
            let middle = (x + 0.5 * CELL.0, y + 10.0);
            scene.label(said(middle, letter.to_owned(), Anchor::Middle));
        }
    }
    for (column, load) in area.loads.iter().enumerate() {
        let x = LEFT + CELL.0 * (column as f64 + 0.5);
        let words = format_short(*load, Unit::Ampere);
        scene.label(said((x, TOP + height + 11.0), words, Anchor::Middle));
    }
    scene.label(said(
        (LEFT + width, TOP + height + 24.0),
        format!("load added behind {}", area.regulator),
        Anchor::End,
    ));
    // The row of the adaptor as designed.
    let near = |at: &usize| (area.voltages[*at] - area.rated).abs();
    if let Some(row) = (0..rows).min_by(|a, b| near(a).total_cmp(&near(b))) {
        let y = TOP + CELL.1 * (rows - 1 - row) as f64;
        let edge = Stroke::solid(1.2, style::INK);
        scene.rect((LEFT, y), (width, CELL.1), None, Some(edge));
        scene.label(said(
            (LEFT + width + 6.0, y + 10.0),
            "as designed".to_owned(),
            Anchor::Start,
        ));
    }
    Block::Figure(Figure {
        id: format!("safe-area-{}", area.regulator),
        scene,
        caption: text(format!(
            "What {} does with another adaptor and more load, all else nominal, the room at its \
             warmest. {}. Solved at every square; the corners of mains and tolerances are not in it.",
            area.regulator,
            legend(area).join("; ")
        )),
        alt: alt(area),
    })
}

/// What the squares mean, of those that occur.
fn legend(area: &SafeArea) -> Vec<&'static str> {
    let occurs = |verdict: Verdict| area.verdicts.iter().flatten().any(|v| *v == verdict);
    [
        (Verdict::Works, "Green: works"),
        (Verdict::DropsOut, "D: drops out"),
        (
            Verdict::Overloaded,
            "A: the adaptor gives more than its rated current",
        ),
        (
            Verdict::TooHot,
            "T: its junction is over its highest temperature",
        ),
        (Verdict::TooHigh, "V: its input is over its maximum"),
        (Verdict::Unknown, "?: no solution"),
    ]
    .into_iter()
    .filter(|(verdict, _)| occurs(*verdict))
    .map(|(_, words)| words)
    .collect()
}

/// Row by row, the loads that work.
fn alt(area: &SafeArea) -> String {
    let rows = area
        .voltages
        .iter()
        .zip(&area.verdicts)
        .map(|(voltage, verdicts)| {
            let works: Vec<String> = area
                .loads
                .iter()
                .zip(verdicts)
                .filter(|(_, verdict)| **verdict == Verdict::Works)
                .map(|(load, _)| format_short(*load, Unit::Ampere))
                .collect();
            let works = if works.is_empty() {
                "nothing works".to_owned()
            } else {
                format!("works with {}", works.join(", "))
            };
            format!("{}: {works}", format(*voltage, Unit::Volt))
        });
    format!(
        "{} by adaptor voltage; {}",
        area.regulator,
        rows.collect::<Vec<_>>().join("; ")
    )
}
