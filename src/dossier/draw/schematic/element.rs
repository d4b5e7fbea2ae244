//! What has to be drawn: one element for each part, or for each unit of an op-amp and each pole of
//! a switch, with its symbol and the words beside it.

use super::symbol::{self, Symbol};
use super::words::{lines, outside};
use crate::catalogue::Kind;
use crate::design::{Connection, Design, Part, Pole, Structure};
use indexmap::IndexMap;

/// How an element may be placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    /// Two ends, lying or standing.
    Two,
    /// Standing, with a tap at one side.
    Standing,
    /// On a rail, with a third pin below or above.
    Through,
    /// As drawn.
    Fixed,
}

/// One symbol to draw.
#[derive(Debug, Clone)]
pub(super) struct Element<'a> {
    pub part: &'a Part,
    /// Name beside the symbol: the reference, with the unit or pole where there are several.
    pub name: String,
    /// Value and ratings, a line each.
    pub lines: Vec<String>,
    pub shape: Shape,
    /// As drawn by [`symbol`]: lying where it may lie.
    pub symbol: Symbol,
    /// What stands outside the box at this jack: lines of words.
    pub outside: Vec<String>,
    /// Is it a controller, which works the box, that stands there?
    pub controlled: bool,
}

impl Element<'_> {
    /// The net of a terminal; `None` when it is left open.
    pub fn net(&self, terminal: &str) -> Option<&str> {
        self.part.net(terminal)
    }

    /// The terminals at the two ends of an element that can stand: the first is drawn above.
    pub fn ends(&self) -> Option<[&str; 2]> {
        match self.shape {
            Shape::Two | Shape::Standing => Some([
                self.symbol.pins.first()?.terminal.as_str(),
                self.symbol.pins.get(1)?.terminal.as_str(),
            ]),
            _ => None,
        }
    }

    /// The nets of its pins, `gnd` included.
    pub fn nets(&self) -> impl Iterator<Item = &str> {
        self.symbol
            .pins
            .iter()
            .filter_map(|p| self.net(&p.terminal))
    }

    /// Does an instrument or controller stand at this jack?
    pub fn is_output(&self) -> bool {
        matches!(self.part.kind, Kind::Jack | Kind::Plug | Kind::Connector)
    }
}

/// Everything to draw, in the order of the file.
pub(super) fn elements(design: &Design) -> Vec<Element<'_>> {
    design
        .parts
        .values()
        .flat_map(|part| of_part(design, part))
        .collect()
}

fn of_part<'a>(design: &'a Design, part: &'a Part) -> Vec<Element<'a>> {
    match &part.structure {
        Structure::Units(units) => return op_amp(part, units),
        Structure::Contacts { positions, poles } => return contacts(part, positions, poles),
        _ => {}
    }
    if part.kind == Kind::Optocoupler {
        return optocoupler(part);
    }
    let (shape, symbol) = drawn(part);
    let mut one = element(part, shape, symbol);
    one.symbol = upright(one.symbol, shape);
    one.outside = outside(design, part);
    one.controlled = matches!(
        design
            .connections
            .get(&part.reference)
            .and_then(|all| all.first()),
        Some(Connection::Controller { .. })
    );
    vec![one]
}

