//! What a disturbance does to a design.

use crate::catalogue::{Figure, Kind, Pedigree, Property};
use crate::design::{Connection, Design, Part, Structure};
use crate::quantity::Spread;
use indexmap::IndexMap;
use std::collections::BTreeMap;

/// One edit of a design, at one part.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Edit {
    /// Takes a terminal off its net.
    Open(String),
    /// Joins the nets of two terminals.
    Short { one: String, other: String },
    /// Each first terminal takes the net of the second.
    Rewire(Vec<(String, String)>),
    /// Moves a figure by a factor.
    Scale(Property, f64),
    /// A switch stays in one position, whatever its lever says.
    Stuck(usize),
    /// Only a junction from one terminal to another is left of the part.
    Junction { anode: String, cathode: String },
    /// Whatever is plugged in stops one contact short of home.
    HalfIn,
    /// Another lead: `TS` or `TRS`.
    Lead { index: usize, cable: &'static str },
    /// Another adaptor: its kind, its voltage as a share, its first lead on the second's net.
    Adaptor {
        kind: Kind,
        share: f64,
        turned: bool,
    },
}

impl Edit {
    /// Makes the edit.
    pub(super) fn apply(&self, design: &mut Design, reference: &str) {
        match self {
            Self::Short { one, other } => join(design, reference, one, other),
            Self::Rewire(_) => {
                if let Some(part) = design.parts.get_mut(reference) {
                    self.apply_to(part);
                }
                substrate(design, reference);
            }
            Self::Lead { index, cable } => lead(design, reference, *index, cable),
            other => {
                if let Some(part) = design.parts.get_mut(reference) {
                    other.apply_to(part);
                }
            }
        }
    }

    fn apply_to(&self, part: &mut Part) {
        match self {
            Self::Open(terminal) => wire(part, terminal, "nc"),
            Self::Rewire(moves) => {
                let before = part.terminals.clone();
                for (terminal, from) in moves {
                    if let Some(net) = before.get(from) {
                        wire(part, terminal, net);
                    }
                }
            }
            Self::Scale(property, factor) => scale(part, *property, *factor),
            Self::Stuck(position) => {
                if let Structure::Contacts { poles, .. } = &mut part.structure {
                    for pole in poles.values_mut() {
                        if let Some(net) = pole.throws.get(*position).cloned() {
                            pole.throws.fill(net);
                        }
                    }
                }
            }
            Self::Junction { anode, cathode } => {
                let net = |terminal: &String| part.terminals.get(terminal).cloned();
                if let (Some(a), Some(c)) = (net(anode), net(cathode)) {
                    part.kind = Kind::Diode;
                    part.terminals =
                        IndexMap::from([("anode".to_owned(), a), ("cathode".to_owned(), c)]);
                }
            }
            Self::HalfIn => {
                let sleeve = part.terminals.get("sleeve").cloned();
                let ring = part.terminals.get("ring").cloned();
                if let Some(sleeve) = sleeve {
                    wire(part, "tip", ring.as_deref().unwrap_or(&sleeve));
                    if ring.is_some() {
                        wire(part, "ring", &sleeve);
                    }
                }
            }
            Self::Adaptor {
                kind,
                share,
                turned,
            } => adaptor(part, *kind, *share, *turned),
            Self::Short { .. } | Self::Lead { .. } => {}
        }
    }
}

/// Puts a terminal on a net; a contact of a switch also in its pole.
fn wire(part: &mut Part, terminal: &str, net: &str) {
    part.terminals.insert(terminal.to_owned(), net.to_owned());
    let Structure::Contacts { positions, poles } = &mut part.structure else {
        return;
    };
    let Some((pole, contact)) = terminal.split_once('.') else {
        return;
    };
    let Some(pole) = poles.get_mut(pole) else {
        return;
    };
    if contact == "common" {
        net.clone_into(&mut pole.common);
    } else if let Some(index) = positions.iter().position(|p| p == contact)
        && let Some(throw) = pole.throws.get_mut(index)
    {
        net.clone_into(throw);
    }
}

