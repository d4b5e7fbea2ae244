//! Published limits of safety, protection and derating, reached through the tool's own path: a
//! design file is read, solved and checked, and the figure that the check compares with, or
//! compares, is the published one.
//!
//! Marks: **C** seen in the named primary document, **C2** on a secondary page, **X** worked out
//! from confirmed inputs by the formula stated.

mod fixture;

use fixture::bench::{ROOM, battery, bench, close, compared, limit, outcomes, regulator, solved};
use preplug::checks::Outcome;
use preplug::evidence::{Measure, Stress};

const LOAD: &str = "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: v, b: gnd}}";

/// A transformer maker's practice (C): drops and rises as much as 10 %. The same maker's example
/// (C2 inputs, X): ± 6 % of line on a 12 V secondary is 11.28 to 12.72 V.
#[test]
fn mains_tolerance() {
    let adaptor = "PS1: {kind: ac-adaptor, output: 12 V, current: 500 mA, open-circuit: 12.001 V ± 0.001 %, class: II, nets: {live: v, common: gnd}}";
    let text = bench("", ROOM, &[adaptor, LOAD]);
    let found = compared(&text, "mains-tolerance-narrow", "the design");
    close("10 %", found.limit, 0.10, 2e-3);
    let (_, evidence) = solved(&text.replace("230 V ± 10 %", "230 V ± 6 %"));
    let peak = evidence
        .net("v", Measure::Maximum, |_| true)
        .expect("computed");
    close("high", peak.high / 2.0_f64.sqrt(), 12.72, 1e-3);
    close("low", peak.low / 2.0_f64.sqrt(), 11.28, 1e-3);
}

/// IEC 60950-1 (C): a limited power source, table 2B 8.0 A to 30 V and 100 VA; with a fuse, table
/// 2C, 5 A at most to 20 V.
#[test]
fn limited_power_sources() {
    for (fuse, published) in [
        ("kind: fuse, current: 1 A, speed: T, voltage: 250 V", 5.0),
        (
            "kind: ptc, hold-current: 1 A, trip-current: 2 A, voltage: 30 V",
            8.0,
        ),
    ] {
        for (fresh, published) in [("12 V", published), ("30 V", 100.0 / 30.0)] {
            let supply = format!(
                "BT1: {{kind: battery, fresh: {fresh}, flat: 11 V, resistance: 0.05 Ω ± 1 %, nets: {{positive: v, negative: gnd}}}}"
            );
            let fuse = format!("F1: {{{fuse}, nets: {{a: v, b: w}}}}");
            let load = LOAD.replace("a: v", "a: w");
            let text = bench("", ROOM, &[&supply, &fuse, &load]);
            limit(&fuse, &text, "source-unprotected", "BT1", published);
        }
    }
}

/// IEC 60335-1 8.1.4 as quoted (C2): 42.4 V peak is not live. IEC 61558-1 (C) allows 50 V rms,
/// 120 V ripple-free: the limits taken lie below.
#[test]
fn extra_low_voltage() {
    let adaptor = "PS1: {kind: ac-adaptor, output: 12 V, current: 500 mA, open-circuit: 14 V, class: II, nets: {live: v, common: gnd}}";
    let text = bench("", ROOM, &[adaptor, LOAD]);
    let found = compared(&text, "extra-low-voltage", "PS1");
    close("alternating", found.limit, 42.4, 1e-6);
    let found = compared(
        &bench("", ROOM, &[&battery(12.0), LOAD]),
        "extra-low-voltage",
        "the design",
    );
    assert!(found.limit <= 120.0 && found.limit <= 50.0 * 2.0_f64.sqrt());
}

/// IEC 60950 class II touch current (C) 0.25 mA; 2.2 nF (X): 0.175 mA at 253 V 50 Hz.
#[test]
fn touch_current_of_a_floating_adaptor() {
    let fixture = include_str!("fixtures/floating-adaptor-meets-jack.md");
    let told = fixture::told("floating-adaptor-meets-jack", fixture);
    assert!(
        told.iter()
            .any(|what| what.contains("175 µA of touch current")),
        "{told:#?}"
    );
}

