//! The output over time while the box is switched on and off.

use super::output::feeds;
use super::words::situation;
use super::{Material, View};
use crate::checks::feed::Feed;
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::font::Fonts;
use crate::dossier::plot::{Axis, Band, Limit, Line, Plot};
use crate::dossier::scene::Stroke;
use crate::dossier::style;
use crate::evidence::Trace;
use crate::quantity::{Unit, format, format_range};

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let mut figures = Vec::new();
    for feed in feeds(material.design) {
        for event in ["switch-on", "switch-off"] {
            let traces: Vec<&Trace> = material
                .evidence
                .traces
                .iter()
                .filter(|trace| trace.net == feed.net && trace.event == event)
                .collect();
            figures.extend(figure(material, fonts, &feed, event, &traces));
        }
    }
    view.field("has_switching", !figures.is_empty());
    view.offer("switching", false, figures);
}

/// What moves no farther than this share of the whole has come to rest.
const STILL: f64 = 5e-3;

/// When a trace has come to rest, and a tenth longer.
fn settled(trace: &Trace, still: f64) -> f64 {
    let Some((end, rest)) = trace.points.last() else {
        return 0.0;
    };
    let last = trace
        .points
        .iter()
        .rev()
        .find(|(_, v)| (v - rest).abs() > still);
    last.map_or(*end, |(time, _)| (1.1 * time).min(*end))
}

fn figure(
    material: &Material,
    fonts: &Fonts,
    feed: &Feed,
    event: &str,
    traces: &[&Trace],
) -> Option<Block> {
    let volts = || traces.iter().flat_map(|t| t.points.iter().map(|p| p.1));
    let low = volts().fold(f64::INFINITY, f64::min);
    let high = volts().fold(f64::NEG_INFINITY, f64::max);
    let end = traces
        .iter()
        .map(|trace| settled(trace, STILL * (high - low)))
        .fold(0.0_f64, f64::max);
    if traces.is_empty() || end <= 0.0 {
        return None;
    }
    let (per_second, unit) = if end > 2.0 { (1.0, "s") } else { (1e3, "ms") };
    let (from, to) = feed.accepts();
    let mut values = vec![low, high, from, to];
    let mut limits = Vec::new();
    if let Ok((floor, ceiling)) = feed.survives() {
        // Drawn where it is near enough to matter; far ones would flatten the curve.
        let (bottom, top) = (low.min(from), high.max(to));
        for limit in [floor, ceiling] {
            if limit > bottom - 0.35 * (top - bottom) && limit < top + 0.35 * (top - bottom) {
                values.push(limit);
                limits.push(Limit {
                    y: limit,
                    label: format!("survived to {}", format(limit, Unit::Volt)),
                    colour: style::FAILS,
                });
            }
        }
    }
    let strokes = [
        Stroke::solid(1.2, style::ACCENT),
        Stroke::dashed(1.0, style::INK, &[3.0, 1.6]),
    ];
    let reach = |trace: &Trace| {
        let volts = trace.points.iter().map(|p| p.1);
        let ends = volts.fold((f64::INFINITY, f64::NEG_INFINITY), |ends, v| {
            (ends.0.min(v), ends.1.max(v))
        });
        format_range(ends.0, ends.1, Unit::Volt, 3)
    };
    let lines = traces
        .iter()
        .zip(strokes)
        .map(|(trace, stroke)| Line {
            points: trace
                .points
                .iter()
                .filter(|(t, _)| *t <= end)
                .map(|(t, v)| (t * per_second, *v))
                .collect(),
            stroke,
            label: reach(trace),
        })
        .collect();
    let plot = Plot {
        width: 466.0,
        height: 150.0,
        x: Axis::over(
            &format!("time since {event}, {unit}"),
            [0.0, end * per_second],
            0.0,
        ),
        y: Axis::over(&format!("{} to gnd, V", feed.net), values, 0.05),
        bands: vec![Band {
            from,
            to,
            colour: style::HOLDS.tint(0.1),
            label: "accepted".to_owned(),
        }],
        areas: Vec::new(),
        lines,
        limits,
    };
    let mut caption = text(format!(
        "The output at {} during {event}, where it goes farthest of all that were followed",
        feed.jack.reference
    ));
    for (words, trace) in [": ", "; broken: "].into_iter().zip(traces) {
        let when = situation(material, trace.situation);
        if !when.is_empty() {
            caption.push(words.into());
            caption.extend(when);
        }
    }
    caption.push(".".into());
    let alt: Vec<String> = traces.iter().map(|trace| reach(trace)).collect();
    Some(Block::Figure(Figure {
        id: format!("{event}-{}-{}", feed.jack.reference, feed.index),
        scene: plot.draw(fonts),
        caption,
        alt: format!(
            "{} over {} of {event}: {}",
            feed.net,
            format(end, Unit::Second),
            alt.join("; ")
        ),
    }))
}
