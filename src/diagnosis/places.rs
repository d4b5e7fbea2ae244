//! From a point of the records to what is asked of the solver, and back.

use super::predict::{Asked, Prediction};
use crate::bench::nominal_setting;
use crate::design::{Connection, Design, Structure};
use crate::evidence::outputs;
use crate::quantity::Unit;
use crate::records::{Point, Setting};
use crate::situations::{Plugged, State, control_name, states};

/// Settings that are solved, where no more are asked for.
pub(super) const MOST_SETTINGS: usize = 12;

/// Where a control may have stood while a reading was taken that does not say: the middle, then
/// both ends. All such controls and readings are taken to have stood alike.
pub(super) const UNSAID: [f64; 3] = [0.5, 0.0, 1.0];

/// Where a value stands in a [`Prediction`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Slot {
    /// Setting, column.
    Volts(usize, usize),
    /// Cold setting, column.
    Ohms(usize, usize),
}

/// All that a person can set, and how the points are found in it.
#[derive(Debug, Clone)]
pub(super) struct Places {
    pub asked: Asked,
    /// In how many ways the controls may have stood that readings do not mention.
    pub ways: usize,
}

impl Places {
    /// For these points, and for the nets and jacks of the design in `most` settings.
    pub fn new(design: &Design, points: &[Point], input: f64, most: usize) -> Self {
        let (states, _) = states(design);
        let nominal = states.into_iter().collect::<Vec<State>>();
        let unsaid = points.iter().any(|point| unsaid(design, point));
        let mut places = Self {
            asked: Asked {
                nets: design
                    .nets
                    .iter()
                    .filter(|n| *n != "gnd")
                    .cloned()
                    .collect(),
                jacks: jacks(design),
                input,
                ..Asked::default()
            },
            ways: if unsaid { UNSAID.len() } else { 1 },
        };
        for point in points {
            for way in 0..places.ways {
                let Some(state) = nominal.first().and_then(|n| state(design, n, point, way)) else {
                    continue;
                };
                if point.unit == Unit::Ohm {
                    add(&mut places.asked.cold, state.cold());
                } else {
                    add(&mut places.asked.settings, state);
                }
            }
            let known = if point.unit == Unit::Ohm {
                &mut places.asked.ohms
            } else {
                &mut places.asked.loaded
            };
            if !known.contains(&point.net) {
                known.push(point.net.clone());
            }
        }
        for state in nominal.iter().filter(|state| state.powered) {
            if places.asked.settings.len() >= most {
                break;
            }
            add(&mut places.asked.settings, unplugged(design, state));
        }
        places
    }

    /// Where a point stands, if it was asked for, with what it does not mention standing one way.
    pub fn slot(
        &self,
        design: &Design,
        nominal: &State,
        point: &Point,
        way: usize,
    ) -> Option<Slot> {
        let state = state(design, nominal, point, way)?;
        if point.unit == Unit::Ohm {
            let cold = state.cold();
            let setting = self.asked.cold.iter().position(|s| same(s, &cold))?;
            let column = self.asked.ohms.iter().position(|net| *net == point.net)?;
            return Some(Slot::Ohms(setting, column));
        }
        let setting = self.asked.settings.iter().position(|s| same(s, &state))?;
        let column = match &point.jack {
            Some(jack) => {
                self.asked.nets.len() + self.asked.jacks.iter().position(|(at, _)| at == jack)?
            }
            None => self.asked.nets.iter().position(|net| *net == point.net)?,
        };
        Some(Slot::Volts(setting, column))
    }
}

impl Slot {
    /// One voltage for each draw; a draw without a solution has none.
    pub fn volts(self, prediction: &Prediction) -> Vec<Option<f64>> {
        match self {
            Self::Volts(setting, column) => prediction.volts[setting]
                .iter()
                .map(|row| row.as_ref().map(|row| row[column]))
                .collect(),
            Self::Ohms(..) => Vec::new(),
        }
    }

    /// Both ends of a resistance, for each draw.
    pub fn ohms(self, prediction: &Prediction) -> Vec<[f64; 2]> {
        match self {
            Self::Ohms(setting, column) => prediction.ohms[setting]
                .iter()
                .map(|row| row[column])
                .collect(),
            Self::Volts(..) => Vec::new(),
        }
    }
}

fn add(states: &mut Vec<State>, state: State) {
    if !states.iter().any(|known| same(known, &state)) {
        states.push(state);
    }
}

fn same(one: &State, other: &State) -> bool {
    one.switches == other.switches
        && one.plugs == other.plugs
        && one.travel.len() == other.travel.len()
        && one
            .travel
            .iter()
            .zip(&other.travel)
            .all(|((a, x), (b, y))| a == b && (x - y).abs() < 1e-9)
}

/// The contact of every jack that feeds an instrument, and the jack.
fn jacks(design: &Design) -> Vec<(String, String)> {
    let mut jacks: Vec<(String, String)> = Vec::new();
    for (jack, _, _) in outputs(design) {
        let signal = design
            .connections
            .get(&jack)
            .into_iter()
            .flatten()
            .find_map(|connection| match connection {
                Connection::Instrument {
                    instrument, input, ..
                } => Some(instrument.inputs.get(input)?.signal.clone()),
                Connection::Controller { .. } => None,
            });
        if let Some(signal) = signal
            && jacks.iter().all(|(known, _)| *known != jack)
        {
            jacks.push((jack, signal));
        }
    }
    jacks
}

/// Does a point leave the travel of a control unsaid?
fn unsaid(design: &Design, point: &Point) -> bool {
    let (states, _) = states(design);
    states.first().is_some_and(|nominal| {
        nominal.travel.keys().any(|control| {
            !nominal.plugs.contains_key(control)
                && !point.state.contains_key(control_name(design, control))
        })
    })
}

/// The state in which a point was measured.
fn state(design: &Design, nominal: &State, point: &Point, way: usize) -> Option<State> {
    let mut state = if point.plugged {
        nominal.clone()
    } else {
        unplugged(design, nominal)
    };
    for (switch, index) in &mut state.switches {
        let named = control_name(design, switch);
        let Some(Structure::Contacts { positions, .. }) =
            design.parts.get(switch).map(|part| &part.structure)
        else {
            continue;
        };
        let wanted = point.state.get(named).cloned();
        if let Some(Setting::Position(wanted)) = wanted.or_else(|| nominal_setting(design, named)) {
            *index = positions.iter().position(|position| *position == wanted)?;
        }
    }
    let controls: Vec<String> = state.travel.keys().cloned().collect();
    for control in controls {
        let travel = match point.state.get(control_name(design, &control)) {
            Some(Setting::Travel(travel)) => *travel,
            _ => UNSAID[way],
        };
        state = state.at_travel(design, &control, travel);
    }
    Some(state)
}

/// The same setting with nothing plugged in.
fn unplugged(design: &Design, state: &State) -> State {
    let mut bare = state.clone();
    for jack in state.plugs.keys() {
        bare = bare.with_plug(design, jack, Plugged::Nothing);
    }
    bare.travel
        .retain(|control, _| !state.plugs.contains_key(control));
    bare
}
