//! Each device model: its slopes against finite differences, and a circuit with a known answer.

#![allow(
    clippy::unwrap_used,
    clippy::needless_range_loop,
    reason = "a test stops at what it does not expect"
)]

use std::f64::consts::{FRAC_PI_2, SQRT_2, TAU};

use preplug::circuit::bipolar::BipolarConstants;
use preplug::circuit::junction::JunctionConstants;
use preplug::circuit::mosfet::MosfetConstants;
use preplug::circuit::op_amp::OpAmpConstants;
use preplug::circuit::regulator::RegulatorConstants;
use preplug::circuit::shunt_reference::{ShuntConstants, ShuntPoint};
use preplug::circuit::{
    Beyond, Bipolar, Breakdown, Element, Junction, Model, Mosfet, Netlist, Node, OpAmp, Regulator,
    ShuntReference, Wave,
};
use preplug::solver::{self, Failure, Initial, Periodic, Probe, Settings};

fn netlist(nodes: &[&str], elements: Vec<(&str, Model)>) -> Netlist {
    Netlist {
        nodes: nodes.iter().map(|n| (*n).into()).collect(),
        elements: elements
            .into_iter()
            .map(|(name, model)| Element {
                name: name.into(),
                model,
            })
            .collect(),
    }
}

fn steady(positive: Node, voltage: f64) -> Model {
    Model::VoltageSource {
        positive,
        negative: 0,
        wave: Wave::Steady(voltage),
        resistance: 0.0,
    }
}

fn resistor(a: Node, b: Node, resistance: f64) -> Model {
    Model::Resistor { a, b, resistance }
}

fn node(plus: Node) -> Probe {
    Probe::Voltage { plus, minus: 0 }
}

fn solve(netlist: &Netlist, probes: &[Probe]) -> Periodic {
    solver::periodic(netlist, probes, None, &Settings::default())
        .unwrap_or_else(|failure| panic!("{failure}"))
}

fn value(netlist: &Netlist, probe: Probe) -> f64 {
    solve(netlist, &[probe]).probes[0].average
}

fn close(what: &str, got: f64, expected: f64, relative: f64) {
    assert!(
        (got - expected).abs() <= relative * expected.abs().max(1e-6),
        "{what}: {got} against {expected}"
    );
}

/// Compares a slope with the central difference of a value.
fn slope(what: &str, claimed: f64, at: impl Fn(f64) -> f64, step: f64) {
    let difference = (at(step) - at(-step)) / (2.0 * step);
    // The difference of two rounded values is no better than this.
    let rounding = 1e-15 * (at(0.0).abs() + 1e-2) / step;
    assert!(
        (claimed - difference).abs() <= 2e-5 * claimed.abs() + rounding,
        "{what}: slope {claimed}, difference {difference}"
    );
}

fn silicon() -> Junction {
    Junction {
        saturation_current: 2.5e-9,
        ideality: 1.75,
        series_resistance: 0.0,
        shunt_conductance: 1e-12,
        thermal_voltage: 0.02585,
        breakdown: None,
    }
}

fn zener() -> Junction {
    Junction {
        saturation_current: 1e-14,
        ideality: 1.1,
        series_resistance: 6.0,
        breakdown: Some(Breakdown {
            voltage: 9.1,
            current: 5e-3,
            ideality: 3.0,
        }),
        ..silicon()
    }
}

