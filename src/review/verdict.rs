//! The verdict: one paragraph that a technician would say aloud.

use super::{Finding, GateState};
use crate::checks::Gate;
use crate::design::{Connection, Design};

/// Writes the verdict.
pub(super) fn verdict(design: &Design, gates: &[GateState; 3], findings: &[Finding]) -> String {
    let mut sentences = Vec::new();
    let revision = design
        .revision
        .as_ref()
        .map_or(String::new(), |r| format!(", revision {r},"));
    for state in gates {
        let subject = match state.gate {
            Gate::Power => format!("{}{revision}", design.title),
            _ => "It".to_owned(),
        };
        sentences.push(sentence(design, state, &subject, findings));
    }
    sentences.join(" ")
}

fn sentence(design: &Design, state: &GateState, subject: &str, findings: &[Finding]) -> String {
    let (yes, no) = match state.gate {
        Gate::Power => (
            "may be powered".to_owned(),
            "must not be powered".to_owned(),
        ),
        Gate::Plug => {
            let instrument = instrument(design);
            (
                format!("may be plugged into {instrument}"),
                format!("must not be plugged into {instrument} yet"),
            )
        }
        _ => (
            "is fit to share".to_owned(),
            "is not fit to share yet".to_owned(),
        ),
    };
    if state.open {
        return format!("{subject} {yes}, as designed and within the limits stated here.");
    }
    let own: Vec<&Finding> = findings
        .iter()
        .filter(|f| f.gate == state.gate && f.blocks())
        .collect();
    let mut text = format!("{subject} {no}");
    match own.first() {
        Some(first) => {
            let count = own.len();
            if count == 1 {
                text.push_str(": ");
            } else if first.is_failure() {
                text.push_str(&format!(", for {count} reasons; first: "));
            } else {
                text.push_str(&format!(", with {count} lines open; first: "));
            }
            text.push_str(first.what().trim_end_matches('.'));
            text.push('.');
        }
        None => {
            let blocking = match state.blocked_by {
                Some(Gate::Power) => "because it must not be powered",
                _ => "because it must not be plugged in",
            };
            text.push_str(&format!(", {blocking}."));
        }
    }
    text
}

fn instrument(design: &Design) -> String {
    design
        .connections
        .values()
        .flatten()
        .find_map(|connection| match connection {
            Connection::Instrument { instrument, .. } => Some(format!("the {}", instrument.title)),
            Connection::Controller { .. } => None,
        })
        .unwrap_or_else(|| "an instrument".to_owned())
}
