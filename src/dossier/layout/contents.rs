//! The table of contents.

use super::blocks::Setter;
use super::slab::{self, Frame, Piece, Slab};
use super::structure::Role;
use super::text::{self, Dress};
use crate::dossier::scene::Stroke;
use crate::dossier::style;

/// One slab for each numbered heading; page numbers are filled in when the pages are known.
pub(super) fn set(setter: &Setter, frame: Frame) -> Vec<Slab> {
    let fonts = setter.fonts;
    let mut slabs = Vec::new();
    let right = frame.left + frame.width;
    for entry in &setter.outline.entries {
        let first = entry.level == 1;
        let dress = if first {
            Dress::TEXT.bold()
        } else {
            Dress::TEXT
        };
        let indent = if first { 0.0 } else { 30.0 };
        let words = crate::dossier::block::text(&entry.words);
        let number_width = 30.0;
        let room = frame.width - indent - number_width - 40.0;
        let lines = text::lines(fonts, &words, dress, room);
        let mut slab = Slab {
            above: if first { 6.5 } else { 0.5 },
            keep: first,
            ..Slab::default()
        };
        slab.tag(setter.structure.leaf(Role::ContentsItem));
        let base = 0.72 * dress.leading;
        slab.pieces.push(slab::run(
            fonts,
            dress.face,
            dress.size,
            style::ACCENT,
            (frame.left + indent, base),
            &format!("{} ", entry.number),
        ));
        let mut end = 0.0;
        for line in lines {
            end = frame.left + indent + number_width + line.width;
            let y = slab.height + base;
            super::blocks::place(&mut slab, line, frame.left + indent + number_width, y);
            slab.height += dress.leading;
        }
        let baseline = slab.height - dress.leading + base;
        slab.pieces.push(Piece::PageNumber {
            to: entry.id.clone(),
            right,
            baseline,
            face: dress.face,
            size: dress.size,
            colour: style::INK,
        });
        slab.pieces.push(Piece::Link {
            area: [frame.left, 0.0, frame.width, slab.height],
            to: entry.id.clone(),
        });
        slab.untag();
        if right - 24.0 > end + 6.0 {
            slab.pieces.push(Piece::rule(
                (end + 6.0, baseline - 1.0),
                (right - 24.0, baseline - 1.0),
                Stroke::dashed(0.7, style::RULE, &[0.7, 3.3]),
            ));
        }
        slabs.push(slab);
    }
    if let Some(last) = slabs.last_mut() {
        last.keep = false;
    }
    slabs
}
