//! The review: every check's outcomes, what they do to the three gates, and the verdict.

mod assess;
mod causes;
mod compare;
mod disposition;
pub mod file;
mod findings;
mod fingerprint;
mod gates;
mod signatures;
mod verdict;

pub use assess::{Assessed, Companions, assess};
pub use compare::{
    Change, Comparison, FindingChange, NetChange, PartChange, compare, volts as net_range,
};
pub use disposition::Disposition;
pub use findings::{Blocker, Finding};
pub use fingerprint::{Fingerprint, fingerprint};
pub use gates::GateState;
pub use signatures::{SignatureState, Worth, signatures};

use crate::checks::{Built, Check, Context, Gate, Outcome, REGISTRY};
use crate::design::Design;
use crate::evidence::Evidence;
use file::ReviewFile;

/// What one check said of every place it concerns.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// The check.
    pub check: &'static Check,
    /// Its outcomes.
    pub outcomes: Vec<Outcome>,
}

/// The review of one design.
#[derive(Debug, Clone)]
pub struct Review {
    /// Every check, in the order of the registry.
    pub assessments: Vec<Assessment>,
    /// Failures and lines not assessed, the most severe first; each with what it brings about.
    pub findings: Vec<Finding>,
    /// `power`, `plug`, `share`.
    pub gates: [GateState; 3],
    /// The verdict in one paragraph.
    pub verdict: String,
}

/// Runs every check and draws the conclusions. `file` and `today` (year-month-day) bring the
/// dispositions of people; without a review file every gate stands on the design alone.
#[must_use]
pub fn review(
    design: &Design,
    evidence: &Evidence,
    built: Built,
    file: Option<&ReviewFile>,
    today: &str,
) -> Review {
    let assessments = |stale: &[String]| -> Vec<Assessment> {
        let context = Context {
            design,
            evidence,
            built,
            stale,
        };
        REGISTRY
            .iter()
            .map(|check| Assessment {
                check,
                outcomes: (check.run)(&context),
            })
            .collect()
    };
    let mut assessed = assessments(&[]);
    let mut findings = findings::collect(&assessed);
    if let Some(file) = file {
        let stale = disposition::dispose(&mut findings, file, today);
        if !stale.is_empty() {
            assessed = assessments(&stale);
            findings = findings::collect(&assessed);
            disposition::dispose(&mut findings, file, today);
        }
    }
    causes::group(design, &mut findings);
    findings::merge(&mut findings);
    findings::number(&mut findings);
    let gates = gates::decide(&findings);
    let verdict = verdict::verdict(design, &gates, &findings);
    Review {
        assessments: assessed,
        findings,
        gates,
        verdict,
    }
}

impl Review {
    /// Every finding, those grouped under a cause or printed with one alike included.
    pub fn all_findings(&self) -> impl Iterator<Item = &Finding> {
        self.root_findings()
            .flat_map(|finding| std::iter::once(finding).chain(&finding.consequences))
    }

    /// Every finding that no other brings about.
    pub fn root_findings(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().flat_map(Finding::with_alike)
    }

    /// The state of a gate; `Note` is always open.
    #[must_use]
    pub fn is_open(&self, gate: Gate) -> bool {
        self.gates
            .iter()
            .find(|state| state.gate == gate)
            .is_none_or(|state| state.open)
    }
}
