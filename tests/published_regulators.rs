//! Published figures of regulators and references, reached through the tool's own path: a
//! design file is read, solved and checked, and the figure that the check compares with, or
//! compares, is the published one.
//!
//! Marks: **C** seen in the named primary document, **C2** on a secondary page, **X** worked out
//! from confirmed inputs by the formula stated.

mod fixture;

use fixture::bench::{
    ROOM, battery, bench, close, compared, limit, outcomes, regulator, solved, value,
};
use preplug::checks::Outcome;

/// ST L78L table 1 and HTC LM78LXX (C): 30 V to the 9 V types, 35 V from 12 V on; onsemi MC7800
/// and ST (C): 35 V for 5–18 V, 40 V for 24 V; IL2931 and ST (C): 26 V.
#[test]
fn highest_input_of_regulators() {
    for (kind, published) in [
        ("78L05", 30.0),
        ("78L09", 30.0),
        ("78L12", 35.0),
        ("78L15", 35.0),
        ("7805", 35.0),
        ("7812", 35.0),
        ("LM2931", 26.0),
    ] {
        let text = regulator(kind, 18.0, "1 kΩ");
        limit(kind, &text, "regulator-over-voltage", "U1", published);
    }
}

/// HTC LM78LXX revision 1.5 (C): recommended input, upper end.
#[test]
fn specified_input_of_the_78l() {
    for (kind, published) in [
        ("78L05", 20.0),
        ("78L08", 23.0),
        ("78L09", 24.0),
        ("78L10", 25.0),
        ("78L12", 27.0),
        ("78L15", 30.0),
    ] {
        let text = regulator(kind, 18.0, "1 kΩ");
        let check = "regulator-outside-specified-input";
        limit(kind, &text, check, "U1", published);
    }
}

/// onsemi MC7800 (C): specified from 5 mA; Wing 78L05 (C): to 40 mA over its whole input range.
#[test]
fn specified_loads() {
    let check = "regulator-outside-specified-load";
    limit("7805", &regulator("7805", 12.0, "5 kΩ"), check, "U1", 0.005);
    limit(
        "78L05",
        &regulator("78L05", 12.0, "150 Ω"),
        check,
        "U1",
        0.040,
    );
}

/// The ends that the maker publishes over input, load and temperature are reached at every input
/// and load of the specified range, and not passed by more than 1 mV. TI and ST L78L revision 11
/// (C): 78L05A 4.75–5.25 V, the plain grade ± 10 %, 78L09A 8.55–9.45 V; Wing 78L05 (C): over
/// 7–20 V and 1–40 mA. onsemi MC7800 (C): MC7806C 5.70–6.30 V over 5 mA–1 A. Wing LM2931 (C): A
/// grade 4.75–5.25 V over 6–26 V, ≤ 100 mA.
#[test]
fn ends_of_the_output_anywhere_in_the_specified_range() {
    for (kind, nominal, share, inputs, currents) in [
        (
            "78L05, grade: A",
            5.0,
            0.05,
            [7.6, 12.0, 19.9],
            [1e-3, 0.02, 0.0375],
        ),
        ("78L05", 5.0, 0.10, [8.2, 12.0, 19.9], [1e-3, 0.02, 0.036]),
        (
            "78L09, grade: A",
            9.0,
            0.05,
            [12.5, 16.0, 23.9],
            [1e-3, 0.02, 0.0375],
        ),
        ("7806", 6.0, 0.05, [9.2, 12.0, 20.9], [5e-3, 0.3, 0.95]),
        (
            "LM2931, grade: A",
            5.0,
            0.05,
            [6.2, 12.0, 25.9],
            [1e-3, 0.03, 0.09],
        ),
    ] {
        for volts in inputs {
            for current in currents {
                let load = format!("{:.4} Ω", nominal / current);
                for (low, high, published, side) in [
                    (0.0, 1.01, 1.0 + share, "high"),
                    (0.99, 2.0, 1.0 - share, "low"),
                ] {
                    let text = format!(
                        "{}promises:\n  - {{at: rail, is: {}..{} V}}\n",
                        regulator(kind, volts, &load),
                        low * nominal,
                        high * nominal
                    );
                    let found = compared(&text, "rail-promise-missed", "promise 1");
                    let what = format!("{kind} {side} at {volts} V and {current} A");
                    close(&what, found.value, published * nominal, 1e-3 / nominal);
                }
            }
        }
    }
}