/// System Reliability Center, Part Derating Parameters (C): connectors 85 % and 70 % of their
/// current, 80 % and 70 % of their voltage, benign and severe; tantalum 2 % in reverse.
#[test]
fn derating_of_connectors_and_reverse_voltage_of_tantalum() {
    for (policy, share) in [("benign", 0.80), ("severe", 0.70)] {
        let text = bench(
            &format!("derating: {policy}\n"),
            ROOM,
            &[
                &battery(12.0),
                LOAD,
                "J1: {kind: connector, current: 1 A, voltage: 50 V, nets: {tip: v, sleeve: gnd}}",
                "C1: {kind: tantalum, value: 10 µF ± 10 %, rating: 35 V, nets: {positive: v, negative: gnd}}",
            ],
        );
        limit(policy, &text, "contact-over-voltage", "J1", 50.0 * share);
        limit(policy, &text, "electrolytic-reversed", "C1", 0.02 * 35.0);
    }
    let fixture = include_str!("fixtures/contact-overload.md");
    for (policy, told) in [("benign", "85 % of 100 mA"), ("severe", "70 % of 100 mA")] {
        let text = fixture.replace("title: Bench", &format!("title: Bench\nderating: {policy}"));
        let all = fixture::told("contact-overload", &text);
        assert!(all.iter().any(|what| what.contains(told)), "{all:#?}");
    }
}

/// TI LM78L (C): 100 mA rated; HTC (C): limits at 300 mA at the most. TI (C): −0.9 mV/K at 9 V.
#[test]
fn currents_and_drift_of_the_78l() {
    let top = |text: String| text.replace("title: Bench\n", "title: Bench\nderating: none\n");
    let text = top(regulator("78L09, package: TO-92", 14.0, "1 kΩ"));
    limit("rated", &text, "regulator-overload", "U1", 0.100);
    let drift = compared(&text, "rail-drifts-with-warm-up", "U1").value;
    let hot = compared(&text, "junction-over-temperature", "U1").value;
    close("drift", drift, 0.9e-3 * (hot - 25.0), 1e-3);
    // Shorted at a jack: 14 V × 300 mA × 200 K/W above the air.
    let text =
        format!("{text}  J1: {{kind: jack, contacts: TS, nets: {{tip: rail, sleeve: gnd}}}}\n");
    let found = compared(&text, "short-circuit-overheats", "U1").value;
    close("shorted", found, 25.0 + 14.0 * 0.300 * 200.0, 5e-3);
}

/// TI SGLS302D and NXP (C): TL431 2.440–2.550 V, A grade 2.470–2.520 V.
#[test]
fn reference_of_the_tl431() {
    for (grade, low, high) in [("", 2.440, 2.550), (", grade: A", 2.470, 2.520)] {
        let text = bench(
            "",
            ROOM,
            &[
                &battery(5.0),
                "R1: {kind: resistor, value: 330 Ω ± 1 %, power: 1/4 W, nets: {a: v, b: z}}",
                &format!(
                    "U1: {{type: TL431{grade}, package: TO-92, nets: {{anode: gnd, cathode: z, reference: z}}}}"
                ),
            ],
        );
        let (_, evidence) = solved(&text);
        let mean = evidence
            .net("z", Measure::Mean, |_| true)
            .expect("computed");
        close("low", mean.low, low, 3e-3);
        close("high", mean.high, high, 3e-3);
    }
}

