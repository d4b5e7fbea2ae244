//! The table of everything computed for one design, and the questions it answers.

use super::carlo::Carlo;
use super::disturbed::Disturbed;
use super::observe::Layout;
use super::{Account, Extent, Measure, Missing, Stress};
use crate::situations::Situation;
use std::collections::BTreeMap;

/// Index into [`Evidence::situations`].
pub type SituationId = usize;

/// Everything that was computed for one design.
#[derive(Debug, Clone, Default)]
pub struct Evidence {
    /// The situations that were looked at; 0 is nominal.
    pub situations: Vec<Situation>,
    /// Situations without a solution, and why.
    pub unsolved: Vec<(SituationId, String)>,
    /// Output against travel, for each control and each net it moves.
    pub curves: Vec<Curve>,
    /// Reach of each net during switch-on and switch-off, each plugged state.
    pub excursions: Vec<Excursion>,
    /// Each output over time during switch-on and switch-off, where it goes lowest and highest.
    pub traces: Vec<Trace>,
    /// Waveforms over one period, at the nominal and at named worst situations.
    pub recordings: Vec<Recording>,
    /// What was not analysed at all, ready to print.
    pub not_analysed: Vec<String>,
    /// States that were left out altogether, when there were too many: nothing is known of them.
    pub left_out: Option<String>,
    /// Parts that no circuit could be made of, and what they lack: nothing can be assessed.
    pub incomplete: Vec<String>,
    /// How much was computed.
    pub counts: Counts,
    /// How each situation was solved; none for one that is another's very circuit.
    pub accounts: BTreeMap<SituationId, Account>,
    /// What boxes drawn at random do; `None` where none were drawn.
    pub carlo: Option<Carlo>,
    /// What comes of every single fault and slip; `None` where that was not computed.
    pub disturbed: Option<Disturbed>,
    /// Slot of each quantity in the rows.
    pub(super) layout: Layout,
    /// One row of slots for each situation; empty where unsolved.
    pub(super) rows: Vec<Vec<f64>>,
    /// Highest current of each part after switch-on.
    pub(super) surges: BTreeMap<String, (f64, SituationId)>,
    /// Part → peak of the half-cycle that heats as much [A], and its situation.
    pub(super) surge_half_cycles: BTreeMap<String, (f64, SituationId)>,
    /// Highest voltage across each capacitor during switch-on and switch-off.
    pub(super) capacitor_surges: BTreeMap<String, (f64, SituationId)>,
    /// Source resistance seen into nets that feed a jack.
    pub(super) source_resistances: BTreeMap<String, Extent>,
    /// Resistance from each net to ground with everything off and unplugged [Ω].
    pub cold_resistances: BTreeMap<String, f64>,
    /// Of each part with a junction or a hot spot: temperature of the room and of the junction [°C],
    /// all else as where it is hottest before it warms up.
    pub junctions_over_room: BTreeMap<String, Vec<(f64, f64)>>,
    /// Why transients are missing, when they are.
    pub(super) no_transients: Option<String>,
}

/// How much was computed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    /// States of switches, controls, plugs and devices.
    pub states: usize,
    /// Parameters with a spread.
    pub parameters: usize,
    /// Situations solved.
    pub solved: usize,
    /// Situations without a solution.
    pub unsolved: usize,
    /// Newton iterations spent, all situations.
    pub iterations: usize,
    /// Transients solved.
    pub transients: usize,
}

/// A net's mean voltage over the travel of one control.
#[derive(Debug, Clone)]
pub struct Curve {
    /// Part reference of the potentiometer or sensor, or jack of the plugged controller.
    pub control: String,
    /// The net.
    pub net: String,
    /// Positions of switches and plugs, in words.
    pub state: String,
    /// Points in rising travel.
    pub points: Vec<CurvePoint>,
}

/// One point of a [`Curve`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Travel, 0..=1.
    pub travel: f64,
    /// Lowest mean over the corners [V].
    pub low: f64,
    /// Mean, all nominal [V].
    pub nominal: f64,
    /// Highest mean over the corners [V].
    pub high: f64,
}

/// The reach of one net in a transient.
#[derive(Debug, Clone)]
pub struct Excursion {
    /// The net.
    pub net: String,
    /// `switch-on` or `switch-off`.
    pub event: &'static str,
    /// Lowest instant [V].
    pub low: f64,
    /// Highest instant [V].
    pub high: f64,
    /// The situation that was switched.
    pub situation: SituationId,
}

