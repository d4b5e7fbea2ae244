//! What the reviewer remarked, by part, net or finding.

use super::{Material, View};
use crate::dossier::block::{Block, code, text};

pub(super) fn add(material: &Material, view: &mut View) {
    let remarks = material.file.map(|file| file.remarks.as_slice());
    let remarks = remarks.unwrap_or_default();
    let items: Vec<Vec<Block>> = remarks
        .iter()
        .map(|remark| {
            let mut words = Vec::new();
            let places = [remark.check.as_deref(), remark.about.as_deref()];
            for place in places.into_iter().flatten() {
                words.push(code(place));
                words.push(": ".into());
            }
            words.push(remark.text.as_str().into());
            vec![Block::Paragraph(words)]
        })
        .collect();
    let reviewer = material.file.map_or_else(String::new, |file| {
        let date = file
            .date
            .as_ref()
            .map_or(String::new(), |d| format!(", {d}"));
        format!("Remarks of {}{date}.", file.reviewer)
    });
    view.field("remarks_count", items.len());
    let blocks = if items.is_empty() {
        Vec::new()
    } else {
        vec![
            Block::Paragraph(text(reviewer)),
            Block::List {
                ordered: false,
                items,
            },
        ]
    };
    view.offer("remarks", false, blocks);
}
