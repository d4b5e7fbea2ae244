//! What the box can put out against what the instrument takes, and output over travel.

use super::margins;
use super::{Material, View};
use crate::checks::Stage;
use crate::checks::feed::{Feed, guessed};
use crate::design::{Connection, Design};
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::font::{Face, Fonts};
use crate::dossier::plot::{Area, Axis, Band, Limit, Line, Plot};
use crate::dossier::scene::{Anchor, Label, Rgb, Scene, Stroke};
use crate::dossier::style;
use crate::evidence::{Curve, Measure};
use crate::quantity::{Unit, format, format_range};
use crate::situations::{Plugged, Situation, control_name};

/// Which situations a bar stands for.
type Chosen<'a> = &'a dyn Fn(&Situation) -> bool;

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let feeds = feeds(material.design);
    let ranges: Vec<Block> = feeds
        .iter()
        .map(|feed| range_figure(material, feed))
        .collect();
    view.field("feeds_count", feeds.len());
    view.offer("output-range", true, ranges);
    let curves: Vec<Block> = material
        .evidence
        .curves
        .iter()
        .zip(1..)
        .map(|(curve, number)| transfer(material, fonts, (curve, number), &feeds))
        .collect();
    view.field("has_curves", !curves.is_empty());
    view.offer("transfer", false, curves);
    let table = margins::table(
        "output",
        "The output against the instrument's input and against what is promised of it.",
        margins::rows(material, Stage::OutputRange),
        "The box feeds no instrument.",
    );
    view.offer("output", true, vec![Block::Table(table)]);
}

/// Every instrument input that a jack may feed.
pub(super) fn feeds(design: &Design) -> Vec<Feed<'_>> {
    let mut feeds = Vec::new();
    for (jack, connections) in &design.connections {
        let Some(part) = design.parts.get(jack) else {
            continue;
        };
        for (index, connection) in connections.iter().enumerate() {
            if let Connection::Instrument {
                instrument,
                input: name,
                ..
            } = connection
                && let Some(input) = instrument.inputs.get(name)
                && let Some(net) = part.net(&input.signal)
            {
                feeds.push(Feed {
                    jack: part,
                    net,
                    index,
                    instrument,
                    name,
                    input,
                });
            }
        }
    }
    feeds
}

/// The name by which an input's figure is linked.
pub(super) fn range_anchor(feed: &Feed) -> String {
    format!("range-{}-{}", feed.jack.reference, feed.index)
}

/// A bar on the scale of volts.
struct Bar {
    words: String,
    ends: Option<(f64, f64)>,
    says: String,
    fill: Rgb,
    /// Drawn thin: what the box puts out; broad: what the input takes.
    thin: bool,
}

fn range_figure(material: &Material, feed: &Feed) -> Block {
    let bars = bars(material, feed);
    let ends = bars.iter().filter_map(|bar| bar.ends);
    let (low, high) = ends.fold((0.0_f64, 0.0_f64), |(low, high), (from, to)| {
        (low.min(from), high.max(to))
    });
    let span = (high - low).max(1.0);
    let (low, high) = (low - 0.04 * span, high + 0.04 * span);
    let (left, right, step, top) = (128.0, 362.0, 20.0, 8.0);
    #[allow(clippy::cast_precision_loss)]
    let bottom = top + step * bars.len() as f64;
    let mut scene = Scene::new(466.0, bottom + 26.0);
    let at = |volts: f64| left + (right - left) * (volts - low) / (high - low);
    // The ends of what the input takes run down through everything the box does.
    for bar in bars.iter().filter(|bar| !bar.thin) {
        for volts in bar.ends.into_iter().flat_map(|(from, to)| [from, to]) {
            scene.polyline(
                &[(at(volts), top), (at(volts), bottom)],
                Stroke::dashed(0.6, style::QUIET, &[2.0, 2.0]),
            );
        }
    }
    for (row, bar) in bars.iter().enumerate() {
        #[allow(clippy::cast_precision_loss)]
        let middle = top + step * (row as f64 + 0.5);
        let said = |x: f64, words: &str, anchor, colour| {
            Label::new((x, middle + 2.9), words, style::PLOT, colour).anchored(anchor)
        };
        scene.label(said(left - 8.0, &bar.words, Anchor::End, style::INK));
        match bar.ends {
            Some((from, to)) => {
                let height = if bar.thin { 6.0 } else { 13.0 };
                let width = (at(to) - at(from)).max(1.2);
                scene.rect(
                    (at(from), middle - height / 2.0),
                    (width, height),
                    Some(bar.fill),
                    (!bar.thin).then(|| Stroke::solid(0.6, style::QUIET)),
                );
                scene.label(said(right + 8.0, &bar.says, Anchor::Start, style::INK));
            }
            None => {
                scene.rect(
                    (left, middle - 6.0),
                    (right - left, 12.0),
                    Some(style::WHITE),
                    None,
                );
                scene.label(said(
                    left + 4.0,
                    &bar.says,
                    Anchor::Start,
                    style::NOT_ASSESSED,
                ));
            }
        }
    }
    scale(&mut scene, &at, (low, high), (left, right, bottom));
    let guess = [Some(&feed.input.accepts), feed.input.survives.as_ref()]
        .into_iter()
        .flatten()
        .any(guessed);
    let mut caption = text(format!(
        "{} at {} against {}. Lowest and highest instant of all states and corners; nothing \
         failed, nothing miswired.",
        material.design.title,
        feed.jack.reference,
        feed.label(),
    ));
    if guess {
        caption.push(
            " A range of the instrument is GUESSED: it was drawn in by a tenth of its width at \
             each end."
                .into(),
        );
    }
    let alt: Vec<String> = bars
        .iter()
        .map(|bar| format!("{}: {}", bar.words, bar.says))
        .collect();
    Block::Figure(Figure {
        id: range_anchor(feed),
        scene,
        caption,
        alt: alt.join("; "),
    })
}

