//! From the mains side to the rails: sources, rectifiers, reservoirs, regulators.

use super::super::margins::comparison;
use super::super::words::{kind_words, listed};
use super::{Material, Words, net, say, value};
use crate::catalogue::{Kind, Property};
use crate::checks::prelude::REGULATORS;
use crate::checks::{Comparison, wiring};
use crate::dossier::block::{Inline, code};
use crate::evidence::Measure;
use crate::quantity::{Unit, format};
use crate::situations::powered;

/// What a check compared for a part and found to hold.
fn found<'a>(material: &Material<'a>, check: &str, part: &str) -> Option<&'a Comparison> {
    material
        .outcomes()
        .filter(|(each, outcome)| each.id == check && outcome.place().label() == part)
        .find_map(|(_, outcome)| comparison(outcome))
        .filter(|comparison| comparison.holds())
}

pub(super) fn sources(material: &Material) -> Words {
    let mut words = Words::new();
    for part in wiring::sources(material.design) {
        let what = match part.kind {
            Kind::AcAdaptor | Kind::Transformer => format!(
                "{} gives {} rms at {}",
                part.reference,
                value(part, Property::Output),
                value(part, Property::Current)
            ),
            Kind::DcAdaptor => format!(
                "{} gives {} DC",
                part.reference,
                value(part, Property::Output)
            ),
            _ => format!(
                "{} is a {} of {}",
                part.reference,
                kind_words(part.kind),
                value(part, Property::Value)
            ),
        };
        let nets: Vec<Inline> = part
            .terminals
            .iter()
            .filter(|(terminal, _)| wiring::drives(part, terminal))
            .enumerate()
            .flat_map(|(index, (_, net))| {
                let joint = if index == 0 { " between " } else { " and " };
                [joint.into(), code(net.as_str())]
            })
            .collect();
        let mut sentence: Words = [what.into()].into_iter().chain(nets).collect();
        let live = part
            .terminals
            .iter()
            .find(|(terminal, net)| wiring::drives(part, terminal) && *net != "gnd");
        if let Some((_, net)) = live
            && let Ok(high) = material.evidence.net(net, Measure::Maximum, powered)
            && matches!(part.kind, Kind::AcAdaptor | Kind::Transformer)
        {
            sentence.push(
                format!(
                    "; lightly loaded and with the mains high it peaks at {}",
                    format(high.high, Unit::Volt)
                )
                .into(),
            );
        }
        sentence.push(".".into());
        say(&mut words, sentence);
    }
    words
}

pub(super) fn rectifier(material: &Material) -> Words {
    let design = material.design;
    let alternating = wiring::alternating(design);
    let mut words = Words::new();
    let mut filled: Vec<&str> = Vec::new();
    let mut halves: Vec<&str> = Vec::new();
    for part in design.parts.values() {
        if part.kind == Kind::Bridge {
            say(
                &mut words,
                [
                    format!(
                        "{} turns both half-waves the same way, onto ",
                        part.reference
                    )
                    .into(),
                    net(part, "positive"),
                    " against ".into(),
                    net(part, "negative"),
                    ": the reservoir is filled twice in a period.".into(),
                ],
            );
            filled.extend(part.net("positive"));
            filled.extend(part.net("negative"));
        }
        if part.kind == Kind::Diode {
            let (Some(anode), Some(cathode)) = (part.net("anode"), part.net("cathode")) else {
                continue;
            };
            let (half, to) = match (alternating.contains(anode), alternating.contains(cathode)) {
                (true, false) => ("positive", cathode),
                (false, true) => ("negative", anode),
                _ => continue,
            };
            say(
                &mut words,
                [
                    format!("{} lets the {half} half-waves through to ", part.reference).into(),
                    code(to),
                    ".".into(),
                ],
            );
            filled.push(to);
            halves.push(&part.reference);
        }
    }
    if let [one, other] = halves[..] {
        say(
            &mut words,
            [
                format!(
                    "{one} and {other} are a pair of half-wave rectifiers on one winding: each \
                     fills its own reservoir once in a period, one above "
                )
                .into(),
                code("gnd"),
                " and one below.".into(),
            ],
        );
    }
    filled.dedup();
    for reservoir in filled.iter().filter(|net| **net != "gnd") {
        let held: Vec<String> = wiring::on(design, reservoir)
            .iter()
            .filter(|(part, _)| matches!(part.kind, Kind::Electrolytic | Kind::Tantalum))
            .map(|(part, _)| format!("{} ({})", part.reference, value(part, Property::Value)))
            .collect();
        if held.is_empty() {
            continue;
        }
        let mut sentence: Words = vec![
            format!("{} holds ", listed(&held)).into(),
            code(*reservoir),
            " between the peaks".into(),
        ];
        if let Ok(mean) = material.evidence.net(reservoir, Measure::Mean, powered)
            && let Ok(ripple) = material.evidence.net(reservoir, Measure::Ripple, powered)
        {
            sentence.push(
                format!(
                    ": {} on average when nominal, with {} of ripple; {} to {} on average over \
                     all corners",
                    format(mean.nominal, Unit::Volt),
                    format(ripple.nominal, Unit::Volt),
                    format(mean.low, Unit::Volt),
                    format(mean.high, Unit::Volt)
                )
                .into(),
            );
        }
        sentence.push(".".into());
        say(&mut words, sentence);
    }
    words
}

pub(super) fn regulators(material: &Material) -> Words {
    let mut words = Words::new();
    for part in material.design.parts.values() {
        if !REGULATORS.contains(&part.kind) {
            continue;
        }
        let name = part.type_name.as_deref().unwrap_or("regulator");
        let mut sentence: Words = vec![
            format!("{} ({name}) makes ", part.reference).into(),
            net(part, "out"),
            " from ".into(),
            net(part, "in"),
        ];
        if let Some(out) = part.net("out")
            && let Ok(mean) = material.evidence.net(out, Measure::Mean, powered)
        {
            sentence.push(format!(": {} when nominal", format(mean.nominal, Unit::Volt)).into());
        }
        for (check, seen, limit) in [
            (
                "regulator-drop-out",
                "; its input never falls below",
                "and it needs",
            ),
            (
                "regulator-over-voltage",
                "; its input never rises above",
                "and it takes",
            ),
            (
                "junction-over-temperature",
                "; it gets as hot as",
                "and may reach",
            ),
        ] {
            if let Some(c) = found(material, check, &part.reference) {
                let words = format!("{seen} {} {limit} {}", c.value_text(), c.limit_text());
                sentence.push(words.into());
            }
        }
        sentence.push(".".into());
        say(&mut words, sentence);
    }
    words
}