/// Panjit and Diotec 1N4148 (C): 75 V, repetitive peak 100 V, of which the lower is taken; 150 mA. Multicomp 2W04MG and DB104S (C): 400 V; 60 A and
/// 30 A for one half-cycle.
#[test]
fn ratings_of_small_diodes_and_bridges() {
    let text = bench(
        "derating: none\n",
        ROOM,
        &[
            &battery(5.0),
            "D1: {type: 1N4148, nets: {anode: v, cathode: k}}",
            "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: k, b: gnd}}",
        ],
    );
    limit("1N4148", &text, "diode-reverse-voltage", "D1", 75.0);
    limit("1N4148", &text, "diode-average-current", "D1", 0.150);
    for (kind, surge) in [("2W04", 60.0), ("DB104", 30.0)] {
        let text = bench(
            "",
            ROOM,
            &[
                "PS1: {kind: ac-adaptor, output: 12 V, current: 500 mA, open-circuit: 14 V, class: II, nets: {live: v, common: w}}",
                &format!(
                    "BR1: {{type: {kind}, nets: {{ac1: v, ac2: w, positive: raw, negative: gnd}}}}"
                ),
                "C1: {kind: electrolytic, value: 1000 µF ± 20 %, rating: 35 V, ripple-current: 1 A, nets: {positive: raw, negative: gnd}}",
                "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1 W, nets: {a: raw, b: gnd}}",
            ],
        );
        limit(kind, &text, "diode-reverse-voltage", "BR1", 400.0);
        limit(kind, &text, "diode-surge", "BR1", surge);
    }
}

/// onsemi 1N4001 (C): 1.1 V at the most at 1 A; one maker's sheet (C): 1.3 V at 3 A. Diodes Inc.
/// DS23001 (C): 1N5819 0.60 V at 1 A, 0.90 V at 3 A; 1N5817 0.45 and 0.75 V. The fit of the
/// high-drop diode comes within 30 mV of them.
#[test]
fn highest_drop_of_rectifiers() {
    for (kind, at_1a, at_3a) in [
        ("1N4001", 1.10, 1.30),
        ("1N5819", 0.60, 0.90),
        ("1N5817", 0.45, 0.75),
    ] {
        for (current, published) in [(1.0, at_1a), (3.0, at_3a)] {
            let text = bench(
                "",
                ROOM,
                &[
                    &battery(20.0),
                    &format!(
                        "R1: {{kind: resistor, value: {:.4} Ω ± 0.001 %, power: 100 W, nets: {{a: v, b: a}}}}",
                        (20.0 - published) / current
                    ),
                    &format!("D1: {{type: {kind}, nets: {{anode: a, cathode: gnd}}}}"),
                ],
            );
            let (_, evidence) = solved(&text);
            let drop = evidence
                .net("a", Measure::Mean, |_| true)
                .expect("computed")
                .high;
            let what = format!("{kind} at {current} A: {drop} V, published {published} V");
            assert!((drop - published).abs() < 0.030, "{what}");
        }
    }
}

/// Lelon RGA (C): tan δ 0.12 at 35 V, so (X) 0.159 Ω at 120 Hz for 1000 µF; leakage 0.01 CV, 350 µA
/// (X). Endurance 2000 h at 105 °C (C) is 90 500 h at 50 °C (X, ten kelvin double it).
#[test]
fn an_electrolytic_without_figures_of_its_own() {
    let text = bench(
        "",
        "50..50 °C",
        &[
            &battery(12.0),
            "C1: {kind: electrolytic, value: 1000 µF ± 0.1 %, rating: 35 V, temperature-limit: 105 °C, life: 2000 h, nets: {positive: v, negative: gnd}}",
            LOAD,
        ],
    );
    let (design, _) = solved(&text);
    let figure = |property| {
        let part = design.parts.get("C1").expect("a part");
        part.figure(property).expect("a default").spread.high
    };
    close(
        "ESR",
        figure(preplug::catalogue::Property::Esr),
        0.159,
        0.02,
    );
    close(
        "leakage",
        figure(preplug::catalogue::Property::LeakageCurrent),
        350e-6,
        1e-2,
    );
    let hours = compared(&text, "electrolytic-short-life", "C1").value;
    close("life", hours, 90_500.0, 1e-3);
}

