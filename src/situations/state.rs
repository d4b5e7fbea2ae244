//! States: what a person at the box can choose.

use crate::catalogue::Kind;
use crate::design::{Connection, Design, Part, Structure};
use std::collections::BTreeMap;

/// Most states that are taken as a full product; beyond it plugs are changed one at a time.
const MOST_STATES: usize = 64;

/// What is in a jack.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Plugged {
    /// Nothing.
    Nothing,
    /// One of the jack's connections.
    Device {
        /// Index in [`Design::connections`] of the jack.
        index: usize,
        /// Index of the controller's wiring; 0 for an instrument.
        wiring: usize,
        /// Is the device switched on?
        on: bool,
    },
    /// A two-contact plug in a three-contact jack, with nothing on its far end: ring to sleeve.
    TwoContactLead,
}

/// One state of the box and what is plugged into it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    /// Is the box's own supply on?
    pub powered: bool,
    /// Switch or relay reference → index of its position.
    pub switches: BTreeMap<String, usize>,
    /// Potentiometer or sensor reference (or jack of a plugged controller) → travel, 0..=1.
    pub travel: BTreeMap<String, f64>,
    /// Jack → what is in it.
    pub plugs: BTreeMap<String, Plugged>,
    /// The state in words.
    pub words: String,
}

impl State {
    /// In words.
    #[must_use]
    pub fn describe(&self) -> String {
        self.words.clone()
    }

    /// The same switches and controls with the box off and nothing plugged in; not reworded.
    #[must_use]
    pub fn cold(&self) -> Self {
        let mut state = self.clone();
        state.powered = false;
        for plug in state.plugs.values_mut() {
            *plug = Plugged::Nothing;
        }
        state
    }

    /// The same state with one control at another travel, reworded.
    #[must_use]
    pub fn at_travel(&self, design: &Design, control: &str, travel: f64) -> Self {
        let mut state = self.clone();
        state.travel.insert(control.to_owned(), travel);
        state.words = words(design, &state);
        state
    }

    /// The state in words but for one control, which moves.
    #[must_use]
    pub fn words_without(&self, design: &Design, control: &str) -> String {
        let mut state = self.clone();
        state.travel.remove(control);
        words(design, &state)
    }

    /// The same state with one jack plugged otherwise, reworded.
    #[must_use]
    pub fn with_plug(&self, design: &Design, jack: &str, plugged: Plugged) -> Self {
        let mut state = self.clone();
        state.plugs.insert(jack.to_owned(), plugged);
        state.words = words(design, &state);
        state
    }

    /// True when a device that is switched on is plugged in anywhere.
    #[must_use]
    pub fn device_on(&self) -> bool {
        self.plugs
            .values()
            .any(|plug| matches!(plug, Plugged::Device { on: true, .. }))
    }
}

/// One thing a person can choose, and the choices; the nominal one first.
#[derive(Debug, Clone)]
enum Choice {
    Switch(String, usize),
    Travel(String),
    Plug(String, Vec<Plugged>),
}

impl Choice {
    fn count(&self) -> usize {
        match self {
            Self::Switch(_, positions) => *positions,
            Self::Travel(_) => TRAVEL.len(),
            Self::Plug(_, plugs) => plugs.len(),
        }
    }

    fn apply(&self, index: usize, state: &mut State) {
        match self {
            Self::Switch(part, _) => {
                state.switches.insert(part.clone(), index);
            }
            Self::Travel(part) => {
                state.travel.insert(part.clone(), TRAVEL[index]);
            }
            Self::Plug(jack, plugs) => {
                state.plugs.insert(jack.clone(), plugs[index].clone());
            }
        }
    }
}

/// Nominal, then both ends.
const TRAVEL: [f64; 3] = [0.5, 0.0, 1.0];

/// Every state of a design, the nominal one first: the product of switch positions, control ends
/// and middle, and plugs, with the box on; and each with the box off in which a device is on.
/// The second value says what was left out, when the product was too large.
#[must_use]
pub fn states(design: &Design) -> (Vec<State>, Option<String>) {
    let choices = choices(design);
    let product = choices.iter().try_fold(1_usize, |count, choice| {
        count
            .checked_mul(choice.count())
            .filter(|count| *count <= MOST_STATES)
    });
    let picks = if product.is_some() {
        full_product(&choices)
    } else {
        let mut picks = settings(&choices);
        picks.extend(one_at_a_time(&choices));
        picks
    };
    let left_out = product.is_none().then(|| {
        format!(
            "more than {MOST_STATES} combinations of switches, controls and plugs: every setting \
             of switches and controls was taken with what is nominally plugged in, and every other \
             plug with switches and controls nominal; the other combinations were not"
        )
    });
    let mut states: Vec<State> = Vec::new();
    for powered in [true, false] {
        for pick in &picks {
            let mut state = State {
                powered,
                ..State::default()
            };
            for (choice, index) in choices.iter().zip(pick) {
                choice.apply(*index, &mut state);
            }
            if !powered && !state.device_on() {
                continue;
            }
            drop_unused_travel(design, &mut state);
            state.words = words(design, &state);
            if !states.contains(&state) {
                states.push(state);
            }
        }
    }
    (states, left_out)
}

fn choices(design: &Design) -> Vec<Choice> {
    let mut choices = Vec::new();
    for part in design.parts.values() {
        match (&part.structure, part.kind) {
            (Structure::Contacts { positions, .. }, _) => {
                choices.push(Choice::Switch(part.reference.clone(), positions.len()));
            }
            (_, Kind::Potentiometer | Kind::Sensor) => {
                choices.push(Choice::Travel(part.reference.clone()));
            }
            (_, Kind::Jack | Kind::Plug | Kind::Connector) => {
                let plugs = plugs(design, part);
                if plugs
                    .iter()
                    .any(|plug| is_controller(design, &part.reference, plug))
                {
                    choices.push(Choice::Travel(part.reference.clone()));
                }
                if plugs.len() > 1 {
                    choices.push(Choice::Plug(part.reference.clone(), plugs));
                }
            }
            _ => {}
        }
    }
    choices
}

