//! One situation: a state at a corner.

use super::{Corner, Plugged, State};

/// One state × one corner. What is wrong with the box, if anything, is a
/// [`Disturbance`](super::disturbance::Disturbance) of its design.
#[derive(Debug, Clone, PartialEq)]
pub struct Situation {
    /// Position of everything a person can move or plug.
    pub state: State,
    /// Levels of everything a person cannot choose.
    pub corner: Corner,
}

impl Situation {
    /// In words: `box on; Lever at 100 %; J1 to drone rack, on — mains high, C1 low, 35 °C`.
    #[must_use]
    pub fn describe(&self) -> String {
        format!("{} — {}", self.state.describe(), self.corner.describe())
    }

    /// In words, with every parameter that is moved.
    #[must_use]
    pub fn describe_fully(&self) -> String {
        format!(
            "{} — {}",
            self.state.describe(),
            self.corner.describe_fully()
        )
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
