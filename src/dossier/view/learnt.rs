//! What readings say of the parts of a unit, and over many units of the prediction.

use super::Material;
use crate::diagnosis::parts::{Learnt, NOT_HEALTHY};
use crate::diagnosis::units::{Across, LEAST};
use crate::dossier::block::{Align, Block, Cell, Column, Row, Status, Table, text};
use crate::quantity::{Unit as Measured, format_range, format_to};
use crate::records::Unit;

/// What the readings narrow down of one unit.
pub(super) fn of_unit(unit: &Unit, learnt: &Learnt) -> Block {
    if !learnt.fits() {
        return Block::Paragraph(text(format!(
            "The readings of unit {} together lie {} standard uncertainties off a healthy box (root \
             mean square; {NOT_HEALTHY} are let pass), so they say nothing of its parts: `preplug \
             diagnose` names what may be wrong.",
            unit.serial,
            format_to(learnt.away, Measured::Ratio, 2)
        )));
    }
    let rows = learnt.estimates.iter().map(|one| {
        let middle = 0.5 * (one.allowed[0] + one.allowed[1]);
        let share = if middle == 0.0 {
            "—".to_owned()
        } else {
            format!("{:+.1} %", 100.0 * (one.is - middle) / middle.abs()).replace('-', "−")
        };
        Row::new(vec![
            Cell::text(one.part.clone()),
            Cell::text(one.what.clone()),
            Cell::text(format_range(one.allowed[0], one.allowed[1], one.unit, 3)),
            Cell::text(format_to(one.is, one.unit, 3)),
            Cell::text(format_range(one.interval[0], one.interval[1], one.unit, 3)),
            Cell::text(share),
        ])
    });
    Block::Table(Table {
        caption: text(format!(
            "What the readings of unit {} say of its parts: figures whose possible range they narrow to \
             70 % of what the design allows, or less. Interval k = 2, within what the design allows; a healthy box \
             is taken for granted. A source's resistance is taken as known to ± 50 % beforehand.",
            unit.serial
        )),
        columns: vec![
            Column::new("Part", Align::Left),
            Column::new("Figure", Align::Left).share(1.0),
            Column::new("Allowed", Align::Left),
            Column::new("Estimate", Align::Decimal),
            Column::new("Interval", Align::Left),
            Column::new("Off middle", Align::Decimal),
        ],
        rows: rows.collect(),
        empty: "The readings narrow down no part.".to_owned(),
        ..Table::default()
    })
}

/// Whether the prediction is off, or a unit.
pub(super) fn across(material: &Material) -> Vec<Block> {
    let read = material.learnt.iter().flatten().count();
    if read == 0 {
        return Vec::new();
    }
    let heading = Block::Heading {
        level: 2,
        text: text("All units beside the prediction"),
        id: "units-across".to_owned(),
    };
    if material.across.is_empty() {
        let what = if read == 1 {
            "One unit was"
        } else {
            "Two units were"
        };
        let words = if read < LEAST {
            format!(
                "{what} read. Whether a reading off the prediction is the unit's or the prediction's \
                 own can be told from {LEAST} units on."
            )
        } else {
            format!(
                "No place was read at {LEAST} units, so the prediction cannot be told from a unit."
            )
        };
        return vec![heading, Block::Paragraph(text(words))];
    }
    vec![heading, Block::Table(table(material.across))]
}

fn table(across: &[Across]) -> Table {
    let row = |one: &Across| {
        let (status, words) = verdict(one);
        Row::new(vec![
            Cell::text(one.point.describe()),
            Cell::text(one.units.len().to_string()),
            Cell::text(format_to(one.mean, Measured::Volt, 2)),
            Cell::text(format_to(one.within, Measured::Volt, 2)),
            Cell::Status(status, text(words)),
        ])
    };
    Table {
        caption: text(
            "Readings less prediction over all units, under the mains and room noted, all parts in the \
             middle of their spreads. The mean leaves out units that lie off the others; its 95 % \
             interval holds the scatter of the units and the meter's own error.",
        ),
        columns: vec![
            Column::new("At", Align::Left),
            Column::new("Units", Align::Right),
            Column::new("Mean off", Align::Decimal),
            Column::new("Within ±", Align::Decimal),
            Column::new("What that says", Align::Left).share(1.0),
        ],
        rows: across.iter().map(row).collect(),
        ..Table::default()
    }
}

fn verdict(one: &Across) -> (Status, String) {
    let odd =
        (!one.odd.is_empty()).then(|| format!("unit {} lies off the others", one.odd.join(", ")));
    let bias = one.biased().then(|| {
        let mains = if one.mains_known {
            ""
        } else {
            ", or the mains, which were not noted for all"
        };
        format!("the prediction is off, or a whole batch of parts{mains}")
    });
    match (odd, bias) {
        (None, None) => (Status::Holds, "prediction and units agree".to_owned()),
        (Some(odd), Some(bias)) => (Status::Caution, format!("{odd}; {bias}")),
        (Some(one), None) | (None, Some(one)) => (Status::Caution, one),
    }
}
