//! How much a disturbance counts in a weighted coverage.
//!
//! Each part weighs one for its faults, one for its slips and one for its handling, shared out
//! among them. A fault's share is that of its mode among the failures of its kind, after the
//! failure mode tables of the reliability handbooks (MIL-HDBK-338B; figures from memory, not
//! confirmed); slips of one part count alike, since nobody has counted them.

use super::edit::Edit;
use super::{Class, Disturbance};
use crate::catalogue::Kind;
use crate::design::Design;
use std::collections::BTreeMap;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Mode {
    Open,
    Short,
    Drift,
}

fn mode(edits: &[Edit]) -> Mode {
    match edits.first() {
        Some(Edit::Short { .. } | Edit::Stuck(_)) => Mode::Short,
        Some(Edit::Scale(..)) => Mode::Drift,
        _ => Mode::Open,
    }
}

/// Open, short, drift: shares of a kind's failures.
fn shares(kind: Kind) -> [f64; 3] {
    match kind {
        Kind::Resistor | Kind::Thermistor => [0.59, 0.05, 0.36],
        Kind::Potentiometer => [0.53, 0.07, 0.40],
        Kind::Electrolytic => [0.35, 0.53, 0.12],
        Kind::Tantalum => [0.32, 0.57, 0.11],
        Kind::Ceramic => [0.22, 0.49, 0.29],
        Kind::Film => [0.42, 0.40, 0.18],
        Kind::Diode | Kind::Bridge => [0.36, 0.64, 0.0],
        Kind::Led => [0.70, 0.30, 0.0],
        Kind::Zener | Kind::TransientSuppressor => [0.45, 0.20, 0.35],
        Kind::Bipolar | Kind::Mosfet | Kind::Optocoupler => [0.27, 0.73, 0.0],
        Kind::Switch | Kind::Relay => [0.60, 0.40, 0.0],
        Kind::Jack | Kind::Plug | Kind::Connector => [0.79, 0.21, 0.0],
        _ => [0.4, 0.4, 0.2],
    }
}

/// Sets every weight.
pub(super) fn share_out(design: &Design, all: &mut [Disturbance]) {
    let mut counts: BTreeMap<(String, Class, Mode), usize> = BTreeMap::new();
    let key = |one: &Disturbance| {
        let mode = match one.class {
            Class::Fault => mode(&one.edits),
            Class::Slip | Class::Handling => Mode::Open,
        };
        (one.part.clone(), one.class, mode)
    };
    for one in all.iter() {
        *counts.entry(key(one)).or_default() += 1;
    }
    for one in all {
        let key = key(one);
        let share = match (one.class, design.parts.get(&one.part)) {
            (Class::Fault, Some(part)) => shares(part.kind)[key.2 as usize],
            _ => 1.0,
        };
        one.weight = share / counts[&key] as f64;
    }
}