fn bars(material: &Material, feed: &Feed) -> Vec<Bar> {
    let volts = |(low, high): (f64, f64)| format_range(low, high, Unit::Volt, 3);
    let mut bars = Vec::new();
    let mut taken = |words: &str, ends: Option<(f64, f64)>, fill: Rgb| {
        bars.push(Bar {
            words: words.to_owned(),
            ends,
            says: ends.map_or_else(|| "not given: not assessed".to_owned(), volts),
            fill,
            thin: false,
        });
    };
    taken(
        "input survives",
        feed.survives().ok(),
        style::RULE.tint(0.4),
    );
    taken(
        "input accepts",
        Some(feed.accepts()),
        style::HOLDS.tint(0.25),
    );
    let cases: [(&str, Chosen<'_>); 3] = [
        ("plugged in, box on", &|s| {
            feed.plugged(s) && s.state.powered
        }),
        ("plugged in, box off", &|s| {
            feed.plugged(s) && !s.state.powered
        }),
        ("unplugged, box on", &|s| {
            s.state.powered
                && matches!(
                    s.state.plugs.get(&feed.jack.reference),
                    Some(Plugged::Nothing) | None
                )
        }),
    ];
    for (words, when) in cases {
        let low = material.evidence.net(feed.net, Measure::Minimum, when);
        let high = material.evidence.net(feed.net, Measure::Maximum, when);
        bars.push(match (low, high) {
            (Ok(low), Ok(high)) => {
                let ends = (low.low, high.high);
                Bar {
                    words: words.to_owned(),
                    ends: Some(ends),
                    says: volts(ends),
                    fill: against(feed, ends),
                    thin: true,
                }
            }
            (Err(missing), _) | (_, Err(missing)) => Bar {
                words: words.to_owned(),
                ends: None,
                says: format!("not assessed: {}", missing.what),
                fill: style::NOT_ASSESSED,
                thin: true,
            },
        });
    }
    match material.evidence.excursion(feed.net) {
        Ok((extent, _)) => {
            let ends = (extent.low, extent.high);
            bars.push(Bar {
                words: "switching on and off".to_owned(),
                ends: Some(ends),
                says: volts(ends),
                fill: against(feed, ends),
                thin: true,
            });
        }
        Err(missing) => bars.push(Bar {
            words: "switching on and off".to_owned(),
            ends: None,
            says: format!("not assessed: {}", missing.what),
            fill: style::NOT_ASSESSED,
            thin: true,
        }),
    }
    bars
}

/// The colour of an output by where it stands: inside what is accepted, survived, or beyond.
fn against(feed: &Feed, (low, high): (f64, f64)) -> Rgb {
    let within = |(floor, ceiling): (f64, f64)| low >= floor && high <= ceiling;
    if within(feed.accepts()) {
        style::HOLDS
    } else if feed.survives().is_ok_and(within) {
        style::NOT_ASSESSED
    } else {
        style::FAILS
    }
}

/// A scale of volts with round steps of 1, 2 or 5 times a power of ten.
fn scale(
    scene: &mut Scene,
    at: &dyn Fn(f64) -> f64,
    (low, high): (f64, f64),
    (left, right, y): (f64, f64, f64),
) {
    scene.polyline(&[(left, y), (right, y)], Stroke::solid(0.6, style::INK));
    let rough = (high - low) / 6.0;
    let power = libm::pow(10.0, libm::floor(libm::log10(rough)));
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= rough)
        .unwrap_or(10.0 * power);
    let mut tick = (low / step).ceil();
    while tick * step <= high {
        let volts = tick * step;
        let x = at(volts);
        scene.polyline(&[(x, y), (x, y + 3.0)], Stroke::solid(0.6, style::INK));
        let words = crate::quantity::format_short(volts, Unit::Ratio);
        scene.label(
            Label::new((x, y + 12.0), words, style::PLOT, style::INK).anchored(Anchor::Middle),
        );
        tick += 1.0;
    }
    scene.label(
        Label::new((right + 8.0, y + 12.0), "V", style::PLOT, style::QUIET).face(Face::Condensed),
    );
}

