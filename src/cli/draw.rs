//! `preplug draw`: one drawing of a design as SVG, from the design alone.

use super::{BAD_INPUT, COULD_NOT_FINISH, OPEN, complain, files, print};
use crate::design::{self, Design};
use crate::dossier::draw::{pins, schematic, wiring};
use crate::dossier::font::Fonts;
use crate::dossier::scene::Scene;
use clap::ValueEnum;
use std::path::Path;

/// What can be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Drawing {
    /// The circuit, supply at the left and output at the right
    Schematic,
    /// The pins of every package and panel part, with the net each goes to
    Pins,
    /// Every net as a chain of ends, with a box to tick on every wire
    Wiring,
}

/// Runs the command. Nothing is written when the input is bad.
pub(super) fn run(path: &str, drawing: Drawing, out: &Path) -> u8 {
    let read = match design::read(path, &files::load) {
        Ok(read) => read,
        Err(refused) => {
            complain(&refused.diagnostics, &refused.sources);
            return BAD_INPUT;
        }
    };
    complain(&read.warnings, &read.sources);
    let fonts = Fonts::new();
    let scene = scene(&read.design, drawing, &fonts);
    for character in fonts.missing() {
        anstream::eprintln!("no font has the character {character:?}: it is drawn as \u{FFFD}");
    }
    if let Err(error) = files::write_whole(out, scene.to_svg().as_bytes()) {
        anstream::eprintln!("cannot write {}: {error}", out.display());
        return COULD_NOT_FINISH;
    }
    print(&format!("Drawing: {}\n", out.display()));
    OPEN
}

fn scene(design: &Design, drawing: Drawing, fonts: &Fonts) -> Scene {
    // A file has no page to end: everything on one sheet.
    let first = |sheets: Vec<Scene>| sheets.into_iter().next().unwrap_or_default();
    match drawing {
        Drawing::Pins => first(pins::sheets(design, f64::MAX, fonts)),
        Drawing::Wiring => wiring::picture(design, pins::WIDTH, fonts),
        Drawing::Schematic => {
            let room = schematic::Room {
                height: f64::MAX,
                ..schematic::PAGE
            };
            let sheets = schematic::draw(design, room, fonts);
            first(sheets.into_iter().map(|sheet| sheet.scene).collect())
        }
    }
}