/// Petra (C): a bridge's winding carries 1.8 times the DC load, Hammond (C) 1.61 times.
#[test]
fn winding_factors() {
    // The bridge of the time-domain set: 9 V behind 2 Ω, 1000 µF, 100 mA at 9.9 V.
    let text = bench(
        "",
        ROOM,
        &[
            "PS1: {kind: ac-adaptor, output: 8.5 V, current: 250 mA, open-circuit: 9 V ± 0.01 %, class: II, nets: {live: v, common: w}}",
            "BR1: {type: DB104, nets: {ac1: v, ac2: w, positive: raw, negative: gnd}}",
            "C1: {kind: electrolytic, value: 1000 µF ± 0.1 %, rating: 35 V, ripple-current: 1 A, nets: {positive: raw, negative: gnd}}",
            "R1: {kind: resistor, value: 99 Ω ± 0.1 %, power: 2 W, nets: {a: raw, b: gnd}}",
        ],
    )
    .replace("230 V ± 10 %", "230 V ± 0.01 %");
    let (_, evidence) = solved(&text);
    let load = evidence
        .stress("R1", Stress::CurrentMean, |s| s.state.powered)
        .expect("computed")
        .high;
    let winding = compared(&text, "winding-overload", "PS1").value / load;
    assert!((1.55..=2.1).contains(&winding), "winding {winding}");
}

/// ATC-Frost (C): a half-wave winding delivers 2.3 times the DC watts, the diode's share counted in.
#[test]
fn apparent_power_of_a_half_wave_winding() {
    let text = bench(
        "",
        ROOM,
        &[
            "PS1: {kind: ac-adaptor, output: 8.8 V, current: 50 mA, open-circuit: 9 V ± 0.01 %, class: II, nets: {live: ac, common: gnd}}",
            "D1: {type: 1N4001, nets: {anode: ac, cathode: raw}}",
            "C1: {kind: electrolytic, value: 1000 µF ± 0.1 %, rating: 35 V, ripple-current: 0.5 A, nets: {positive: raw, negative: gnd}}",
            "R1: {kind: resistor, value: 202 Ω ± 0.1 %, power: 2 W, nets: {a: raw, b: gnd}}",
        ],
    )
    .replace("230 V ± 10 %", "230 V ± 0.01 %");
    let (_, evidence) = solved(&text);
    let watts = ["R1", "D1"].map(|part| {
        evidence
            .stress(part, Stress::Dissipation, |s| s.state.powered)
            .expect("computed")
            .high
    });
    let apparent = compared(&text, "apparent-power", "PS1").value;
    let times = apparent / (watts[0] + watts[1]);
    close("times the watts", times, 2.3, 0.12);
}

/// A converter maker's sheet (C): ± 15 mA into an input whose supply is below 4.9 V, so into one
/// that is off. System Reliability Center (C): 20 K below an electrolytic's 85 °C; pages quoting a
/// maker (C2): of 22 µF 35 V a fifth is left at 25 V.
#[test]
fn limits_that_lie_on_the_safe_side() {
    let fixture = include_str!("fixtures/back-feed-into-instrument.md");
    let told = fixture::told("back-feed-into-instrument", fixture);
    assert!(
        told.iter().any(|what| what.contains("10.0 mA is safe")),
        "{told:#?}"
    );
    let text = bench(
        "",
        ROOM,
        &[
            &battery(25.0),
            "C1: {kind: ceramic, value: 22 µF ± 10 %, rating: 35 V, nets: {a: v, b: gnd}}",
            "C2: {kind: electrolytic, value: 22 µF ± 20 %, rating: 35 V, nets: {positive: v, negative: gnd}}",
            LOAD,
        ],
    );
    assert!(!compared(&text, "ceramic-bias-loss", "C1").holds());
    limit("20 K", &text, "electrolytic-hot", "C2", 85.0 - 20.0);
}

