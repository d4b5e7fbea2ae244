//! The schematic: drawn from the design alone, in the reading order of the trade.
//!
//! ```text
//! Design → elements (symbols, words) → flow (rails, distance from the supply) → columns →
//! bands (broken as text is into lines) → wires → names → sheets
//! ```
//!
//! Supply at the left, rails across, positive above, negative below, ground at the foot, output at
//! the right. What cannot be wired legibly is joined by flags with the net's name. The same design
//! gives the same picture.

mod band;
mod cell;
mod chain;
mod element;
mod flag;
mod flow;
mod grid;
mod ink;
mod names;
mod order;
mod place;
mod route;
mod symbol;
mod words;

use super::super::font::Fonts;
use super::super::scene::Scene;
use crate::design::Design;
use cell::GRID;
use ink::Pen;
pub use ink::WIRE;
use names::Names;
use route::Routed;

/// One sheet of the schematic, with where its pins and flags stand: what a test, or a link, needs.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    /// The picture.
    pub scene: Scene,
    /// Every pin drawn.
    pub pins: Vec<PinPlace>,
    /// Every flag: the net's name and the point at which it touches a wire [pt].
    pub flags: Vec<(String, (f64, f64))>,
    /// Where ground symbols hang [pt].
    pub grounds: Vec<(f64, f64)>,
    /// Left, top, right, bottom of the body of each symbol and of each frame [pt].
    pub bodies: Vec<[f64; 4]>,
    /// The parts on this sheet.
    pub parts: Vec<String>,
    /// Where wires of two nets cross.
    pub crossings: usize,
    /// Where wires bend.
    pub bends: usize,
    /// Pins that neither a wire nor a flag reaches; none, or the drawing is not whole.
    pub lost: usize,
}

/// Where a pin stands on its sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct PinPlace {
    /// The part's reference.
    pub part: String,
    /// Its terminal.
    pub terminal: String,
    /// Where wires meet it [pt].
    pub at: (f64, f64),
}

/// The paper a schematic has to fit on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Width [pt].
    pub width: f64,
    /// Height of one sheet [pt].
    pub height: f64,
}

/// The column of the dossier's page on the smaller paper, less a heading and the caption.
pub const PAGE: Room = Room {
    width: 471.0,
    height: 560.0,
};

/// Steps between two bands.
const BETWEEN: f64 = 3.0;
/// Distances between columns to try, in steps: the first that leaves no pin lost is taken.
const GAPS: [i32; 5] = [2, 3, 4, 6, 9];

/// Draws a design, on as many sheets as it takes.
#[must_use]
pub fn draw(design: &Design, room: Room, fonts: &Fonts) -> Vec<Sheet> {
    let elements = element::elements(design);
    let flow = flow::Flow::of(design, &elements);
    let order = order::Order::of(&elements, &flow, &design.layout);
    let placed = place::place(&elements, &flow, &order, fonts);
    // Papers are a few thousand steps wide.
    #[allow(clippy::cast_possible_truncation)]
    let width = (room.width / GRID) as i32;
    let mut best: Vec<Routed> = Vec::new();
    for gap in GAPS {
        let bands = band::bands(&placed.columns, &elements, width, gap, &flow, fonts);
        let routed: Vec<Routed> = bands
            .iter()
            .map(|band| route::route(band, &placed.columns, &placed, &elements, fonts))
            .collect();
        let lost = |routed: &[Routed]| routed.iter().map(|band| band.lost).sum::<usize>();
        if best.is_empty() || lost(&routed) < lost(&best) {
            best = routed;
        }
        if lost(&best) == 0 {
            break;
        }
    }
    let mut wanted: Vec<String> = design.test_points.keys().cloned().collect();
    let named: Vec<(Routed, Names)> = best
        .into_iter()
        .map(|mut band| {
            let names = names::name(&mut band, design, &mut wanted, fonts);
            (band, names)
        })
        .collect();
    sheets(&named, &elements, room)
}

/// Stacks bands on sheets.
fn sheets(bands: &[(Routed, Names)], elements: &[element::Element], room: Room) -> Vec<Sheet> {
    let mut sheets: Vec<Sheet> = Vec::new();
    let mut used = f64::MAX;
    for (band, names) in bands {
        let [_, top, right, bottom] = extent(band, names);
        let height = bottom - top;
        if used + height > room.height / GRID {
            sheets.push(Sheet::default());
            used = 0.5;
        }
        let Some(sheet) = sheets.last_mut() else {
            continue;
        };
        let shift = (0.5, used - top);
        used += height + BETWEEN;
        sheet.scene.height = (used - BETWEEN + 0.5) * GRID;
        sheet.scene.width = sheet.scene.width.max((right + 1.0) * GRID).min(room.width);
        let mut pen = Pen {
            scene: &mut sheet.scene,
            shift,
        };
        pen.band(band, names, elements);
        let to = |x: i32, y: i32| {
            (
                (f64::from(x) + shift.0) * GRID,
                (f64::from(y) + shift.1) * GRID,
            )
        };
        note(sheet, band, elements, &to);
    }
    sheets
}

/// Notes where everything of a band stands.
fn note(
    sheet: &mut Sheet,
    band: &Routed,
    elements: &[element::Element],
    to: &dyn Fn(i32, i32) -> (f64, f64),
) {
    for cell in &band.cells {
        let element = &elements[cell.element];
        let reference = &element.part.reference;
        if !sheet.parts.contains(reference) {
            sheet.parts.push(reference.clone());
        }
        for pin in &cell.symbol.pins {
            let (x, y) = cell.on_sheet(pin.at);
            sheet.pins.push(PinPlace {
                part: reference.clone(),
                terminal: pin.terminal.clone(),
                at: to(x, y),
            });
        }
        let [left, top, right, bottom] = cell.symbol.body;
        let (x, y) = cell.at;
        let ((left, top), (right, bottom)) = (to(left + x, top + y), to(right + x, bottom + y));
        sheet.bodies.push([left, top, right, bottom]);
        if let Some([left, top, right, bottom]) = cell.frame {
            let (dx, dy) = to(0, 0);
            sheet.bodies.push([
                left * GRID + dx,
                top * GRID + dy,
                right * GRID + dx,
                bottom * GRID + dy,
            ]);
        }
    }
    for flag in &band.flags {
        sheet
            .flags
            .push((flag.net.clone(), to(flag.at.0, flag.at.1)));
    }
    let symbols = band.grounds.iter().filter_map(|way| route::symbol_at(way));
    sheet.grounds.extend(symbols.map(|(x, y)| to(x, y)));
    sheet.crossings += band.grid.crossings();
    sheet.bends += band.grid.bends();
    sheet.lost += band.lost;
}

/// Left, top, right, bottom of what a band draws, in steps.
fn extent(band: &Routed, names: &Names) -> [f64; 4] {
    let mut area = [0.0_f64, f64::MAX, 0.0, f64::MIN];
    let mut cover = |other: [f64; 4]| {
        area = [
            area[0].min(other[0]),
            area[1].min(other[1]),
            area[2].max(other[2]),
            area[3].max(other[3]),
        ];
    };
    for (_, from, to) in &band.grid.wires {
        cover([from.0, from.1, to.0, to.1].map(f64::from));
    }
    for other in &band.areas {
        cover(*other);
    }
    for label in &names.nets {
        cover(label.area());
    }
    for cell in &band.cells {
        cover(cell.extent().map(f64::from));
    }
    area
}
