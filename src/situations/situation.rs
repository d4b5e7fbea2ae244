//! One situation: a state at a corner, just switched on or warmed up.

use super::{Corner, Plugged, State};
use std::collections::BTreeMap;

/// Temperature of each part [°C].
pub type Temperatures = BTreeMap<String, f64>;

/// One state × one corner. What is wrong with the box, if anything, is a
/// [`Disturbance`](super::disturbance::Disturbance) of its design.
#[derive(Debug, Clone, PartialEq)]
pub struct Situation {
    /// Position of everything a person can move or plug.
    pub state: State,
    /// Levels of everything a person cannot choose.
    pub corner: Corner,
    /// What the parts have settled at; none just after switch-on, when all are at ambient.
    pub warmed: Option<Temperatures>,
}

impl Situation {
    /// Just after switch-on.
    #[must_use]
    pub fn new(state: State, corner: Corner) -> Self {
        Self {
            state,
            corner,
            warmed: None,
        }
    }

    /// Every parameter at its nominal and every part at ambient?
    #[must_use]
    pub fn is_nominal(&self) -> bool {
        self.corner.is_nominal() && self.warmed.is_none()
    }

    /// In words: `box on; Lever at 100 %; J1 to drone rack, on — mains high, C1 low, 35 °C`.
    #[must_use]
    pub fn describe(&self) -> String {
        self.with_state(&self.corner.describe())
    }

    /// In words, with every parameter that is moved.
    #[must_use]
    pub fn describe_fully(&self) -> String {
        self.with_state(&self.corner.describe_fully())
    }

    fn with_state(&self, corner: &str) -> String {
        let warmed = if self.warmed.is_some() {
            ", warmed up"
        } else {
            ""
        };
        format!("{} — {corner}{warmed}", self.state.describe())
    }
}

/// Is the box's own supply on?
#[must_use]
pub fn powered(situation: &Situation) -> bool {
    situation.state.powered
}

/// Is nothing but the box's own supply on: every plugged device off or absent?
#[must_use]
pub fn alone(situation: &Situation) -> bool {
    situation.state.powered
        && situation
            .state
            .plugs
            .values()
            .all(|plug| !matches!(plug, Plugged::Device { on: true, .. }))
}
