//! Bring-up steps and checklists, set as tables with room to write.

use super::Field;
use super::blocks::{Setter, baseline, place};
use super::slab::{self, Frame, Piece, Slab};
use super::structure::Role;
use super::table;
use super::text::{self, Dress};
use crate::dossier::block::{
    Align, Cell, Checklist, Column, Inline, Row, RowKind, Signature, Status, Steps, Table,
};
use crate::dossier::scene::Stroke;
use crate::dossier::style;

/// Sets bring-up steps.
pub(super) fn steps(setter: &Setter, steps: &Steps, frame: Frame) -> Vec<Slab> {
    let mut rows = Vec::new();
    let mut number = 0;
    for group in &steps.groups {
        let mut title = vec![Inline::Strong(crate::dossier::block::text(&group.title))];
        if !group.before.is_empty() {
            title.push(Inline::Break);
            title.extend_from_slice(&group.before);
        }
        rows.push(Row {
            kind: RowKind::Group,
            cells: vec![Cell::Text(title)],
            ..Row::default()
        });
        for step in &group.steps {
            number += 1;
            rows.push(Row {
                id: step.id.clone(),
                cells: vec![
                    Cell::Text(vec![crate::dossier::block::strong(number.to_string())]),
                    Cell::Text(step.action.clone()),
                    Cell::Text(step.meter.clone()),
                    Cell::Text(step.expected.clone()),
                    Cell::Text(step.stop.clone()),
                    step.blank
                        .as_ref()
                        .map_or_else(Cell::empty, |unit| Cell::Blank(unit.clone())),
                    Cell::Tick,
                ],
                ..Row::default()
            });
        }
    }
    let table = Table {
        id: steps.id.clone(),
        columns: vec![
            Column::new("", Align::Right).fixed(13.0),
            Column::new("Do this", Align::Left).share(2.4),
            Column::new("Meter", Align::Left).share(1.0),
            Column::new("Expect", Align::Left).share(1.2),
            Column::new("Stop if", Align::Left).share(1.2),
            Column::new("Reading", Align::Left).fixed(62.0),
            Column::new("Done", Align::Centre).fixed(22.0),
        ],
        rows,
        empty: steps.empty.clone(),
        ..Table::default()
    };
    table::set(setter, &table, frame)
}

/// Sets a checklist and its signature lines.
pub(super) fn checklist(setter: &Setter, list: &Checklist, frame: Frame) -> Vec<Slab> {
    let mut rows = Vec::new();
    let mut belongs: &[Inline] = &[];
    for (index, item) in list.items.iter().enumerate() {
        if item.belongs != belongs {
            belongs = &item.belongs;
            rows.push(Row {
                kind: RowKind::Group,
                cells: vec![Cell::Text(vec![Inline::Strong(item.belongs.clone())])],
                ..Row::default()
            });
        }
        let signed = item.signed.as_ref().map_or_else(
            || Cell::Blank(String::new()),
            |who| Cell::text(who.as_str()),
        );
        let tick = match item.status {
            Some(status @ (Status::Holds | Status::Fails)) => Cell::Status(status, Vec::new()),
            _ => Cell::Tick,
        };
        let number = vec![crate::dossier::block::strong((index + 1).to_string())];
        let number = Cell::Text(number);
        rows.push(Row::new([
            number,
            tick,
            Cell::Text(item.text.clone()),
            signed,
        ]));
    }
    let table = Table {
        id: list.id.clone(),
        columns: vec![
            Column::new("", Align::Right).fixed(17.0),
            Column::new("", Align::Left).fixed(12.0),
            Column::new("To confirm", Align::Left).share(1.0),
            Column::new("Initials and date", Align::Left).fixed(92.0),
        ],
        rows,
        empty: list.empty.clone(),
        ..Table::default()
    };
    let mut slabs = setter
        .structure
        .within(Role::Table, || table::set(setter, &table, frame));
    // Signatures stand under the last line they answer for.
    for (index, signature) in list.signatures.iter().enumerate() {
        if let Some(before) = slabs.last_mut() {
            before.keep = true;
        }
        slabs.push(signature_line(
            setter,
            &list.id,
            index + 1,
            signature,
            frame,
        ));
    }
    slabs
}

fn signature_line(
    setter: &Setter,
    id: &str,
    number: usize,
    signature: &Signature,
    frame: Frame,
) -> Slab {
    let fonts = setter.fonts;
    let mut slab = Slab {
        above: 6.0,
        height: 46.0,
        ..Slab::default()
    };
    let node = setter.structure.leaf(Role::Paragraph);
    slab.tag(node);
    let role = crate::dossier::block::text(&signature.role);
    let role_width = 0.27 * frame.width;
    let dress = Dress::TEXT.bold();
    let mut y = 31.0;
    for line in text::lines(fonts, &role, dress, role_width - 10.0) {
        place(&mut slab, line, frame.left, y);
        y += dress.leading;
    }
    slab.height = slab.height.max(y - 31.0 + 36.0);
    let fields = [
        ("Name", 0.27, 0.3),
        ("Signature", 0.6, 0.23),
        ("Date", 0.86, 0.14),
    ];
    for (index, (name, from, share)) in fields.into_iter().enumerate() {
        let x = frame.left + from * frame.width;
        let width = share * frame.width;
        slab.untag();
        slab.pieces.push(Piece::rule(
            (x, 33.0),
            (x + width, 33.0),
            Stroke::solid(0.6, style::INK),
        ));
        slab.tag(node);
        slab.pieces.push(slab::run(
            fonts,
            Dress::CAPTION.face,
            style::PLOT,
            style::QUIET,
            (x, 33.0 + baseline(Dress::CAPTION)),
            name,
        ));
        let given = match (&signature.signed, index) {
            (Some((who, _)), 0) => who.as_str(),
            (Some((_, date)), 2) => date.as_str(),
            // Signed by hand.
            (_, 1) => continue,
            _ => {
                slab.pieces.push(Piece::Field(Field {
                    area: [x, 19.0, width, 13.0],
                    tick: false,
                    name: format!("{id}-signature-{number}-{}", index + 1),
                    label: format!("{}: {}", signature.role, name.to_lowercase()),
                }));
                continue;
            }
        };
        slab.pieces.push(slab::run(
            fonts,
            Dress::TABLE.face,
            Dress::TABLE.size,
            style::INK,
            (x, 29.5),
            given,
        ));
    }
    slab
}
