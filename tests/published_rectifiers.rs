//! Published rectifier and regulator figures, reached by the solver.
//!
//! Marks beside each figure: **C** seen in the named primary document, **C2** on a secondary page,
//! **X** computed from the stated formula and inputs, **M** from memory. Ideal diodes are stood in
//! for by junctions with a drop below 0.02 % of the peak; the tolerances are stated where used.

#![allow(
    clippy::unwrap_used,
    clippy::doc_markdown,
    clippy::cast_lossless,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test stops at what it does not expect; symbols are the trade's"
)]

use std::f64::consts::{PI, SQRT_2, TAU};

use preplug::circuit::{Element, Junction, Model, Netlist, Node, Regulator, Wave};
use preplug::solver::{self, Periodic, Probe, Settings};

/// Thermal voltage at 25 °C used by the diode fits [V].
const VT: f64 = 0.025_693;

struct Bench {
    netlist: Netlist,
    probes: Vec<Probe>,
}

impl Bench {
    fn new() -> Self {
        Self {
            netlist: Netlist {
                nodes: vec!["0".into()],
                elements: Vec::new(),
            },
            probes: Vec::new(),
        }
    }

    fn node(&mut self, name: &str) -> Node {
        if let Some(node) = self.netlist.nodes.iter().position(|n| n == name) {
            return node;
        }
        self.netlist.nodes.push(name.into());
        self.netlist.nodes.len() - 1
    }

    fn add(&mut self, name: &str, model: Model) -> usize {
        self.netlist.elements.push(Element {
            name: name.into(),
            model,
        });
        self.netlist.elements.len() - 1
    }

    /// A sine behind a resistance.
    fn winding(&mut self, plus: &str, minus: &str, peak: f64, f: f64, phase: f64, r: f64) -> usize {
        let (positive, negative) = (self.node(plus), self.node(minus));
        self.add(
            &format!("V{plus}{minus}"),
            Model::VoltageSource {
                positive,
                negative,
                wave: Wave::Sine {
                    peak,
                    frequency: f,
                    phase,
                },
                resistance: r,
            },
        )
    }

    fn steady(&mut self, plus: &str, minus: &str, voltage: f64) -> usize {
        let (positive, negative) = (self.node(plus), self.node(minus));
        self.add(
            &format!("V{plus}{minus}"),
            Model::VoltageSource {
                positive,
                negative,
                wave: Wave::Steady(voltage),
                resistance: 0.0,
            },
        )
    }

    fn diode(&mut self, anode: &str, cathode: &str, junction: Junction) -> usize {
        let (a, k) = (self.node(anode), self.node(cathode));
        self.add(
            &format!("D{anode}{cathode}"),
            Model::Diode {
                anode: a,
                cathode: k,
                junction,
            },
        )
    }

    fn resistor(&mut self, a: &str, b: &str, resistance: f64) -> usize {
        let (na, nb) = (self.node(a), self.node(b));
        self.add(
            &format!("R{a}{b}"),
            Model::Resistor {
                a: na,
                b: nb,
                resistance,
            },
        )
    }

    fn capacitor(&mut self, a: &str, b: &str, capacitance: f64) -> usize {
        let (positive, negative) = (self.node(a), self.node(b));
        self.add(
            &format!("C{a}{b}"),
            Model::Capacitor {
                positive,
                negative,
                capacitance,
                esr: 0.0,
                leakage: 0.0,
            },
        )
    }

    fn draw(&mut self, from: &str, current: f64) -> usize {
        let from = self.node(from);
        self.add(
            "I",
            Model::CurrentSource {
                from,
                to: 0,
                current,
            },
        )
    }

    fn watch_voltage(&mut self, plus: &str, minus: &str) {
        let (plus, minus) = (self.node(plus), self.node(minus));
        self.probes.push(Probe::Voltage { plus, minus });
    }

    fn watch_current(&mut self, element: usize) {
        self.probes.push(Probe::Current(element));
    }

    fn solve(&self) -> Periodic {
        let settings = Settings {
            waveform: true,
            ..Settings::default()
        };
        solver::periodic(&self.netlist, &self.probes, None, &settings)
            .unwrap_or_else(|failure| panic!("{failure}"))
    }
}

/// Drop about 25 slope voltages of 0.26 mV: below 10 mV, with sources of 100 V.
fn ideal() -> Junction {
    Junction {
        saturation_current: 1e-12,
        ideality: 0.01,
        series_resistance: 0.0,
        shunt_conductance: 1e-12,
        thermal_voltage: VT,
        breakdown: None,
    }
}

