//! The source resistance of an output against the closed form: two resistors side by side, both at
//! either end of their tolerance (Thévenin; that the ends lie there is Rayleigh's monotonicity law).

use preplug::design;
use preplug::evidence::collect;

const DESIGN: &str = "\
preplug: design/1
title: Divider
parts:
  BT1: {kind: battery, fresh: 9 V, flat: 8.9 V, current: 1 A, resistance: 1 mΩ, nets: {positive: cell, negative: gnd}}
  R1: {kind: resistor, value: 10 kΩ ± 5 %, power: 1/4 W, nets: {a: cell, b: out}}
  R2: {kind: resistor, value: 15 kΩ ± 10 %, power: 1/4 W, nets: {a: out, b: gnd}}
  J1: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}
connect:
  J1: [{instrument: rack.yaml, input: level, cable: TS}]
";

const RACK: &str = "\
preplug: instrument/1
title: Rack
inputs:
  level:
    contacts: TS
    signal: tip
    accepts: {range: 0..10 V, source: manual}
    survives: {range: -15..15 V, source: manual}
    impedance: {value: 1 MΩ ± 10 %, source: measured}
";

#[test]
fn a_divider_is_its_resistors_side_by_side() {
    let load = |path: &str| {
        let text = if path.ends_with("rack.yaml") {
            RACK
        } else {
            DESIGN
        };
        Ok(text.as_bytes().to_vec())
    };
    let design = match design::read("design.yaml", &load) {
        Ok(read) => read.design,
        Err(refused) => panic!("{:#?}", refused.diagnostics),
    };
    let evidence = collect(&design);
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
