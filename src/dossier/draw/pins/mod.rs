//! Pin pictures: every package and panel part of a build as it lies before the builder, with pin
//! numbers, functions and the net each goes to.
//!
//! Pin orders come from the catalogue, through [`Part::pin_functions`]; nothing here knows which
//! pin does what. Parts that look alike share a card.

mod body;
mod card;
mod panel;

use crate::catalogue::{self, Kind, Outline};
use crate::design::{Design, Part, Structure};
use crate::dossier::draw::terminal_words;
use crate::dossier::font::Fonts;
use crate::dossier::scene::{Scene, Stroke};
use crate::dossier::style;
use card::Card;

/// Width of the column [pt].
pub const WIDTH: f64 = 471.0;
/// Height of one sheet [pt].
pub const HEIGHT: f64 = 560.0;
/// Distance between cards [pt].
const GUTTER: f64 = 15.0;

/// One pin of a picture: what stands on it, and what it does.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Pin {
    /// Number or letter; empty where the maker prints none.
    number: String,
    /// Its function, in words.
    function: String,
    /// The terminal of the design.
    terminal: String,
}

/// What the picture shows.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Look {
    /// A package of the catalogue.
    Package(Outline),
    /// Radial capacitor: the stripe at the named terminal.
    Can { stripe: String },
    /// Potentiometer from the back.
    Pot,
    /// Toggle switch from the back, drawn for its first position.
    Toggle,
    /// Jack with a plug in it.
    Jack,
    /// Plug.
    Plug,
    /// Low-voltage plug of an adaptor.
    Barrel,
    /// Battery.
    Battery,
    /// What has its terminals where its maker puts them: which there are, not where.
    Terminals,
}

impl Look {
    /// Whether the nets stand at the pins: such a part has its card to itself.
    fn carries_nets(&self) -> bool {
        matches!(
            self,
            Self::Package(Outline::DualRow) | Self::Toggle | Self::Terminals
        )
    }
}

/// The cards of a design on sheets no taller than `height`.
#[must_use]
pub fn sheets(design: &Design, height: f64, fonts: &Fonts) -> Vec<Scene> {
    let cards = cards(design);
    let width = (WIDTH - GUTTER) / 2.0;
    let drawn: Vec<Scene> = cards.iter().map(|card| card.draw(width, fonts)).collect();
    let mut sheets: Vec<Scene> = Vec::new();
    let mut top = 0.0;
    for row in drawn.chunks(2) {
        let tall = row.iter().map(|card| card.height).fold(0.0, f64::max);
        if sheets.is_empty() || top + tall > height {
            sheets.push(Scene::new(WIDTH, 0.0));
            top = 0.0;
        }
        if let Some(sheet) = sheets.last_mut() {
            for (card, left) in row.iter().zip([0.0, width + GUTTER]) {
                let rule = Stroke::solid(0.6, style::RULE);
                sheet.rect((left, top), (width, tall), None, Some(rule));
                sheet.place(card, (left, top), 1.0);
            }
            sheet.height = top + tall;
        }
        top += tall + GUTTER;
    }
    sheets
}

/// Parts whose pins matter and for which no picture can be drawn, because the design does not name
/// their package.
#[must_use]
pub fn without_package(design: &Design) -> Vec<&Part> {
    let matters = |part: &&Part| {
        part.type_name.is_some()
            && part.terminals.len() > 2
            && part.pin_functions.is_empty()
            && look(part).is_none()
    };
    design.parts.values().filter(matters).collect()
}

/// Parts that look alike, one card each, in the order of the file.
fn cards(design: &Design) -> Vec<Card<'_>> {
    let mut cards: Vec<Card> = Vec::new();
    for part in design.parts.values() {
        let Some((look, title, seen)) = look(part) else {
            continue;
        };
        let pins = pins(part, &look);
        let own = look.carries_nets();
        let like = cards
            .iter_mut()
            .find(|card| !own && card.look == look && card.title == title && card.pins == pins);
        match like {
            Some(card) => card.parts.push(part),
            None => cards.push(Card {
                parts: vec![part],
                look,
                title,
                seen,
                pins,
            }),
        }
    }
    cards
}