/// "1N400x typ", fitted to typical curves (X).
fn rectifier() -> Junction {
    Junction {
        saturation_current: 8.652e-8,
        ideality: 2.165,
        series_resistance: 0.0190,
        ..ideal()
    }
}

fn close(what: &str, got: f64, expected: f64, allowed: f64) {
    assert!(
        (got - expected).abs() <= allowed,
        "{what}: {got}, published {expected} ± {allowed}"
    );
}

/// A capacitor-input rectifier relative to its peak voltage and load.
struct Shape {
    /// Mean over peak.
    vdc: f64,
    /// Peak-to-peak over peak.
    ripple: f64,
    /// Rms ripple in per cent of the mean.
    rms_ripple: f64,
    /// Diode: rms over average, peak over average.
    rms_ratio: f64,
    peak_ratio: f64,
    /// Start and end of conduction, degrees of the source.
    on: f64,
    off: f64,
}

/// `n` = 1 half-wave, 2 full-wave: source of 100 V peak behind `rs · RL`, `wrc` = ωRC.
fn capacitor_input(n: usize, wrc: f64, rs: f64) -> Shape {
    let (peak, f, load) = (100.0, 50.0, 1000.0);
    let mut bench = Bench::new();
    bench.winding("A", "0", peak, f, 0.0, rs * load);
    let diode = bench.diode("A", "P", ideal());
    if n == 2 {
        bench.winding("B", "0", peak, f, PI, rs * load);
        bench.diode("B", "P", ideal());
    }
    bench.capacitor("P", "0", wrc / (TAU * f * load));
    bench.resistor("P", "0", load);
    bench.watch_voltage("P", "0");
    bench.watch_current(diode);
    let found = bench.solve();
    let (v, i) = (&found.probes[0], &found.probes[1]);
    let wave = found.waveform.as_ref().unwrap();
    let threshold = 1e-3 * i.maximum;
    let (mut on, mut off) = (f64::NAN, f64::NAN);
    for k in 1..wave.time.len() {
        let (t0, t1) = (wave.time[k - 1], wave.time[k]);
        let (i0, i1) = (wave.probes[1][k - 1], wave.probes[1][k]);
        let angle = 360.0 * f * (t0 + (t1 - t0) * (threshold - i0) / (i1 - i0));
        if i0 < threshold && i1 >= threshold {
            on = angle;
        } else if i0 >= threshold && i1 < threshold {
            off = angle;
        }
    }
    Shape {
        vdc: v.average / peak,
        ripple: (v.maximum - v.minimum) / peak,
        rms_ripple: 100.0 * (v.rms * v.rms - v.average * v.average).sqrt() / v.average,
        rms_ratio: i.rms / i.average,
        peak_ratio: i.maximum / i.average,
        on,
        off,
    }
}

/// Ideal diode, no source resistance: transcendental equation solved (X). Per row: ωRC, then for
/// half-wave and full-wave Vdc/Vp, p-p/Vp, rms ripple %, Ipk/Idc of the load, on and off in degrees.
const NO_RESISTANCE: [(f64, [f64; 6], [f64; 6]); 10] = [
    (
        0.5,
        [0.3371, 0.9997, 110.7, 3.32, 0.02, 153.43],
        [0.6498, 0.8650, 44.0, 1.72, 7.76, 153.43],
    ),
    (
        1.0,
        [0.3820, 0.9863, 91.1, 3.70, 0.79, 135.00],
        [0.6787, 0.7497, 36.7, 2.08, 14.50, 135.00],
    ),
    (
        2.0,
        [0.4819, 0.8984, 61.3, 4.64, 5.83, 116.57],
        [0.7371, 0.5849, 25.7, 3.03, 24.53, 116.57],
    ),
    (
        5.0,
        [0.6662, 0.6314, 29.25, 7.53, 21.63, 101.31],
        [0.8356, 0.3528, 13.13, 5.34, 40.33, 101.31],
    ),
    (
        10.0,
        [0.7906, 0.4110, 15.65, 10.97, 36.09, 95.71],
        [0.8982, 0.2152, 7.28, 7.77, 51.70, 95.71],
    ),
    (
        20.0,
        [0.8788, 0.2422, 8.18, 15.71, 49.27, 92.86],
        [0.9413, 0.1226, 3.90, 11.13, 61.33, 92.86],
    ),
    (
        50.0,
        [0.9457, 0.1095, 3.40, 25.00, 62.93, 91.15],
        [0.9736, 0.0545, 1.65, 17.69, 71.00, 91.15],
    ),
    (
        100.0,
        [0.9715, 0.0576, 1.73, 35.41, 70.45, 90.57],
        [0.9860, 0.0286, 0.85, 25.05, 76.27, 90.57],
    ),
    (
        200.0,
        [0.9853, 0.0297, 0.88, 50.11, 75.99, 90.29],
        [0.9928, 0.0147, 0.43, 35.44, 80.15, 90.29],
    ),
    (
        1000.0,
        [0.9969, 0.00615, 0.18, 112.1, 83.64, 90.06],
        [0.9985, 0.00306, 0.09, 79.26, 85.52, 90.06],
    ),
];

