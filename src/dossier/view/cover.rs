//! Title, facts and gates.

use super::words::{counted, gate_name};
use super::{Material, View};
use crate::checks::{Gate, Outcome};
use crate::design::{Connection, Derating};
use crate::dossier::block::{Block, Gate as Panel, Gates, Inline, Title, link, text};
use crate::quantity::{Unit, format_short, format_spread};
use crate::review::GateState;

pub(super) fn add(material: &Material, view: &mut View) {
    let design = material.design;
    let given = |value: &Option<String>| value.clone().unwrap_or_else(|| "not given".to_owned());
    let mut facts: Vec<(String, Vec<Inline>)> = vec![
        ("Revision".to_owned(), text(given(&design.revision))),
        (
            "Design dated".to_owned(),
            text(match &design.date {
                Some(date) => date.clone(),
                None if material.date.is_empty() => given(&None),
                None => format!("{} (of this dossier)", material.date),
            }),
        ),
        ("Author".to_owned(), text(given(&design.author))),
        ("Licence".to_owned(), text(given(&design.licence))),
    ];
    if let Some(mains) = design.conditions.mains {
        let frequency = format_short(mains.frequency, Unit::Hertz);
        let voltage = format_spread(&mains.voltage, Unit::Volt);
        facts.push(("Mains".to_owned(), text(format!("{voltage}, {frequency}"))));
    }
    let ambient = format_spread(&design.conditions.ambient, Unit::Celsius);
    facts.push(("Room".to_owned(), text(ambient)));
    let derating = match design.derating {
        Derating::Severe => "severe: parts well below their ratings, for harsh service",
        Derating::Benign => "benign: parts below their ratings, for indoor, attended service",
        Derating::None => "none: parts held to their bare ratings",
    };
    facts.push(("Derating".to_owned(), text(derating)));
    for (jack, connections) in &design.connections {
        for connection in connections {
            let (name, what) = match connection {
                Connection::Instrument {
                    instrument, input, ..
                } => (
                    "Feeds",
                    format!("{}, input {input}, from {jack}", instrument.title),
                ),
                Connection::Controller { controller, .. } => {
                    ("Takes", format!("{} in {jack}", controller.title))
                }
            };
            facts.push((name.to_owned(), text(what)));
        }
    }
    view.offer(
        "title",
        false,
        vec![Block::Title(Title {
            over: "Build dossier".to_owned(),
            title: design.title.clone(),
            purpose: text(design.purpose.clone().unwrap_or_default()),
            facts,
        })],
    );
    let gates = material
        .review
        .gates
        .iter()
        .map(|state| Panel {
            name: capital(gate_name(state.gate)),
            question: question(state.gate).to_owned(),
            open: state.open,
            reasons: reasons(material, state),
        })
        .collect();
    view.offer(
        "gates",
        true,
        vec![Block::Gates(Gates {
            gates,
            verdict: text(material.review.verdict.as_str()),
        })],
    );
    for (name, value) in [
        ("title", Some(design.title.clone())),
        ("revision", design.revision.clone()),
        ("date", design.date.clone()),
        ("author", design.author.clone()),
        ("licence", design.licence.clone()),
        ("purpose", design.purpose.clone()),
        ("verdict", Some(material.review.verdict.clone())),
    ] {
        view.field(name, value);
    }
    view.field("notes", design.notes.clone());
    let revisions: Vec<String> = design
        .revisions
        .iter()
        .map(|(name, what)| format!("{name}: {what}"))
        .collect();
    view.field("revisions", revisions);
}

/// What blocks a gate, or what an open one rests on.
fn reasons(material: &Material, state: &GateState) -> Vec<Vec<Inline>> {
    let mut reasons = Vec::new();
    if state.failures > 0 {
        let verb = if state.failures == 1 {
            "blocks"
        } else {
            "block"
        };
        let found = counted(state.failures, "finding", "findings");
        reasons.push(text(format!("{found} {verb} it.")));
    }
    if state.not_assessed > 0 {
        let verb = if state.not_assessed == 1 {
            "waits"
        } else {
            "wait"
        };
        let lines = counted(
            state.not_assessed,
            "line not assessed",
            "lines not assessed",
        );
        reasons.push(text(format!("{lines} {verb} for a signature.")));
    }
    if let Some(before) = state.blocked_by {
        reasons.push(text(format!("{} is blocked.", capital(gate_name(before)))));
    }
    if let Some(first) = material
        .review
        .findings
        .iter()
        .find(|f| f.gate == state.gate && f.blocks())
    {
        let link = link(
            format!("finding-{}", first.number),
            format!("finding {}", first.number),
        );
        reasons.push(vec!["See first: ".into(), link, ".".into()]);
    }
    if state.open {
        let held = material
            .outcomes()
            .filter(|(check, outcome)| {
                check.gate == state.gate && matches!(outcome, Outcome::Holds { .. })
            })
            .count();
        let lines = counted(held, "line holds", "lines hold");
        reasons.push(text(format!("{lines} at every corner looked at.")));
    }
    reasons
}

fn question(gate: Gate) -> &'static str {
    match gate {
        Gate::Power => "Safe to apply power?",
        Gate::Plug => "Safe to connect to the instrument?",
        Gate::Share => "Fit to hand to a stranger?",
        Gate::Note => "",
    }
}

fn capital(word: &str) -> String {
    let mut characters = word.chars();
    characters
        .next()
        .map(|first| first.to_uppercase().chain(characters).collect())
        .unwrap_or_default()
}