/// A link from one terminal's net to another's.
fn join(design: &mut Design, reference: &str, one: &str, other: &str) {
    let Some(part) = design.parts.get(reference) else {
        return;
    };
    let (Some(a), Some(b)) = (part.net(one), part.net(other)) else {
        return;
    };
    // The name keeps clear of the part's own elements, which begin with its reference and a dot.
    let name = format!("short of {reference}");
    let link = two_lead(&name, Kind::WireLink, ("a", a), ("b", b));
    design.parts.insert(name, link);
}

/// What an integrated circuit does with its leads reversed: its substrate conducts from the most
/// negative lead to the others, a plain silicon junction (common knowledge of the trade; the
/// models of healthy parts leave it out because it never conducts there).
fn substrate(design: &mut Design, reference: &str) {
    let Some(part) = design.parts.get(reference) else {
        return;
    };
    let negative = part.word("polarity") == Some("negative");
    let junctions: &[(&str, &str)] = match part.kind {
        Kind::ShuntReference => &[("anode", "cathode")],
        Kind::Regulator if negative => &[("in", "ground"), ("in", "out")],
        Kind::Regulator => &[("ground", "in"), ("ground", "out")],
        _ => return,
    };
    let found: Vec<Part> = junctions
        .iter()
        .filter_map(|(anode, cathode)| {
            let (a, c) = (part.net(anode)?, part.net(cathode)?);
            let name = format!("substrate of {reference} to {cathode}");
            Some(two_lead(&name, Kind::Diode, ("anode", a), ("cathode", c)))
        })
        .collect();
    for part in found {
        design.parts.insert(part.reference.clone(), part);
    }
}

fn two_lead(name: &str, kind: Kind, one: (&str, &str), other: (&str, &str)) -> Part {
    let terminals = [one, other].map(|(lead, net)| (lead.to_owned(), net.to_owned()));
    Part {
        reference: name.to_owned(),
        kind,
        type_name: None,
        package: None,
        figures: BTreeMap::new(),
        words: BTreeMap::new(),
        terminals: IndexMap::from(terminals),
        pins: IndexMap::new(),
        pin_functions: IndexMap::new(),
        tab: None,
        structure: Structure::Plain,
        note: None,
    }
}

fn scale(part: &mut Part, property: Property, factor: f64) {
    if let Some(figure) = part.figures.get_mut(&property) {
        let Spread { low, nominal, high } = figure.spread;
        figure.spread = Spread {
            low: low * factor,
            nominal: nominal * factor,
            high: high * factor,
        };
    }
}

fn lead(design: &mut Design, jack: &str, index: usize, with: &str) {
    let connection = design
        .connections
        .get_mut(jack)
        .and_then(|list| list.get_mut(index));
    if let Some(Connection::Instrument { cable, .. } | Connection::Controller { cable, .. }) =
        connection
    {
        with.clone_into(cable);
    }
}

/// Another adaptor in the place of the one meant. What takes the place of an AC adaptor is a
/// regulated DC one of the same label.
fn adaptor(part: &mut Part, kind: Kind, share: f64, turned: bool) {
    for property in [Property::Output, Property::OpenCircuit] {
        scale(part, property, share);
    }
    if kind == part.kind {
        return;
    }
    let names = if kind == Kind::DcAdaptor {
        ["positive", "negative"]
    } else {
        ["live", "common"]
    };
    let mut nets: Vec<String> = part.terminals.values().cloned().collect();
    if turned {
        nets.reverse();
    }
    part.terminals = names.into_iter().map(str::to_owned).zip(nets).collect();
    part.kind = kind;
    if kind == Kind::DcAdaptor {
        part.words.insert("regulated".to_owned(), "true".to_owned());
    } else if !part.figures.contains_key(&Property::OpenCircuit)
        && let Some(rated) = part.figure(Property::Output).map(|f| f.spread.nominal)
    {
        // A small AC adaptor stands a fifth above its label with nothing drawn (common practice).
        part.figures.insert(
            Property::OpenCircuit,
            Figure {
                spread: Spread::exact(1.2 * rated),
                pedigree: Pedigree::Assumed("a small adaptor".to_owned()),
                tolerance_assumed: true,
            },
        );
    }
}
