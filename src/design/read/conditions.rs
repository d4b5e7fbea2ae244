//! Mains, ambient and enclosure.

use super::figure::{self, Rule};
use super::names::Names;
use crate::catalogue::Kind;
use crate::design::schema::Floor;
use crate::design::{Conditions, Enclosure, Mains, Part};
use crate::quantity::{Spread, Unit, parse_size};
use crate::source::{Diagnostic, Node, Reader, Span};
use indexmap::IndexMap;

/// Indoor use where nothing is said.
const USUAL_AMBIENT: (f64, f64) = (5.0, 40.0);
/// Mains tolerance where none is said.
const USUAL_MAINS: f64 = 0.10;
/// Room temperature at which nominal values hold.
const ROOM: f64 = 25.0;

pub(super) fn read(
    root: &Node,
    top: Span,
    parts: &IndexMap<String, Part>,
    reader: &mut Reader,
    names: &Names,
) -> Conditions {
    let node = root.get("conditions");
    if let Some(node) = node {
        reader.keys(node, "conditions", &["mains", "ambient", "enclosure"]);
    }
    let under = |key: &str| node.and_then(|node| node.get(key));
    let place = root
        .entries()
        .and_then(|entries| entries.iter().find(|entry| entry.key == "conditions"))
        .map_or(top, |entry| entry.key_span);
    let mains = under("mains").and_then(|node| mains(node, reader));
    let fed = parts.values().find(|part| {
        matches!(
            part.kind,
            Kind::AcAdaptor | Kind::DcAdaptor | Kind::Transformer
        )
    });
    if let Some(part) = fed
        && under("mains").is_none()
    {
        reader.note(
            Diagnostic::error(
                "missing-key",
                format!(
                    "`{}` hangs on the mains, and `conditions` says nothing of them",
                    part.reference
                ),
            )
            .at(place, "")
            .hint("write `conditions: {mains: {voltage: 230 V ± 10 %, frequency: 50 Hz}}`"),
        );
    }
    let ambient = under("ambient").and_then(|node| ambient(node, reader));
    Conditions {
        mains,
        ambient: ambient.unwrap_or_else(|| about_room(USUAL_AMBIENT.0, USUAL_AMBIENT.1)),
        ambient_assumed: ambient.is_none(),
        enclosure: under("enclosure").and_then(|node| enclosure(node, reader, names)),
    }
}

fn mains(node: &Node, reader: &mut Reader) -> Option<Mains> {
    reader.keys(node, "mains", &["voltage", "frequency"])?;
    let rule = Rule::plain(Unit::Volt, Floor::Above).or_within(USUAL_MAINS);
    let voltage = reader
        .required(node, "voltage", "mains", node.span)
        .and_then(|node| figure::read(node, "the mains voltage", rule, reader));
    let frequency = reader
        .required(node, "frequency", "mains", node.span)
        .and_then(|node| {
            let value = reader.value(node, "the mains frequency", Unit::Hertz)?;
            if (16.0..=400.0).contains(&value) {
                return Some(value);
            }
            reader.note(
                Diagnostic::error("impossible-value", "no mains has this frequency")
                    .at(node.span, "")
                    .hint("write `50 Hz` or `60 Hz`"),
            );
            None
        });
    let voltage = voltage?;
    Some(Mains {
        voltage: voltage.spread,
        frequency: frequency?,
        tolerance_assumed: voltage.tolerance_assumed,
    })
}

fn ambient(node: &Node, reader: &mut Reader) -> Option<Spread> {
    let range = reader.range(node, "ambient", Unit::Celsius)?;
    if range.low < -60.0 || range.high > 100.0 {
        reader.note(
            Diagnostic::error(
                "impossible-value",
                "no box of this sort is used at such temperatures",
            )
            .at(node.span, ""),
        );
        return None;
    }
    Some(about_room(range.low, range.high))
}

/// A range of temperature whose nominal is 25 °C or the nearest end.
fn about_room(low: f64, high: f64) -> Spread {
    Spread {
        low,
        nominal: ROOM.clamp(low, high),
        high,
    }
}

fn enclosure(node: &Node, reader: &mut Reader, names: &Names) -> Option<Enclosure> {
    reader.keys(
        node,
        "the enclosure",
        &[
            "size",
            "material",
            "conductive",
            "joined-to",
            "thermal-resistance",
        ],
    )?;
    let size = node
        .get("size")
        .and_then(|node| reader.quantity(node, "the size of the enclosure", parse_size));
    let material = node
        .get("material")
        .and_then(|node| reader.text(node, "material"))
        .map(str::to_owned);
    let conductive = node
        .get("conductive")
        .and_then(|node| reader.flag(node, "`conductive`"));
    let joined_to = node
        .get("joined-to")
        .and_then(|node| names.existing(node, "joined-to", reader));
    let rule = Rule::plain(Unit::KelvinPerWatt, Floor::Above);
    let thermal_resistance = node
        .get("thermal-resistance")
        .and_then(|node| {
            figure::read(
                node,
                "the thermal resistance of the enclosure",
                rule,
                reader,
            )
        })
        .map(|figure| figure.spread.nominal);
    Some(Enclosure {
        size,
        material,
        conductive,
        joined_to,
        thermal_resistance,
    })
}