#[test]
fn ideal_diode_without_source_resistance() {
    for (wrc, half, full) in NO_RESISTANCE {
        for (n, row) in [(1, half), (2, full)] {
            // A resistance that charges the capacitor within 0.01° or so of the source.
            let shape = capacitor_input(n, wrc, (2e-4 / wrc).min(1e-5));
            let place = |what: &str| format!("ωRC {wrc}, n {n}, {what}");
            close(&place("Vdc/Vp"), shape.vdc, row[0], 4e-4);
            close(
                &place("p-p/Vp"),
                shape.ripple,
                row[1],
                2e-4 + 0.005 * row[1],
            );
            close(
                &place("rms ripple"),
                shape.rms_ripple,
                row[2],
                0.006 + 0.006 * row[2],
            );
            let peak = shape.peak_ratio / n as f64;
            close(&place("Ipk/Idc"), peak, row[3], 0.02 * row[3]);
            // The table's own start is blurred where the current starts from nothing.
            close(&place("on"), shape.on, row[4], 1.0);
            close(&place("off"), shape.off, row[5], 1.0);
        }
    }
    // Diode rms over average at ωRC 1, 10, 100 (X).
    for (n, ratios) in [(1, [1.761, 2.788, 4.874]), (2, [1.874, 3.271, 5.788])] {
        for (wrc, expected) in [1.0, 10.0, 100.0].into_iter().zip(ratios) {
            let shape = capacitor_input(n, wrc, (2e-4 / wrc).min(1e-5));
            // The current jumps when the diode turns on: steps tell its rms to about 1 %.
            close("rms/average", shape.rms_ratio, expected, 0.012 * expected);
        }
    }
}

const RESISTANCES: [f64; 7] = [0.001, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2];
/// Vdc/Vp over ωRC and Rs/RL: the model that O. H. Schade's charts plot (Proc. IRE 31, 1943; M),
/// recomputed by Runge–Kutta and root finding (X).
const HALF_WAVE: [(f64, [f64; 7]); 7] = [
    (1.0, [0.382, 0.380, 0.378, 0.375, 0.364, 0.347, 0.316]),
    (2.0, [0.481, 0.480, 0.477, 0.472, 0.458, 0.434, 0.388]),
    (5.0, [0.666, 0.663, 0.659, 0.651, 0.622, 0.569, 0.479]),
    (10.0, [0.790, 0.786, 0.780, 0.764, 0.706, 0.622, 0.506]),
    (20.0, [0.878, 0.871, 0.857, 0.824, 0.739, 0.639, 0.514]),
    (50.0, [0.944, 0.923, 0.895, 0.848, 0.750, 0.644, 0.517]),
    (100.0, [0.966, 0.934, 0.901, 0.852, 0.751, 0.645, 0.517]),
];
const FULL_WAVE: [(f64, [f64; 7]); 7] = [
    (1.0, [0.678, 0.675, 0.672, 0.665, 0.646, 0.616, 0.563]),
    (2.0, [0.736, 0.733, 0.730, 0.722, 0.700, 0.665, 0.600]),
    (5.0, [0.835, 0.831, 0.827, 0.817, 0.783, 0.726, 0.635]),
    (10.0, [0.897, 0.893, 0.886, 0.870, 0.817, 0.745, 0.643]),
    (20.0, [0.940, 0.933, 0.920, 0.894, 0.828, 0.750, 0.645]),
    (50.0, [0.972, 0.955, 0.935, 0.902, 0.832, 0.752, 0.645]),
    (100.0, [0.982, 0.959, 0.937, 0.903, 0.832, 0.752, 0.645]),
];