/// Outside it the ends go on. Wing 78L05 (C): 150 mV over 7–20 V, 11.5 mV for each volt (X), comes
/// on top at 25 V; 60 mV over 1–100 mA, 0.6 mV for each milliampere (X), comes off at 80 mA.
#[test]
fn ends_of_the_output_outside_the_specified_range() {
    let promised = |volts: f64, load: &str, range: &str| {
        let design = regulator("78L05, grade: A", volts, load);
        let text = format!("{design}promises:\n  - {{at: rail, is: {range}}}\n");
        compared(&text, "rail-promise-missed", "promise 1").value
    };
    let high = promised(25.0, "5 kΩ", "0..5.1 V");
    close("at 25 V", high, 5.25 + 5.0 * 0.150 / 13.0, 1e-3);
    let low = promised(25.0, "5 kΩ", "4.9..6 V");
    close("low at 25 V", low, 4.75 - 5.0 * 0.150 / 13.0, 1e-3);
    let low = promised(12.0, "59.3 Ω", "4.9..6 V");
    close("at 80 mA", low, 4.75 - 0.04 * 0.6, 1e-3);
}

/// ST and onsemi (C): 78L in TO-92 200 K/W and 125 °C; onsemi (C): 78xx in TO-220 65 K/W; 150 °C
/// at onsemi and ST, 125 °C at some makers, which is taken. The junction stands that much above the air for each watt.
#[test]
fn junctions_of_regulators() {
    for (kind, package, resistance, highest) in [
        ("78L05", "TO-92", 200.0, 125.0),
        ("7805", "TO-220", 65.0, 125.0),
        ("79L05", "TO-92", 200.0, 125.0),
        ("7905", "TO-220", 65.0, 125.0),
    ] {
        let sign = if kind.starts_with("79") {
            ("gnd", "v")
        } else {
            ("v", "gnd")
        };
        let text = bench(
            "",
            ROOM,
            &[
                &format!(
                    "BT1: {{kind: battery, fresh: 12 V, flat: 11.999 V, current: 1 A, resistance: 0.001 Ω ± 1 %, nets: {{positive: {}, negative: {}}}}}",
                    sign.0, sign.1
                ),
                &format!("U1: {{type: {kind}, package: {package}, tab-to: free, nets: {{in: v, out: rail, ground: gnd}}}}"),
                "R1: {kind: resistor, value: 200 Ω ± 1 %, power: 1 W, nets: {a: rail, b: gnd}}",
            ],
        )
        .replace(", tab-to: free", if package == "TO-92" { "" } else { ", tab-to: free" });
        let found = compared(&text, "junction-over-temperature", "U1");
        close(kind, found.limit, highest, 1e-6);
        let (_, evidence) = solved(&text);
        let heat = evidence
            .stress("U1", preplug::evidence::Stress::Dissipation, |_| true)
            .expect("computed");
        close(kind, found.value, 25.0 + resistance * heat.high, 2e-3);
    }
}

