//! The three gates.

use super::Finding;
use crate::checks::Gate;

/// Whether a gate is open, and what holds it shut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GateState {
    /// The gate.
    pub gate: Gate,
    /// Open?
    pub open: bool,
    /// Failures that block this gate itself.
    pub failures: usize,
    /// Lines not assessed that block this gate itself.
    pub not_assessed: usize,
    /// An earlier gate that is blocked and blocks this one too.
    pub blocked_by: Option<Gate>,
}

/// `plug` needs `power`; `share` needs both.
pub(super) fn decide(findings: &[Finding]) -> [GateState; 3] {
    let mut blocked_by = None;
    [Gate::Power, Gate::Plug, Gate::Share].map(|gate| {
        let count = |failure: bool| {
            findings
                .iter()
                .filter(|f| f.gate == gate && f.blocks() && f.is_failure() == failure)
                .count()
        };
        let (failures, not_assessed) = (count(true), count(false));
        let open = failures == 0 && not_assessed == 0 && blocked_by.is_none();
        let state = GateState {
            gate,
            open,
            failures,
            not_assessed,
            blocked_by,
        };
        if !open && blocked_by.is_none() {
            blocked_by = Some(gate);
        }
        state
    })
}