#[test]
fn source_resistance_tables() {
    for (n, table) in [(1, HALF_WAVE), (2, FULL_WAVE)] {
        for (wrc, row) in table {
            for (rs, expected) in RESISTANCES.into_iter().zip(row) {
                let shape = capacitor_input(n, wrc, rs);
                // Half a unit of the last digit, and 0.05 % for the diode and the steps.
                close(
                    &format!("n {n}, ωRC {wrc}, Rs {rs}"),
                    shape.vdc,
                    expected,
                    1e-3,
                );
            }
        }
    }
    // rms ripple in % of Vdc at Rs/RL 0.1, 1, 5, 10 % (X).
    let ripple = [
        (1.0, [91.1, 91.1, 91.0, 90.8], [36.7, 36.7, 36.5, 36.2]),
        (5.0, [29.3, 29.2, 28.5, 27.7], [13.1, 13.1, 12.3, 11.4]),
        (10.0, [15.7, 15.5, 14.8, 14.2], [7.28, 7.14, 6.38, 5.84]),
        (20.0, [8.17, 7.99, 7.45, 7.14], [3.89, 3.70, 3.22, 2.94]),
        (50.0, [3.39, 3.23, 2.99, 2.86], [1.64, 1.50, 1.29, 1.18]),
        (100.0, [1.71, 1.62, 1.49, 1.43], [0.83, 0.75, 0.65, 0.59]),
    ];
    for (wrc, half, full) in ripple {
        for (n, row) in [(1, half), (2, full)] {
            for (rs, expected) in [0.001, 0.01, 0.05, 0.1].into_iter().zip(row) {
                let shape = capacitor_input(n, wrc, rs);
                let place = format!("rms ripple, n {n}, ωRC {wrc}, Rs {rs}");
                close(&place, shape.rms_ripple, expected, 0.005 + 0.007 * expected);
            }
        }
    }
    // Diode rms/average and peak/average at the same resistances (X).
    let ratios = [
        (
            1,
            1.0,
            [(1.76, 3.70), (1.76, 3.70), (1.75, 3.70), (1.74, 3.70)],
        ),
        (
            1,
            10.0,
            [(2.77, 10.6), (2.63, 8.97), (2.26, 6.42), (2.08, 5.43)],
        ),
        (
            1,
            100.0,
            [(4.10, 21.4), (2.92, 10.7), (2.29, 6.60), (2.09, 5.49)],
        ),
        (
            2,
            1.0,
            [(1.87, 4.17), (1.87, 4.17), (1.86, 4.16), (1.85, 4.15)],
        ),
        (
            2,
            10.0,
            [(3.24, 14.8), (3.00, 11.7), (2.51, 7.90), (2.28, 6.54)],
        ),
        (
            2,
            100.0,
            [(4.65, 27.4), (3.26, 13.3), (2.54, 8.06), (2.29, 6.60)],
        ),
    ];
    for (n, wrc, row) in ratios {
        for (rs, (rms, peak)) in [0.001, 0.01, 0.05, 0.1].into_iter().zip(row) {
            let shape = capacitor_input(n, wrc, rs);
            let place = |what: &str| format!("{what}, n {n}, ωRC {wrc}, Rs {rs}");
            close(
                &place("rms/average"),
                shape.rms_ratio,
                rms,
                0.005 + 0.005 * rms,
            );
            close(&place("peak/average"), shape.peak_ratio, peak, 0.01 * peak);
        }
    }
}

/// `tan a − a = π/n · Rs/RL`, by bisection.
fn conduction_half_angle(n: f64, rs: f64) -> f64 {
    let (mut low, mut high) = (0.0_f64, 1.57_f64);
    for _ in 0..100 {
        let a = 0.5 * (low + high);
        if a.tan() - a < PI / n * rs {
            low = a;
        } else {
            high = a;
        }
    }
    0.5 * (low + high)
}

#[test]
fn large_capacitor_limits() {
    // Closed form for ωRC → ∞ (X), also as printed for half-wave and full-wave.
    let printed = [
        (1, [0.978, 0.938, 0.904, 0.853, 0.752, 0.646, 0.517]),
        (2, [0.986, 0.960, 0.938, 0.904, 0.832, 0.752, 0.646]),
    ];
    for (n, row) in printed {
        for (rs, expected) in RESISTANCES.into_iter().zip(row) {
            let limit = conduction_half_angle(n as f64, rs).cos();
            close("closed form", limit, expected, 6e-4);
            let shape = capacitor_input(n, 5000.0, rs);
            close(&format!("limit, n {n}, Rs {rs}"), shape.vdc, limit, 6e-4);
        }
    }
    // Conduction angles (X).
    for (n, row) in [(1, [24.1, 50.7, 82.5, 99.6]), (2, [19.1, 40.7, 67.3, 82.5])] {
        for (rs, expected) in [0.001, 0.01, 0.05, 0.1].into_iter().zip(row) {
            let angle = 2.0 * conduction_half_angle(n as f64, rs).to_degrees();
            close("conduction angle", angle, expected, 0.06);
        }
    }
    // Full-wave (Delon) doubler (X).
    for (rs, expected) in RESISTANCES
        .into_iter()
        .zip([1.931, 1.807, 1.706, 1.561, 1.291, 1.034])
    {
        let (peak, f, load) = (100.0, 50.0, 1000.0);
        let mut bench = Bench::new();
        bench.winding("A", "M", peak, f, 0.0, rs * load);
        bench.diode("A", "P", ideal());
        bench.diode("0", "A", ideal());
        let each = 5000.0 / (TAU * f * load);
        bench.capacitor("P", "M", each);
        bench.capacitor("M", "0", each);
        bench.resistor("P", "0", load);
        bench.watch_voltage("P", "0");
        let doubled = bench.solve().probes[0].average / peak;
        close(&format!("doubler, Rs {rs}"), doubled, expected, 1.5e-3);
    }
    // Schade's n·RL: full-wave at twice the ratio carries half-wave's current ratios (X).
    let (half, full) = (
        capacitor_input(1, 1000.0, 0.05),
        capacitor_input(2, 1000.0, 0.1),
    );
    close("scaling, rms", full.rms_ratio, half.rms_ratio, 0.004);
    close("scaling, peak", full.peak_ratio, half.peak_ratio, 0.02);
    close("scaling, rms value", half.rms_ratio, 2.294, 0.006);
    close("scaling, peak value", half.peak_ratio, 6.60, 0.03);
}

