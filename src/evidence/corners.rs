//! The worst corner of every quantity, by sensitivity.
//!
//! In one state, each parameter is moved alone to each end of its spread. The sign of what that
//! does to a quantity says at which end the parameter stands in the corner that makes the quantity
//! highest, and lowest. Every such corner is then solved for itself: the values in the table are
//! solutions, never linear predictions. This is extreme-value analysis; it holds where a quantity
//! moves one way with a parameter over its spread. Where both ends move it the same way the
//! extreme lies inside, and the search says so.

use crate::situations::{Corner, Level, Parameter};
use std::collections::BTreeSet;

/// A change below this share of a quantity's size is taken for no change.
const NEGLIGIBLE: f64 = 1e-7;

/// What one parameter does, alone, to every slot.
#[derive(Debug, Clone)]
pub struct Effect {
    /// The parameter.
    pub parameter: Parameter,
    /// Values with it low.
    pub low: Vec<f64>,
    /// Values with it high.
    pub high: Vec<f64>,
}

/// The corners worth solving in a state.
#[derive(Debug, Clone, Default)]
pub struct Corners {
    /// Distinct corners, nominal and single moves left out.
    pub corners: BTreeSet<Corner>,
    /// Slots whose extreme lies inside the spread of some parameter, and which.
    pub interior: Vec<(usize, Parameter)>,
}

/// Finds the corners from the nominal values and the effects.
#[must_use]
pub fn worst_corners(nominal: &[f64], effects: &[Effect]) -> Corners {
    let mut found = Corners::default();
    for (slot, centre) in nominal.iter().enumerate() {
        if !centre.is_finite() {
            continue;
        }
        let mut highest = Corner::nominal();
        let mut lowest = Corner::nominal();
        for effect in effects {
            let negligible = NEGLIGIBLE * (centre.abs() + 1e-6);
            let (low, high) = (effect.low[slot] - centre, effect.high[slot] - centre);
            if !(low.abs() > negligible || high.abs() > negligible) {
                continue;
            }
            let (up, down) = if high >= low {
                (Level::High, Level::Low)
            } else {
                (Level::Low, Level::High)
            };
            if low * high > 0.0 && low.abs().min(high.abs()) > 1e-3 * low.abs().max(high.abs()) {
                found.interior.push((slot, effect.parameter.clone()));
            }
            highest = highest.with(effect.parameter.clone(), up);
            lowest = lowest.with(effect.parameter.clone(), down);
        }
        for corner in [highest, lowest] {
            if corner.moved() > 1 {
                found.corners.insert(corner);
            }
        }
    }
    found
}
