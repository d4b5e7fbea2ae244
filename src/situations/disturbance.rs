//! What can be wrong with one part: it fails, or it was wired wrongly.
//!
//! A disturbance is an edit of the design: [`Disturbance::apply`] gives the design as it would
//! then be, and everything downstream works on that as on any other.

use crate::catalogue::{Figure, Kind, Pedigree, Property};
use crate::design::{Design, Part, Structure};
use crate::quantity::Spread;
use indexmap::IndexMap;
use std::collections::BTreeMap;

/// Reference of the link that stands for a short circuit.
const LINK: &str = "short circuit";

/// One thing wrong.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Disturbance {
    /// The part.
    pub part: String,
    /// What is wrong with it.
    pub what: Wrong,
}

/// What can be wrong.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wrong {
    /// A terminal has lost contact.
    Open(String),
    /// Two terminals are joined.
    Shorted(String, String),
    /// The value has drifted to this many per cent of itself.
    Drifted(u32),
    /// Slip: two terminals are wired to each other's nets.
    Swapped(String, String),
}

impl Disturbance {
    /// Is it a slip of the builder rather than a part failing?
    #[must_use]
    pub fn is_slip(&self) -> bool {
        matches!(self.what, Wrong::Swapped(..))
    }

    /// In words: `R4 open`, `U1 in shorted to out`, `C1 turned round`.
    #[must_use]
    pub fn describe(&self) -> String {
        let part = &self.part;
        match &self.what {
            Wrong::Open(terminal) if matches!(terminal.as_str(), "a" | "anode" | "positive") => {
                format!("{part} open")
            }
            Wrong::Open(terminal) => format!("{part} {terminal} open"),
            Wrong::Shorted(a, b) if is_pair(a, b) => format!("{part} shorted"),
            Wrong::Shorted(a, b) => format!("{part} {a} shorted to {b}"),
            Wrong::Drifted(percent) => format!("{part} drifted to {percent} %"),
            Wrong::Swapped(a, b) if is_pair(a, b) => format!("{part} turned round"),
            Wrong::Swapped(a, b) => format!("{part} with {a} and {b} swapped"),
        }
    }

    /// The design with this wrong.
    #[must_use]
    pub fn apply(&self, design: &Design) -> Design {
        let mut design = design.clone();
        match &self.what {
            Wrong::Open(terminal) => {
                if let Some(part) = design.parts.get_mut(&self.part) {
                    rewire(part, terminal, "nc");
                }
            }
            Wrong::Shorted(a, b) => {
                let nets = design
                    .parts
                    .get(&self.part)
                    .map(|part| [part.net(a), part.net(b)].map(|net| net.map(str::to_owned)));
                if let Some([Some(a), Some(b)]) = nets
                    && a != b
                {
                    design.parts.insert(LINK.to_owned(), link(&a, &b));
                }
            }
            Wrong::Drifted(percent) => {
                let share = f64::from(*percent) / 100.0;
                if let Some(figure) = design
                    .parts
                    .get_mut(&self.part)
                    .and_then(|part| part.figures.get_mut(&Property::Value))
                {
                    let Spread { low, nominal, high } = figure.spread;
                    figure.spread = Spread {
                        low: low * share,
                        nominal: nominal * share,
                        high: high * share,
                    };
                }
            }
            Wrong::Swapped(a, b) => {
                if let Some(part) = design.parts.get_mut(&self.part) {
                    let (at_a, at_b) = (raw(part, a), raw(part, b));
                    if let (Some(at_a), Some(at_b)) = (at_a, at_b) {
                        rewire(part, a, &at_b);
                        rewire(part, b, &at_a);
                    }
                }
            }
        }
        design
    }
}

/// Every single fault and slip of a design, in the order of its parts.
#[must_use]
pub fn disturbances(design: &Design) -> Vec<Disturbance> {
    let mut all = Vec::new();
    for part in design.parts.values() {
        let wrongs = opens(part)
            .into_iter()
            .chain(shorts(part))
            .chain(drifts(part))
            .chain(swaps(part));
        all.extend(wrongs.map(|what| Disturbance {
            part: part.reference.clone(),
            what,
        }));
    }
    all
}