/// heromicro news 313 (C): 2 W at 60 K/W and 50 °C is 170 °C; with 5 + 1 + 10 K/W it is 82 °C.
/// groups.io BITX20 47859 (C2): 0.42 W at 54 K/W is 22.7 K.
#[test]
fn worked_examples_of_junction_temperature() {
    for (what, mounting, ambient, volts, load, published) in [
        (
            "J1",
            "junction-to-ambient: 60 K/W",
            "50..50 °C",
            15.0,
            "25 Ω",
            170.0,
        ),
        (
            "J1 with a sink",
            "junction-to-case: 5 K/W, case-to-sink: 1 K/W, heatsink: 10 K/W",
            "50..50 °C",
            15.0,
            "25 Ω",
            82.0,
        ),
        (
            "J5",
            "junction-to-ambient: 54 K/W",
            ROOM,
            12.0,
            "83.333 Ω",
            47.7,
        ),
    ] {
        let part = format!(
            "U1: {{kind: regulator, polarity: positive, output: 5 V ± 0.001 %, current: 1 A, dropout: 2 V, input-limit: 35 V, quiescent-current: 0 mA, load-regulation: 0.01 mV, ripple-rejection: 120 dB, junction-limit: 150 °C, {mounting}, nets: {{in: v, out: rail, ground: gnd}}}}"
        );
        let load = format!(
            "R1: {{kind: resistor, value: {load} ± 0.01 %, power: 5 W, nets: {{a: rail, b: gnd}}}}"
        );
        let text = bench("", ambient, &[&battery(volts), &part, &load]);
        value(
            what,
            &text,
            "junction-over-temperature",
            "U1",
            published,
            4e-3,
        );
    }
}

/// edaboard 144028 (C2): 13.5 V down to 5 V at 90 mA is 0.765 W, where a TO-92 at 180 K/W and
/// 25 °C allows 0.556 W.
#[test]
fn a_small_regulator_at_ninety_milliamperes_is_overloaded() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(13.5),
            "U1: {type: 78L05, package: TO-92, junction-to-ambient: 180 K/W, quiescent-current: 0 mA, nets: {in: v, out: rail, ground: gnd}}",
            "R1: {kind: resistor, value: 55.556 Ω ± 0.01 %, power: 2 W, nets: {a: rail, b: gnd}}",
        ],
    );
    let found = compared(&text, "junction-over-temperature", "U1");
    assert!(!found.holds(), "{found:?}");
    // 25 °C + 180 K/W × 0.765 W at the nominal output; the extremes of ± 10 % lie around it.
    close("J2", found.value, 25.0 + 180.0 * 0.765, 0.12);
}

/// Motorola LM317L (C): 10 mA at the most; 240 Ω gives 1.25 V ÷ 240 Ω = 5.2 mA (X), 120 Ω does.
/// ST LM317 (C): 40 V from input to output.
#[test]
fn adjustable_regulators() {
    let design = |upper: &str| {
        bench(
            "",
            ROOM,
            &[
                &battery(12.0),
                "U1: {type: LM317, package: TO-220, tab-to: free, nets: {in: v, out: rail, adjust: adj}}",
                &format!(
                    "R1: {{kind: resistor, value: {upper} ± 1 %, power: 1/4 W, nets: {{a: rail, b: adj}}}}"
                ),
                "R2: {kind: resistor, value: 360 Ω ± 1 %, power: 1/4 W, nets: {a: adj, b: gnd}}",
            ],
        )
    };
    let least = compared(&design("240 Ω"), "regulator-minimum-load", "U1");
    close("minimum load", least.limit, 0.010, 1e-6);
    close("with 240 Ω", least.value, 1.25 / 240.0, 0.06);
    assert!(!least.holds());
    let text = design("240 Ω");
    limit(
        "input to output",
        &text,
        "regulator-over-voltage",
        "U1",
        40.0,
    );
}

/// Worked example (X from confirmed limits): 1.25 V × (1 + 720 ÷ 240) + 50 µA × 720 Ω = 5.036 V;
/// with 1 % resistors, 1.20–1.30 V and 0–100 µA, 4.729 to 5.352 V.
#[test]
fn output_of_an_adjustable_regulator() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(12.0),
            "U1: {type: LM317, package: TO-220, tab-to: free, nets: {in: v, out: rail, adjust: adj}}",
            "R1: {kind: resistor, value: 240 Ω ± 1 %, power: 1/4 W, nets: {a: rail, b: adj}}",
            "R2: {kind: resistor, value: 720 Ω ± 1 %, power: 1/4 W, nets: {a: adj, b: gnd}}",
        ],
    );
    for (range, published, side) in [("4..5 V", 5.352, "high"), ("5.05..6 V", 4.729, "low")] {
        let text = format!("{text}promises:\n  - {{at: rail, is: {range}}}\n");
        let found = compared(&text, "rail-promise-missed", "promise 1");
        close(side, found.value, published, 1e-3);
    }
}

