//! Coverage: of the faults and slips that would put more on an instrument's input than it
//! survives, which step of the bring-up shows it before anything is plugged in.
//!
//! A step reveals a disturbance when the reading lies outside the step's expected window with
//! every corner that was solved of the disturbed box, and with the meter erring in its favour. A
//! reading that may or may not lie outside reveals nothing.

use super::{Expected, Meter, Phase, Step, Window, steps};
use crate::design::{Connection, Design};
use crate::evidence::disturbed::{Case, Setting};
use crate::evidence::{Evidence, Missing};
use crate::quantity::Unit;
use crate::situations::Situation;
use crate::situations::disturbance::Class;

/// What a meter's resistance ranges may be wrong by, as a share (common hand-held meters).
const OHMS_ERROR: f64 = 0.05;

/// How near a disturbance brings an input to the end of what it survives, or how far beyond.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Index of the case in [`Disturbed::cases`](crate::evidence::disturbed::Disturbed).
    pub case: usize,
    /// What sort of thing is wrong.
    pub class: Class,
    /// Its weight.
    pub weight: f64,
    /// The jack at which it is worst.
    pub jack: String,
    /// Index in the jack's connections.
    pub index: usize,
    /// What reaches the input [V].
    pub value: f64,
    /// The nearer end of what it survives, or the one that is passed [V].
    pub limit: f64,
    /// Where it does so.
    pub situation: Situation,
    /// A regulator taken to have failed from it.
    pub after: Option<String>,
    /// By how much the limit is passed [V]; negative inside.
    pub beyond: f64,
    /// Number of the first step before plug-in that shows it, where it does harm.
    pub revealed_by: Option<usize>,
}

impl Standing {
    /// Does it put more on the input than it survives?
    #[must_use]
    pub fn damaging(&self) -> bool {
        self.beyond > 0.0
    }
}

/// Where every disturbance stands, and the steps.
#[derive(Debug, Clone)]
pub struct Coverage {
    /// In the order of the cases; what reaches no input is left out.
    pub standings: Vec<Standing>,
    /// The bring-up procedure.
    pub steps: Vec<Step>,
}

/// A share with what it is a share of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Revealed before plug-in.
    pub revealed: usize,
    /// Of how many.
    pub of: usize,
    /// The same by weight, revealed and of all.
    pub weighted: [f64; 2],
}

impl Coverage {
    /// Everything that does harm.
    pub fn damaging(&self) -> impl Iterator<Item = &Standing> {
        self.standings.iter().filter(|one| one.damaging())
    }

    /// What does harm and can be wrong when the box is first built: faults and the builder's
    /// slips.
    pub fn built_in(&self) -> impl Iterator<Item = &Standing> {
        self.damaging().filter(|one| one.class != Class::Handling)
    }

    /// How much of it is revealed before anything is plugged in.
    #[must_use]
    pub fn share(&self) -> Share {
        let mut share = Share {
            revealed: 0,
            of: 0,
            weighted: [0.0, 0.0],
        };
        for one in self.built_in() {
            share.of += 1;
            share.weighted[1] += one.weight;
            if one.revealed_by.is_some() {
                share.revealed += 1;
                share.weighted[0] += one.weight;
            }
        }
        share
    }
}

/// Works the coverage out.
///
/// # Errors
/// [`Missing`] when faults and slips were not computed, or an instrument does not say what its
/// input survives.
pub fn coverage(design: &Design, evidence: &Evidence, meter: &Meter) -> Result<Coverage, Missing> {
    let disturbed = evidence
        .disturbed
        .as_ref()
        .ok_or_else(|| Missing::new("faults and slips were not computed"))?;
    let steps = steps(design, evidence, meter);
    let mut standings = Vec::new();
    for (index, case) in disturbed.cases.iter().enumerate() {
        let Some(mut found) = worst(design, index, case)? else {
            continue;
        };
        if found.damaging() {
            found.revealed_by = steps
                .iter()
                .filter(|step| step.phase < Phase::PlugIn)
                .find(|step| reveals(step, case, evidence, meter))
                .map(|step| step.number);
        }
        standings.push(found);
    }
    Ok(Coverage { standings, steps })
}

