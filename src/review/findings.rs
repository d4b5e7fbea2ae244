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
        let remedies = self.with_alike().filter_map(|one| match &one.blocker {
            Blocker::Failure(failure) => Some((one.place.label(), failure.remedy.as_str())),
            Blocker::NotAssessed(_) => None,
        });
        said_once(remedies).join(" ")
    }

    /// What is wrong with this one and those alike: what differs in nothing but the part that it
    /// names is said once.
    #[must_use]
    pub fn all_that_is_wrong(&self) -> Vec<String> {
        said_once(self.with_alike().map(|one| (one.place.label(), one.what())))
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

/// From how many on texts that differ only in the part they name are said once.
const MANY: usize = 3;

/// Texts, each with the label of its place: equal ones once; of many that differ only in the label,
/// the first, and the other labels.
fn said_once<'a>(texts: impl Iterator<Item = (String, &'a str)>) -> Vec<String> {
    let mut groups: Vec<(String, Vec<(String, &str)>)> = Vec::new();
    for (label, text) in texts {
        let pattern = without(text, &label);
        match groups.iter_mut().find(|(known, _)| *known == pattern) {
            Some((_, members)) if members.iter().any(|(_, known)| *known == text) => {}
            Some((_, members)) => members.push((label, text)),
            None => groups.push((pattern, vec![(label, text)])),
        }
    }
    groups
        .into_iter()
        .flat_map(|(_, members)| {
            if members.len() < MANY {
                return members.iter().map(|(_, text)| (*text).to_owned()).collect();
            }
            let others: Vec<&str> = members[1..]
                .iter()
                .map(|(label, _)| label.as_str())
                .collect();
            vec![format!("{} Likewise {}.", members[0].1, others.join(", "))]
        })
        .collect()
}

/// A text with a label left out wherever it stands as a word.
fn without(text: &str, label: &str) -> String {
    if label.is_empty() {
        return text.to_owned();
    }
    let mut kept = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(label) {
        let end = at + label.len();
        let word = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
        let inside = word(rest[..at].chars().next_back()) || word(rest[end..].chars().next());
        kept.push_str(&rest[..if inside { end } else { at }]);
        if !inside {
            kept.push('\u{0}');
        }
        rest = &rest[end..];
    }
    kept.push_str(rest);
    kept
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

#[cfg(test)]
mod tests {
    use super::said_once;

    fn said(texts: &[(&str, &'static str)]) -> Vec<String> {
        said_once(
            texts
                .iter()
                .map(|(label, text)| ((*label).to_owned(), *text)),
        )
    }

    #[test]
    fn what_differs_in_the_part_alone_is_said_once() {
        assert_eq!(
            said(&[
                ("R1", "R1 states no rating."),
                ("R2", "R2 states no rating."),
                ("R12", "R12 states no rating."),
                ("R3", "R3 gets 3 W."),
            ]),
            ["R1 states no rating. Likewise R2, R12.", "R3 gets 3 W."]
        );
        // Two are shorter said as they are; equal ones once; R1 does not stand in R12.
        assert_eq!(
            said(&[("R1", "R1 burns."), ("R2", "R2 burns.")]),
            ["R1 burns.", "R2 burns."]
        );
        assert_eq!(
            said(&[("R1", "Use R12."), ("R2", "Use R12."), ("R3", "Use R12.")]),
            ["Use R12."]
        );
    }
}