fn plugs(design: &Design, part: &Part) -> Vec<Plugged> {
    let mut plugs = Vec::new();
    for (index, connection) in design
        .connections
        .get(&part.reference)
        .into_iter()
        .flatten()
        .enumerate()
    {
        match connection {
            Connection::Instrument { .. } => {
                plugs.push(Plugged::Device {
                    index,
                    wiring: 0,
                    on: true,
                });
                plugs.push(Plugged::Device {
                    index,
                    wiring: 0,
                    on: false,
                });
            }
            Connection::Controller { controller, .. } => {
                for wiring in 0..controller.wirings.len() {
                    plugs.push(Plugged::Device {
                        index,
                        wiring,
                        on: false,
                    });
                }
            }
        }
    }
    plugs.push(Plugged::Nothing);
    if part.kind == Kind::Jack && part.net("ring").is_some() && part.net("sleeve").is_some() {
        plugs.push(Plugged::TwoContactLead);
    }
    plugs
}

/// Is what is plugged there a controller?
fn is_controller(design: &Design, jack: &str, plugged: &Plugged) -> bool {
    let Plugged::Device { index, .. } = plugged else {
        return false;
    };
    matches!(
        design
            .connections
            .get(jack)
            .and_then(|list| list.get(*index)),
        Some(Connection::Controller { .. })
    )
}

/// A controller's travel means nothing while another thing is in its jack.
fn drop_unused_travel(design: &Design, state: &mut State) {
    let plugs = &state.plugs;
    state.travel.retain(|control, _| {
        plugs
            .get(control)
            .is_none_or(|plugged| is_controller(design, control, plugged))
    });
}

fn full_product(choices: &[Choice]) -> Vec<Vec<usize>> {
    let mut picks = vec![Vec::new()];
    for choice in choices {
        picks = picks
            .into_iter()
            .flat_map(|pick| {
                (0..choice.count()).map(move |index| {
                    let mut pick = pick.clone();
                    pick.push(index);
                    pick
                })
            })
            .collect();
    }
    picks
}

/// Every setting of switches and controls, all plugs nominal; one at a time where even these are
/// too many.
fn settings(choices: &[Choice]) -> Vec<Vec<usize>> {
    let fixed = |choice: &Choice| matches!(choice, Choice::Plug(..));
    let count =
        choices
            .iter()
            .filter(|choice| !fixed(choice))
            .try_fold(1_usize, |count, choice| {
                count
                    .checked_mul(choice.count())
                    .filter(|count| *count <= MOST_STATES)
            });
    if count.is_none() {
        return Vec::new();
    }
    let mut picks = vec![Vec::new()];
    for choice in choices {
        let most = if fixed(choice) { 1 } else { choice.count() };
        picks = picks
            .into_iter()
            .flat_map(|pick: Vec<usize>| {
                (0..most).map(move |index| {
                    let mut pick = pick.clone();
                    pick.push(index);
                    pick
                })
            })
            .collect();
    }
    picks
}

fn one_at_a_time(choices: &[Choice]) -> Vec<Vec<usize>> {
    let nominal = vec![0; choices.len()];
    let mut picks = vec![nominal.clone()];
    for (at, choice) in choices.iter().enumerate() {
        for index in 1..choice.count() {
            let mut pick = nominal.clone();
            pick[at] = index;
            picks.push(pick);
        }
    }
    picks
}

/// The name a person knows a control by: its `control:` word, else its reference.
#[must_use]
pub fn control_name<'a>(design: &'a Design, reference: &'a str) -> &'a str {
    design
        .parts
        .get(reference)
        .and_then(|part| part.word("control"))
        .unwrap_or(reference)
}

fn words(design: &Design, state: &State) -> String {
    let mut words = vec![if state.powered {
        "box on".to_owned()
    } else {
        "box off".to_owned()
    }];
    for (reference, index) in &state.switches {
        let position = design
            .parts
            .get(reference)
            .and_then(|part| match &part.structure {
                Structure::Contacts { positions, .. } => positions.get(*index),
                _ => None,
            });
        let position = position.map_or("?", String::as_str);
        words.push(format!("{} {position}", control_name(design, reference)));
    }
    for (reference, travel) in &state.travel {
        let percent = libm::round(travel * 100.0);
        words.push(format!(
            "{} at {percent} %",
            control_name(design, reference)
        ));
    }
    for (jack, plugged) in &state.plugs {
        words.push(plug_words(design, jack, plugged));
    }
    words.join(", ")
}

fn plug_words(design: &Design, jack: &str, plugged: &Plugged) -> String {
    match plugged {
        Plugged::Nothing => format!("{jack} unplugged"),
        Plugged::TwoContactLead => format!("a two-contact plug in {jack}"),
        Plugged::Device { index, wiring, on } => {
            match design
                .connections
                .get(jack)
                .and_then(|list| list.get(*index))
            {
                Some(Connection::Instrument {
                    instrument, input, ..
                }) => format!(
                    "{jack} in {} {input} ({})",
                    instrument.title,
                    if *on { "on" } else { "off" }
                ),
                Some(Connection::Controller { controller, .. }) => {
                    let name = controller
                        .wirings
                        .get(*wiring)
                        .map_or("", |w| w.name.as_str());
                    format!("{} in {jack} ({name})", controller.title)
                }
                None => format!("{jack} plugged"),
            }
        }
    }
}
