//! The words beside symbols: values, ratings, and what stands outside the box.

use crate::catalogue::{Kind, Pedigree, Property};
use crate::design::{Connection, Design, Part};
use crate::quantity::{Unit, format, format_short, format_spread};

/// Value and ratings as they stand beside the symbol: what the design gives, a line each.
pub(super) fn lines(part: &Part) -> Vec<String> {
    let given = |property: Property| {
        let figure = part.figure(property)?;
        let chosen = !matches!(
            figure.pedigree,
            Pedigree::Published(..) | Pedigree::Assumed(_) | Pedigree::Derived(_)
        );
        let unit = property.unit(part.kind);
        chosen.then(|| shown(figure.spread.nominal, unit))
    };
    let word = |key: &str| part.word(key).map(str::to_owned);
    let type_name = part.type_name.clone();
    let control = word("control").map(|name| format!("“{name}”"));
    let joined = |words: &[Option<String>]| {
        let words: Vec<&str> = words.iter().flatten().map(String::as_str).collect();
        (!words.is_empty()).then(|| words.join(" "))
    };
    let rows: Vec<Option<String>> = match part.kind {
        Kind::AcAdaptor | Kind::DcAdaptor => {
            let sort = if part.kind == Kind::AcAdaptor {
                "AC"
            } else {
                "DC"
            };
            let output = given(Property::Output).map(|v| format!("{v} {sort}"));
            vec![
                output,
                given(Property::Current).or_else(|| given(Property::Va)),
            ]
        }
        Kind::Transformer => vec![
            given(Property::Output),
            given(Property::Current).or_else(|| given(Property::Va)),
        ],
        Kind::Battery => {
            let range = part.figure(Property::Fresh).map(|fresh| {
                let flat = part.figure(Property::Flat);
                let fresh = format_short(fresh.spread.nominal, Unit::Volt);
                match flat {
                    Some(flat) => {
                        let flat = format_short(flat.spread.nominal, Unit::Volt);
                        format!("{fresh} to {flat}")
                    }
                    None => fresh,
                }
            });
            vec![word("chemistry"), range]
        }
        Kind::Fuse => vec![joined(&[word("speed"), given(Property::Current)])],
        Kind::Ptc => vec![type_name, given(Property::HoldCurrent)],
        Kind::Regulator | Kind::AdjustableRegulator => Vec::new(),
        Kind::Potentiometer => vec![joined(&[given(Property::Value), word("law")]), control],
        Kind::Sensor => {
            let figure = part.figure(Property::Resistance);
            let range = figure.map(|f| format_spread(&f.spread, Unit::Ohm));
            vec![range, control]
        }
        Kind::Led => vec![type_name.or_else(|| word("colour"))],
        Kind::Lamp => vec![given(Property::Voltage), given(Property::Current)],
        Kind::Load => vec![given(Property::Current), given(Property::Resistance)],
        Kind::Switch => vec![control],
        Kind::Relay => vec![type_name, given(Property::Value)],
        Kind::Jack | Kind::Plug => vec![word("contacts")],
        _ => vec![
            type_name,
            given(Property::Value),
            given(Property::Rating).or_else(|| given(Property::Power)),
        ],
    };
    rows.into_iter().flatten().collect()
}

fn shown(value: f64, unit: Unit) -> String {
    // To three figures what was written to more; a quarter of a watt stays a quarter.
    let short = format_short(value, unit);
    if short.chars().filter(char::is_ascii_digit).count() > 4 {
        format(value, unit)
    } else {
        short
    }
}

/// What may be plugged here, in a few lines: the first is what is meant.
pub(super) fn outside(design: &Design, part: &Part) -> Vec<String> {
    let Some(connections) = design.connections.get(&part.reference) else {
        return Vec::new();
    };
    let mut lines = Vec::new();
    match connections.first() {
        Some(Connection::Instrument {
            instrument,
            input,
            cable,
        }) => {
            lines.push(instrument.title.clone());
            lines.push(format!("{input}, {cable} cable"));
            if let Some(input) = instrument.inputs.get(input) {
                let volts =
                    |figure: &crate::catalogue::Figure| format_spread(&figure.spread, Unit::Volt);
                lines.push(format!("accepts {}", volts(&input.accepts)));
                if let Some(survives) = &input.survives {
                    lines.push(format!("survives {}", volts(survives)));
                }
                if let Some(impedance) = &input.impedance {
                    let ohms = format_short(impedance.spread.nominal, Unit::Ohm);
                    lines.push(format!("takes {ohms}"));
                }
                if let Some(supply) = &input.supply {
                    let volts = format_short(supply.voltage.spread.nominal, Unit::Volt);
                    lines.push(format!("puts {volts} on the {}", supply.contact));
                }
            }
        }
        Some(Connection::Controller { controller, cable }) => {
            lines.push(controller.title.clone());
            lines.push(format!("{cable} cable"));
            lines.push(format_short(controller.element.spread.nominal, Unit::Ohm));
            if let Some(wiring) = controller.wirings.first() {
                lines.push(wiring.name.clone());
            }
        }
        None => {}
    }
    if connections.len() > 1 {
        lines.push(format!("or {} more", connections.len() - 1));
    }
    lines
}
