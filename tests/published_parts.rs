//! Published figures of rectifiers, capacitors and small parts, reached through the tool's own path: a
//! design file is read, solved and checked, and the figure that the check compares with, or
//! compares, is the published one.
//!
//! Marks: **C** seen in the named primary document, **C2** on a secondary page, **X** worked out
//! from confirmed inputs by the formula stated.

mod fixture;

use fixture::bench::{ROOM, battery, bench, close, compared, limit};

fn half_wave(top: &str, diode: &str, capacitor: &str) -> String {
    bench(
        top,
        ROOM,
        &[
            "PS1: {kind: ac-adaptor, output: 8.8 V, current: 50 mA, open-circuit: 9 V ± 0.01 %, class: II, nets: {live: ac, common: gnd}}",
            &format!("D1: {{type: {diode}, nets: {{anode: ac, cathode: raw}}}}"),
            &format!(
                "C1: {{kind: electrolytic, value: {capacitor} ± 0.1 %, rating: 35 V, esr: 0.05 Ω, ripple-current: 0.5 A, nets: {{positive: raw, negative: gnd}}}}"
            ),
            "R1: {kind: resistor, value: 202 Ω ± 0.1 %, power: 2 W, nets: {a: raw, b: gnd}}",
        ],
    )
}

/// onsemi 1N4001/D revision 17 (C): repetitive reverse voltage of the seven types, 30 A for one
/// half-cycle, 1 A average less 20 % into a capacitor. Diodes Inc. DS23001 (C): 1N5817–19.
#[test]
fn ratings_of_rectifiers() {
    for (kind, published) in [
        ("1N4001", 50.0),
        ("1N4002", 100.0),
        ("1N4003", 200.0),
        ("1N4004", 400.0),
        ("1N4005", 600.0),
        ("1N4006", 800.0),
        ("1N4007", 1000.0),
        ("1N5817", 20.0),
        ("1N5818", 30.0),
        ("1N5819", 40.0),
    ] {
        let text = half_wave("", kind, "1000 µF");
        limit(kind, &text, "diode-reverse-voltage", "D1", published);
    }
    let text = half_wave("", "1N4001", "1000 µF");
    limit("average", &text, "diode-average-current", "D1", 0.8);
    limit("surge", &text, "diode-surge", "D1", 30.0);
    let text = half_wave("", "1N5819", "1000 µF");
    limit("Schottky surge", &text, "diode-surge", "D1", 25.0);
}

/// System Reliability Center, Part Derating Parameters (C): aluminium electrolytic 80 % benign
/// and 70 % severe; ceramic and film 70 % and 60 %; diodes 80 % and 70 % of their reverse
/// voltage; electrolytics 20 K below their temperature limit; diodes' junctions 95 °C, severe.
#[test]
fn derating_by_policy() {
    for (policy, electrolytic, film, diode) in
        [("benign", 28.0, 44.1, 40.0), ("severe", 24.5, 37.8, 35.0)]
    {
        let top = format!("derating: {policy}\n");
        let text = half_wave(&top, "1N4001", "1000 µF");
        limit(
            policy,
            &text,
            "capacitor-voltage-derating",
            "C1",
            electrolytic,
        );
        limit(policy, &text, "diode-reverse-derating", "D1", diode);
        limit(policy, &text, "electrolytic-hot", "C1", 65.0);
        let text = format!(
            "{text}  C2: {{kind: film, value: 100 nF ± 10 %, rating: 63 V, nets: {{a: raw, b: gnd}}}}\n"
        );
        limit(policy, &text, "capacitor-voltage-derating", "C2", film);
        let text = text.replace("kind: film", "kind: ceramic");
        limit(policy, &text, "capacitor-voltage-derating", "C2", film);
    }
    let diode = "1N4001, junction-limit: 150 °C";
    let text = half_wave("derating: severe\n", diode, "1000 µF");
    limit("severe", &text, "junction-hot", "D1", 95.0);
}

/// TDK B41858 (C): surge voltage 1.15 times the rating.
#[test]
fn surge_voltage_of_an_electrolytic() {
    let text = half_wave("", "1N4001", "1000 µF");
    limit("35 V", &text, "capacitor-surge-voltage", "C1", 40.25);
}