struct Regression {
    name: &'static str,
    bridge: bool,
    rms: f64,
    winding: f64,
    f: f64,
    capacitance: f64,
    /// Current, or resistance.
    load: Result<f64, f64>,
    /// Vdc, Vmin, Vmax, p-p, diode peak, secondary rms, capacitor rms.
    expected: [f64; 7],
}

fn regression(case: &Regression) -> Periodic {
    let mut bench = Bench::new();
    let winding = bench.winding(
        "A",
        if case.bridge { "B" } else { "0" },
        SQRT_2 * case.rms,
        case.f,
        0.0,
        case.winding,
    );
    let diode = bench.diode("A", "P", rectifier());
    if case.bridge {
        bench.diode("B", "P", rectifier());
        bench.diode("0", "A", rectifier());
        bench.diode("0", "B", rectifier());
    }
    let capacitor = bench.capacitor("P", "0", case.capacitance);
    match case.load {
        Ok(current) => bench.draw("P", current),
        Err(resistance) => bench.resistor("P", "0", resistance),
    };
    bench.watch_voltage("P", "0");
    bench.watch_current(diode);
    bench.watch_current(winding);
    bench.watch_current(capacitor);
    bench.solve()
}

/// Two independent integrators agree to four digits on B1 and B3 (X).
const REGRESSIONS: [Regression; 7] = [
    Regression {
        name: "B1",
        bridge: false,
        rms: 9.0,
        winding: 4.0,
        f: 50.0,
        capacitance: 1e-3,
        load: Ok(0.05),
        expected: [10.092, 9.676, 10.503, 0.827, 0.433, 0.131, 0.121],
    },
    Regression {
        name: "B2",
        bridge: false,
        rms: 15.6,
        winding: 7.2,
        f: 50.0,
        capacitance: 1e-3,
        load: Ok(0.03),
        expected: [18.998, 18.741, 19.253, 0.512, 0.307, 0.0855, 0.080],
    },
    Regression {
        name: "B2b",
        bridge: false,
        rms: 15.6,
        winding: 7.2,
        f: 60.0,
        capacitance: 1e-3,
        load: Ok(0.03),
        expected: [19.001, 18.787, 19.214, 0.427, 0.307, 0.0855, 0.080],
    },
    Regression {
        name: "B3",
        bridge: true,
        rms: 12.0,
        winding: 3.6,
        f: 50.0,
        capacitance: 2.2e-3,
        load: Ok(0.2),
        expected: [12.342, 12.052, 12.628, 0.576, 0.779, 0.351, 0.289],
    },
    Regression {
        name: "B4",
        bridge: false,
        rms: 12.0,
        winding: 1.0,
        f: 60.0,
        capacitance: 470e-6,
        load: Err(470.0),
        expected: [15.394, 14.871, 15.916, 1.046, 0.538, 0.117, 0.112],
    },
    Regression {
        name: "B5",
        bridge: false,
        rms: 15.6,
        winding: 7.2,
        f: 50.0,
        capacitance: 1e-3,
        load: Ok(1e-4),
        expected: [21.429, 21.428, 21.429, 0.002, 0.004, 0.0006, 0.0006],
    },
    Regression {
        name: "B6",
        bridge: true,
        rms: 9.0,
        winding: 2.0,
        f: 60.0,
        capacitance: 1e-3,
        load: Ok(0.1),
        expected: [9.896, 9.596, 10.190, 0.594, 0.522, 0.202, 0.176],
    },
];

