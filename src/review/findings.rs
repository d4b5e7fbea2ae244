//! Findings: what fails and what could not be assessed, merged over the checks and ordered.

use super::{Assessment, Disposition};
use crate::checks::{Check, Failure, Gate, Outcome, Place};

/// Why a finding stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Blocker {
    /// The design fails a check.
    Failure(Box<Failure>),
    /// A check could not be made: what is missing.
    NotAssessed(String),
}

/// One finding. Its identity is check and place, never a line number.
#[derive(Debug, Clone)]
pub struct Finding {
    /// Number in the dossier, from 1.
    pub number: usize,
    /// The check.
    pub check: &'static Check,
    /// The gate it blocks; `Note` blocks none.
    pub gate: Gate,
    /// Where.
    pub place: Place,
    /// What.
    pub blocker: Blocker,
    /// What a person decided about it.
    pub disposition: Option<Disposition>,
    /// What this one brings about: findings that go away with it. None blocks a gate that this
    /// one does not block.
    pub consequences: Vec<Finding>,
}

impl Finding {
    /// Does it hold its gate shut?
    #[must_use]
    pub fn blocks(&self) -> bool {
        self.gate != Gate::Note && self.disposition.is_none()
    }

    /// True for a failure, false for a line not assessed.
    #[must_use]
    pub fn is_failure(&self) -> bool {
        matches!(self.blocker, Blocker::Failure(_))
    }

    /// The consequences in words: `capacitor over voltage at C3, resistor power at R4`; empty when
    /// there are none.
    #[must_use]
    pub fn consequences_in_words(&self) -> String {
        let words: Vec<String> = self
            .consequences
            .iter()
            .map(|one| {
                format!(
                    "{} at {}",
                    one.check.id.replace('-', " "),
                    one.place.label()
                )
            })
            .collect();
        words.join(", ")
    }

    /// What is wrong, or what is missing: one sentence.
    #[must_use]
    pub fn what(&self) -> &str {
        match &self.blocker {
            Blocker::Failure(failure) => &failure.what,
            Blocker::NotAssessed(missing) => missing,
        }
    }
}

/// Findings of all checks: by gate, failures before lines not assessed, then in registry order.
/// Several checks may speak of one place; the same check says each place only once.
pub(super) fn collect(assessments: &[Assessment]) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for assessment in assessments {
        for outcome in &assessment.outcomes {
            let (gate, blocker) = match outcome {
                Outcome::Fails { failure, .. } => {
                    // A failure is never more severe than its check declares.
                    (
                        failure.gate.max(assessment.check.gate),
                        Blocker::Failure(failure.clone()),
                    )
                }
                Outcome::NotAssessed { gate, missing, .. } => {
                    (*gate, Blocker::NotAssessed(missing.clone()))
                }
                Outcome::Holds { .. } | Outcome::DoesNotApply { .. } => continue,
            };
            let place = outcome.place().clone();
            let known = findings.iter().any(|finding| {
                finding.check.id == assessment.check.id
                    && finding.place == place
                    && finding.blocker == blocker
            });
            if !known {
                findings.push(Finding {
                    number: 0,
                    check: assessment.check,
                    gate,
                    place,
                    blocker,
                    disposition: None,
                    consequences: Vec::new(),
                });
            }
        }
    }
    findings.sort_by_key(|finding| (finding.gate, !finding.is_failure()));
    findings
}

/// Numbers the findings from 1; consequences bear the number of their cause.
pub(super) fn number(findings: &mut [Finding]) {
    for (index, finding) in findings.iter_mut().enumerate() {
        finding.number = index + 1;
        for consequence in &mut finding.consequences {
            consequence.number = index + 1;
        }
    }
}
