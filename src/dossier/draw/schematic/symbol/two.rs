//! Parts with two ends, and those with a tap between them.
//!
//! Drawn lying, the first terminal at the left.

use super::{Fill, Side, Symbol, half_circle};
use crate::catalogue::Kind;
use crate::dossier::scene::Segment;

/// The symbol of a part with two terminals; a plain box for a kind without one of its own.
pub(crate) fn two(kind: Kind, first: &str, second: &str) -> Symbol {
    let blank = Symbol::new([-3, -1, 3, 1])
        .pin(first, (-4, 0), Side::Left)
        .pin(second, (4, 0), Side::Right);
    match kind {
        Kind::Fuse => box_between(blank).line(&[(-2.0, 0.0), (2.0, 0.0)]),
        Kind::Ptc => slanted(box_between(blank)).line(&[(1.7, -1.6), (2.4, -1.6)]),
        Kind::Thermistor => slanted(box_between(blank)).line(&[(-2.4, 1.6), (-3.1, 1.6)]),
        Kind::Sensor => {
            let lit = box_between(blank)
                .line(&[(-2.3, -2.9), (-1.1, -1.3)])
                .head((-1.1, -1.3), (0.6, 0.8))
                .line(&[(-0.7, -2.9), (0.5, -1.3)])
                .head((0.5, -1.3), (0.6, 0.8));
            Symbol {
                body: [-3, -3, 3, 1],
                ..lit
            }
        }
        Kind::Electrolytic | Kind::Tantalum => leads(blank, 0.7)
            .frame([-0.7, -1.5, -0.2, 1.5], Fill::Paper)
            .frame([0.3, -1.5, 0.7, 1.5], Fill::Solid)
            .line(&[(-1.9, 1.0), (-1.1, 1.0)])
            .line(&[(-1.5, 0.6), (-1.5, 1.4)]),
        Kind::Ceramic | Kind::Film => leads(blank, 0.4)
            .line(&[(-0.4, -1.5), (-0.4, 1.5)])
            .line(&[(0.4, -1.5), (0.4, 1.5)]),
        Kind::Inductor => humps(leads(blank, 2.4), 4),
        Kind::Diode => cathode(triangle(leads(blank, 1.0)), &[(1.0, -1.1), (1.0, 1.1)]),
        Kind::Zener => cathode(
            triangle(leads(blank, 1.0)),
            &[(0.5, -1.1), (1.0, -1.1), (1.0, 1.1)],
        ),
        Kind::TransientSuppressor => leads(blank, 1.8)
            .shape(&[(-1.8, -1.0), (-1.8, 1.0), (0.0, 0.0)], Fill::Solid)
            .shape(&[(1.8, -1.0), (1.8, 1.0), (0.0, 0.0)], Fill::Solid)
            .line(&[(-0.4, -1.2), (0.0, -1.0), (0.0, 1.0), (0.4, 1.2)]),
        Kind::Led => {
            let lit = cathode(triangle(leads(blank, 1.0)), &[(1.0, -1.1), (1.0, 1.1)])
                .line(&[(-0.3, 1.4), (0.6, 2.6)])
                .head((0.6, 2.6), (0.6, 0.8))
                .line(&[(0.8, 1.2), (1.7, 2.4)])
                .head((1.7, 2.4), (0.6, 0.8));
            Symbol {
                body: [-3, -1, 3, 3],
                ..lit
            }
        }
        Kind::Lamp => leads(blank, 1.6)
            .ring((0.0, 0.0), 1.6, Fill::Paper)
            .line(&[(-1.13, -1.13), (1.13, 1.13)])
            .line(&[(-1.13, 1.13), (1.13, -1.13)]),
        Kind::Battery => leads(blank, 1.0)
            .line(&[(-1.0, -1.6), (-1.0, 1.6)])
            .frame([-0.5, -0.8, -0.2, 0.8], Fill::Solid)
            .line(&[(0.4, -1.6), (0.4, 1.6)])
            .frame([0.8, -0.8, 1.1, 0.8], Fill::Solid)
            .line(&[(-2.1, 1.0), (-1.3, 1.0)])
            .line(&[(-1.7, 0.6), (-1.7, 1.4)]),
        Kind::WireLink => leads(blank, 1.5)
            .ring((-1.8, 0.0), 0.3, Fill::Paper)
            .ring((1.8, 0.0), 0.3, Fill::Paper)
            .ink(half_circle((-1.5, 0.0), (1.5, 0.0)), Fill::Open),
        Kind::Load => box_between(blank)
            .line(&[(-1.2, 0.0), (1.2, 0.0)])
            .head((1.2, 0.0), (1.0, 0.0)),
        _ => box_between(blank),
    }
}

/// A potentiometer: `cw` at the left, `ccw` at the right, the wiper above.
pub(crate) fn potentiometer() -> Symbol {
    box_between(
        Symbol::new([-3, -2, 3, 1])
            .pin("cw", (-4, 0), Side::Left)
            .pin("ccw", (4, 0), Side::Right)
            .pin("wiper", (0, -4), Side::Up),
    )
    .line(&[(0.0, -4.0), (0.0, -0.8)])
    .head((0.0, -0.8), (0.0, 1.0))
}

/// Leads from both pins up to the body's half length.
fn leads(symbol: Symbol, half: f64) -> Symbol {
    symbol
        .line(&[(-4.0, 0.0), (-half, 0.0)])
        .line(&[(half, 0.0), (4.0, 0.0)])
}

fn box_between(symbol: Symbol) -> Symbol {
    leads(symbol, 2.0).frame([-2.0, -0.75, 2.0, 0.75], Fill::Paper)
}

fn slanted(symbol: Symbol) -> Symbol {
    symbol.line(&[(-2.4, 1.6), (1.7, -1.6)])
}

fn triangle(symbol: Symbol) -> Symbol {
    symbol.shape(&[(-1.0, -1.1), (-1.0, 1.1), (1.0, 0.0)], Fill::Solid)
}

fn cathode(symbol: Symbol, bar: &[(f64, f64)]) -> Symbol {
    symbol.line(bar)
}

fn humps(symbol: Symbol, count: u8) -> Symbol {
    let width = 4.8 / f64::from(count);
    let mut segments: Vec<Segment> = Vec::new();
    for index in 0..count {
        let left = -2.4 + width * f64::from(index);
        segments.extend(half_circle((left, 0.0), (left + width, 0.0)));
    }
    symbol.ink(segments, Fill::Open)
}