#[test]
fn junction() {
    for junction in [silicon(), zener()] {
        let constants = JunctionConstants::from(&junction);
        for vj in [-9.3, -9.0, -1.0, 0.0, 0.3, 0.6] {
            slope(
                "junction",
                constants.at(vj).1,
                |d| constants.at(vj + d).0,
                1e-6,
            );
        }
    }
    // 1 mA through a junction: v = N·Vt·ln(i/Is + 1).
    let circuit = netlist(
        &["gnd", "a"],
        vec![
            (
                "I1",
                Model::CurrentSource {
                    from: 0,
                    to: 1,
                    current: 1e-3,
                },
            ),
            (
                "D1",
                Model::Diode {
                    anode: 1,
                    cathode: 0,
                    junction: silicon(),
                },
            ),
        ],
    );
    let expected = 1.75 * 0.02585 * (1e-3_f64 / 2.5e-9 + 1.0).ln();
    close("diode", value(&circuit, node(1)), expected, 1e-8);
    // 20 mA backwards through a breakdown diode: v = −Bv − Nz·Vt·ln(i/Ibv) − Rz·i.
    let circuit = netlist(
        &["gnd", "k"],
        vec![
            (
                "I1",
                Model::CurrentSource {
                    from: 0,
                    to: 1,
                    current: 0.02,
                },
            ),
            (
                "Z1",
                Model::Diode {
                    anode: 0,
                    cathode: 1,
                    junction: zener(),
                },
            ),
        ],
    );
    let expected = 9.1 + 3.0 * 0.02585 * 4.0_f64.ln() + 6.0 * 0.02;
    close("zener", value(&circuit, node(1)), expected, 1e-8);
}

fn fixed(negative: bool) -> Regulator {
    Regulator {
        negative,
        reference: 5.0,
        line: 1e-3,
        line_from: 10.0,
        output_resistance: 0.05,
        dropout: 1.6,
        dropout_resistance: 0.6,
        limit: 0.1,
        smoothing: 2e-4,
        quiescent: 4e-3,
        quiescent_knee: 0.5,
        reverse: Some(Junction {
            series_resistance: 0.1,
            ..silicon()
        }),
        beyond: None,
    }
}

fn regulated(negative: bool, supply: f64, load: f64) -> Netlist {
    netlist(
        &["gnd", "in", "out"],
        vec![
            ("V1", steady(1, supply)),
            (
                "U1",
                Model::Regulator {
                    input: 1,
                    output: 2,
                    common: 0,
                    regulator: fixed(negative),
                },
            ),
            ("R1", resistor(2, 0, load)),
        ],
    )
}

/// [`fixed`], specified from 7 to 20 V and to 50 mA, falling outside by 10 mV/V and along 0.6 Ω.
fn at_its_low_end(negative: bool) -> Regulator {
    Regulator {
        line: 0.0,
        output_resistance: 1e-3,
        beyond: Some(Beyond {
            from: 7.0,
            to: 20.0,
            slope: -0.01,
            load: 0.05,
            resistance: 0.6,
        }),
        ..fixed(negative)
    }
}

#[test]
fn regulator() {
    for (regulator, ui, uo) in [
        (fixed(false), 10.0, 4.999),
        (fixed(false), 10.0, 4.9975),
        (fixed(false), 6.0, 4.38),
        (fixed(false), 8.0, 2.0),
        (fixed(false), 3.0, 5.5),
        (at_its_low_end(false), 19.98, 4.999_8),
        (at_its_low_end(false), 20.02, 4.999_5),
        (at_its_low_end(false), 24.0, 4.94),
        (at_its_low_end(false), 6.98, 4.995),
    ] {
        let r = RegulatorConstants::from(&regulator);
        let at = |ui: f64, uo: f64| r.currents(&r.point(ui, uo), &r.point(ui, uo));
        let here = at(ui, uo);
        slope(
            "pass by input",
            here.pass_by_input,
            |d| at(ui + d, uo).pass,
            1e-7,
        );
        slope(
            "pass by output",
            here.pass_by_output,
            |d| at(ui, uo + d).pass,
            1e-7,
        );
        slope(
            "quiescent",
            here.quiescent_by_input,
            |d| at(ui + d, uo).quiescent,
            1e-6,
        );
    }
    for (negative, sign) in [(false, 1.0), (true, -1.0)] {
        // Regulating 50 mA: 5 V less 0.05 Ω · I.
        let v = value(&regulated(negative, sign * 10.0, 100.0), node(2));
        close("regulating", v, sign * 5.0 / (1.0 + 0.05 / 100.0), 1e-5);
        // Dropped out: (ui − 1.6)/(1 + 0.6/R).
        let v = value(&regulated(negative, sign * 5.6, 100.0), node(2));
        close("dropped out", v, sign * 4.0 / 1.006, 1e-5);
        // Limited to 100 mA.
        let circuit = regulated(negative, sign * 10.0, 10.0);
        close("limited", value(&circuit, node(2)), sign * 1.0, 1e-3);
        // Its dissipation is (ui − uo)·Ip + ui·Iq; what the source gives is all turned to heat.
        let found = solve(
            &circuit,
            &[Probe::Power(0), Probe::Power(1), Probe::Power(2)],
        );
        let [source, heat, load] = [0, 1, 2].map(|k| found.probes[k].average);
        close("heat", heat, 9.0 * 0.1 + 10.0 * 4e-3, 2e-3);
        close("balance", heat + load, -source, 1e-9);
    }
    // Back-fed without a supply: the reverse path conducts.
    let circuit = netlist(
        &["gnd", "in", "out"],
        vec![
            ("V1", steady(2, 5.0)),
            (
                "U1",
                Model::Regulator {
                    input: 1,
                    output: 2,
                    common: 0,
                    regulator: fixed(false),
                },
            ),
            ("R1", resistor(1, 0, 1e3)),
        ],
    );
    let v = value(&circuit, node(1));
    assert!(v > 3.9 && v < 4.6, "back-fed input at {v} V");
}

