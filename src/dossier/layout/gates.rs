//! The panels of the gates.

use super::blocks::{Setter, measure, place};
use super::marks;
use super::slab::{self, Frame, Piece, Slab};
use super::structure::Role;
use super::table::box_piece;
use super::text::{self, Dress};
use crate::dossier::block::{Gate, Gates, Inline, Status};
use crate::dossier::font::Face;
use crate::dossier::style;

const GAP: f64 = 12.0;
const PAD: f64 = 10.0;
const HEAD: f64 = 46.0;

/// The panels side by side, then the verdict.
pub(super) fn set(setter: &Setter, gates: &Gates, frame: Frame) -> Vec<Slab> {
    let count = gates.gates.len().max(1);
    #[allow(clippy::cast_precision_loss)]
    let width = (frame.width - GAP * (count - 1) as f64) / count as f64;
    let panels: Vec<Slab> = gates
        .gates
        .iter()
        .enumerate()
        .map(|(index, gate)| {
            #[allow(clippy::cast_precision_loss)]
            let left = frame.left + index as f64 * (width + GAP);
            panel(setter, gate, Frame { left, width })
        })
        .collect();
    let height = panels.iter().map(|panel| panel.height).fold(0.0, f64::max);
    let mut slab = Slab {
        above: 14.0,
        height: height + 6.0,
        keep: !gates.verdict.is_empty(),
        ..Slab::default()
    };
    for (index, (panel, gate)) in panels.into_iter().zip(&gates.gates).enumerate() {
        #[allow(clippy::cast_precision_loss)]
        let left = frame.left + index as f64 * (width + GAP);
        let colour = colour(gate);
        slab.pieces
            .push(box_piece([left, 0.0, width, height], 1.2, colour));
        if !gate.open {
            slab.pieces
                .push(Piece::ground([left, 0.0, width, HEAD], colour));
        }
        slab.pieces.extend(panel.pieces);
    }
    let mut slabs = vec![slab];
    let dress = Dress::TEXT.sized(11.0, 15.6);
    slabs.extend(setter.paragraph(&gates.verdict, dress, measure(frame), 10.0));
    slabs
}

fn colour(gate: &Gate) -> crate::dossier::scene::Rgb {
    if gate.open {
        style::HOLDS
    } else {
        style::FAILS
    }
}

fn panel(setter: &Setter, gate: &Gate, frame: Frame) -> Slab {
    let fonts = setter.fonts;
    let mut slab = Slab::default();
    slab.tag(setter.structure.leaf(Role::Paragraph));
    // Open: dark on paper with a tick. Blocked: paper on dark with a cross. Plain without colour.
    let (ink, word, status) = if gate.open {
        (style::HOLDS, "OPEN", Status::Holds)
    } else {
        (style::WHITE, "BLOCKED", Status::Fails)
    };
    let mark = marks::coloured(status, 22.0, ink, style::FAILS);
    slab.pieces.extend(slab::scene(
        fonts,
        &mark,
        (frame.left + frame.width - PAD - 22.0, 12.0),
        1.0,
    ));
    let left = frame.left + PAD;
    for (face, size, y, words) in [
        (Face::Regular, 9.6, 17.0, gate.name.as_str()),
        (Face::SemiBold, 16.0, 36.0, word),
    ] {
        let words = format!("{words} ");
        slab.pieces
            .push(slab::run(fonts, face, size, ink, (left, y), &words));
    }
    let mut y = HEAD + 7.0;
    let room = frame.width - 2.0 * PAD;
    slab.tag(setter.structure.leaf(Role::Paragraph));
    let question = [Inline::Strong(crate::dossier::block::text(&gate.question))];
    for line in text::lines(fonts, &question, Dress::TABLE, room) {
        place(&mut slab, line, left, y + 8.0);
        y += Dress::TABLE.leading;
    }
    for reason in &gate.reasons {
        y += 3.0;
        slab.tag(setter.structure.leaf(Role::Paragraph));
        for line in text::lines(fonts, reason, Dress::TABLE, room) {
            place(&mut slab, line, left, y + 8.0);
            y += Dress::TABLE.leading;
        }
    }
    slab.height = y + 8.0;
    slab.untag();
    slab
}
