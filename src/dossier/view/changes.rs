//! What this revision changed of an older one.

use super::words::gate_name;
use super::{Material, View};
use crate::dossier::block::{Align, Block, Cell, Column, Row, Status, Table, code, text};
use crate::review::{Change, Comparison, net_range};

pub(super) fn add(material: &Material, view: &mut View) {
    let mut blocks = Vec::new();
    if let Some((older, comparison)) = material.since {
        view.field("since", older);
        let tables = [
            gates(comparison),
            parts(comparison),
            nets(comparison),
            findings(comparison),
        ];
        blocks.extend(tables.map(Block::Table));
    } else {
        view.field("since", "");
    }
    view.offer("changes", false, blocks);
}

fn gates(comparison: &Comparison) -> Table {
    let state = |open: bool| {
        if open {
            Cell::Status(Status::Holds, text("open"))
        } else {
            Cell::Status(Status::Fails, text("blocked"))
        }
    };
    let rows = comparison.gates.iter().map(|(gate, old, new)| {
        Row::new(vec![Cell::text(gate_name(*gate)), state(*old), state(*new)])
    });
    Table {
        caption: text("Gates of the older and of this revision."),
        columns: vec![
            Column::new("Gate", Align::Left),
            Column::new("Older", Align::Left),
            Column::new("This", Align::Left),
        ],
        rows: rows.collect(),
        ..Table::default()
    }
}

fn parts(comparison: &Comparison) -> Table {
    let rows = comparison.parts.iter().flat_map(|change| {
        change.lines.iter().enumerate().map(|(index, line)| {
            let part = if index == 0 { change.part.as_str() } else { "" };
            Row::new(vec![Cell::text(part), Cell::text(line.clone())])
        })
    });
    Table {
        caption: text("Parts and wiring, older → this."),
        columns: vec![
            Column::new("Part", Align::Left),
            Column::new("What changed", Align::Left).share(1.0),
        ],
        rows: rows.collect(),
        empty: "No part and no wire changed.".to_owned(),
        ..Table::default()
    }
}

fn nets(comparison: &Comparison) -> Table {
    let rows = comparison.nets.iter().map(|change| {
        Row::new(vec![
            Cell::Text(vec![code(change.net.as_str())]),
            Cell::text(net_range(&change.old)),
            Cell::text(net_range(&change.new)),
        ])
    });
    Table {
        caption: text("Mean voltages, box on, from the lowest to the highest corner."),
        columns: vec![
            Column::new("Net", Align::Left),
            Column::new("Older", Align::Left),
            Column::new("This", Align::Left),
        ],
        rows: rows.collect(),
        empty: "No net moved by more than a thousandth.".to_owned(),
        ..Table::default()
    }
}

fn findings(comparison: &Comparison) -> Table {
    let changed = |change: Change| change != Change::Same;
    let same = comparison.findings.len()
        - comparison
            .findings
            .iter()
            .filter(|f| changed(f.change))
            .count();
    let rows = comparison
        .findings
        .iter()
        .filter(|f| changed(f.change))
        .map(|one| {
            let status = match one.change {
                Change::New | Change::Worse => Status::Caution,
                _ => Status::Holds,
            };
            Row::new(vec![
                Cell::Status(status, text(one.change.words())),
                Cell::text(gate_name(one.gate)),
                Cell::text(one.place.clone()),
                Cell::Text(vec![code(one.check)]),
                Cell::text(one.what.clone()),
            ])
        });
    Table {
        caption: text(format!(
            "Findings that are new, gone, better or worse; {same} are the same."
        )),
        columns: vec![
            Column::new("Change", Align::Left),
            Column::new("Gate", Align::Left),
            Column::new("At", Align::Left),
            Column::new("Check", Align::Left),
            Column::new("What", Align::Left).share(1.0),
        ],
        rows: rows.collect(),
        empty: "No finding came, went or moved.".to_owned(),
        ..Table::default()
    }
}
