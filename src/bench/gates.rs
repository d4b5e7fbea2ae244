//! The three gates of one built unit. The design's gates say whether the box may be built so; these
//! say whether this one may be powered, plugged in and handed on.

use super::{Progress, Standing};
use crate::bringup::{Phase, Step};
use crate::checks::Gate;
use crate::design::Design;
use crate::records::Unit;
use crate::review::Review;

/// One gate of one unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnitGate {
    /// The gate.
    pub gate: Gate,
    /// What holds it shut, ready to print; open when empty.
    pub reasons: Vec<String>,
}

impl UnitGate {
    /// Open?
    #[must_use]
    pub fn open(&self) -> bool {
        self.reasons.is_empty()
    }
}

/// Findings that speak of the records of all units, and say nothing about this one.
const OF_RECORDS: &[&str] = &["unit-not-measured", "photos-missing"];

/// What holds each gate of a unit shut before anything is measured: the review of the design as
/// this unit was built, the revision, and substitutions nobody understood.
#[must_use]
pub fn before_measuring(
    design: &Design,
    review: &Review,
    unit: &Unit,
    unknown: &[String],
) -> [Vec<String>; 3] {
    let mut reasons = [Gate::Power, Gate::Plug, Gate::Share].map(|gate| {
        let own: Vec<_> = review
            .findings
            .iter()
            .filter(|f| f.gate == gate && f.blocks() && !OF_RECORDS.contains(&f.check.id))
            .collect();
        own.first()
            .map(|first| {
                let more = match own.len() {
                    1 => String::new(),
                    count => format!(" (and {} more)", count - 1),
                };
                format!(
                    "as it was built, the design blocks {}: {}{more}",
                    gate.key(),
                    first.what()
                )
            })
            .into_iter()
            .collect::<Vec<String>>()
    });
    match (&unit.revision, &design.revision) {
        (Some(built), Some(reviewed)) if built == reviewed => {}
        (None, None) => {}
        (built, reviewed) => reasons[0].push(format!(
            "it was built to {}, and {} is what was reviewed",
            revision(built.as_ref()),
            revision(reviewed.as_ref())
        )),
    }
    reasons[0].extend_from_slice(unknown);
    if !unit.altered.is_empty() {
        let lines: Vec<String> = unit.altered.iter().map(ToString::to_string).collect();
        reasons[0].push(format!(
            "its record was altered after it was written, line {}",
            lines.join(", ")
        ));
    }
    if unit.demonstration {
        reasons[2].push("its record is an invented demonstration".to_owned());
    }
    if unit.photos.is_empty() {
        reasons[2].push("there is no photo of it".to_owned());
    }
    reasons
}

fn revision(revision: Option<&String>) -> String {
    revision.map_or("no stated revision".to_owned(), |r| format!("revision {r}"))
}

/// The gates of a unit with what was measured of it.
#[must_use]
pub fn unit_gates(before: &[Vec<String>; 3], steps: &[Step], progress: &Progress) -> [UnitGate; 3] {
    let mut shut: Option<Gate> = None;
    let phases: [(Gate, &[Phase]); 3] = [
        (Gate::Power, &[Phase::Supply, Phase::Cold]),
        (Gate::Plug, &[Phase::FirstPower, Phase::Outputs]),
        (Gate::Share, &[Phase::PlugIn]),
    ];
    let mut before = before.iter();
    phases.map(|(gate, phases)| {
        let mut reasons = match shut {
            Some(Gate::Power) => vec!["it may not be powered".to_owned()],
            Some(_) => vec!["it may not be plugged in".to_owned()],
            None => Vec::new(),
        };
        reasons.extend(before.next().cloned().unwrap_or_default());
        reasons.extend(not_passed(steps, progress, phases));
        if !reasons.is_empty() && shut.is_none() {
            shut = Some(gate);
        }
        UnitGate { gate, reasons }
    })
}

/// The steps of some phases that did not pass, in words.
#[must_use]
pub fn not_passed(steps: &[Step], progress: &Progress, phases: &[Phase]) -> Vec<String> {
    let of = |step: &Step| phases.contains(&step.phase);
    let mut reasons = Vec::new();
    let mut open = 0;
    let mut all = 0;
    for (step, standing) in steps.iter().zip(&progress.standings).filter(|(s, _)| of(s)) {
        all += 1;
        let place = step.place.describe();
        match standing {
            Standing::Open => open += 1,
            Standing::Skipped(reason) => {
                reasons.push(format!(
                    "step {} ({place}) was skipped: {reason}",
                    step.number
                ));
            }
            Standing::NotAssessed(_, why) => {
                reasons.push(format!(
                    "step {} ({place}) is not assessed: {why}",
                    step.number
                ));
            }
            Standing::Judged(reads, verdict) if !verdict.passes() => reasons.push(format!(
                "step {} ({place}) reads {}: {}",
                step.number,
                super::shown(*reads, step.place.unit),
                verdict.words()
            )),
            Standing::Judged(..) => {}
        }
    }
    if open > 0 {
        let what: Vec<&str> = phases.iter().map(|phase| phase.words().0).collect();
        reasons.push(format!(
            "{open} of {all} steps of “{}” are not measured",
            what.join("” and “")
        ));
    }
    reasons
}