/// One net over time in a transient.
#[derive(Debug, Clone)]
pub struct Trace {
    /// The net.
    pub net: String,
    /// `switch-on` or `switch-off`.
    pub event: &'static str,
    /// The situation that was switched.
    pub situation: SituationId,
    /// Time [s] and voltage [V], every extreme kept.
    pub points: Vec<(f64, f64)>,
}

/// Waveforms of nets over one period (or a transient).
#[derive(Debug, Clone)]
pub struct Recording {
    /// What it shows, e.g. `nominal` or `lowest raw+`.
    pub title: String,
    /// Its situation.
    pub situation: SituationId,
    /// Time [s].
    pub time: Vec<f64>,
    /// Net → voltage [V] at each time.
    pub nets: Vec<(String, Vec<f64>)>,
}

impl Evidence {
    /// Low, nominal and high of one measure of a net over the situations for which `when` holds.
    /// Use [`crate::situations::powered`] for "the box is on".
    ///
    /// # Errors
    /// [`Missing`] when a matching situation did not converge, none matched, or there is no such net.
    pub fn net(
        &self,
        net: &str,
        measure: Measure,
        when: impl Fn(&Situation) -> bool,
    ) -> Result<Extent, Missing> {
        let slot = self
            .layout
            .net(net, measure)
            .ok_or_else(|| Missing::new(format!("there is no net {net} in the circuit")))?;
        self.extent(slot, &format!("the voltage of {net}"), when)
    }

    /// Low, nominal and high of the mean voltage from one net to another, likewise.
    ///
    /// # Errors
    /// [`Missing`], as for [`Evidence::net`].
    pub fn between(
        &self,
        one: &str,
        other: &str,
        when: impl Fn(&Situation) -> bool,
    ) -> Result<Extent, Missing> {
        let slot = |net: &str| {
            self.layout
                .net(net, Measure::Mean)
                .ok_or_else(|| Missing::new(format!("there is no net {net} in the circuit")))
        };
        let plus = if one == "gnd" { None } else { Some(slot(one)?) };
        let minus = if other == "gnd" {
            None
        } else {
            Some(slot(other)?)
        };
        let value = |row: &[f64]| {
            let at = |slot: Option<usize>| slot.map_or(Some(0.0), |slot| row.get(slot).copied());
            Some(at(plus)? - at(minus)?)
        };
        self.extent_of(value, &format!("the voltage from {one} to {other}"), when)
    }

    /// Low, nominal and high of one stress of a part, likewise.
    ///
    /// # Errors
    /// [`Missing`], also when the part has no such stress.
    pub fn stress(
        &self,
        part: &str,
        stress: Stress,
        when: impl Fn(&Situation) -> bool,
    ) -> Result<Extent, Missing> {
        match stress {
            Stress::Surge => return self.surge(&self.surges, part),
            Stress::SurgeHalfCycle => return self.surge(&self.surge_half_cycles, part),
            _ => {}
        }
        let what = format!("the {} of {part}", stress.words());
        let slot = self
            .layout
            .stress(part, stress)
            .ok_or_else(|| Missing::new(format!("{what} is not computed")))?;
        self.extent(slot, &what, when)
    }