/// How a part looks, what the card is headed with, and how it is held.
fn look(part: &Part) -> Option<(Look, String, String)> {
    let held = |words: &str| words.to_owned();
    Some(match part.kind {
        Kind::Electrolytic => (
            Look::Can {
                stripe: "negative".to_owned(),
            },
            held("Electrolytic capacitor, radial"),
            held("the stripe and the short lead mark −"),
        ),
        Kind::Tantalum => (
            Look::Can {
                stripe: "positive".to_owned(),
            },
            held("Tantalum capacitor, radial"),
            held("the stripe marks +: the other way round than on an electrolytic"),
        ),
        Kind::Potentiometer => (
            Look::Pot,
            held("Potentiometer"),
            held("from the back, lugs down; as seen from the shaft the order is the other way"),
        ),
        Kind::Switch => (
            Look::Toggle,
            format!("Switch {}", part.reference),
            held("from the back, lever as in the first position; trace each lug with a meter"),
        ),
        Kind::Jack => (
            Look::Jack,
            format!("Jack, {}", part.word("contacts").unwrap_or("TS")),
            held("cut open, plug in; trace each lug with a meter"),
        ),
        Kind::Plug => (
            Look::Plug,
            format!("Plug, {}", part.word("contacts").unwrap_or("TS")),
            held("from the side, tip first"),
        ),
        Kind::Battery => (
            Look::Battery,
            held("Battery"),
            held("measure which lead of its holder is + before anything is soldered to it"),
        ),
        Kind::Relay => (
            Look::Terminals,
            format!("Relay {}", part.reference),
            held("what it has, not where: find the coil and each contact with a meter"),
        ),
        Kind::Transformer => (
            Look::Terminals,
            format!("Transformer {}", part.reference),
            held("what it has, not where: as its label says; find each winding with a meter"),
        ),
        Kind::Connector => (
            Look::Terminals,
            format!("Connector {}", part.reference),
            held("what it has, not where: as its maker counts them"),
        ),
        Kind::DcAdaptor => {
            let polarity = part.word("plug-polarity")?;
            (
                Look::Barrel,
                format!("Low-voltage plug, {}", polarity.replace('-', " ")),
                held("from the end; measure before it is first plugged in"),
            )
        }
        _ => {
            let entry = part.type_name.as_deref().and_then(catalogue::find);
            let package = entry.and_then(|entry| entry.package(part.package.as_deref()?));
            match (entry, package) {
                (Some(entry), Some((name, package))) => (
                    Look::Package(package.outline),
                    match package.outline {
                        // All of one package are banded alike, whatever their number.
                        Outline::Axial | Outline::Radial => name.to_owned(),
                        _ => format!("{} in {name}", entry.name),
                    },
                    package.view.clone(),
                ),
                _ => return generic(part),
            }
        }
    })
}

/// Two-lead parts without a type of the catalogue.
fn generic(part: &Part) -> Option<(Look, String, String)> {
    match part.kind {
        Kind::Led => Some((
            Look::Package(Outline::Radial),
            "LED".to_owned(),
            "the long lead is the anode; the flat on the rim is at the cathode".to_owned(),
        )),
        Kind::Diode | Kind::Zener if part.type_name.is_none() => Some((
            Look::Package(Outline::Axial),
            "Diode".to_owned(),
            "the band marks the cathode".to_owned(),
        )),
        _ => None,
    }
}

/// The pins in their order: the catalogue's, or that in which the functions are always named.
fn pins(part: &Part, look: &Look) -> Vec<Pin> {
    let pin = |number: &str, terminal: &str| Pin {
        number: number.to_owned(),
        function: terminal_words(terminal),
        terminal: terminal.to_owned(),
    };
    let named = |terminals: &[&str]| -> Vec<Pin> {
        let has = |terminal: &&&str| part.terminals.contains_key(**terminal);
        terminals.iter().filter(has).map(|t| pin("", t)).collect()
    };
    if let Structure::Contacts { positions, poles } = &part.structure {
        return named(&["coil1", "coil2"])
            .into_iter()
            .chain(
                poles
                    .keys()
                    .flat_map(|pole| {
                        std::iter::once(format!("{pole}.common"))
                            .chain(positions.iter().map(move |to| format!("{pole}.{to}")))
                    })
                    .map(|terminal| pin("", &terminal)),
            )
            .collect();
    }
    match look {
        Look::Terminals => {
            let mut all: Vec<&str> = part.terminals.keys().map(String::as_str).collect();
            all.retain(|terminal| part.net(terminal).is_some());
            // `2` before `10`.
            all.sort_by_key(|name| (name.parse::<u32>().unwrap_or(u32::MAX), *name));
            named(&all)
        }
        Look::Can { .. } | Look::Barrel | Look::Battery => named(&["positive", "negative"]),
        Look::Jack | Look::Plug => {
            let mut pins = named(&["tip", "tip-normal", "ring", "ring-normal", "sleeve"]);
            pins.retain(|pin| {
                part.net(&pin.terminal).is_some() || !pin.terminal.ends_with("-normal")
            });
            pins
        }
        Look::Package(Outline::Axial | Outline::Radial) => named(&["anode", "cathode", "a", "b"]),
        Look::Pot => lugs(part)
            .iter()
            .map(|(number, terminal)| pin(number, terminal))
            .collect(),
        _ => part
            .pin_functions
            .iter()
            .map(|(number, terminal)| pin(number, terminal))
            .collect(),
    }
}

/// Lug → function of a potentiometer, of its own type or as the catalogue has it for any.
fn lugs(part: &Part) -> Vec<(String, String)> {
    let own = &part.pin_functions;
    let any = || {
        catalogue::types()
            .iter()
            .filter(|entry| entry.kind == Kind::Potentiometer)
            .find_map(|entry| entry.packages.values().next())
            .map(|package| &package.pins)
    };
    let pins = if own.is_empty() { any() } else { Some(own) };
    pins.into_iter()
        .flatten()
        .map(|(number, function)| (number.clone(), function.clone()))
        .collect()
}
