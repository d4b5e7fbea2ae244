//! Adaptors, transformers and bridges.

use super::{Fill, Side, Symbol, half_circle};
use crate::dossier::scene::{Anchor, Segment};

/// An adaptor: its two leads at the right, the first above; in a dashed frame when it stands
/// outside the box.
pub(crate) fn adaptor(first: &str, second: &str, alternating: bool, outside: bool) -> Symbol {
    let symbol = Symbol::new([-5, -3, 5, 7])
        .pin(first, (6, 0), Side::Right)
        .pin(second, (6, 4), Side::Right)
        .frame([-4.0, -1.6, 4.0, 5.6], Fill::Paper)
        .line(&[(-4.0, 5.6), (4.0, -1.6)])
        .line(&[(4.0, 0.0), (6.0, 0.0)])
        .line(&[(4.0, 4.0), (6.0, 4.0)]);
    let symbol = if outside {
        symbol.frame([-5.0, -2.6, 5.0, 6.6], Fill::Open).dashed()
    } else {
        symbol
    };
    let symbol = wave(symbol, (-1.8, 0.4), 1.3);
    if alternating {
        wave(symbol, (1.8, 3.6), 1.3)
    } else {
        symbol
            .line(&[(0.9, 3.4), (2.9, 3.4)])
            .line(&[(0.9, 4.0), (1.4, 4.0)])
            .line(&[(1.65, 4.0), (2.15, 4.0)])
            .line(&[(2.4, 4.0), (2.9, 4.0)])
            .word((5.5, -0.5), "+", Anchor::Middle)
            .word((5.5, 3.5), "−", Anchor::Middle)
    }
}

/// One period of a sine.
fn wave(symbol: Symbol, (x, y): (f64, f64), half: f64) -> Symbol {
    symbol.ink(
        vec![
            Segment::Move(x - half, y),
            Segment::Cubic((x - half * 0.5, y - 1.4), (x - half * 0.5, y - 1.4), (x, y)),
            Segment::Cubic(
                (x + half * 0.5, y + 1.4),
                (x + half * 0.5, y + 1.4),
                (x + half, y),
            ),
        ],
        Fill::Open,
    )
}

/// A transformer: the primary's terminals at the left, the secondary's at the right, evenly spaced.
pub(crate) fn transformer(primary: &[&str], secondary: &[&str]) -> Symbol {
    let height = 4 * i32::try_from(secondary.len().max(2) - 1).unwrap_or(4);
    let bottom = f64::from(height);
    let mut symbol = Symbol::new([-3, -1, 3, height + 1])
        .line(&[(-0.3, 0.0), (-0.3, bottom)])
        .line(&[(0.3, 0.0), (0.3, bottom)]);
    symbol = winding(symbol, -1.4, bottom, 1.0);
    symbol = winding(symbol, 1.4, bottom, -1.0);
    for (index, terminal) in primary.iter().take(2).enumerate() {
        let y = if index == 0 { 0 } else { height };
        symbol = symbol
            .pin(terminal, (-4, y), Side::Left)
            .line(&[(-4.0, f64::from(y)), (-1.4, f64::from(y))]);
    }
    for (terminal, y) in secondary.iter().zip((0..).step_by(4)) {
        symbol = symbol
            .pin(terminal, (4, y), Side::Right)
            .line(&[(1.4, f64::from(y)), (4.0, f64::from(y))]);
    }
    symbol
}

/// A winding from the top to `bottom`; `bulge` +1 to the right, −1 to the left.
fn winding(symbol: Symbol, x: f64, bottom: f64, bulge: f64) -> Symbol {
    let turns = 4.0;
    let step = bottom / turns;
    let mut segments: Vec<Segment> = Vec::new();
    let mut top = 0.0;
    while top < bottom - 1e-9 {
        let (from, to) = ((x, top), (x, top + step));
        if bulge > 0.0 {
            segments.extend(half_circle(from, to));
        } else {
            segments.extend(half_circle(to, from));
        }
        top += step;
    }
    symbol.ink(segments, Fill::Open)
}

/// A bridge: the alternating side at the left, the direct side at the right, positive above.
pub(crate) fn bridge() -> Symbol {
    Symbol::new([-4, -1, 4, 5])
        .pin("ac1", (-5, 0), Side::Left)
        .pin("ac2", (-5, 4), Side::Left)
        .pin("positive", (5, 0), Side::Right)
        .pin("negative", (5, 4), Side::Right)
        .frame([-4.0, -1.6, 4.0, 5.6], Fill::Paper)
        .line(&[(-5.0, 0.0), (-4.0, 0.0)])
        .line(&[(-5.0, 4.0), (-4.0, 4.0)])
        .line(&[(4.0, 0.0), (5.0, 0.0)])
        .line(&[(4.0, 4.0), (5.0, 4.0)])
        .shape(
            &[(-2.2, 2.0), (0.0, -0.2), (2.2, 2.0), (0.0, 4.2)],
            Fill::Open,
        )
        .shape(&[(-0.8, 1.2), (-0.8, 2.8), (0.7, 2.0)], Fill::Solid)
        .line(&[(0.7, 1.2), (0.7, 2.8)])
        .line(&[(-2.2, 2.0), (2.2, 2.0)])
        .word((-3.3, 0.5), "~", Anchor::Middle)
        .word((-3.3, 4.5), "~", Anchor::Middle)
        .word((3.3, 0.5), "+", Anchor::Middle)
        .word((3.3, 4.5), "−", Anchor::Middle)
}
