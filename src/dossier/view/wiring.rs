//! The wiring list: net by net, what is joined.

use super::words::{part_anchor, terminal_words};
use super::{Material, View};
use crate::checks::wiring;
use crate::design::Part;
use crate::dossier::block::{Align, Block, Cell, Column, Inline, Row, Table, link, text};

pub(super) fn add(material: &Material, view: &mut View) {
    let design = material.design;
    let rows: Vec<Row> = design
        .nets
        .iter()
        .map(|net| {
            let joined = wiring::on(design, net);
            let mut ends: Vec<Inline> = Vec::new();
            for (index, (part, terminal)) in joined.iter().enumerate() {
                if index > 0 {
                    ends.push(",\u{2002}".into());
                }
                ends.push(link(part_anchor(&part.reference), part.reference.as_str()));
                ends.push(format!("\u{A0}{}", end(part, terminal)).into());
            }
            let at: Vec<&str> = design
                .test_points
                .iter()
                .filter(|(_, other)| *other == net)
                .map(|(name, _)| name.as_str())
                .collect();
            Row::new([
                Cell::Tick,
                Cell::code(net.as_str()),
                Cell::text(at.join(", ")),
                Cell::text(joined.len().to_string()),
                Cell::Text(ends),
            ])
        })
        .collect();
    view.field("nets_count", rows.len());
    let table = Table {
        id: "wiring".to_owned(),
        caption: text(
            "Wiring, net by net; tick each when every end has been checked against the list. Pins \
             are counted as drawn under Polarity and pins.",
        ),
        columns: vec![
            Column::new("", Align::Left).fixed(12.0),
            Column::new("Net", Align::Left),
            Column::new("Test point", Align::Left),
            Column::new("Ends", Align::Right),
            Column::new("Joins", Align::Left).share(1.0),
        ],
        rows,
        empty: "The design has no nets.".to_owned(),
    };
    view.offer("wiring", true, vec![Block::Table(table)]);
}

/// `pin 3 (in)` where pins are known, else the terminal.
fn end(part: &Part, terminal: &str) -> String {
    let words = terminal_words(terminal).replace('.', "\u{A0}");
    let pin = part
        .pin_functions
        .iter()
        .find(|(_, function)| *function == terminal)
        .map(|(pin, _)| pin);
    match pin {
        Some(pin) => format!("pin\u{A0}{pin}\u{A0}({words})"),
        None => words,
    }
}