#[test]
fn time_domain_set() {
    for case in &REGRESSIONS {
        let found = regression(case);
        let [v, d, s, c] = [0, 1, 2, 3].map(|k| found.probes[k]);
        let got = [
            v.average,
            v.minimum,
            v.maximum,
            v.maximum - v.minimum,
            d.maximum,
            s.rms,
            c.rms,
        ];
        for (k, (got, expected)) in got.into_iter().zip(case.expected).enumerate() {
            // One unit of the last digit printed, and 0.05 % (voltages) or 0.8 % (currents, ripple).
            let digit = if k < 4 || expected >= 0.1 { 1e-3 } else { 5e-4 };
            let part = if k < 3 { 5e-4 } else { 8e-3 };
            close(
                &format!("{} figure {k}", case.name),
                got,
                expected,
                digit + part * expected,
            );
        }
    }
}

#[test]
fn transformer_current_rules() {
    let ratio = |name: &str| {
        let case = REGRESSIONS.iter().find(|c| c.name == name).unwrap();
        regression(case).probes[2].rms / case.load.unwrap()
    };
    // Capacitor input, half-wave: 2.6 (ATC-Frost, Petra; C) to 3.6 (Hammond 5C007; C).
    for name in ["B1", "B2", "B2b"] {
        let got = ratio(name);
        assert!((2.6..=3.6).contains(&got), "{name}: {got}");
    }
    // Bridge: 1.61 (Hammond; C) to 1.8 (Petra; C), never below 1.4 (efiter.com; C). B6 stands
    // behind a stiffer winding than the rules assume and draws 2.02 (X): above both.
    assert!((1.61..=1.8).contains(&ratio("B3")), "B3: {}", ratio("B3"));
    close("B6 Isec/Idc", ratio("B6"), 2.02, 0.02);
    // Capacitor rms: 2–3 × Idc (Hammond; C) for half-wave, computed 1.4–1.8 × for a bridge (X).
    for (name, low, high) in [
        ("B1", 2.0, 3.0),
        ("B2", 2.0, 3.0),
        ("B3", 1.4, 1.8),
        ("B6", 1.4, 1.8),
    ] {
        let case = REGRESSIONS.iter().find(|c| c.name == name).unwrap();
        let got = regression(case).probes[3].rms / case.load.unwrap();
        assert!((low..=high).contains(&got), "{name} capacitor: {got}");
    }
    // Resistive load (Hammond, ATC-Frost, Petra; C): half-wave Iac 1.6 Idc and Vdc 0.45 Vac; bridge
    // 1.1 and 0.90; exact values π/2, π/(2√2), √2/π, 2√2/π (X).
    for (bridge, rule, exact, level) in [
        (false, 1.6, PI / 2.0, SQRT_2 / PI),
        (true, 1.1, PI / (2.0 * SQRT_2), 2.0 * SQRT_2 / PI),
    ] {
        let mut bench = Bench::new();
        let other = if bridge { "B" } else { "0" };
        let winding = bench.winding("A", other, 100.0 * SQRT_2, 50.0, 0.0, 1e-3);
        bench.diode("A", "P", ideal());
        if bridge {
            bench.diode("B", "P", ideal());
            bench.diode("0", "A", ideal());
            bench.diode("0", "B", ideal());
        }
        let load = bench.resistor("P", "0", 100.0);
        bench.watch_current(winding);
        bench.watch_current(load);
        bench.watch_voltage("P", "0");
        let found = bench.solve();
        let got = found.probes[0].rms / found.probes[1].average;
        close("Iac/Idc", got, exact, 2e-3);
        close("Iac/Idc rule", got, rule, 0.02 * rule);
        close("Vdc/Vac", found.probes[2].average / 100.0, level, 1e-3);
    }
    // Bridge with a large choke: 1.06 (Hammond; C); a choke without ripple draws exactly Idc.
    let mut bench = Bench::new();
    let winding = bench.winding("A", "B", 100.0 * SQRT_2, 50.0, 0.0, 1e-3);
    bench.diode("A", "P", ideal());
    bench.diode("B", "P", ideal());
    bench.diode("0", "A", ideal());
    bench.diode("0", "B", ideal());
    let (a, b) = (bench.node("P"), bench.node("Q"));
    bench.add(
        "L",
        Model::Inductor {
            a,
            b,
            inductance: 1.0,
            resistance: 0.01,
        },
    );
    let load = bench.resistor("Q", "0", 100.0);
    bench.watch_current(winding);
    bench.watch_current(load);
    let found = bench.solve();
    let got = found.probes[0].rms / found.probes[1].average;
    assert!((1.0..=1.06).contains(&got), "choke: {got}");
}

