//! Where and how a step measures, in the words of the records.

use super::Phase;
use crate::design::{Design, Structure};
use crate::quantity::Unit;
use crate::records::{Point, Setting};
use crate::situations::{State, control_name};
use std::collections::BTreeMap;

/// Where and how a step measures, as records name it: the test point where there is one.
pub(super) fn place(
    point: &str,
    net: &str,
    state: BTreeMap<String, Setting>,
    phase: Phase,
) -> Point {
    let name = point.split(" (").next().unwrap_or(point);
    let at = if name.contains(' ') { net } else { name };
    Point {
        at: at.to_owned(),
        net: net.to_owned(),
        state,
        jack: None,
        alone: false,
        plugged: phase == Phase::PlugIn,
        unit: if phase == Phase::Cold {
            Unit::Ohm
        } else {
            Unit::Volt
        },
    }
}

/// The settings of a state, as records name them.
#[must_use]
pub fn set_of(design: &Design, state: &State) -> BTreeMap<String, Setting> {
    let mut set = BTreeMap::new();
    for (switch, index) in &state.switches {
        if let Some(part) = design.parts.get(switch)
            && let Structure::Contacts { positions, .. } = &part.structure
            && let Some(position) = positions.get(*index)
        {
            let setting = Setting::Position(position.clone());
            set.insert(control_name(design, switch).to_owned(), setting);
        }
    }
    for (control, travel) in &state.travel {
        let setting = Setting::Travel(*travel);
        set.insert(control_name(design, control).to_owned(), setting);
    }
    set
}
