//! Extremes over all tolerances against closed forms: an output's source resistance, and an output
//! that two figures move only together.

use preplug::design;
use preplug::evidence::{Evidence, Measure, collect};
use preplug::situations::powered;

const DIVIDER: &str = "
  BT1: {kind: battery, fresh: 9 V, flat: 8.9 V, current: 1 A, resistance: 1 mΩ, nets: {positive: cell, negative: gnd}}
  R1: {kind: resistor, value: 10 kΩ ± 5 %, power: 1/4 W, nets: {a: cell, b: out}}
  R2: {kind: resistor, value: 15 kΩ ± 10 %, power: 1/4 W, nets: {a: out, b: gnd}}
";

/// Nothing comes out while R1 and R2 are equal, whatever the gain.
const BALANCED: &str = "
  BT1: {kind: battery, fresh: 9 V, flat: 8.999 V, current: 1 A, resistance: 1 mΩ, nets: {positive: v, negative: gnd}}
  BT2: {kind: battery, fresh: 9 V, flat: 8.999 V, current: 1 A, resistance: 1 mΩ, nets: {positive: gnd, negative: w}}
  R1: {kind: resistor, value: 10 kΩ ± 5 %, power: 1/4 W, nets: {a: v, b: mid}}
  R2: {kind: resistor, value: 10 kΩ ± 0.01 %, power: 1/4 W, nets: {a: mid, b: w}}
  R3: {kind: resistor, value: 20 kΩ ± 0.01 %, power: 1/4 W, nets: {a: o, b: fb}}
  R4: {kind: resistor, value: 10 kΩ ± 40 %, power: 1/4 W, nets: {a: fb, b: gnd}}
  U1: {type: TL072, package: DIP-8, units: {A: {plus: mid, minus: fb, out: o}, B: {plus: gnd, minus: spare, out: spare}}, nets: {supply+: v, supply-: w}}
  R5: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: o, b: out}}
";

const RACK: &str = "\
preplug: instrument/1
title: Rack
inputs:
  level:
    contacts: TS
    signal: tip
    accepts: {range: -10..10 V, source: manual}
    survives: {range: -15..15 V, source: manual}
    impedance: {value: 1 MΩ ± 10 %, source: measured}
";

fn solved(parts: &str) -> Evidence {
    let text = format!(
        "preplug: design/1
title: Box
conditions: {{ambient: 25..25 °C}}
parts:{parts}  J1: {{kind: jack, contacts: TS, nets: {{tip: out, sleeve: gnd}}}}
connect:
  J1: [{{instrument: rack.yaml, input: level, cable: TS}}]
"
    );
    let load = move |path: &str| {
        let rack = path.ends_with("rack.yaml");
        let text = if rack { RACK } else { &text };
        Ok(text.as_bytes().to_vec())
    };
    match design::read("design.yaml", &load) {
        Ok(read) => collect(&read.design),
        Err(refused) => panic!("{:#?}", refused.diagnostics),
    }
}

/// Two resistors side by side, both at either end of their tolerance (Thévenin; that the ends lie
/// there is Rayleigh's monotonicity law).
#[test]
fn a_divider_is_its_resistors_side_by_side() {
    let evidence = solved(DIVIDER);
    let found = evidence.source_resistance("out").expect("solved");
    let beside = |a: f64, b: f64| a * b / (a + b);
    for (what, value, expected) in [
        ("lowest", found.low, beside(9.5e3, 13.5e3)),
        ("nominal", found.nominal, beside(10e3, 15e3)),
        ("highest", found.high, beside(10.5e3, 16.5e3)),
    ] {
        // A microampere shifts microvolts: six digits are left.
        assert!(
            (value - expected).abs() < 1e-3 * expected,
            "{what}: {value} Ω, not {expected} Ω"
        );
    }
}

/// 9 V · (R2 − R1)/(R1 + R2) times 1 + R3/R4: alone, R4 does nothing.
#[test]
fn what_two_figures_do_only_together_is_found() {
    let evidence = solved(BALANCED);
    let found = evidence.net("out", Measure::Mean, powered).expect("solved");
    let out = |r1: f64, r4: f64| 9.0 * (10e3 - r1) / (10e3 + r1) * (1.0 + 20e3 / r4);
    for (what, value, expected) in [
        ("lowest", found.low, out(10.5e3, 6e3)),
        ("highest", found.high, out(9.5e3, 6e3)),
    ] {
        // The amplifier's own offset, some 13 mV, comes out 4.3 times as large on top.
        assert!(
            (value - expected).abs() < 0.1 && value.abs() > 0.99 * expected.abs(),
            "{what}: {value} V, not {expected} V"
        );
    }
}