#[test]
fn handbook_transformers() {
    // W1, W3 (ATC-Frost; C): resistive load, Iac = 1.6 Idc; held above.
    // W2 (C): half-wave with capacitor, 6 V from 5.3 V rms: Iac 0.26 A for 0.1 A.
    // W4 (C): centre tap with capacitor, 6 V from 5.1 V rms a side: 2.4 A for 2 A.
    // W5 (C formula, X numbers): bridge, 14 V from 11.2 V rms: 0.9 A for 0.5 A.
    // The winding resistance is the one that gives this voltage; rules of thumb hold within 15 %.
    let resistance = |n: f64, level: f64| {
        let a = level.acos();
        (a.tan() - a) * n / PI
    };
    let half = capacitor_input(1, 1000.0, resistance(1.0, 6.0 / (5.3 * SQRT_2)));
    close("W2", half.rms_ratio * 0.1, 0.26, 0.15 * 0.26);
    let tap = capacitor_input(2, 1000.0, resistance(2.0, 6.0 / (5.1 * SQRT_2)));
    close("W4", tap.rms_ratio * 1.0, 2.4, 0.15 * 2.4);
    let bridge = capacitor_input(2, 1000.0, resistance(2.0, 14.0 / (11.2 * SQRT_2)));
    close("W5", bridge.rms_ratio * 0.25 * SQRT_2, 0.9, 0.15 * 0.9);
    // W13 (Nuvotem Talema; C): 10 V at full load, 11 V without: regulation 10 %.
    let mut bench = Bench::new();
    bench.winding("A", "0", 11.0 * SQRT_2, 50.0, 0.0, 1.0);
    bench.resistor("A", "0", 10.0);
    bench.watch_voltage("A", "0");
    let full = bench.solve().probes[0].rms;
    close("W13", 100.0 * (11.0 - full) / full, 10.0, 0.1);
}

/// A rectifier of ideal diodes with a constant drop each; gives (voltage, reverse voltage over one
/// diode with its drop, its current).
fn textbook(
    bridge: bool,
    peak: f64,
    f: f64,
    drop: f64,
    c: f64,
    load: Result<f64, f64>,
) -> Periodic {
    let mut bench = Bench::new();
    // One drop in series with the winding stands for the diodes in its path, either way round.
    bench.winding("A", if bridge { "B" } else { "0" }, peak, f, 0.0, 1e-3);
    let diode = bench.diode("A", "P1", ideal());
    bench.steady("P1", "P", drop);
    if bridge {
        bench.diode("B", "P1", ideal());
        bench.diode("N1", "A", ideal());
        bench.diode("N1", "B", ideal());
        bench.steady("0", "N1", drop);
    }
    bench.capacitor("P", "0", c);
    match load {
        Ok(current) => bench.draw("P", current),
        Err(resistance) => bench.resistor("P", "0", resistance),
    };
    bench.watch_voltage("P", "0");
    bench.watch_voltage("P", "A");
    bench.watch_current(diode);
    bench.solve()
}

