//! Two revisions of a design side by side: parts, wiring, what was computed, and findings.

use super::{Assessed, Blocker, Finding};
use crate::catalogue::Property;
use crate::checks::Gate;
use crate::design::Part;
use crate::evidence::Measure;
use crate::quantity::{Unit, format_spread};
use crate::situations::powered;

/// What became of one finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// Only in the new one.
    New,
    /// In both, nearer the limit or further beyond it, or blocking an earlier gate.
    Worse,
    /// In both, the other way.
    Better,
    /// In both alike.
    Same,
    /// Only in the old one.
    Gone,
}

impl Change {
    /// The word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Worse => "worse",
            Self::Better => "better",
            Self::Same => "same",
            Self::Gone => "gone",
        }
    }
}

/// One finding, old and new.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingChange {
    /// What became of it.
    pub change: Change,
    /// Check id.
    pub check: &'static str,
    /// Place.
    pub place: String,
    /// The gate it blocks, of the newer that has it.
    pub gate: Gate,
    /// What it says, of the newer that has it.
    pub what: String,
}

/// One part or net, old and new.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartChange {
    /// Reference.
    pub part: String,
    /// What changed, ready to print; several lines for several things.
    pub lines: Vec<String>,
}

/// The mean voltage of a net, box on: low, nominal, high [V].
#[derive(Debug, Clone, PartialEq)]
pub struct NetChange {
    /// The net.
    pub net: String,
    /// Of the old one.
    pub old: [f64; 3],
    /// Of the new one.
    pub new: [f64; 3],
}

/// Everything that differs.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Gate, open before, open now.
    pub gates: [(Gate, bool, bool); 3],
    /// Parts added, removed, changed or wired otherwise.
    pub parts: Vec<PartChange>,
    /// Nets whose voltage moved by more than a thousandth or a millivolt.
    pub nets: Vec<NetChange>,
    /// Every finding of either.
    pub findings: Vec<FindingChange>,
}

/// Compares two designs.
#[must_use]
pub fn compare(old: &Assessed, new: &Assessed) -> Comparison {
    let gate = |index: usize| {
        let (before, now) = (&old.review.gates[index], &new.review.gates[index]);
        (now.gate, before.open, now.open)
    };
    Comparison {
        gates: [gate(0), gate(1), gate(2)],
        parts: parts(old, new),
        nets: nets(old, new),
        findings: findings(old, new),
    }
}

fn parts(old: &Assessed, new: &Assessed) -> Vec<PartChange> {
    let mut changes = Vec::new();
    for (reference, part) in &old.design.parts {
        let lines = match new.design.parts.get(reference) {
            None => vec!["removed".to_owned()],
            Some(now) => differences(part, now),
        };
        if !lines.is_empty() {
            changes.push(PartChange {
                part: reference.clone(),
                lines,
            });
        }
    }
    let added = new.design.parts.keys();
    changes.extend(
        added
            .filter(|reference| !old.design.parts.contains_key(*reference))
            .map(|reference| PartChange {
                part: reference.clone(),
                lines: vec!["added".to_owned()],
            }),
    );
    changes
}

fn differences(old: &Part, new: &Part) -> Vec<String> {
    let mut lines = Vec::new();
    let mut word = |what: &str, old: Option<&str>, new: Option<&str>| {
        if old != new {
            let (old, new) = (old.unwrap_or("none"), new.unwrap_or("none"));
            lines.push(format!("{what}: {old} → {new}"));
        }
    };
    word("type", old.type_name.as_deref(), new.type_name.as_deref());
    word("package", old.package.as_deref(), new.package.as_deref());
    for key in old
        .words
        .keys()
        .chain(new.words.keys().filter(|key| !old.words.contains_key(*key)))
    {
        word(key, old.word(key), new.word(key));
    }
    let terminals = old.terminals.keys();
    let more = new
        .terminals
        .keys()
        .filter(|key| !old.terminals.contains_key(*key));
    for terminal in terminals.chain(more) {
        let net = |part: &Part| part.terminals.get(terminal).cloned();
        word(
            &format!("{terminal} on"),
            net(old).as_deref(),
            net(new).as_deref(),
        );
    }
    let shown = |part: &Part, property: Property| {
        let figure = part.figure(property)?;
        Some(format_spread(&figure.spread, property.unit(part.kind)))
    };
    let figures = old.figures.keys();
    let more = new
        .figures
        .keys()
        .filter(|key| !old.figures.contains_key(*key));
    for property in figures.chain(more) {
        let (before, now) = (shown(old, *property), shown(new, *property));
        word(property.key(), before.as_deref(), now.as_deref());
    }
    lines
}

fn nets(old: &Assessed, new: &Assessed) -> Vec<NetChange> {
    let mean = |assessed: &Assessed, net: &str| {
        let extent = assessed.evidence.net(net, Measure::Mean, powered).ok()?;
        Some([extent.low, extent.nominal, extent.high])
    };
    let moved = |old: f64, new: f64| (new - old).abs() > 1e-3_f64.max(1e-3 * old.abs());
    let nets = old.design.nets.iter().filter(|net| *net != "gnd");
    nets.filter_map(|net| {
        let (before, now) = (mean(old, net)?, mean(new, net)?);
        let differs = before.iter().zip(now).any(|(old, new)| moved(*old, new));
        differs.then(|| NetChange {
            net: net.clone(),
            old: before,
            new: now,
        })
    })
    .collect()
}

fn findings(old: &Assessed, new: &Assessed) -> Vec<FindingChange> {
    let same = |a: &Finding, b: &Finding| {
        a.check.id == b.check.id && a.place == b.place && a.is_failure() == b.is_failure()
    };
    let told = |finding: &Finding, change: Change| FindingChange {
        change,
        check: finding.check.id,
        place: finding.place.label(),
        gate: finding.gate,
        what: finding.what().to_owned(),
    };
    let mut changes: Vec<FindingChange> = new
        .review
        .root_findings()
        .map(|finding| {
            let before = old.review.root_findings().find(|f| same(f, finding));
            told(finding, before.map_or(Change::New, |b| became(b, finding)))
        })
        .collect();
    let still = |finding: &&Finding| !new.review.root_findings().any(|f| same(f, finding));
    let gone = old.review.root_findings().filter(still);
    changes.extend(gone.map(|finding| told(finding, Change::Gone)));
    changes.sort_by_key(|change| change.change);
    changes
}

/// By the gate first, then by the margin, a hundredth of a per cent counting as none.
fn became(old: &Finding, new: &Finding) -> Change {
    match new.gate.cmp(&old.gate) {
        std::cmp::Ordering::Less => return Change::Worse,
        std::cmp::Ordering::Greater => return Change::Better,
        std::cmp::Ordering::Equal => {}
    }
    let margin = |finding: &Finding| match &finding.blocker {
        Blocker::Failure(failure) => failure
            .comparison
            .as_ref()
            .map(crate::checks::Comparison::margin),
        Blocker::NotAssessed(_) => None,
    };
    match (margin(old), margin(new)) {
        (Some(old), Some(new)) if new < old - 1e-4 => Change::Worse,
        (Some(old), Some(new)) if new > old + 1e-4 => Change::Better,
        _ => Change::Same,
    }
}

/// The voltages of a net in a few words.
#[must_use]
pub fn volts(extent: &[f64; 3]) -> String {
    crate::quantity::format_range(extent[0], extent[2], Unit::Volt, 4)
}