    /// Reach of a net over all transients, with the event of its farther end.
    ///
    /// # Errors
    /// [`Missing`] when no transient was solved.
    pub fn excursion(&self, net: &str) -> Result<(Extent, &'static str), Missing> {
        if let Some(reason) = self.incomplete.first().or(self.no_transients.as_ref()) {
            return Err(Missing::new(format!("switch-on and switch-off: {reason}")));
        }
        let mut found: Option<(Extent, &'static str)> = None;
        for excursion in self
            .excursions
            .iter()
            .filter(|excursion| excursion.net == net)
        {
            let (extent, event) = found.get_or_insert((
                Extent {
                    low: excursion.low,
                    nominal: excursion.high,
                    high: excursion.high,
                    low_at: excursion.situation,
                    nominal_at: excursion.situation,
                    high_at: excursion.situation,
                },
                excursion.event,
            ));
            if excursion.low < extent.low {
                extent.low = excursion.low;
                extent.low_at = excursion.situation;
                *event = excursion.event;
            }
            if excursion.high > extent.high {
                extent.high = excursion.high;
                extent.high_at = excursion.situation;
                *event = excursion.event;
            }
        }
        found.ok_or_else(|| {
            Missing::new(format!(
                "switch-on and switch-off were not computed for {net}"
            ))
        })
    }

    /// Highest voltage across a capacitor, `positive − negative`, during switch-on and switch-off
    /// [V], and where.
    ///
    /// # Errors
    /// [`Missing`] when no transient was solved.
    pub fn capacitor_surge(&self, part: &str) -> Result<(f64, SituationId), Missing> {
        self.complete()?;
        self.capacitor_surges.get(part).copied().ok_or_else(|| {
            let reason = self
                .no_transients
                .as_deref()
                .unwrap_or("not computed for it");
            Missing::new(format!("the switch-on voltage of {part}: {reason}"))
        })
    }

    /// Source resistance seen into a net from outside [Ω]: low, nominal, high over the states.
    ///
    /// # Errors
    /// [`Missing`] when it was not computed for this net (it is for every jack contact that feeds
    /// an instrument).
    pub fn source_resistance(&self, net: &str) -> Result<Extent, Missing> {
        self.complete()?;
        self.source_resistances
            .get(net)
            .copied()
            .ok_or_else(|| Missing::new(format!("the source resistance of {net} was not computed")))
    }

    /// The stresses that are computed for a part, the surge included where there is one.
    #[must_use]
    pub fn stresses_of(&self, part: &str) -> Vec<Stress> {
        let mut stresses: Vec<Stress> = self
            .layout
            .stresses()
            .filter(|(reference, ..)| *reference == part)
            .map(|(_, stress, _)| stress)
            .collect();
        if self.surges.contains_key(part) {
            stresses.push(Stress::Surge);
        }
        stresses
    }

    /// A situation in words.
    #[must_use]
    pub fn describe(&self, situation: SituationId) -> String {
        self.situations
            .get(situation)
            .map_or_else(String::new, Situation::describe)
    }

    /// A situation in words, with every parameter that is moved.
    #[must_use]
    pub fn describe_fully(&self, situation: SituationId) -> String {
        self.situations
            .get(situation)
            .map_or_else(String::new, Situation::describe_fully)
    }

    fn complete(&self) -> Result<(), Missing> {
        match self.incomplete.first() {
            Some(lack) => Err(Missing::new(format!("the circuit is incomplete: {lack}"))),
            None => Ok(()),
        }
    }

    fn surge(
        &self,
        surges: &BTreeMap<String, (f64, SituationId)>,
        part: &str,
    ) -> Result<Extent, Missing> {
        self.complete()?;
        let (value, at) = surges.get(part).copied().ok_or_else(|| {
            let reason = self
                .no_transients
                .as_deref()
                .unwrap_or("not computed for it");
            Missing::new(format!("the switch-on surge of {part}: {reason}"))
        })?;
        Ok(Extent {
            low: value,
            nominal: value,
            high: value,
            low_at: at,
            nominal_at: at,
            high_at: at,
        })
    }

    fn extent(
        &self,
        slot: usize,
        what: &str,
        when: impl Fn(&Situation) -> bool,
    ) -> Result<Extent, Missing> {
        self.extent_of(|row| row.get(slot).copied(), what, when)
    }

    fn extent_of(
        &self,
        value: impl Fn(&[f64]) -> Option<f64>,
        what: &str,
        when: impl Fn(&Situation) -> bool,
    ) -> Result<Extent, Missing> {
        self.complete()?;
        if let Some((situation, reason)) = self
            .unsolved
            .iter()
            .find(|(situation, _)| when(&self.situations[*situation]))
        {
            let situation = self.describe(*situation);
            return Err(Missing::new(format!("{what}: {reason} ({situation})")));
        }
        let mut extent: Option<Extent> = None;
        for (at, (situation, row)) in self.situations.iter().zip(&self.rows).enumerate() {
            let Some(value) = value(row).filter(|value| value.is_finite()) else {
                continue;
            };
            if !when(situation) {
                continue;
            }
            let extent = extent.get_or_insert(Extent {
                low: value,
                nominal: value,
                high: value,
                low_at: at,
                nominal_at: at,
                high_at: at,
            });
            if value < extent.low {
                (extent.low, extent.low_at) = (value, at);
            }
            if value > extent.high {
                (extent.high, extent.high_at) = (value, at);
            }
        }
        extent.ok_or_else(|| Missing::new(format!("{what} was in no situation computed")))
    }
}
