//! Transistors, regulators, references and amplifiers.

use super::{Fill, Side, Symbol};
use crate::dossier::scene::Anchor;

/// A bipolar transistor, the base at the left; the emitter below for NPN, above for PNP.
pub(crate) fn bipolar(npn: bool) -> Symbol {
    let symbol = transistor([-3, -2, 1, 2])
        .pin("base", (-4, 0), Side::Left)
        .line(&[(-4.0, 0.0), (-1.5, 0.0)]);
    if npn {
        symbol.head((-0.1, 1.43), (0.79, 0.61))
    } else {
        symbol.head((-1.2, 0.58), (-0.79, -0.61)).flipped()
    }
}

/// An NPN transistor whose base is lit, and not wired.
pub(crate) fn phototransistor() -> Symbol {
    transistor([-5, -3, 1, 2])
        .head((-0.1, 1.43), (0.79, 0.61))
        .line(&[(-4.4, -2.6), (-3.4, -1.8)])
        .head((-2.9, -1.4), (0.78, 0.62))
        .line(&[(-4.9, -1.4), (-3.9, -0.6)])
        .head((-3.4, -0.2), (0.78, 0.62))
}

/// Ring, base, collector and emitter.
fn transistor(body: [i32; 4]) -> Symbol {
    Symbol::new(body)
        .pin("collector", (0, -4), Side::Up)
        .pin("emitter", (0, 4), Side::Down)
        .ring((-0.7, 0.0), 2.1, Fill::Paper)
        .frame([-1.6, -1.2, -1.3, 1.2], Fill::Solid)
        .line(&[(-1.3, -0.5), (0.0, -1.5), (0.0, -4.0)])
        .line(&[(-1.3, 0.5), (0.0, 1.5), (0.0, 4.0)])
}

/// A MOSFET, the gate at the left; the source below for an n-channel, above for a p-channel.
pub(crate) fn mosfet(n_channel: bool) -> Symbol {
    let symbol = Symbol::new([-3, -2, 1, 2])
        .pin("drain", (0, -4), Side::Up)
        .pin("source", (0, 4), Side::Down)
        .pin("gate", (-4, 0), Side::Left)
        .ring((-0.9, 0.0), 2.2, Fill::Paper)
        .line(&[(-4.0, 0.0), (-2.1, 0.0)])
        .line(&[(-2.1, -1.2), (-2.1, 1.2)])
        .line(&[(-1.5, -1.5), (-1.5, -0.7)])
        .line(&[(-1.5, -0.4), (-1.5, 0.4)])
        .line(&[(-1.5, 0.7), (-1.5, 1.5)])
        .line(&[(-1.5, -1.1), (0.0, -1.1), (0.0, -4.0)])
        .line(&[(-1.5, 1.1), (0.0, 1.1), (0.0, 4.0)])
        .line(&[(-1.5, 0.0), (0.0, 0.0), (0.0, 1.1)]);
    if n_channel {
        symbol.head((-1.4, 0.0), (-1.0, 0.0))
    } else {
        symbol.head((-0.1, 0.0), (1.0, 0.0)).flipped()
    }
}

/// An adjustable shunt reference: the cathode above, the reference at the left.
pub(crate) fn shunt_reference() -> Symbol {
    Symbol::new([-2, -2, 1, 2])
        .pin("cathode", (0, -4), Side::Up)
        .pin("anode", (0, 4), Side::Down)
        .pin("reference", (-4, 0), Side::Left)
        .line(&[(0.0, -4.0), (0.0, -1.0)])
        .line(&[(0.0, 1.0), (0.0, 4.0)])
        .shape(&[(-1.1, 1.0), (1.1, 1.0), (0.0, -1.0)], Fill::Solid)
        .line(&[(-1.5, -0.5), (-1.1, -1.0), (1.1, -1.0), (1.5, -1.5)])
        .line(&[(-4.0, 0.0), (-0.5, 0.0)])
}

/// A regulator: in at the left, out at the right, the third pin below (`up`: above).
pub(crate) fn regulator(third: &str, up: bool, marking: &str) -> Symbol {
    let symbol = Symbol::new([-5, -2, 5, 2])
        .pin("in", (-6, 0), Side::Left)
        .pin("out", (6, 0), Side::Right)
        .pin(third, (0, 4), Side::Down)
        .line(&[(-6.0, 0.0), (-5.0, 0.0)])
        .line(&[(5.0, 0.0), (6.0, 0.0)])
        .line(&[(0.0, 2.5), (0.0, 4.0)])
        .frame([-5.0, -2.5, 5.0, 2.5], Fill::Paper);
    let symbol = if up { symbol.flipped() } else { symbol };
    let (name, foot) = if up { (-1.0, 1.8) } else { (1.8, -1.0) };
    symbol
        .word((0.0, foot + 0.2), marking, Anchor::Middle)
        .word((-4.6, 0.5), "in", Anchor::Start)
        .word((4.6, 0.5), "out", Anchor::End)
        .word(
            (0.0, name + 0.2),
            if third == "adjust" { "adj" } else { "gnd" },
            Anchor::Middle,
        )
}

/// An amplifier: minus above plus at the left, out at the right; supplies above and below when
/// this unit carries them. `plus_up` exchanges the inputs.
pub(crate) fn op_amp(unit: &str, supplied: bool, plus_up: bool) -> Symbol {
    let name = |terminal: &str| {
        if unit.is_empty() {
            terminal.to_owned()
        } else {
            format!("{unit}.{terminal}")
        }
    };
    let (minus, plus) = if plus_up { (2, -2) } else { (-2, 2) };
    let symbol = Symbol::new([-3, -3, 3, 3])
        .pin(&name("minus"), (-5, minus), Side::Left)
        .pin(&name("plus"), (-5, plus), Side::Left)
        .pin(&name("out"), (5, 0), Side::Right)
        .shape(&[(-3.0, -3.8), (-3.0, 3.8), (3.4, 0.0)], Fill::Paper)
        .line(&[(-5.0, -2.0), (-3.0, -2.0)])
        .line(&[(-5.0, 2.0), (-3.0, 2.0)])
        .line(&[(3.4, 0.0), (5.0, 0.0)]);
    let (minus, plus) = (f64::from(minus), f64::from(plus));
    let symbol = symbol
        .line(&[(-2.5, minus), (-1.5, minus)])
        .line(&[(-2.5, plus), (-1.5, plus)])
        .line(&[(-2.0, plus - 0.5), (-2.0, plus + 0.5)]);
    if supplied {
        symbol
            .pin("supply+", (-1, -4), Side::Up)
            .pin("supply-", (-1, 4), Side::Down)
            .line(&[(-1.0, -2.6), (-1.0, -4.0)])
            .line(&[(-1.0, 2.6), (-1.0, 4.0)])
    } else {
        symbol
    }
}
