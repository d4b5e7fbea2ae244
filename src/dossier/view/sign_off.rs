//! The sign-off: what software cannot see, and who answers for it.

use std::collections::BTreeMap;

use super::words::gate_name;
use super::{Material, View};
use crate::checks::{Gate, Outcome};
use crate::dossier::block::{Block, CheckItem, Checklist, Signature, text};
use crate::review::Worth;

pub(super) fn add(material: &Material, view: &mut View) {
    // Lines that several checks share are confirmed once, for the most severe of their gates.
    let mut lines: BTreeMap<&str, (Gate, usize)> = BTreeMap::new();
    for (index, checked) in material.review.assessments.iter().enumerate() {
        let applies = checked
            .outcomes
            .iter()
            .any(|outcome| !matches!(outcome, Outcome::DoesNotApply { .. }));
        if applies && !checked.check.sign_off.is_empty() {
            let entry = lines
                .entry(checked.check.sign_off)
                .or_insert((checked.check.gate, index));
            entry.0 = entry.0.min(checked.check.gate);
        }
    }
    let mut ordered: Vec<(Gate, usize, &str)> = lines
        .into_iter()
        .map(|(line, (gate, index))| (gate, index, line))
        .collect();
    ordered.sort_unstable();
    let items = ordered
        .into_iter()
        .map(|(gate, _, line)| CheckItem {
            text: text(line),
            belongs: text(before(gate)),
            ..CheckItem::default()
        })
        .collect();
    let mut signatures = vec![Signature {
        role: "Builder".to_owned(),
        signed: None,
    }];
    let given = material
        .file
        .map(|file| crate::review::signatures(file, &material.review.gates, material.fingerprint));
    let given = given.unwrap_or_default();
    signatures.extend(material.review.gates.iter().map(|state| {
        let signature = given.iter().find(|given| given.gate == state.gate);
        let role = format!("Reviewer, gate {}", gate_name(state.gate));
        match signature {
            Some(given) if given.worth == Worth::Stands => Signature {
                role,
                signed: Some((given.name.clone(), given.date.clone())),
            },
            // A signature that does not stand leaves its line blank and says why.
            Some(given) => Signature {
                role: format!(
                    "{role} ({}, {}: {})",
                    given.name,
                    given.date,
                    given.worth.words()
                ),
                signed: None,
            },
            None => Signature { role, signed: None },
        }
    }));
    view.offer(
        "sign-off",
        true,
        vec![Block::Checklist(Checklist {
            id: "sign-off".to_owned(),
            items,
            signatures,
            empty: "No check asks for a person's eye.".to_owned(),
        })],
    );
}

/// When the lines of a gate are to be confirmed.
fn before(gate: Gate) -> &'static str {
    match gate {
        Gate::Power => "Power: before and during the first, limited power-up",
        Gate::Plug => "Plug: before and while it first meets the instrument",
        Gate::Share => "Share: before it is handed on",
        Gate::Note => "Worth confirming; blocks nothing",
    }
}