/// Hammond, Design Guide for Rectifier Use (C): the reservoir of a rectifier carries two to three
/// times the DC load as ripple; ATC-Frost and Petra (C): a half-wave winding 2.6 times; Hammond
/// (C): a diode in half-wave blocks 2.8 times the rms voltage.
#[test]
fn stresses_of_a_half_wave_rectifier() {
    // 9 V behind 4 Ω into 1000 µF and 50 mA; nominal mains, so that the figures stand alone.
    let text = half_wave("", "1N4001", "1000 µF").replace("230 V ± 10 %", "230 V ± 0.01 %");
    let load = 0.050;
    let ripple = compared(&text, "electrolytic-ripple-current", "C1").value / load;
    assert!((2.0..=3.0).contains(&ripple), "ripple {ripple}");
    let winding = compared(&text, "winding-overload", "PS1").value / load;
    close("winding", winding, 2.6, 0.04);
    let reverse = compared(&text, "diode-reverse-voltage", "D1").value / 9.0;
    assert!((2.5..=2.83).contains(&reverse), "reverse {reverse}");
}

/// A catalogue's table (C2): standard red 30 mA, green 25 mA at the most, 5 V in reverse.
#[test]
fn ratings_of_leds() {
    for (colour, published) in [("red", 0.030), ("green", 0.025)] {
        let text = bench(
            "derating: none\n",
            ROOM,
            &[
                &battery(9.0),
                "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: v, b: k}}",
                &format!("LED1: {{kind: led, colour: {colour}, nets: {{anode: k, cathode: gnd}}}}"),
            ],
        );
        limit(colour, &text, "led-current", "LED1", published);
        limit(colour, &text, "led-reverse-voltage", "LED1", 5.0);
    }
}

/// ufcapacitors.com 5354 (C2): of 10 µF 10 V in 0805 half is left at 5 V.
#[test]
fn bias_of_a_ceramic() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(4.0),
            "C1: {kind: ceramic, value: 10 µF ± 10 %, rating: 10 V, nets: {a: v, b: gnd}}",
            "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: v, b: gnd}}",
        ],
    );
    limit("half gone", &text, "ceramic-bias-loss", "C1", 5.0);
}

/// ibex.tech (C2): a UL fuse carries 75 % of its rating continuously. A converter maker's sheet
/// 36.11.1 (C): inputs conduct from 0.3 V beyond their supplies on.
#[test]
fn fuses_and_inputs() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(9.0),
            "F1: {kind: fuse, current: 400 mA, speed: T, voltage: 250 V, nets: {a: v, b: w}}",
            "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: w, b: o}}",
            "U1: {type: LM358, package: DIP-8, units: {A: {plus: o, minus: out, out: out}, B: {plus: gnd, minus: spare, out: spare}}, nets: {supply+: w, supply-: gnd}}",
            "R2: {kind: resistor, value: 10 kΩ ± 1 %, power: 1/4 W, nets: {a: out, b: gnd}}",
            "R3: {kind: resistor, value: 10 kΩ ± 1 %, power: 1/4 W, nets: {a: spare, b: gnd}}",
            "R4: {kind: resistor, value: 10 kΩ ± 1 %, power: 1/4 W, nets: {a: o, b: gnd}}",
        ],
    );
    limit("fuse", &text, "fuse-blows-in-use", "F1", 0.3);
    limit("input", &text, "op-amp-input-beyond-supply", "U1", 0.3);
}

/// industrialmonitordirect (C2): 3.5 W/m²K for plastic, 12 for aluminium, 5.5 for painted steel;
/// worked out (X) for a box of 120 × 100 × 50 mm: 6.2, 1.8 and 4.0 K for each watt.
#[test]
fn air_in_a_small_box() {
    for (material, published) in [("ABS", 6.2), ("aluminium", 1.8), ("steel", 4.0)] {
        let text = bench(
            "",
            ROOM,
            &[
                &battery(10.0),
                "R1: {kind: resistor, value: 100 Ω ± 0.01 %, power: 5 W, nets: {a: v, b: gnd}}",
            ],
        )
        .replace(", thermal-resistance: 0.001 K/W", "")
        .replace("material: ABS", &format!("material: {material}"));
        let found = compared(&text, "box-air-hot", "the design").value - 25.0;
        close(material, found, published, 0.02);
    }
}
