//! Each regulator's input between what it needs and what it stands.

use super::margins::comparison;
use super::{Material, View};
use crate::checks::{Comparison, Subject};
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::draw::windows::{self, Mark, Row, Scale, Shape};
use crate::dossier::font::Fonts;
use crate::evidence::Measure;
use crate::quantity::{Unit, format_range, format_to};
use crate::situations::powered;

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let rows: Vec<Row> = material
        .design
        .parts
        .keys()
        .filter_map(|part| row(material, part))
        .collect();
    let figure = (!rows.is_empty()).then(|| {
        Block::Figure(Figure {
            id: "headroom".to_owned(),
            caption: text(
                "Input of each regulator in the worst of all situations, from the trough of its ripple \
                 at the lowest to the crest at the highest, between what it needs (its output and its \
                 drop-out voltage) and what it stands. Broken line: mean, all nominal. Dot: inside; \
                 cross: not.",
            ),
            alt: rows
                .iter()
                .map(|row| format!("{}: {}", row.name, row.words))
                .collect::<Vec<_>>()
                .join("; "),
            scene: windows::draw(&rows, ["drops out", "works", "too high"], fonts),
        })
    });
    view.field("has_headroom", figure.is_some());
    view.offer("headroom", false, figure.into_iter().collect());
}

/// Both ends come from the checks that judge them.
fn row(material: &Material, part: &str) -> Option<Row> {
    let judged = |check: &str| -> Option<&Comparison> {
        material
            .outcomes()
            .filter(|(one, _)| one.id == check)
            .find(|(_, outcome)| {
                matches!(&outcome.place().subject, Subject::Part(name) if name == part)
            })
            .and_then(|(_, outcome)| comparison(outcome))
    };
    let (least, most) = (
        judged("regulator-drop-out")?,
        judged("regulator-over-voltage")?,
    );
    let input = material.design.parts.get(part)?.net("in")?;
    let reads = |measure| material.evidence.net(input, measure, powered);
    let mean = reads(Measure::Mean).ok()?.nominal.abs();
    let ripple = reads(Measure::Ripple).ok()?.high;
    // An adjustable regulator is judged by what is across it; its input's mean is no place there.
    // One that is judged by both has no scale for them.
    let across = most.quantity == "input to output";
    if across != (least.quantity == "least headroom") {
        return None;
    }
    let window = (least.limit, most.limit);
    let inside = least.holds() && most.holds();
    Some(Row {
        name: format!(
            "{part}, {}",
            if across { "input to output" } else { "input" }
        ),
        scale: Scale::Even(0.0, 1.15 * most.limit),
        outer: None,
        window,
        expected: (!across).then_some(mean),
        marks: vec![Mark {
            at: least.value,
            reach: (least.value, most.value),
            shape: if inside { Shape::Dot } else { Shape::Cross },
        }],
        words: format!(
            "{} in {}, ripple {}",
            format_range(least.value, most.value, Unit::Volt, 3),
            format_range(window.0, window.1, Unit::Volt, 3),
            format_to(ripple, Unit::Volt, 2)
        ),
    })
}