/// Terminals that are wired.
fn wired(part: &Part) -> Vec<&str> {
    part.terminals
        .keys()
        .map(String::as_str)
        .filter(|terminal| part.net(terminal).is_some())
        .collect()
}

fn opens(part: &Part) -> Vec<Wrong> {
    let wired = wired(part);
    // Opening either end of a two-terminal part is the same; the first stands for both.
    let kept = if wired.len() == 2 {
        &wired[..1]
    } else {
        &wired[..]
    };
    kept.iter()
        .map(|terminal| Wrong::Open((*terminal).to_owned()))
        .collect()
}

/// Pairs of terminals on different nets; for jacks and switches these are touching contacts.
fn pairs(part: &Part) -> Vec<(String, String)> {
    let wired = wired(part);
    let mut pairs = Vec::new();
    for (index, a) in wired.iter().enumerate() {
        for b in &wired[index + 1..] {
            if part.net(a) != part.net(b) {
                pairs.push(((*a).to_owned(), (*b).to_owned()));
            }
        }
    }
    pairs
}

fn shorts(part: &Part) -> Vec<Wrong> {
    match part.kind {
        Kind::WireLink | Kind::Load => Vec::new(),
        _ => pairs(part)
            .into_iter()
            .map(|(a, b)| Wrong::Shorted(a, b))
            .collect(),
    }
}

fn drifts(part: &Part) -> Vec<Wrong> {
    let drifts = match part.kind {
        Kind::Resistor
        | Kind::Thermistor
        | Kind::Potentiometer
        | Kind::Electrolytic
        | Kind::Tantalum
        | Kind::Ceramic
        | Kind::Film => &[50, 200][..],
        _ => &[],
    };
    drifts
        .iter()
        .map(|percent| Wrong::Drifted(*percent))
        .collect()
}

/// A symmetrical two-terminal part cannot be turned round wrongly; the primary of a transformer
/// and a load are not the builder's to swap.
fn swaps(part: &Part) -> Vec<Wrong> {
    let symmetrical = matches!(
        part.kind,
        Kind::Resistor
            | Kind::Thermistor
            | Kind::Ceramic
            | Kind::Film
            | Kind::Inductor
            | Kind::Fuse
            | Kind::Ptc
            | Kind::Lamp
            | Kind::Sensor
            | Kind::WireLink
            | Kind::Load
            | Kind::AcAdaptor
    );
    if symmetrical {
        return Vec::new();
    }
    pairs(part)
        .into_iter()
        .map(|(a, b)| Wrong::Swapped(a, b))
        .collect()
}

fn is_pair(a: &str, b: &str) -> bool {
    matches!(
        (a, b),
        ("a", "b")
            | ("anode", "cathode")
            | ("cathode", "anode")
            | ("positive", "negative")
            | ("negative", "positive")
    )
}

fn raw(part: &Part, terminal: &str) -> Option<String> {
    part.terminals.get(terminal).cloned()
}

/// Puts a terminal on another net, in the terminals and in the poles that mirror them.
fn rewire(part: &mut Part, terminal: &str, net: &str) {
    if let Some(at) = part.terminals.get_mut(terminal) {
        net.clone_into(at);
    }
    if let Structure::Contacts { positions, poles } = &mut part.structure
        && let Some((pole, contact)) = terminal.split_once('.')
        && let Some(pole) = poles.get_mut(pole)
    {
        if contact == "common" {
            net.clone_into(&mut pole.common);
        } else if let Some(index) = positions.iter().position(|position| position == contact)
            && let Some(throw) = pole.throws.get_mut(index)
        {
            net.clone_into(throw);
        }
    }
}

fn link(a: &str, b: &str) -> Part {
    let resistance = Figure {
        spread: Spread::exact(0.01),
        pedigree: Pedigree::Assumed("a solder bridge".into()),
        tolerance_assumed: false,
    };
    Part {
        reference: LINK.to_owned(),
        kind: Kind::WireLink,
        type_name: None,
        package: None,
        figures: BTreeMap::from([(Property::Resistance, resistance)]),
        words: BTreeMap::new(),
        terminals: IndexMap::from([
            ("a".to_owned(), a.to_owned()),
            ("b".to_owned(), b.to_owned()),
        ]),
        pins: IndexMap::new(),
        pin_functions: IndexMap::new(),
        tab: None,
        structure: Structure::Plain,
        note: None,
    }
}
