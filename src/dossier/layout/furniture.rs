//! The title of the document.

use super::blocks::{Setter, place};
use super::slab::{self, Frame, Piece, Slab};
use super::structure::Role;
use super::text::{self, Dress};
use crate::dossier::block::Title;
use crate::dossier::font::Face;
use crate::dossier::scene::Stroke;
use crate::dossier::style;

/// How far below the top of the column the title stands [pt].
const COVER_DROP: f64 = 48.0;

/// The title, its purpose and the facts, as one slab.
pub(super) fn title(setter: &Setter, title: &Title, frame: Frame) -> Vec<Slab> {
    let fonts = setter.fonts;
    let mut slab = Slab {
        cover: true,
        ..Slab::default()
    };
    slab.pieces.push(Piece::rule(
        (frame.left, 0.0),
        (frame.left + 54.0, 0.0),
        Stroke::solid(3.0, style::ACCENT),
    ));
    slab.tag(setter.structure.leaf(Role::Paragraph));
    slab.pieces.push(slab::run(
        fonts,
        Face::SemiBold,
        10.5,
        style::ACCENT,
        (frame.left, 19.0),
        &title.over,
    ));
    let mut y = 34.0;
    slab.tag(setter.structure.leaf(Role::Paragraph));
    let dress = Dress::TEXT.bold().sized(30.0, 35.0);
    for line in text::lines(
        fonts,
        &crate::dossier::block::text(&title.title),
        dress,
        frame.width,
    ) {
        place(&mut slab, line, frame.left, y + 26.0);
        y += dress.leading;
    }
    y += 4.0;
    slab.tag(setter.structure.leaf(Role::Paragraph));
    let dress = Dress::TEXT.sized(12.0, 16.5).coloured(style::QUIET);
    for line in text::lines(fonts, &title.purpose, dress, frame.width.min(420.0)) {
        place(&mut slab, line, frame.left, y + 12.0);
        y += dress.leading;
    }
    y += 14.0;
    // Facts in two columns, filled down and then across.
    let rows = title.facts.len().div_ceil(2);
    let half = frame.width / 2.0;
    let name_width = 84.0;
    for (column, facts) in title.facts.chunks(rows.max(1)).enumerate() {
        #[allow(clippy::cast_precision_loss)]
        let x = frame.left + half * column as f64;
        let mut row_y = y;
        for (name, value) in facts {
            slab.tag(setter.structure.leaf(Role::Paragraph));
            slab.pieces.push(slab::run(
                fonts,
                Face::Condensed,
                style::CAPTION,
                style::QUIET,
                (x, row_y + 9.0),
                &format!("{name}: "),
            ));
            let dress = Dress::TABLE.sized(9.2, 12.0);
            let lines = text::lines(fonts, value, dress, half - name_width - 12.0);
            for line in lines {
                place(&mut slab, line, x + name_width, row_y + 9.0);
                row_y += dress.leading;
            }
            row_y += 2.5;
        }
        slab.height = slab.height.max(row_y);
    }
    slab.height = slab.height.max(y) + 8.0;
    // The title stands a little below the top of the page, as titles do.
    slab.push_down(COVER_DROP);
    vec![slab]
}
