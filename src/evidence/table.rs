//! The table of everything computed for one design, and the questions it answers.

use super::{Extent, Measure, Missing, Stress};
use crate::situations::Situation;

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
    /// Waveforms over one period, at the nominal and at named worst situations.
    pub recordings: Vec<Recording>,
    /// What was not analysed at all, ready to print.
    pub not_analysed: Vec<String>,
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
        let _ = (net, measure, when);
        Err(Missing {
            what: "nothing was solved".into(),
        })
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
        let _ = (part, stress, when);
        Err(Missing {
            what: "nothing was solved".into(),
        })
    }

    /// Reach of a net over all transients, with the situation of each end.
    ///
    /// # Errors
    /// [`Missing`] when no transient was solved.
    pub fn excursion(&self, net: &str) -> Result<(Extent, &'static str), Missing> {
        let _ = net;
        Err(Missing {
            what: "no transient was solved".into(),
        })
    }

    /// Source resistance seen into a net from outside [Ω]: low, nominal, high.
    ///
    /// # Errors
    /// [`Missing`] when it was not computed for this net (it is for every jack contact that feeds
    /// an instrument).
    pub fn source_resistance(&self, net: &str) -> Result<Extent, Missing> {
        let _ = net;
        Err(Missing {
            what: "nothing was solved".into(),
        })
    }

    /// A situation in words.
    #[must_use]
    pub fn describe(&self, situation: SituationId) -> String {
        self.situations
            .get(situation)
            .map_or_else(String::new, Situation::describe)
    }
}
