//! How far the bring-up of a unit has come: for each step the latest reading that counts.

use crate::bringup::{Rule, Step, Verdict};
use crate::design::{Design, Structure};
use crate::records::{Meter, Point, Reading, Session, Setting, Unit};
use crate::situations::control_name;

/// Where one step stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing {
    /// Not measured yet.
    Open,
    /// Left out, and why.
    Skipped(String),
    /// Measured, and nothing to judge it by: why.
    NotAssessed(f64, String),
    /// Measured and judged.
    Judged(f64, Verdict),
}

impl Standing {
    /// Passed, conditionally or not?
    #[must_use]
    pub fn passed(&self) -> bool {
        matches!(self, Self::Judged(_, verdict) if verdict.passes())
    }
}

/// A unit's bring-up, step by step.
#[derive(Debug, Clone, PartialEq)]
pub struct Progress {
    /// One for each step.
    pub standings: Vec<Standing>,
    /// Day of the last reading that counts.
    pub last: Option<String>,
    /// Readings that do not count: of another revision, or before a rework.
    pub outdated: usize,
}

/// Finds for each step the latest reading that counts.
#[must_use]
pub fn progress(
    design: &Design,
    steps: &[Step],
    unit: &Unit,
    fingerprint: &str,
    rule: &Rule,
) -> Progress {
    let mut found: Vec<Option<(usize, Standing)>> = vec![None; steps.len()];
    let mut progress = Progress {
        standings: Vec::new(),
        last: None,
        outdated: 0,
    };
    for session in unit
        .sessions
        .iter()
        .filter(|s| current(design, unit, s, fingerprint))
    {
        for skip in &session.skips {
            if after_rework(unit, skip.order) {
                let standing = Standing::Skipped(skip.reason.clone());
                put(design, steps, &mut found, &skip.point, skip.order, |_| {
                    standing.clone()
                });
            }
        }
    }
    let counting = counting(design, unit, fingerprint);
    let all = unit.sessions.iter().map(|session| session.readings.len());
    progress.outdated = all.sum::<usize>() - counting.len();
    for (session, reading) in counting {
        let day = Some(session.date.clone());
        progress.last = progress.last.max(day);
        let judged = |step: &Step| standing(step, reading.reads, &session.meter, rule);
        put(
            design,
            steps,
            &mut found,
            &reading.point,
            reading.order,
            judged,
        );
    }
    progress.standings = found
        .into_iter()
        .map(|found| found.map_or(Standing::Open, |(_, standing)| standing))
        .collect();
    progress
}

/// The readings that count, each with its session: taken after the last rework, against the design
/// with this fingerprint (or, where the record gives none, this revision).
#[must_use]
pub fn counting<'u>(
    design: &Design,
    unit: &'u Unit,
    fingerprint: &str,
) -> Vec<(&'u Session, &'u Reading)> {
    unit.sessions
        .iter()
        .filter(|session| current(design, unit, session, fingerprint))
        .flat_map(|session| {
            session
                .readings
                .iter()
                .map(move |reading| (session, reading))
        })
        .filter(|(_, reading)| after_rework(unit, reading.order))
        .collect()
}

fn current(design: &Design, unit: &Unit, session: &Session, fingerprint: &str) -> bool {
    match &session.design {
        Some(design) => design == fingerprint,
        None => session.revision.as_ref().or(unit.revision.as_ref()) == design.revision.as_ref(),
    }
}

fn after_rework(unit: &Unit, order: usize) -> bool {
    unit.reworks.iter().all(|rework| order > rework.order)
}

/// What a value read with a meter makes of a step.
#[must_use]
pub fn standing(step: &Step, reads: f64, meter: &Meter, rule: &Rule) -> Standing {
    match step.expected.limits() {
        Some(limits) => {
            let decision = rule.judge(reads, step.place.unit, meter, limits);
            Standing::Judged(reads, decision.verdict)
        }
        None => Standing::NotAssessed(reads, "nothing could be computed to judge it by".to_owned()),
    }
}

fn put(
    design: &Design,
    steps: &[Step],
    found: &mut [Option<(usize, Standing)>],
    point: &Point,
    order: usize,
    standing: impl Fn(&Step) -> Standing,
) {
    for (step, found) in steps.iter().zip(found) {
        let later = found.as_ref().is_none_or(|(before, _)| order > *before);
        if later && serves(design, &step.place, point) {
            *found = Some((order, standing(step)));
        }
    }
}

/// Does what was measured at `point` serve a step? A step that leaves a control where it is takes
/// any setting; a reading that does not name one was taken with it nominal.
fn serves(design: &Design, step: &Point, point: &Point) -> bool {
    let set = step
        .state
        .iter()
        .all(|(control, wanted)| match point.state.get(control) {
            Some(setting) => setting == wanted,
            None => nominal_setting(design, control).as_ref() == Some(wanted),
        });
    set && step.net == point.net
        && step.jack == point.jack
        && step.alone == point.alone
        && step.plugged == point.plugged
        && step.unit == point.unit
}

/// How a control stands nominally: the first position of a switch, the middle of a travel.
#[must_use]
pub fn nominal_setting(design: &Design, control: &str) -> Option<Setting> {
    let part = design
        .parts
        .values()
        .find(|part| control_name(design, &part.reference) == control)?;
    match &part.structure {
        Structure::Contacts { positions, .. } => positions.first().cloned().map(Setting::Position),
        _ => Some(Setting::Travel(0.5)),
    }
}
