//! What people decided about findings: acceptances and signed lines of the review file.
//!
//! An acceptance clears one failure of one check at one place. It never clears what blocks
//! `power`, nor a caution about isolation and mains, nor a line not assessed. A signed line clears
//! a line not assessed, and the licensed person's line of a primary inside the box, nothing else.
//! What matches nothing, or may not be cleared so, or is out of date, is itself a finding.

use super::Finding;
use super::file::ReviewFile;
use crate::checks::{Gate, Stage};

/// The one failure that a licensed person's signature clears.
const LICENSED: &str = "primary-inside-box";

/// The check that reports decisions without effect.
const STALE: &str = "disposition-without-effect";

/// What a person decided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Disposition {
    /// Accepted as it is.
    Accepted {
        /// Why.
        reason: String,
        /// Who and when.
        by: String,
        /// Last day.
        until: Option<String>,
    },
    /// Verified by a person.
    Signed {
        /// Who, when, and what entitles them.
        by: String,
    },
}

/// Puts the dispositions on the findings; returns what is stale or not allowed, ready to print.
/// `today` is year-month-day, which sorts as text.
pub(super) fn dispose(findings: &mut [Finding], file: &ReviewFile, today: &str) -> Vec<String> {
    let mut stale = Vec::new();
    for acceptance in &file.accepted {
        let line = format!(
            "the acceptance of {} at {}",
            acceptance.check, acceptance.place
        );
        if acceptance
            .until
            .as_deref()
            .is_some_and(|until| until < today)
        {
            let until = acceptance.until.as_deref().unwrap_or_default();
            stale.push(format!("{line} ran out on {until}"));
            continue;
        }
        if acceptance.date.as_str() > today {
            stale.push(format!(
                "{line} is dated {}, which is still to come",
                acceptance.date
            ));
            continue;
        }
        let matching: Vec<&mut Finding> = findings
            .iter_mut()
            .filter(|f| f.check.id == acceptance.check && f.place.label() == acceptance.place)
            .collect();
        if matching.is_empty() {
            stale.push(format!("{line} {}", unmatched(&acceptance.check)));
        }
        for finding in matching {
            if let Some(reason) = not_acceptable(finding) {
                stale.push(format!("{line} has no effect: {reason}"));
            } else {
                finding.disposition = Some(Disposition::Accepted {
                    reason: acceptance.reason.clone(),
                    by: format!("{}, {}", acceptance.name, acceptance.date),
                    until: acceptance.until.clone(),
                });
            }
        }
    }
    for signed in &file.signed_lines {
        let line = format!("the signature of {} at {}", signed.check, signed.place);
        if signed.date.as_str() > today {
            stale.push(format!(
                "{line} is dated {}, which is still to come",
                signed.date
            ));
            continue;
        }
        let matching: Vec<&mut Finding> = findings
            .iter_mut()
            .filter(|f| f.check.id == signed.check && f.place.label() == signed.place)
            .collect();
        if matching.is_empty() {
            stale.push(format!("{line} {}", unmatched(&signed.check)));
        }
        for finding in matching {
            if finding.is_failure() && finding.check.id != LICENSED {
                stale.push(format!(
                    "{line} has no effect: a failure is mended or accepted, not signed away"
                ));
            } else {
                finding.disposition = Some(Disposition::Signed {
                    by: format!(
                        "{} ({}), {}",
                        signed.name, signed.qualification, signed.date
                    ),
                });
            }
        }
    }
    stale
}

/// Why a decision matches nothing.
fn unmatched(check: &str) -> String {
    if crate::checks::find(check).is_none() {
        format!("has no effect: no check is called {check}")
    } else {
        "matches no finding any more".to_owned()
    }
}

fn not_acceptable(finding: &Finding) -> Option<&'static str> {
    if finding.check.id == STALE {
        Some("a decision without effect is taken out, not accepted in turn")
    } else if !finding.is_failure() {
        Some("a line not assessed is signed by the person who verified it, not accepted")
    } else if finding.gate == Gate::Power {
        Some("what blocks power is never accepted")
    } else if finding.check.stage == Stage::Isolation {
        Some("a caution about isolation and mains is never accepted")
    } else {
        None
    }
}