/// The reach that lies farthest beyond what its input survives, or nearest to it.
fn worst(design: &Design, index: usize, case: &Case) -> Result<Option<Standing>, Missing> {
    let mut worst: Option<Standing> = None;
    for reach in &case.reaches {
        let (floor, ceiling) = survived(design, &reach.jack, reach.index)?;
        let ends = [
            (reach.low, floor, &reach.low_in, &reach.after[0]),
            (reach.high, ceiling, &reach.high_in, &reach.after[1]),
        ];
        for (end, (value, limit, situation, after)) in ends.into_iter().enumerate() {
            let beyond = if end == 0 {
                limit - value
            } else {
                value - limit
            };
            if worst.as_ref().is_none_or(|known| beyond > known.beyond) {
                worst = Some(Standing {
                    case: index,
                    class: case.disturbance.class,
                    weight: case.disturbance.weight,
                    jack: reach.jack.clone(),
                    index: reach.index,
                    value,
                    limit,
                    situation: situation.clone(),
                    after: after.clone(),
                    beyond,
                    revealed_by: None,
                });
            }
        }
    }
    Ok(worst)
}

/// What the input at a jack survives [V].
///
/// # Errors
/// [`Missing`] when its file does not say.
pub fn survived(design: &Design, jack: &str, index: usize) -> Result<(f64, f64), Missing> {
    let connection = design
        .connections
        .get(jack)
        .and_then(|list| list.get(index));
    let Some(Connection::Instrument {
        instrument, input, ..
    }) = connection
    else {
        return Err(Missing::new(format!("no instrument is known at {jack}")));
    };
    instrument
        .inputs
        .get(input)
        .and_then(crate::design::Input::survived)
        .ok_or_else(|| {
            Missing::new(format!(
                "{input} of {} does not say what it survives (`survives:`)",
                instrument.title
            ))
        })
}

/// Does a step show the disturbance for certain?
fn reveals(step: &Step, case: &Case, evidence: &Evidence, meter: &Meter) -> bool {
    match &step.expected {
        Expected::Voltage(window) => {
            let here = |setting: &&Setting| {
                step.state.as_ref().is_none_or(|state| {
                    setting.state.switches == state.switches && setting.state.travel == state.travel
                })
            };
            let mut settings = case.settings.iter().filter(here).peekable();
            let source = evidence
                .source_resistance(&step.net)
                .map_or(0.0, |extent| extent.high);
            // In a step without a setting the controls may stand anywhere: every one must show it.
            settings.peek().is_some()
                && settings.all(|setting| {
                    let ends = match &step.jack {
                        Some(jack) => setting.jacks.get(jack),
                        None => setting.nets.get(&step.net),
                    };
                    ends.is_some_and(|ends| outside(*ends, window, source, meter))
                })
        }
        Expected::AtLeast(ohms) => case
            .cold
            .get(&step.net)
            .is_some_and(|found| found * (1.0 + OHMS_ERROR) < *ohms),
        Expected::Alternating(_) | Expected::Near(_) | Expected::Unknown(_) => false,
    }
}

/// Does a reading between two ends lie beyond one side of the window, with the meter erring towards
/// it and loading the point or not?
fn outside(ends: [f64; 2], window: &Window, source: f64, meter: &Meter) -> bool {
    let error = |value: f64| {
        meter.error(
            value,
            window.range.max(meter.range(value, Unit::Volt)),
            Unit::Volt,
        )
    };
    let loaded = ends.map(|end| meter.loaded(end, source));
    let low = ends[0].min(loaded[0]);
    let high = ends[1].max(loaded[1]);
    low - error(low) > window.high || high + error(high) < window.low
}
