//! What the box feeds: each instrument input that a jack may be plugged into.

use super::prelude::{Look, at, lacks, or_none};
use super::{Context, Gate, Outcome};
use crate::catalogue::{Figure, Pedigree};
use crate::design::{Connection, Input, Instrument, Part};
use crate::evidence::{Curve, Measure, Missing};
use crate::situations::{Plugged, Situation};

/// A control that changes the output by less does not move it [V].
const MOVES: f64 = 1e-3;

/// One instrument input that one jack of the box feeds.
#[derive(Debug, Clone, Copy)]
pub struct Feed<'a> {
    /// The jack.
    pub jack: &'a Part,
    /// Net of the contact that meets the instrument's signal contact.
    pub net: &'a str,
    /// Index in the jack's connections.
    pub index: usize,
    /// The instrument.
    pub instrument: &'a Instrument,
    /// Its input's name.
    pub name: &'a str,
    /// Its input.
    pub input: &'a Input,
}

impl Feed<'_> {
    /// `pitch-bend of Drone rack`.
    #[must_use]
    pub fn label(&self) -> String {
        format!("{} of {}", self.name, self.instrument.title)
    }

    /// Is this input plugged in?
    #[must_use]
    pub fn plugged(&self, situation: &Situation) -> bool {
        matches!(
            situation.state.plugs.get(&self.jack.reference),
            Some(Plugged::Device { index, .. }) if *index == self.index
        )
    }

    /// Is this input plugged in, or about to be: nothing in the jack?
    #[must_use]
    pub fn may_meet(&self, situation: &Situation) -> bool {
        self.plugged(situation)
            || matches!(
                situation.state.plugs.get(&self.jack.reference),
                Some(Plugged::Nothing) | None
            )
    }

    /// Ends of the range it works within [V]; drawn in when guessed.
    #[must_use]
    pub fn accepts(&self) -> (f64, f64) {
        self.input.accepted()
    }

    /// Ends of the range it survives [V]; drawn in when guessed.
    ///
    /// # Errors
    /// [`Missing`] when the instrument's file does not say.
    pub fn survives(&self) -> Result<(f64, f64), Missing> {
        self.input.survived().ok_or_else(|| {
            lacks(format!(
                "{} does not say what its input survives (`survives:`)",
                self.label()
            ))
        })
    }

    /// Lowest input impedance [Ω].
    ///
    /// # Errors
    /// [`Missing`] when the instrument's file does not say.
    pub fn impedance(&self) -> Result<f64, Missing> {
        self.input
            .impedance
            .as_ref()
            .map(|figure| figure.spread.low)
            .ok_or_else(|| {
                lacks(format!(
                    "{} does not say its input impedance (`impedance:`)",
                    self.label()
                ))
            })
    }
}

/// Was the figure guessed?
#[must_use]
pub fn guessed(figure: &Figure) -> bool {
    matches!(figure.pedigree, Pedigree::Guessed(_))
}

/// The output against the travel of each control that moves it.
///
/// # Errors
/// [`Missing`] when a control moves the output and no curve of it was solved.
pub fn curves<'a>(context: &Context<'a>, feed: &Feed) -> Result<Vec<&'a Curve>, Missing> {
    let evidence = context.evidence;
    let found: Vec<&Curve> = evidence
        .curves
        .iter()
        .filter(|curve| curve.net == feed.net)
        .collect();
    let nominal = evidence
        .situations
        .first()
        .ok_or_else(|| lacks("nothing was solved"))?;
    for control in nominal.state.travel.keys() {
        let along = |situation: &Situation| {
            let mut travel = situation.state.travel.clone();
            if let Some(here) = nominal.state.travel.get(control) {
                travel.insert(control.clone(), *here);
            }
            situation.is_nominal()
                && situation.state.powered
                && situation.state.switches == nominal.state.switches
                && situation.state.plugs == nominal.state.plugs
                && travel == nominal.state.travel
        };
        let reach = evidence.net(feed.net, Measure::Mean, along)?;
        let moves = reach.high - reach.low > MOVES;
        if moves && !found.iter().any(|curve| curve.control == *control) {
            return Err(lacks(format!(
                "the output over the travel of {control} has no solution somewhere"
            )));
        }
    }
    if nominal.state.travel.is_empty() {
        evidence.net(feed.net, Measure::Mean, Situation::is_nominal)?;
    }
    Ok(found)
}

/// Looks at every instrument input for each of some parts; `none` says why there is no such part.
pub fn each_feed_for<'a>(
    context: &Context,
    parts: impl Iterator<Item = &'a Part>,
    gate: Gate,
    none: &str,
    look: impl Fn(&Part, &Feed) -> Look,
) -> Vec<Outcome> {
    let outcomes = parts
        .flat_map(|part| {
            each_feed(context, gate, "the box feeds no instrument", |feed| {
                look(part, feed)
            })
        })
        .collect();
    or_none(outcomes, none)
}

/// Looks at every instrument input that the box feeds.
pub fn each_feed(
    context: &Context,
    gate: Gate,
    none: &str,
    look: impl Fn(&Feed) -> Look,
) -> Vec<Outcome> {
    let mut outcomes = Vec::new();
    for (jack, connections) in &context.design.connections {
        let Some(part) = context.design.parts.get(jack) else {
            continue;
        };
        for (index, connection) in connections.iter().enumerate() {
            let Connection::Instrument {
                instrument, input, ..
            } = connection
            else {
                continue;
            };
            let Some(found) = instrument.inputs.get(input) else {
                continue;
            };
            let looked = match part.net(&found.signal) {
                Some(net) => look(&Feed {
                    jack: part,
                    net,
                    index,
                    instrument,
                    name: input,
                    input: found,
                }),
                None => Err(lacks(format!(
                    "{jack} leaves the {} open, where {} expects its signal",
                    found.signal, instrument.title
                ))),
            };
            outcomes.push(
                looked.unwrap_or_else(|missing| Outcome::missing(at(part, "nets"), gate, &missing)),
            );
        }
    }
    or_none(outcomes, none)
}
