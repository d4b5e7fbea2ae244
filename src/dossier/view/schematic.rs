//! The schematic, a figure for each sheet.

use super::words::listed;
use super::{Material, View};
use crate::dossier::block::{Block, Figure, text};
use crate::dossier::draw::schematic::{PAGE, draw};
use crate::dossier::font::Fonts;

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let design = material.design;
    let sheets = draw(design, PAGE, fonts);
    let count = sheets.len();
    view.field("has_schematic", count > 0);
    view.field("sheets_count", count);
    let figures = sheets
        .into_iter()
        .enumerate()
        .map(|(index, sheet)| {
            let of = if count > 1 {
                format!(", sheet {} of {count}", index + 1)
            } else {
                String::new()
            };
            let revision = match &design.revision {
                Some(revision) => format!(", revision {revision}"),
                None => String::new(),
            };
            Block::Figure(Figure {
                id: if index == 0 {
                    "schematic-sheet".to_owned()
                } else {
                    format!("schematic-sheet-{}", index + 1)
                },
                caption: text(format!("Schematic of {}{revision}{of}.", design.title)),
                alt: format!(
                    "Schematic{of}, with {}. The wiring list says net by net what is joined.",
                    listed(&sheet.parts)
                ),
                scene: sheet.scene,
            })
        })
        .collect();
    view.offer("schematic", false, figures);
}