/// How a part of one piece is drawn.
fn drawn(part: &Part) -> (Shape, Symbol) {
    // Contacts that the part has; those that only break away are drawn when they are wired.
    let wired = |names: &[&'static str]| -> Vec<&'static str> {
        let has = |name: &&&str| {
            part.terminals.contains_key(**name)
                && (part.net(name).is_some() || !name.ends_with("-normal"))
        };
        names.iter().filter(has).copied().collect()
    };
    match part.kind {
        Kind::AcAdaptor => {
            let outside = part.word("where") != Some("inside");
            (
                Shape::Fixed,
                symbol::adaptor("live", "common", true, outside),
            )
        }
        Kind::DcAdaptor => {
            let outside = part.word("where") != Some("inside");
            let adaptor = symbol::adaptor("positive", "negative", false, outside);
            (Shape::Fixed, adaptor)
        }
        Kind::Transformer => {
            let secondary = ["secondary1", "centre", "secondary2", "a1", "a2", "b1", "b2"];
            let primary = wired(&["primary1", "primary2"]);
            (
                Shape::Fixed,
                symbol::transformer(&primary, &wired(&secondary)),
            )
        }
        Kind::Bridge => (Shape::Fixed, symbol::bridge()),
        Kind::Potentiometer => (Shape::Standing, symbol::potentiometer().turned(1)),
        Kind::ShuntReference => (Shape::Standing, symbol::shunt_reference()),
        Kind::Bipolar => {
            let npn = part.word("polarity") != Some("pnp");
            (Shape::Standing, symbol::bipolar(npn))
        }
        Kind::Mosfet => {
            let n = part.word("polarity") != Some("p-channel");
            (Shape::Standing, symbol::mosfet(n))
        }
        Kind::Regulator | Kind::AdjustableRegulator => {
            let third = if part.kind == Kind::Regulator {
                "ground"
            } else {
                "adjust"
            };
            let up = part.word("polarity") == Some("negative");
            let name = part.type_name.clone().unwrap_or_default();
            let marking = format!("{name}{}", part.word("grade").unwrap_or_default());
            (Shape::Through, symbol::regulator(third, up, &marking))
        }
        Kind::Jack | Kind::Plug => {
            let order = ["tip", "tip-normal", "ring", "ring-normal", "sleeve"];
            (Shape::Fixed, symbol::jack(&wired(&order)))
        }
        Kind::Connector => {
            let pins: Vec<&str> = part.terminals.keys().map(String::as_str).collect();
            (Shape::Fixed, symbol::connector(&pins))
        }
        kind => {
            let mut names = part.terminals.keys().map(String::as_str);
            let (first, second) = (names.next().unwrap_or("a"), names.next().unwrap_or("b"));
            let (first, second) = match (first, second) {
                ("cathode", "anode") | ("negative", "positive") | ("b", "a") => (second, first),
                order => order,
            };
            (Shape::Two, symbol::two(kind, first, second))
        }
    }
}

/// The LED of an optocoupler, and its transistor, whose base is lit and not wired.
fn optocoupler(part: &Part) -> Vec<Element<'_>> {
    let led = symbol::two(Kind::Led, "anode", "cathode");
    let mut lit = element(part, Shape::Standing, symbol::phototransistor());
    lit.lines.clear();
    vec![element(part, Shape::Two, led), lit]
}

/// The coil of a relay, and each pole.
fn contacts<'a>(
    part: &'a Part,
    positions: &[String],
    poles: &IndexMap<String, Pole>,
) -> Vec<Element<'a>> {
    let mut all = Vec::new();
    if part.kind == Kind::Relay {
        let coil = symbol::coil("coil1", "coil2");
        all.push(element(part, Shape::Two, coil));
    }
    for (index, (name, pole)) in poles.iter().enumerate() {
        let throws: Vec<(Option<String>, String)> = positions
            .iter()
            .zip(&pole.throws)
            .map(|(position, net)| {
                let terminal = format!("{name}.{position}");
                ((net != "nc").then_some(terminal), position.clone())
            })
            .collect();
        let symbol = symbol::pole(&format!("{name}.common"), &throws);
        let mut one = element(part, Shape::Fixed, symbol);
        if poles.len() > 1 {
            one.name = format!("{} {name}", part.reference);
        }
        if index > 0 || part.kind == Kind::Relay {
            one.lines.clear();
        }
        all.push(one);
    }
    all
}

/// Pins of a standing symbol with the upper end first, the lower second.
fn upright(mut symbol: Symbol, shape: Shape) -> Symbol {
    if shape == Shape::Standing {
        let order = |side: symbol::Side| match side {
            symbol::Side::Up => 0,
            symbol::Side::Down => 1,
            _ => 2,
        };
        symbol.pins.sort_by_key(|pin| order(pin.side));
    }
    symbol
}

fn op_amp<'a>(part: &'a Part, units: &[String]) -> Vec<Element<'a>> {
    let several = units.len() > 1;
    units
        .iter()
        .enumerate()
        .map(|(index, unit)| {
            let mut one = element(part, Shape::Fixed, symbol::op_amp(unit, index == 0, false));
            if several {
                one.name = format!("{} {unit}", part.reference);
            }
            if index > 0 {
                one.lines.clear();
            }
            one
        })
        .collect()
}

fn element(part: &Part, shape: Shape, symbol: Symbol) -> Element<'_> {
    Element {
        part,
        name: part.reference.clone(),
        lines: lines(part),
        shape,
        symbol,
        outside: Vec::new(),
        controlled: false,
    }
}