/// IL2931 (C): below 0.6 V of drop-out at 100 mA.
#[test]
fn drop_out_of_a_low_drop_regulator() {
    let found = compared(
        &regulator("LM2931", 12.0, "50 Ω"),
        "regulator-drop-out",
        "U1",
    );
    close("LM2931", found.limit, 5.6, 2e-2);
    assert!(found.limit <= 5.6 + 1e-6, "{}", found.limit_is);
}

/// TI and NXP (C): the TL431 regulates from 1 mA of cathode current on.
#[test]
fn least_current_of_a_shunt_reference() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(9.0),
            "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: v, b: z}}",
            "U1: {type: TL431, package: TO-92, nets: {anode: gnd, cathode: z, reference: z}}",
        ],
    );
    limit("TL431", &text, "reference-starved", "U1", 1e-3);
}

/// ST L78L, TI UA78L, onsemi MC7800, MC79L, IL2931 (C): pin orders, flat or printed face toward
/// one, leads down, left to right. Wired so, no check of the pinout has anything to say; wired in
/// the mirror image, one has.
#[test]
fn pin_orders() {
    for (kind, package, order) in [
        ("78L05", "TO-92", ["rail", "gnd", "v"]),
        ("7805", "TO-220", ["v", "gnd", "rail"]),
        ("79L05", "TO-92", ["gnd", "v", "rail"]),
        ("7905", "TO-220", ["gnd", "v", "rail"]),
        ("LM2931", "TO-92", ["rail", "gnd", "v"]),
        ("LM2931", "TO-220", ["v", "gnd", "rail"]),
    ] {
        let negative = kind.starts_with("79");
        let (positive, ground) = if negative { ("gnd", "v") } else { ("v", "gnd") };
        let tab = if package == "TO-220" {
            ", tab-to: free"
        } else {
            ""
        };
        let wired = |order: [&str; 3]| {
            bench(
                "",
                ROOM,
                &[
                    &format!(
                        "BT1: {{kind: battery, fresh: 12 V, flat: 11.9 V, current: 1 A, resistance: 1 Ω ± 1 %, nets: {{positive: {positive}, negative: {ground}}}}}"
                    ),
                    &format!(
                        "U1: {{type: {kind}, package: {package}{tab}, pins: {{1: {}, 2: {}, 3: {}}}}}",
                        order[0], order[1], order[2]
                    ),
                    "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: rail, b: gnd}}",
                ],
            )
        };
        let fails = |text: &str| {
            [
                "regulator-input-output-swapped",
                "regulator-ground-pin",
                "pin-order-of-another-package",
            ]
            .iter()
            .any(|check| {
                outcomes(text, check)
                    .iter()
                    .any(|outcome| matches!(outcome, Outcome::Fails { .. }))
            })
        };
        assert!(!fails(&wired(order)), "{kind} in {package} as published");
        let mirrored = [order[2], order[1], order[0]];
        assert!(fails(&wired(mirrored)), "{kind} in {package} mirrored");
    }
}

/// TI UA78L (C): 0.33 µF before, 0.1 µF behind the regulator.
#[test]
fn capacitors_of_a_small_regulator() {
    let with = |before: &str, behind: &str| {
        let text = format!(
            "{}  C1: {{kind: film, value: {before} ± 10 %, rating: 63 V, nets: {{a: v, b: gnd}}}}\n  C2: {{kind: film, value: {behind} ± 10 %, rating: 63 V, nets: {{a: rail, b: gnd}}}}\n",
            regulator("78L05", 12.0, "1 kΩ")
        );
        let all = outcomes(&text, "regulator-capacitor-missing");
        matches!(all[..], [Outcome::Holds { .. }])
    };
    assert!(with("330 nF", "100 nF"));
    assert!(!with("220 nF", "100 nF"));
    assert!(!with("330 nF", "68 nF"));
}