/// TS7900 (C): the tab of a 79xx is its input; onsemi MC7800 (C): that of a 78xx is ground.
#[test]
fn tabs_on_a_grounded_enclosure() {
    for (kind, nets, holds) in [
        ("7805", "in: v, out: rail, ground: gnd", true),
        ("7905", "in: gnd, out: rail, ground: v", false),
    ] {
        let part =
            format!("U1: {{type: {kind}, package: TO-220, tab-to: enclosure, nets: {{{nets}}}}}");
        let load = LOAD.replace("a: v", "a: rail").replace("b: gnd", "b: v");
        let load = if holds {
            load.replace("b: v", "b: gnd")
        } else {
            load
        };
        let text = bench("", ROOM, &[&battery(12.0), &part, &load]).replace(
            "material: ABS, conductive: false",
            "material: aluminium, conductive: true, joined-to: v",
        );
        let text = if holds {
            text.replace("joined-to: v", "joined-to: gnd")
        } else {
            text
        };
        let failed = outcomes(&text, "tab-touches-enclosure")
            .iter()
            .any(|outcome| matches!(outcome, Outcome::Fails { .. }));
        assert_eq!(failed, !holds, "{kind}");
    }
}

/// IEC 60127 (C2): a fuse must blow at 2.1 times its rating, so a battery that gives 12 A into a
/// short is fused with 12 A ÷ 2.1 at the most. A zener page (C2): a 1N4733A, rated 1.3 W, takes
/// practically 500 mW.
#[test]
fn fuses_of_batteries_and_power_of_zeners() {
    let text = bench(
        "derating: severe\n",
        ROOM,
        &[
            "BT1: {kind: battery, fresh: 12 V, flat: 11.9 V, resistance: 1 Ω ± 1 %, nets: {positive: v, negative: gnd}}",
            "F1: {kind: fuse, current: 1 A, speed: T, voltage: 250 V, nets: {a: v, b: w}}",
            "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: w, b: z}}",
            "Z1: {type: 1N4733A, nets: {cathode: z, anode: gnd}}",
        ],
    );
    limit("fuse", &text, "fuse-too-large", "F1", 12.0 / 2.1);
    limit("zener", &text, "zener-power", "Z1", 0.5);
}

/// A capacitor maker's guide (C): DC plus the peak of the ripple stay below the rated voltage. The
/// half-wave rectifier of the time-domain set (X, by two independent integrators): 10.092 V with
/// a peak of 10.503 V. Makers' series (C): 85 and 105 °C.
#[test]
fn peak_on_a_reservoir() {
    let capacitor = |limit: &str| {
        bench(
            "",
            ROOM,
            &[
                "PS1: {kind: ac-adaptor, output: 8.8 V, current: 50 mA, open-circuit: 9 V ± 0.01 %, class: II, nets: {live: ac, common: gnd}}",
                "D1: {type: 1N4001, nets: {anode: ac, cathode: raw}}",
                &format!("C1: {{kind: electrolytic, value: 1000 µF ± 0.1 %, rating: 16 V, esr: 0.05 Ω, ripple-current: 0.5 A{limit}, nets: {{positive: raw, negative: gnd}}}}"),
                "I1: {kind: load, current: 50..50 mA, nets: {a: raw, b: gnd}}",
            ],
        )
        .replace("230 V ± 10 %", "230 V ± 0.01 %")
    };
    let text = capacitor("");
    let found = compared(&text, "capacitor-over-voltage", "C1");
    let (_, evidence) = solved(&text);
    let peak = evidence
        .stress("C1", Stress::PeakVoltage, |s| {
            s.state.powered && s.corner.is_nominal()
        })
        .expect("computed")
        .high;
    close("peak", peak, 10.503, 5e-3);
    assert!(found.value >= peak, "{} below {peak}", found.value);
    for (words, published) in [("", 85.0), (", temperature-limit: 105 °C", 105.0)] {
        let text = capacitor(words);
        limit(
            words,
            &text,
            "electrolytic-over-temperature",
            "C1",
            published,
        );
    }
}