#[test]
fn handbook_circuits() {
    // W6 (Sedra & Smith, peak rectifier; M): C 83.3 µF for 2 V, iD,max 638 mA; exact p-p 1.918 V,
    // iD,max 622 mA (X).
    let w6 = textbook(false, 100.0, 60.0, 0.0, 83.3e-6, Err(10e3));
    let [v, _, i] = [0, 1, 2].map(|k| w6.probes[k]);
    close("W6 p-p", v.maximum - v.minimum, 1.918, 0.012);
    close("W6 peak", i.maximum, 0.622, 0.012);
    assert!(v.maximum - v.minimum < 2.0 && i.maximum < 0.638);
    // W7 (inputs C2; outputs M + X): 12 V rms, 1 kΩ, 0.7 V: 10 % and 1 % ripple from 166.7 and
    // 1667 µF, 15.5 and 16.2 V, peaks below 450 and 1455 mA.
    for (c, ripple, mean, peak) in [(166.7e-6, 0.1, 15.5, 0.450), (1667e-6, 0.01, 16.2, 1.455)] {
        let found = textbook(false, 12.0 * SQRT_2, 60.0, 0.7, c, Err(1e3));
        let [v, _, i] = [0, 1, 2].map(|k| found.probes[k]);
        let pp = (v.maximum - v.minimum) / v.maximum;
        assert!(pp <= ripple && pp > 0.8 * ripple, "W7 ripple {pp}");
        close("W7 mean", v.average, mean, 0.1);
        assert!(
            i.maximum < peak && i.maximum > 0.75 * peak,
            "W7 peak {}",
            i.maximum
        );
    }
    // W8 (brainmass 22332; C2): 12 V rms unloaded, 0.7 V: 16.27 V, reverse 33.24 V.
    let w8 = textbook(false, 12.0 * SQRT_2, 60.0, 0.7, 1e-4, Err(1e9));
    close("W8", w8.probes[0].average, 16.27, 0.01);
    close("W8 reverse", w8.probes[1].maximum, 33.24, 0.02);
    // W9 (coursehero 6129693; inputs C2, outputs X): 7.5 V rms, 47 µF, 10 mA: ripple at most
    // 3.55 V, mean at least 8.13 V, reverse at most 20.5 V.
    let w9 = textbook(false, 7.5 * SQRT_2, 60.0, 0.7, 47e-6, Ok(0.01));
    let [v, r, _] = [0, 1, 2].map(|k| w9.probes[k]);
    assert!(v.maximum - v.minimum < 3.55 && v.average > 8.13 && r.maximum < 20.5);
    assert!(v.maximum - v.minimum > 2.7 && v.average < 8.7 && r.maximum > 18.0);
    // W10 (expertsmind; inputs C2, outputs X): half-wave, 15 ± 1 V on 150 Ω: 11.8 V rms, 833 µF
    // (889 µF for the current at the peak), reverse 32.7 V, peak at most 2.61 A.
    let w10 = textbook(false, 16.7, 60.0, 0.7, 889e-6, Err(150.0));
    let [v, r, i] = [0, 1, 2].map(|k| w10.probes[k]);
    assert!(v.minimum > 14.0 && v.maximum < 16.02, "W10 {v:?}");
    assert!(r.maximum < 32.7 && r.maximum > 31.5 && i.maximum < 2.61 && i.maximum > 2.2);
    // W11 (coursehero 6129685; inputs C2, outputs X): bridge, 50 Hz, 533 µF: reverse 16.7 V, peak
    // at most 1.36 A.
    let w11 = textbook(true, 17.4, 50.0, 0.7, 533e-6, Err(150.0));
    let [v, r, i] = [0, 1, 2].map(|k| w11.probes[k]);
    assert!(v.minimum > 13.9 && v.maximum < 16.02, "W11 {v:?}");
    close("W11 reverse", r.maximum, 16.7, 0.1);
    assert!(
        i.maximum < 1.36 && i.maximum > 1.1,
        "W11 peak {}",
        i.maximum
    );
    // W12 (qastack 21215; C2): 12 V rms, bridge of 1 V diodes, 7805 at 1 A: 15 V, 10 W at most.
    let w12 = textbook(true, 12.0 * SQRT_2, 50.0, 1.0, 10e-3, Ok(1.0));
    let v = w12.probes[0];
    close("W12 peak", v.maximum, 15.0, 0.05);
    let power = (v.average - 5.0) * 1.0;
    assert!(power < 10.0 && power > 9.0, "W12 {power} W");
}

/// LM317 class at its typical reference and adjust current (C).
fn adjustable(r1: f64, r2: f64, reference: f64, adjust: f64) -> f64 {
    let mut bench = Bench::new();
    bench.steady("IN", "0", 25.0);
    let (input, output, common) = (bench.node("IN"), bench.node("OUT"), bench.node("ADJ"));
    bench.add(
        "U1",
        Model::Regulator {
            input,
            output,
            common,
            regulator: Regulator {
                negative: false,
                reference,
                line: 0.0,
                line_from: 0.0,
                output_resistance: 1e-4,
                dropout: 2.0,
                dropout_resistance: 0.5,
                limit: 1.5,
                smoothing: 1e-4,
                quiescent: adjust,
                quiescent_knee: 0.5,
                reverse: None,
                beyond: None,
            },
        },
    );
    bench.resistor("OUT", "ADJ", r1);
    bench.resistor("ADJ", "0", r2);
    bench.watch_voltage("OUT", "0");
    bench.solve().probes[0].average
}

#[test]
fn adjustable_regulator() {
    // Vout = Vref·(1 + R2/R1) + Iadj·R2 (C); worked values X.
    close("5 V", adjustable(240.0, 720.0, 1.25, 50e-6), 5.036, 5e-4);
    close(
        "lowest",
        adjustable(240.0 * 1.01, 720.0 * 0.99, 1.20, 0.0),
        4.729,
        1e-3,
    );
    close(
        "highest",
        adjustable(240.0 * 0.99, 720.0 * 1.01, 1.30, 100e-6),
        5.352,
        1e-3,
    );
    close("14 V", adjustable(240.0, 2400.0, 1.25, 50e-6), 13.87, 6e-3);
    close("9 V", adjustable(240.0, 1488.0, 1.25, 50e-6), 9.074, 6e-3);
    close(
        "9 V in E24",
        adjustable(240.0, 1500.0, 1.25, 50e-6),
        9.14,
        6e-3,
    );
}