fn transfer(
    material: &Material,
    fonts: &Fonts,
    (curve, number): (&Curve, usize),
    feeds: &[Feed],
) -> Block {
    let points = &curve.points;
    let feed = feeds.iter().find(|feed| feed.net == curve.net);
    let mut values: Vec<f64> = points.iter().flat_map(|p| [p.low, p.high]).collect();
    let mut bands = Vec::new();
    let mut limits = Vec::new();
    if let Some(feed) = feed {
        let (from, to) = feed.accepts();
        values.extend([from, to]);
        bands.push(Band {
            from,
            to,
            colour: style::HOLDS.tint(0.1),
            label: "accepted".to_owned(),
        });
        if let Ok((floor, ceiling)) = feed.survives() {
            let (low, high) = ends(&values);
            // Drawn when it is near enough to matter; far ones would flatten the curve.
            for limit in [floor, ceiling] {
                if limit > low - 0.35 * (high - low) && limit < high + 0.35 * (high - low) {
                    values.push(limit);
                    limits.push(Limit {
                        y: limit,
                        label: format!("survived to {}", format(limit, Unit::Volt)),
                        colour: style::FAILS,
                    });
                }
            }
        }
    }
    let end = |words: &str, of: fn(&crate::evidence::CurvePoint) -> f64| {
        points
            .last()
            .map(|point| format!("{words} {}", format(of(point), Unit::Volt)))
            .unwrap_or_default()
    };
    let line = |of: fn(&crate::evidence::CurvePoint) -> f64, stroke: Stroke, label: String| Line {
        points: points.iter().map(|p| (p.travel * 100.0, of(p))).collect(),
        stroke,
        label,
    };
    let control = control_name(material.design, &curve.control);
    let plot = Plot {
        width: 466.0,
        height: 200.0,
        x: Axis::over(&format!("travel of {control}, %"), [0.0, 100.0], 0.0),
        y: Axis::over(&format!("mean of {} to gnd, V", curve.net), values, 0.05),
        bands,
        areas: vec![Area {
            points: points
                .iter()
                .map(|p| (p.travel * 100.0, p.low, p.high))
                .collect(),
            colour: style::ACCENT.tint(0.22),
        }],
        lines: vec![
            line(
                |p| p.nominal,
                Stroke::solid(1.4, style::ACCENT),
                end("nominal", |p| p.nominal),
            ),
            line(
                |p| p.high,
                Stroke::solid(0.5, style::ACCENT),
                end("highest", |p| p.high),
            ),
            line(
                |p| p.low,
                Stroke::solid(0.5, style::ACCENT),
                end("lowest", |p| p.low),
            ),
        ],
        limits,
    };
    Block::Figure(Figure {
        id: format!("transfer-{number}"),
        scene: plot.draw(fonts),
        caption: text(format!(
            "Output over the travel of {control}, nominal and the reach of all corners ({}).",
            curve.state
        )),
        alt: format!(
            "{} over travel; {}",
            curve.net,
            end("nominal at the end", |p| p.nominal),
        ),
    })
}

fn ends(values: &[f64]) -> (f64, f64) {
    values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(*value), high.max(*value))
        })
}