fn amplifier() -> OpAmp {
    OpAmp {
        gain: 1e5,
        offset: 1e-3,
        bias: 0.0,
        high_headroom: 1.5,
        low_headroom: 0.02,
        output_resistance: 50.0,
        limit: 0.02,
        quiescent: 1e-3,
    }
}

/// An op-amp between ±9 V with `plus` at `input`; feedback to node 3 (`minus`), output node 4.
fn amplified(input: f64, feedback: Vec<(&'static str, Model)>) -> Netlist {
    let mut elements = vec![
        ("VP", steady(1, 9.0)),
        ("VN", steady(2, -9.0)),
        ("VI", steady(5, input)),
        (
            "U1",
            Model::OpAmp {
                plus: 5,
                minus: 3,
                output: 4,
                supply_plus: 1,
                supply_minus: 2,
                op_amp: amplifier(),
            },
        ),
    ];
    elements.extend(feedback);
    netlist(&["gnd", "v+", "v-", "minus", "out", "plus"], elements)
}

#[test]
fn op_amp() {
    let a = OpAmpConstants::from(&amplifier());
    for (vd, vs, vo) in [
        (-1e-3, 18.0, 8.9),
        (-0.95e-3, 18.0, 13.0),
        (1.0, 18.0, 16.2),
        (-1.0, 18.0, 0.3),
        (0.0, 0.7, 0.3),
    ] {
        let at = |vd: f64, vs: f64, vo: f64| a.currents(&a.point(vd, vs, vo), vd, vs, vo);
        let here = at(vd, vs, vo);
        let names = ["input", "supply", "output"];
        for k in 0..3 {
            let moved = |d: f64| {
                let d: [f64; 3] = std::array::from_fn(|j| if j == k { d } else { 0.0 });
                at(vd + d[0], vs + d[1], vo + d[2])
            };
            let step = if k == 0 { 1e-10 } else { 1e-6 };
            slope(names[k], here.output.1[k], |d| moved(d).output.0, step);
            slope(names[k], here.supply.1[k], |d| moved(d).supply.0, step);
        }
    }
    // Gain of 3: the input and its offset, times 3, less the error of a finite gain.
    let circuit = amplified(
        1.0,
        vec![("R1", resistor(4, 3, 20e3)), ("R2", resistor(3, 0, 10e3))],
    );
    close("gain of 3", value(&circuit, node(4)), 3.0 * 1.001, 1e-4);
    // Driven to the upper limit; the output current comes from the positive supply.
    let circuit = amplified(
        5.0,
        vec![("R1", resistor(4, 3, 20e3)), ("R2", resistor(3, 0, 10e3))],
    );
    let found = solve(&circuit, &[node(4), Probe::Current(0), Probe::Current(1)]);
    let current = found.probes[0].average / 30e3;
    close(
        "upper limit",
        found.probes[0].average,
        7.5 - 50.0 * current,
        1e-3,
    );
    close(
        "positive supply",
        -found.probes[1].average,
        1e-3 + current,
        1e-3,
    );
    close("negative supply", found.probes[2].average, 1e-3, 1e-3);
    // Into a short: the current limit.
    let circuit = amplified(
        1.0,
        vec![("R1", resistor(4, 0, 1.0)), ("R2", resistor(3, 0, 1e3))],
    );
    close("short", value(&circuit, Probe::Current(4)), 0.02, 2e-3);
}

#[test]
fn shunt_reference() {
    let shunt = ShuntReference {
        reference: 2.495,
        bias: 2e-6,
        dynamic_resistance: 0.2,
        minimum_current: 1e-3,
        limit: 0.1,
    };
    for (vr, vk) in [(2.495, 2.5), (2.4951, 5.0), (2.2, 0.4), (2.6, 5.0)] {
        let at = |vr: f64, vk: f64| {
            let point = ShuntPoint {
                reference: vr,
                cathode: vk,
            };
            ShuntConstants::from(&shunt).currents(&point, vr, vk)
        };
        let here = at(vr, vk);
        slope(
            "bias",
            here.reference.1,
            |d| at(vr + d, vk).reference.0,
            1e-6,
        );
        slope(
            "by reference",
            here.cathode.1[0],
            |d| at(vr + d, vk).cathode.0,
            1e-7,
        );
        slope(
            "by cathode",
            here.cathode.1[1],
            |d| at(vr, vk + d).cathode.0,
            1e-6,
        );
    }
    // Set to 5 V by two equal resistors: 2·Vref + bias·R1.
    let circuit = netlist(
        &["gnd", "in", "k", "ref"],
        vec![
            ("V1", steady(1, 12.0)),
            ("R1", resistor(1, 2, 470.0)),
            (
                "U1",
                Model::ShuntReference {
                    cathode: 2,
                    anode: 0,
                    reference: 3,
                    shunt,
                },
            ),
            ("R2", resistor(2, 3, 10e3)),
            ("R3", resistor(3, 0, 10e3)),
        ],
    );
    let current = (12.0 - 4.99) / 470.0 - 0.25e-3 - 1e-3;
    let expected = 2.0 * (2.495 + 0.2 * current) + 2e-6 * 10e3;
    close("shunt", value(&circuit, node(2)), expected, 1e-4);
}

fn transistor(pnp: bool) -> Bipolar {
    Bipolar {
        pnp,
        saturation_current: 1e-14,
        forward_gain: 200.0,
        reverse_gain: 4.0,
        thermal_voltage: 0.02585,
    }
}

#[test]
fn bipolar() {
    let q = BipolarConstants::from(&transistor(false));
    for point in [[0.6, -5.0], [0.65, 0.6], [-3.0, 0.5], [0.0, 0.0]] {
        let at = |e: f64, c: f64| q.currents([e, c], e, c);
        let here = at(point[0], point[1]);
        for k in 0..2 {
            let moved = |d: f64| {
                at(
                    point[0] + if k == 0 { d } else { 0.0 },
                    point[1] + if k == 1 { d } else { 0.0 },
                )
            };
            slope("emitter", here.emitter.1[k], |d| moved(d).emitter.0, 1e-6);
            slope(
                "collector",
                here.collector.1[k],
                |d| moved(d).collector.0,
                1e-6,
            );
        }
    }
    // Base fed 20 µA: the collector draws βF times as much, and the emitter both.
    for (pnp, sign) in [(false, 1.0), (true, -1.0)] {
        let circuit = netlist(
            &["gnd", "supply", "c", "b"],
            vec![
                ("V1", steady(1, sign * 12.0)),
                ("R1", resistor(1, 2, 1e3)),
                (
                    "Q1",
                    Model::Bipolar {
                        base: 3,
                        collector: 2,
                        emitter: 0,
                        bipolar: transistor(pnp),
                    },
                ),
                (
                    "I1",
                    Model::CurrentSource {
                        from: 0,
                        to: 3,
                        current: sign * 20e-6,
                    },
                ),
            ],
        );
        let found = solve(
            &circuit,
            &[
                Probe::TerminalCurrent(2, 0),
                Probe::TerminalCurrent(2, 1),
                Probe::TerminalCurrent(2, 2),
            ],
        );
        let [base, collector, emitter] = [0, 1, 2].map(|k| found.probes[k].average);
        close("base", base, sign * 20e-6, 1e-6);
        close("collector", collector, sign * 4e-3, 1e-4);
        close("emitter", emitter, -(base + collector), 1e-9);
    }
}

fn switch(p_channel: bool) -> Mosfet {
    Mosfet {
        p_channel,
        threshold: 2.0,
        transconductance: 0.5,
        on_resistance: 0.5,
        body: silicon(),
    }
}

#[test]
fn mosfet() {
    let m = MosfetConstants::from(&switch(false));
    for point in [[4.0, 0.5], [4.0, 5.0], [2.0, 3.0], [3.0, -0.4], [0.0, 5.0]] {
        let at = |g: f64, d: f64| m.channel(g, d).0;
        let here = m.channel(point[0], point[1]).1;
        slope("by gate", here[0], |d| at(point[0] + d, point[1]), 1e-6);
        slope("by drain", here[1], |d| at(point[0], point[1] + d), 1e-6);
        // Folding in the resistance keeps the current of the series circuit.
        let (id, _) = m.channel(point[0], point[1]);
        let (folded, _) = m.folded(point, point[0], point[1] + 0.5 * id);
        assert!((folded - id).abs() < 1e-12 + 1e-12 * id.abs());
    }
    for (p_channel, sign) in [(false, 1.0), (true, -1.0)] {
        // Saturated: k/2·(vgs − vt)² = 0.25 A · 0.2² = 10 mA.
        let circuit = |gate: f64, load: f64| {
            netlist(
                &["gnd", "supply", "d", "g"],
                vec![
                    ("V1", steady(1, sign * 12.0)),
                    ("V2", steady(3, sign * gate)),
                    ("R1", resistor(1, 2, load)),
                    (
                        "M1",
                        Model::Mosfet {
                            gate: 3,
                            drain: 2,
                            source: 0,
                            mosfet: switch(p_channel),
                        },
                    ),
                ],
            )
        };
        let current = value(&circuit(2.2, 100.0), Probe::Current(2));
        // The threshold's 20 mV corner adds half its square to the square of the overdrive.
        close(
            "saturated",
            current,
            sign * 0.25 * (0.04 + 0.5 * 0.02 * 0.02),
            1e-3,
        );
        // Fully on at 10 V: channel 1/(k·8) in series with 0.5 Ω, 12 V over 1 kΩ.
        let v = value(&circuit(10.0, 1e3), node(2));
        close("on", v, sign * 12.0 * 0.75 / 1000.75, 2e-3);
        // Off: the leakage only.
        let v = value(&circuit(0.0, 1e3), node(2));
        close("off", v, sign * 12.0, 1e-3);
    }
}

#[test]
fn linear_elements_on_a_sine() {
    // A capacitor and an inductor behind resistances: impedances at 50 Hz.
    let sine = |peak: f64| Model::VoltageSource {
        positive: 1,
        negative: 0,
        wave: Wave::Sine {
            peak,
            frequency: 50.0,
            phase: FRAC_PI_2,
        },
        resistance: 10.0,
    };
    let capacitor = Model::Capacitor {
        positive: 1,
        negative: 0,
        capacitance: 100e-6,
        esr: 2.0,
        leakage: 0.0,
    };
    let circuit = netlist(&["gnd", "a"], vec![("V1", sine(SQRT_2)), ("C1", capacitor)]);
    let reactance = 1.0 / (TAU * 50.0 * 100e-6);
    let found = solve(
        &circuit,
        &[Probe::Current(1), Probe::Power(1), Probe::Power(0)],
    );
    let current = 1.0 / 12.0_f64.hypot(reactance);
    close("capacitor", found.probes[0].rms, current, 1e-3);
    close(
        "its loss",
        found.probes[1].average,
        current * current * 2.0,
        2e-3,
    );
    let inductor = Model::Inductor {
        a: 1,
        b: 0,
        inductance: 0.05,
        resistance: 3.0,
    };
    let circuit = netlist(&["gnd", "a"], vec![("V1", sine(SQRT_2)), ("L1", inductor)]);
    let found = solve(&circuit, &[Probe::Current(1), Probe::Power(1)]);
    let current = 1.0 / 13.0_f64.hypot(TAU * 50.0 * 0.05);
    close("inductor", found.probes[0].rms, current, 1e-3);
    close(
        "its loss",
        found.probes[1].average,
        current * current * 3.0,
        2e-3,
    );
}

#[test]
fn switching_on_and_off() {
    // An RC circuit from a steady source: v = E·(1 − exp(−t/RC)), then back.
    let charge = netlist(
        &["gnd", "in", "c"],
        vec![
            ("V1", steady(1, 10.0)),
            ("R1", resistor(1, 2, 1e3)),
            (
                "C1",
                Model::Capacitor {
                    positive: 2,
                    negative: 0,
                    capacitance: 10e-6,
                    esr: 0.0,
                    leakage: 0.0,
                },
            ),
        ],
    );
    let settings = Settings::default();
    let on = solver::transient(&charge, &[node(2)], &Initial::Empty, 0.02, &settings).unwrap();
    let end = *on.waveform.probes[0].last().unwrap();
    close("charged", end, 10.0 * (1.0 - (-2.0_f64).exp()), 1e-3);
    for (t, v) in on.waveform.time.iter().zip(&on.waveform.probes[0]) {
        assert!((v - 10.0 * (1.0 - (-t / 0.01).exp())).abs() < 0.01);
    }
    let off = solver::switched_off(&charge);
    let start = Initial::State(on.state);
    let off = solver::transient(&off, &[node(2)], &start, 0.01, &settings).unwrap();
    let last = *off.waveform.probes[0].last().unwrap();
    close("discharged", last, end * (-1.0_f64).exp(), 1e-3);
    assert!(off.probes[0].maximum <= end + 1e-6 && off.probes[0].minimum >= last - 1e-6);
}

/// The first instant is the same for however long a circuit is followed: 10 V through 1 Ω into an
/// empty 100 pF are 10 A, though it is full a nanosecond later.
#[test]
fn the_first_instant_does_not_depend_on_the_time_followed() {
    let circuit = netlist(
        &["gnd", "in", "c"],
        vec![
            ("V1", steady(1, 10.0)),
            ("R1", resistor(1, 2, 1.0)),
            (
                "C1",
                Model::Capacitor {
                    positive: 2,
                    negative: 0,
                    capacitance: 100e-12,
                    esr: 0.0,
                    leakage: 0.0,
                },
            ),
        ],
    );
    let settings = Settings::default();
    for time in [1e-3, 0.1, 10.0] {
        let current = [Probe::Current(1)];
        let on = solver::transient(&circuit, &current, &Initial::Empty, time, &settings).unwrap();
        close("the first current", on.probes[0].maximum, 10.0, 3e-2);
        let last = *on.waveform.probes[0].last().unwrap();
        assert!(last.abs() < 1e-6, "{last} A are left after {time} s");
    }
}

#[test]
fn floating_nodes_and_conflicts() {
    // A plug pulled: a node behind a capacitor only has a voltage all the same, and is named.
    let circuit = netlist(
        &["gnd", "in", "x"],
        vec![
            ("V1", steady(1, 5.0)),
            (
                "C1",
                Model::Capacitor {
                    positive: 1,
                    negative: 2,
                    capacitance: 1e-6,
                    esr: 0.0,
                    leakage: 0.0,
                },
            ),
        ],
    );
    let found = solve(&circuit, &[node(2)]);
    assert_eq!(found.floating, vec![2]);
    assert!(found.probes[0].average.abs() < 1e-9);
    // Two ideal sources fighting.
    let circuit = netlist(
        &["gnd", "a"],
        vec![
            ("V1", steady(1, 5.0)),
            ("V2", steady(1, 6.0)),
            ("R1", resistor(1, 0, 1.0)),
        ],
    );
    assert_eq!(
        solver::periodic(&circuit, &[], None, &Settings::default()),
        Err(Failure::SourcesInConflict {
            elements: vec!["V1".into(), "V2".into()]
        })
    );
    // A resistance of nothing.
    let circuit = netlist(&["gnd", "a"], vec![("R1", resistor(1, 0, 0.0))]);
    assert!(matches!(
        solver::periodic(&circuit, &[], None, &Settings::default()),
        Err(Failure::ParameterOutOfRange { .. })
    ));
}

/// Inside its range a regulator at the end of its spread stands there at every input and load;
/// outside, 10 mV for each volt and 0.6 Ω for each ampere come off.
#[test]
fn regulator_outside_its_specified_range() {
    for (negative, sign) in [(false, 1.0), (true, -1.0)] {
        for (supply, load, expected) in [
            (8.0, 1e4, 5.0),
            (19.0, 1e4, 5.0),
            (14.0, 125.0, 5.0),
            (24.0, 1e4, 4.96),
            (24.0, 125.0, 4.96),
            // (5 + 0.6 Ω · 50 mA) / (1 + 0.6/R).
            (14.0, 62.5, 5.03 / (1.0 + 0.6 / 62.5)),
            (24.0, 62.5, 4.99 / (1.0 + 0.6 / 62.5)),
        ] {
            let mut circuit = regulated(negative, sign * supply, load);
            circuit.elements[1].model = Model::Regulator {
                input: 1,
                output: 2,
                common: 0,
                regulator: at_its_low_end(negative),
            };
            let v = value(&circuit, node(2));
            close("outside its range", v, sign * expected, 5e-5);
        }
    }
}

/// A follower fed from a rectified and regulated rail, its input from end to end of the rail: what
/// the output must be follows from the divider, the offset and the headrooms alone.
#[test]
fn op_amp_on_a_regulated_rail() {
    let rail = Regulator {
        reference: 15.0,
        ..fixed(false)
    };
    for rail_capacitor in [1e-5, 1e-7] {
        for (upper, lower) in [(9990.0, 10.0), (7e3, 3e3), (5e3, 5e3), (10.0, 9990.0)] {
            let diode = |anode, cathode| Model::Diode {
                anode,
                cathode,
                junction: silicon(),
            };
            let capacitor = |positive, capacitance| Model::Capacitor {
                positive,
                negative: 0,
                capacitance,
                esr: 0.1,
                leakage: 0.0,
            };
            let source = Model::VoltageSource {
                positive: 1,
                negative: 2,
                wave: Wave::Sine {
                    peak: 22.0,
                    frequency: 50.0,
                    phase: 0.0,
                },
                resistance: 2.0,
            };
            let follower = OpAmp {
                gain: 1e5,
                offset: 2e-3,
                bias: 1e-7,
                high_headroom: 1.5,
                low_headroom: 0.02,
                output_resistance: 50.0,
                limit: 0.02,
                quiescent: 1e-3,
            };
            let circuit = netlist(
                &["gnd", "s1", "s2", "raw", "rail", "w", "out"],
                vec![
                    ("V1", source),
                    ("D1", diode(1, 3)),
                    ("D2", diode(2, 3)),
                    ("D3", diode(0, 1)),
                    ("D4", diode(0, 2)),
                    ("C1", capacitor(3, 1e-3)),
                    (
                        "U1",
                        Model::Regulator {
                            input: 3,
                            output: 4,
                            common: 0,
                            regulator: rail,
                        },
                    ),
                    ("C2", capacitor(4, rail_capacitor)),
                    ("R1", resistor(4, 5, upper)),
                    ("R2", resistor(5, 0, lower)),
                    (
                        "A1",
                        Model::OpAmp {
                            plus: 5,
                            minus: 6,
                            output: 6,
                            supply_plus: 4,
                            supply_minus: 0,
                            op_amp: follower,
                        },
                    ),
                    ("R3", resistor(6, 0, 1e4)),
                ],
            );
            let found = solve(&circuit, &[node(4), node(5), node(6)]);
            let [rail, input, output] = std::array::from_fn(|k| found.probes[k].average);
            // Input bias through the divider, at most 0.1 µA · 2.5 kΩ.
            close("divider", input, rail * lower / (upper + lower), 1e-3);
            let unloaded = (input + 2e-3).clamp(0.02, rail - 1.5);
            // At a headroom the output stands behind its resistance, and the corner is 1 mV wide.
            let drop = unloaded * 50.0 / 10_050.0;
            assert!(
                output <= unloaded + 1e-3 && output >= unloaded - drop - 1e-3,
                "{output} against {unloaded}"
            );
        }
    }
}
