//! What each fault and slip puts on an input, the worst first.

use super::Material;
use super::output::feeds;
use crate::checks::feed::Feed;
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::draw::windows::{self, Mark, Row, Scale, Shape};
use crate::dossier::font::Fonts;
use crate::evidence::disturbed::{Disturbed, Reach, Same};
use crate::quantity::{Unit, format_range};

/// Rows shown; what reaches less far is counted.
const SHOWN: usize = 28;

/// One figure for each input.
pub(super) fn outcomes(material: &Material, disturbed: &Disturbed, fonts: &Fonts) -> Vec<Block> {
    feeds(material.design)
        .iter()
        .filter_map(|feed| of_input(disturbed, feed, fonts))
        .collect()
}

fn of_input(disturbed: &Disturbed, feed: &Feed, fonts: &Fonts) -> Option<Block> {
    let jack = feed.jack.reference.as_str();
    let accepted = feed.accepts();
    let survived = feed.survives().ok();
    let (floor, ceiling) = survived.unwrap_or(accepted);
    // How far beyond what is accepted, and whether beyond what is survived (where that is known).
    let far = |reach: &Reach| (reach.high - accepted.1).max(accepted.0 - reach.low);
    let harms = |reach: &Reach| reach.low < floor || reach.high > ceiling;
    let mut found: Vec<(f64, String, &Reach)> = disturbed
        .cases
        .iter()
        .filter(|case| case.same_as != Some(Same::Healthy))
        .filter_map(|case| {
            let here = |reach: &&Reach| reach.jack == jack && reach.index == feed.index;
            let reach = case.reaches.iter().find(here)?;
            Some((far(reach), case.disturbance.describe(), reach))
        })
        .collect();
    found.sort_by(|a, b| {
        let harm = harms(b.2).cmp(&harms(a.2));
        harm.then_with(|| b.0.total_cmp(&a.0))
            .then_with(|| a.1.cmp(&b.1))
    });
    let count = found.len();
    let beyond = found.iter().filter(|one| harms(one.2)).count();
    let shown = &found[..count.min(SHOWN)];
    if shown.is_empty() {
        return None;
    }
    // The survived range fills the middle half; what lies far beyond is an arrow.
    let scale = Scale::around((floor, ceiling));
    let rows: Vec<Row> = shown
        .iter()
        .map(|(far, name, reach)| {
            let shape = match survived {
                Some(_) if harms(reach) => Shape::Cross,
                _ if *far <= 0.0 => Shape::Dot,
                _ => Shape::Ring,
            };
            let farther = if reach.high - accepted.1 > accepted.0 - reach.low {
                reach.high
            } else {
                reach.low
            };
            Row {
                name: name.clone(),
                scale,
                outer: survived,
                window: accepted,
                expected: None,
                marks: vec![Mark {
                    at: farther,
                    reach: (reach.low, reach.high),
                    shape,
                }],
                words: said(reach),
            }
        })
        .collect();
    let (against, key, within) = legend(survived, beyond);
    let rest = if count > SHOWN {
        format!(" The other {} reach less far.", count - SHOWN)
    } else {
        String::new()
    };
    Some(Block::Figure(Figure {
        id: format!("faults-{jack}-{}", feed.index),
        scene: windows::draw(&rows, ["below", within, "above"], fonts),
        caption: text(format!(
            "What each fault or slip puts on {}, the worst of {count} first: lowest and highest \
             instant, against what the input accepts ({}, ground){against}. {key}{rest}",
            feed.label(),
            format_range(accepted.0, accepted.1, Unit::Volt, 3),
        )),
        alt: shown
            .iter()
            .map(|(_, name, reach)| {
                format!(
                    "{name}: {}",
                    format_range(reach.low, reach.high, Unit::Volt, 3)
                )
            })
            .collect::<Vec<_>>()
            .join("; "),
    }))
}

/// What the outer box and the marks mean, and what stands between its ends.
fn legend(survived: Option<(f64, f64)>, beyond: usize) -> (String, String, &'static str) {
    match survived {
        Some(survived) => (
            format!(
                " and survives ({}, outer box)",
                format_range(survived.0, survived.1, Unit::Volt, 3)
            ),
            format!(
                "Cross: beyond what it survives, {beyond} in all; ring: beyond what it accepts; \
                 dot: accepted."
            ),
            "survived",
        ),
        None => (
            String::new(),
            format!(
                "What it survives is not stated, so that any of the {beyond} beyond may harm it. \
                 Ring: beyond what it accepts; dot: accepted."
            ),
            "accepted",
        ),
    }
}

/// A reach in words; what is less than a millivolt is none.
fn said(reach: &Reach) -> String {
    let told = |volts: f64| if volts.abs() < 1e-3 { 0.0 } else { volts };
    format_range(told(reach.low), told(reach.high), Unit::Volt, 3)
}
