//! The bring-up sheet.

use super::{Material, View};
use crate::bringup::{Expected, Meter, Phase, Step as Taken, draws, steps};
use crate::dossier::block::{
    Align, Block, Cell, Column, Inline, Row, Status, Step, StepGroup, Steps, Table, code, text,
};
use crate::quantity::{Unit, format, format_range, format_short, format_to};

pub(super) fn add(material: &Material, view: &mut View) {
    let taken = steps(material.design, material.evidence, material.meter);
    let drawn = draws(material.design, material.evidence);
    let mut groups: Vec<(Phase, StepGroup)> = Vec::new();
    for step in &taken {
        if groups.last().is_none_or(|(phase, _)| *phase != step.phase) {
            let (title, before) = step.phase.words();
            groups.push((
                step.phase,
                StepGroup {
                    title: title.to_owned(),
                    before: text(match step.phase {
                        Phase::FirstPower => format!("{before}{drawn}"),
                        _ => before.to_owned(),
                    }),
                    steps: Vec::new(),
                },
            ));
        }
        if let Some((_, group)) = groups.last_mut() {
            group.steps.push(shown(step, material.meter));
        }
    }
    view.offer("bring-up-head", false, vec![Block::Table(head())]);
    view.field("steps_count", taken.len());
    view.field("meter", material.meter.describe());
    view.offer(
        "bring-up",
        true,
        vec![Block::Steps(Steps {
            id: "bring-up".to_owned(),
            groups: groups.into_iter().map(|(_, group)| group).collect(),
            empty: "The design gives no point to measure at.".to_owned(),
        })],
    );
}

fn shown(step: &Taken, meter: &Meter) -> Step {
    let mut action: Vec<Inline> = Vec::new();
    if !step.set.is_empty() {
        action.push(format!("{}. ", step.set).into());
    }
    if step.place.alone {
        action.extend(["Measure ".into(), step.point.as_str().into(), ".".into()]);
        return with(step, action, meter);
    }
    let point = step.point.split(" (").next().unwrap_or(&step.point);
    action.extend(["Measure ".into(), point.into(), " (".into()]);
    action.push(code(step.net.as_str()));
    if step.jack.is_none() {
        action.extend([") to ".into(), code("gnd"), ".".into()]);
    } else {
        action.push(").".into());
    }
    with(step, action, meter)
}

/// Who measures which box, when and with what: a record of the readings asks for it.
fn head() -> Table {
    let asked = [
        ("Box no.", ""),
        ("Measured by", ""),
        ("Date", ""),
        ("Meter", ""),
        ("Mains", "V"),
        ("Room", "°C"),
    ];
    Table {
        id: "bring-up-head".to_owned(),
        caption: text("To be filled in first: the record of the readings asks for it."),
        columns: asked
            .iter()
            .map(|(head, unit)| {
                let share = if unit.is_empty() { 1.0 } else { 0.7 };
                Column::new(head, Align::Left).share(share)
            })
            .collect(),
        rows: vec![Row::new(
            asked.map(|(_, unit)| Cell::Blank(unit.to_owned())),
        )],
        empty: String::new(),
    }
}

/// A step with what its meter is set to, what to expect, and where to stop.
fn with(step: &Taken, action: Vec<Inline>, meter: &Meter) -> Step {
    let (set, expected, unit) = match &step.expected {
        Expected::Voltage(window) | Expected::Alternating(window) => {
            let alternating = matches!(step.expected, Expected::Alternating(_));
            let kind = if alternating { "AC" } else { "DC" };
            let range = format_short(window.range, Unit::Volt);
            let words = text(format!(
                "{}, nominal {}",
                format_range(window.low, window.high, Unit::Volt, 3),
                format_to(window.nominal, Unit::Volt, 3)
            ));
            let first = step.first_range(meter).map_or_else(String::new, |first| {
                format!("{} first, then ", format_short(first, Unit::Volt))
            });
            (format!("{first}{range} {kind}"), words, Unit::Volt)
        }
        Expected::AtLeast(ohms) => (
            "resistance".to_owned(),
            text(format!("at least {}", format_to(*ohms, Unit::Ohm, 2))),
            Unit::Ohm,
        ),
        Expected::Near(ohms) => (
            "resistance".to_owned(),
            text(format!("near {}, the winding", format(*ohms, Unit::Ohm))),
            Unit::Ohm,
        ),
        Expected::Unknown(why) => (
            "—".to_owned(),
            vec![
                Inline::Status(Status::NotAssessed),
                format!("not computed: {why}").into(),
            ],
            Unit::Volt,
        ),
    };
    Step {
        id: format!("step-{}", step.number),
        action,
        meter: text(set),
        expected,
        stop: text(step.stop.clone().unwrap_or_default()),
        blank: Some(unit.symbol().to_owned()),
    }
}
