//! Which adaptor and load a regulator stands, against the closed form.

mod fixture;

use fixture::bench::{ROOM, bench, solved};
use preplug::evidence::safe_area::{Verdict, safe_areas};

/// A 7805 behind a stiff 12 V adaptor: it needs 5 V and its drop-out at the input, stands 35 V there
/// (ST L78, C), and its junction rises 65 K/W (ST and onsemi, C) above 25 °C with (Ui − 5 V)·I and
/// its own few milliamperes; 125 °C is its limit. Squares within 5 % of an edge are left out.
#[test]
fn a_regulator_behind_a_stiff_adaptor() {
    let text = bench(
        "",
        ROOM,
        &[
            "PS1: {kind: dc-adaptor, regulated: true, output: 22 V ± 0.01 %, current: 10 A, nets: {positive: v, negative: gnd}}",
            "U1: {type: 7805, package: TO-220, nets: {in: v, out: rail, ground: gnd}}",
            "R1: {kind: resistor, value: 10 kΩ ± 0.01 %, power: 5 W, nets: {a: rail, b: gnd}}",
        ],
    );
    let (design, _) = solved(&text);
    let areas = safe_areas(&design);
    let [area] = &areas[..] else {
        panic!("{areas:?}");
    };
    assert_eq!(
        (area.supply.as_str(), area.regulator.as_str()),
        ("PS1", "U1")
    );
    let needs = design.parts["U1"]
        .figure(preplug::catalogue::Property::Dropout)
        .unwrap()
        .spread
        .high;
    let limit = design.parts["U1"]
        .figure(preplug::catalogue::Property::JunctionLimit)
        .map_or(125.0, |figure| figure.spread.nominal);
    let (mut compared, mut seen) = (0, Vec::new());
    for (voltage, verdicts) in area.voltages.iter().zip(&area.verdicts) {
        for (load, verdict) in area.loads.iter().zip(verdicts) {
            let current = load + 0.0005;
            // One per cent of the rated voltage falls at the rated current of the adaptor.
            let input = voltage - current * 0.022;
            let heat = 65.0 * ((input - 5.0) * current + input * 0.0045);
            let edges = [
                input / 35.0,
                (25.0 + heat) / limit,
                if input > 5.5 {
                    (input - 5.0) / needs
                } else {
                    0.1
                },
            ];
            if edges.iter().any(|edge| (edge - 1.0).abs() < 0.05) {
                continue;
            }
            let expected = if edges[0] > 1.0 {
                Verdict::TooHigh
            } else if edges[1] > 1.0 {
                Verdict::TooHot
            } else if edges[2] < 1.0 {
                Verdict::DropsOut
            } else {
                Verdict::Works
            };
            assert_eq!(*verdict, expected, "{voltage} V, {load} A: {edges:?}");
            compared += 1;
            if !seen.contains(&expected) {
                seen.push(expected);
            }
        }
    }
    assert!(compared > 80, "{compared}");
    assert!(seen.len() >= 2, "{seen:?}");
}

/// Without an adaptor there is nothing to vary.
#[test]
fn a_battery_has_no_safe_area() {
    let text = fixture::bench::regulator("7805", 9.0, "1 kΩ");
    assert!(safe_areas(&solved(&text).0).is_empty());
}
