//! The three gates of one built unit, apart from the design's.

use super::words::gate_name;
use crate::bench::UnitGate;
use crate::dossier::block::{Align, Cell, Column, Inline, Row, Status, Table, text};
use crate::records::Unit;

/// Which gates of a unit stand open, and what holds the others shut.
pub(super) fn table(unit: &Unit, gates: &[UnitGate; 3]) -> Table {
    let rows = gates.iter().map(|gate| {
        let state = if gate.open() {
            Cell::Status(Status::Holds, text("open"))
        } else {
            Cell::Status(Status::Fails, text("blocked"))
        };
        let mut why: Vec<Inline> = Vec::new();
        for reason in &gate.reasons {
            if !why.is_empty() {
                why.push(Inline::Break);
            }
            why.push(reason.as_str().into());
        }
        Row::new(vec![
            Cell::text(gate_name(gate.gate)),
            state,
            Cell::Text(why),
        ])
    });
    let reworked = match unit.reworks.last() {
        Some(rework) => format!(
            " It was reworked on {} ({}): what was measured before does not count.",
            rework.date, rework.what
        ),
        None => String::new(),
    };
    Table {
        caption: text(format!(
            "Gates of unit {}: whether this one may be powered, plugged in and handed on, by what was \
             fitted otherwise, the revision it was built to and its own readings. The gates on the \
             cover are the design's.{reworked}",
            unit.serial
        )),
        columns: vec![
            Column::new("Gate", Align::Left),
            Column::new("This unit", Align::Left),
            Column::new("Why", Align::Left).share(1.0),
        ],
        rows: rows.collect(),
        ..Table::default()
    }
}
