//! `preplug draw`: one drawing of a design, or one figure of its dossier, as SVG.

use super::material::Prepared;
use super::{BAD_INPUT, OPEN, assessed, complain, files, print};
use crate::design::{self, Design};
use crate::dossier::block::Figure;
use crate::dossier::draw::{pins, schematic, wiring};
use crate::dossier::font::Fonts;
use crate::dossier::scene::Scene;
use crate::dossier::view;
use clap::ValueEnum;
use clap::builder::PossibleValue;
use std::path::Path;

/// What can be drawn of a design that was not solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Drawing {
    Schematic,
    Pins,
    Wiring,
}

/// Runs the command. Nothing is written when the input is bad.
pub(super) fn run(path: &str, name: &str, out: &Path) -> u8 {
    let fonts = Fonts::new();
    let scene = match Drawing::from_str(name, true) {
        Ok(drawing) => drawn(path, drawing, &fonts),
        Err(_) => figure(path, name, &fonts),
    };
    let scene = match scene {
        Ok(scene) => scene,
        Err(code) => return code,
    };
    for character in fonts.missing() {
        anstream::eprintln!("no font has the character {character:?}: it is drawn as \u{FFFD}");
    }
    if let Err(code) = files::put(out, scene.to_svg().as_bytes()) {
        return code;
    }
    print(&format!("Drawing: {}\n", out.display()));
    OPEN
}

/// A drawing of the design alone: a circuit that does not work is drawn as well.
fn drawn(path: &str, drawing: Drawing, fonts: &Fonts) -> Result<Scene, u8> {
    let read = design::read(path, &files::load).map_err(|refused| {
        complain(&refused.diagnostics, &refused.sources);
        BAD_INPUT
    })?;
    complain(&read.warnings, &read.sources);
    Ok(scene(&read.design, drawing, fonts))
}

/// A figure of the dossier, by its name.
fn figure(path: &str, name: &str, fonts: &Fonts) -> Result<Scene, u8> {
    let assessed = assessed(path, &files::companions(path))?;
    let prepared = Prepared::new(path, &assessed)?;
    let view = view::view(&prepared.material(&assessed), fonts);
    let figures = view.figures();
    if let Some(figure) = figures.iter().find(|figure| figure.id == name) {
        return Ok(figure.scene.clone());
    }
    let drawings = Drawing::value_variants().iter();
    let drawings: Vec<_> = drawings.filter_map(ValueEnum::to_possible_value).collect();
    let near = figures.iter().map(|figure| figure.id.as_str());
    let near = near.chain(drawings.iter().map(PossibleValue::get_name));
    let near = near.max_by(|a, b| strsim::jaro(a, name).total_cmp(&strsim::jaro(b, name)));
    anstream::eprintln!(
        "{path} has no figure {name}; did you mean {}?",
        near.unwrap_or("schematic")
    );
    anstream::eprintln!("Without solving it:");
    for drawing in &drawings {
        anstream::eprintln!("  {}", drawing.get_name());
    }
    anstream::eprintln!("From its dossier:");
    for Figure { id, alt, .. } in &figures {
        anstream::eprintln!(
            "  {id:<28}  {}",
            textwrap::wrap(alt, 60).first().map_or("", |l| l)
        );
    }
    Err(BAD_INPUT)
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
