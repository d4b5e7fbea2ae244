//! The wiring: net by net the ends in the order in which a wire may be led, and a picture of it.

use super::terminal_words;
use crate::catalogue::Kind;
use crate::design::{Design, Part};
use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::{Anchor, Label, Scene, Stroke};
use crate::dossier::style;

/// One net: its ends, one wire between each and the next.
#[derive(Debug, Clone)]
pub struct Run<'a> {
    /// The net.
    pub net: &'a str,
    /// Colour of its wires, where the design gives it.
    pub colour: Option<&'a str>,
    /// Test points on it.
    pub points: Vec<&'a str>,
    /// Its ends: where the supply comes from first, else in the order of the file.
    pub ends: Vec<End<'a>>,
}

/// One end of a wire.
#[derive(Debug, Clone, Copy)]
pub struct End<'a> {
    /// The part.
    pub part: &'a Part,
    /// Its terminal.
    pub terminal: &'a str,
}

/// Every net of a design.
#[must_use]
pub fn runs(design: &Design) -> Vec<Run<'_>> {
    design
        .nets
        .iter()
        .map(|net| {
            let mut ends: Vec<End> = design
                .parts
                .values()
                .flat_map(|part| {
                    part.terminals
                        .iter()
                        .filter(|(_, wired)| *wired == net)
                        .map(move |(terminal, _)| End { part, terminal })
                })
                .collect();
            ends.sort_by_key(|end| !gives(end));
            Run {
                net,
                colour: design.wires.get(net).map(String::as_str),
                points: design
                    .test_points
                    .iter()
                    .filter(|(_, at)| *at == net)
                    .map(|(name, _)| name.as_str())
                    .collect(),
                ends,
            }
        })
        .collect()
}

/// Does the net's current come from here?
fn gives(end: &End) -> bool {
    match end.part.kind {
        Kind::AcAdaptor | Kind::DcAdaptor | Kind::Battery | Kind::Transformer => true,
        Kind::Regulator | Kind::AdjustableRegulator => end.terminal == "out",
        Kind::OpAmp => end.terminal.rsplit('.').next() == Some("out"),
        _ => false,
    }
}

impl End<'_> {
    /// The pin that the catalogue gives the terminal in this package.
    #[must_use]
    pub fn pin(&self) -> Option<&str> {
        self.part
            .pin_functions
            .iter()
            .find(|(_, function)| *function == self.terminal)
            .map(|(pin, _)| pin.as_str())
    }

    /// `pin 3 (in)` where the pin is known, else the terminal.
    #[must_use]
    pub fn words(&self) -> String {
        let terminal = terminal_words(self.terminal).replace(' ', "\u{A0}");
        match self.pin() {
            Some(pin) => format!("pin\u{A0}{pin}\u{A0}({terminal})"),
            None => terminal,
        }
    }
}

/// Width of the column of names, height of a line, length of a wire, room in a plate [pt].
const NAMES: f64 = 86.0;
const LINE: f64 = 19.0;
const WIRE: f64 = 20.0;
const PLATE: f64 = 5.0;
const TEXT: f64 = 8.0;

/// The wiring as chains of ends, a box to tick on every wire.
#[must_use]
pub fn picture(design: &Design, width: f64, fonts: &Fonts) -> Scene {
    let mut scene = Scene::new(width, 0.0);
    let mut y = 14.0;
    for run in runs(design) {
        names(&mut scene, &run, y, fonts);
        let mut x = NAMES;
        for (index, end) in run.ends.iter().enumerate() {
            let reference = format!("{}\u{2002}", end.part.reference);
            let strong = fonts.width(Face::CondensedSemiBold, TEXT, &reference);
            let words = end.words();
            let plate = strong + fonts.width(Face::Condensed, TEXT, &words) + 2.0 * PLATE;
            if index > 0 {
                let mut from = x;
                if x + WIRE + plate > width {
                    // The wire goes on in the next line.
                    let stub = [(x, y - 2.8), (x + 7.0, y - 2.8)];
                    scene.polyline(&stub, Stroke::dashed(0.9, style::INK, &[2.0, 1.5]));
                    y += LINE;
                    from = NAMES;
                }
                wire(&mut scene, from, y - 2.8);
                x = from + WIRE;
            }
            let outline = Stroke::solid(0.7, style::INK);
            scene.rect(
                (x, y - 9.5),
                (plate, 13.5),
                Some(style::GROUND),
                Some(outline),
            );
            scene.label(
                Label::new((x + PLATE, y), reference.trim_end(), TEXT, style::INK)
                    .face(Face::CondensedSemiBold),
            );
            scene.label(Label::new((x + PLATE + strong, y), words, TEXT, style::INK));
            x += plate;
        }
        y += LINE;
        let rule = Stroke::solid(0.4, style::RULE);
        scene.polyline(&[(0.0, y - 12.0), (width, y - 12.0)], rule);
        y += 5.0;
    }
    scene.height = y;
    scene
}

/// A wire with its box.
fn wire(scene: &mut Scene, x: f64, y: f64) {
    let pen = || Stroke::solid(0.9, style::INK);
    scene.polyline(&[(x, y), (x + WIRE, y)], pen());
    let side = 7.0;
    scene.rect(
        (x + (WIRE - side) / 2.0, y - side / 2.0),
        (side, side),
        Some(style::WHITE),
        Some(pen()),
    );
}

/// The net, and its colour and test points where it has any.
fn names(scene: &mut Scene, run: &Run, y: f64, fonts: &Fonts) {
    let mut words: Vec<&str> = run.colour.into_iter().collect();
    words.extend(&run.points);
    let words = words.join(", ");
    let room = NAMES - 8.0 - fonts.width(Face::Condensed, TEXT, &words);
    let mut name = run.net.to_owned();
    while fonts.width(Face::CondensedSemiBold, TEXT, &name) > room && name.chars().count() > 2 {
        name = name.chars().take(name.chars().count() - 2).collect();
        name.push('…');
    }
    scene.label(Label::new((0.0, y), name, TEXT, style::ACCENT).face(Face::CondensedSemiBold));
    let beside = Label::new((NAMES - 6.0, y), words, TEXT, style::QUIET);
    scene.label(beside.anchored(Anchor::End));
}
