//! Findings: what fails and what could not be assessed, merged over the checks and ordered.

use super::{Assessment, Disposition};
use crate::checks::{Check, Failure, Gate, Outcome, Place, Subject};

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
    /// The same of other parts, word for word but for their names and nets: printed as one.
    pub alike: Vec<Finding>,
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

    /// This one and those alike.
    pub fn with_alike(&self) -> impl Iterator<Item = &Self> {
        std::iter::once(self).chain(&self.alike)
    }

    /// What to do, for this one and those alike, the same advice once.
    #[must_use]
    pub fn remedies(&self) -> String {
        let mut remedies: Vec<&str> = Vec::new();
        for finding in self.with_alike() {
            if let Blocker::Failure(failure) = &finding.blocker
                && !remedies.contains(&failure.remedy.as_str())
            {
                remedies.push(&failure.remedy);
            }
        }
        remedies.join(" ")
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
                    alike: Vec::new(),
                });
            }
        }
    }
    findings.sort_by_key(|finding| (finding.gate, !finding.is_failure()));
    findings
}

/// Puts findings that say the same of different parts under the first of them: undecided failures
/// of one check with one reason, no number of their own and nothing that they bring about.
pub(super) fn merge(findings: &mut Vec<Finding>) {
    let mut merged: Vec<Finding> = Vec::new();
    for finding in std::mem::take(findings) {
        match merged.iter_mut().find(|first| alike(first, &finding)) {
            Some(first) => first.alike.push(finding),
            None => merged.push(finding),
        }
    }
    *findings = merged;
}

fn alike(one: &Finding, other: &Finding) -> bool {
    let plain = |finding: &Finding| {
        finding.disposition.is_none()
            && finding.consequences.is_empty()
            && matches!(finding.place.subject, Subject::Part(_))
    };
    let why = |finding: &Finding| match &finding.blocker {
        Blocker::Failure(failure) if failure.comparison.is_none() => Some(failure.why.clone()),
        _ => None,
    };
    one.check.id == other.check.id
        && one.gate == other.gate
        && plain(one)
        && plain(other)
        && why(one).is_some()
        && why(one) == why(other)
}

/// Numbers the findings from 1; consequences and those alike bear the same number.
pub(super) fn number(findings: &mut [Finding]) {
    for (index, finding) in findings.iter_mut().enumerate() {
        finding.number = index + 1;
        for other in finding.consequences.iter_mut().chain(&mut finding.alike) {
            other.number = index + 1;
        }
    }
}
