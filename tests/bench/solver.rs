//! Time per periodic solution: dual half-wave board with two regulators, pot and output, in sweeps
//! of healthy, faulty and toleranced situations; and the cost against the number of parts.
//!
//! `cargo bench --bench solver` prints mean, median and 99th percentile with the processor; words
//! after `--` choose the lines that contain one of them. One thread. Sweeps are of 256 situations; a sample is one sweep's mean. Time is the processor time
//! of the process where the system tells it, so that other work on the machine does not count.

#![allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts are small"
)]

use preplug::circuit::{Element, Junction, Model, Netlist, Regulator, Wave};
use preplug::solver::{self, Probe, Settings};

/// Processor time of this process [s]; wall-clock time where the system does not tell it.
fn seconds() -> f64 {
    static START: std::sync::OnceLock<std::time::Instant> = std::sync::OnceLock::new();
    std::fs::read_to_string("/proc/self/schedstat")
        .ok()
        .and_then(|text| text.split(' ').next()?.parse::<f64>().ok())
        .map_or_else(
            || {
                START
                    .get_or_init(std::time::Instant::now)
                    .elapsed()
                    .as_secs_f64()
            },
            |nanoseconds| nanoseconds * 1e-9,
        )
}

/// A small generator with a published recurrence (PCG's 64-bit multiplier), so that runs repeat.
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Uniform within ± `part`.
    fn spread(&mut self, value: f64, part: f64) -> f64 {
        value * (1.0 + part * (2.0 * self.next() - 1.0))
    }
}

fn junction() -> Junction {
    Junction {
        saturation_current: 2.5e-9,
        ideality: 1.75,
        series_resistance: 0.045,
        shunt_conductance: 1e-12,
        thermal_voltage: 0.025_864_925_786_328_753,
        breakdown: None,
    }
}

fn regulator(negative: bool) -> Regulator {
    Regulator {
        negative,
        reference: 9.0,
        line: 1e-3,
        line_from: 14.0,
        output_resistance: 0.05,
        dropout: 1.6,
        dropout_resistance: 0.6,
        limit: 1.0,
        smoothing: 2e-4,
        quiescent: 4e-3,
        quiescent_knee: 0.5,
        reverse: None,
        beyond: None,
    }
}

/// `boards` dual half-wave boards on one winding.
fn board(boards: usize) -> Netlist {
    let mut nodes: Vec<String> = ["gnd", "s", "x"].map(String::from).to_vec();
    let mut elements = vec![
        Element {
            name: "VS".into(),
            model: Model::VoltageSource {
                positive: 1,
                negative: 0,
                wave: Wave::Sine {
                    peak: 12.0 * std::f64::consts::SQRT_2,
                    frequency: 50.0,
                    phase: 0.0,
                },
                resistance: 0.0,
            },
        },
        Element {
            name: "RSRC".into(),
            model: Model::Resistor {
                a: 1,
                b: 2,
                resistance: 2.0 / boards as f64,
            },
        },
    ];
    for k in 0..boards {
        let first = nodes.len();
        for name in ["p", "n", "op", "on", "w", "j"] {
            nodes.push(format!("{name}{k}"));
        }
        let [p, n, op, on, w, j] = std::array::from_fn(|i| first + i);
        let mut add = |name: &str, model: Model| {
            elements.push(Element {
                name: format!("{name}{k}"),
                model,
            });
        };
        let diode = |anode, cathode| Model::Diode {
            anode,
            cathode,
            junction: junction(),
        };
        let capacitor = |positive, capacitance, esr| Model::Capacitor {
            positive,
            negative: 0,
            capacitance,
            esr,
            leakage: 0.0,
        };
        let resistor = |a, b, resistance| Model::Resistor { a, b, resistance };
        add("D1", diode(2, p));
        add("D2", diode(n, 2));
        add("CP", capacitor(p, 1e-3, 0.06));
        add("CN", capacitor(n, 1e-3, 0.06));
        for (name, input, output, negative) in [("U1", p, op, false), ("U2", n, on, true)] {
            add(
                name,
                Model::Regulator {
                    input,
                    output,
                    common: 0,
                    regulator: regulator(negative),
                },
            );
        }
        add("COP", capacitor(op, 1e-5, 0.1));
        add("CON", capacitor(on, 1e-5, 0.1));
        add("RLP", resistor(op, 0, 300.0));
        add("RLN", resistor(on, 0, 450.0));
        add("RPA", resistor(op, w, 5020.0));
        add("RPB", resistor(w, on, 5020.0));
        add("RSER", resistor(w, j, 1000.0));
        add("RLD", resistor(j, 0, 1e4));
    }
    Netlist { nodes, elements }
}

fn toleranced(random: &mut Random, base: &Netlist, part: f64) -> Netlist {
    let mut netlist = base.clone();
    for element in &mut netlist.elements {
        match &mut element.model {
            Model::Resistor { resistance, .. } => *resistance = random.spread(*resistance, part),
            Model::Capacitor { capacitance, .. } => {
                *capacitance = random.spread(*capacitance, 2.0 * part);
            }
            Model::VoltageSource {
                wave: Wave::Sine { peak, .. },
                ..
            } => *peak = random.spread(*peak, part),
            _ => {}
        }
    }
    netlist
}

/// One part failed: a resistor or diode open or short, a capacitor without capacitance or short.
fn faulty(random: &mut Random, base: &Netlist) -> Netlist {
    let mut netlist = toleranced(random, base, 0.05);
    let candidates: Vec<usize> = (2..netlist.elements.len()).collect();
    let pick = candidates[(random.next() * candidates.len() as f64) as usize];
    let open = random.next() < 0.5;
    match &mut netlist.elements[pick].model {
        Model::Resistor { resistance, .. } => *resistance = if open { 1e9 } else { 0.1 },
        Model::Capacitor {
            capacitance, esr, ..
        } => {
            if open {
                *capacitance = 1e-12;
            } else {
                *esr = 1e3;
            }
        }
        Model::Diode { junction, .. } => {
            if open {
                junction.saturation_current = 1e-30;
                junction.series_resistance = 1e9;
            } else {
                junction.saturation_current = 1.0;
            }
        }
        Model::Regulator { regulator, .. } => {
            if open {
                regulator.limit = 1e-6;
            } else {
                regulator.reference = 30.0;
                regulator.dropout = 0.1;
            }
        }
        _ => {}
    }
    netlist
}

fn probes(base: &Netlist) -> Vec<Probe> {
    let mut probes: Vec<Probe> = (1..base.nodes.len())
        .map(|plus| Probe::Voltage { plus, minus: 0 })
        .collect();
    for (index, element) in base.elements.iter().enumerate() {
        match element.model {
            Model::Diode { .. } | Model::Capacitor { .. } => probes.push(Probe::Current(index)),
            Model::Regulator { .. } => probes.push(Probe::Power(index)),
            _ => {}
        }
    }
    probes.push(Probe::Current(1));
    probes
}

/// Whether the line is asked for.
fn wanted(name: &str) -> bool {
    let mut words = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with('-'))
        .peekable();
    words.peek().is_none() || words.any(|word| name.contains(&word))
}

fn measure(name: &str, netlists: &[Netlist], samples: usize, settings: &Settings) {
    if !wanted(name) {
        return;
    }
    let probes = probes(&netlists[0]);
    let mut times = Vec::new();
    let (mut periods, mut steps, mut iterations, mut failed) = (0, 0, 0, 0);
    for sample in 0..samples {
        let start = seconds();
        let results = solver::periodic_sweep(netlists, &probes, &[], settings);
        times.push((seconds() - start) / netlists.len() as f64 * 1e6);
        if sample == 0 {
            for result in &results {
                match result {
                    Ok(found) => {
                        periods += found.periods;
                        steps += found.steps;
                        iterations += found.iterations;
                    }
                    Err(failure) => {
                        failed += 1;
                        println!("  {failure}");
                    }
                }
            }
        }
    }
    times.sort_by(f64::total_cmp);
    let n = netlists.len() as f64;
    println!(
        "{name}: mean {:.1} µs, median {:.1} µs, 99th {:.1} µs per solution; {:.1} periods, {:.0} steps, {:.0} iterations; {failed} of {} failed",
        times.iter().sum::<f64>() / times.len() as f64,
        times[times.len() / 2],
        times[times.len() * 99 / 100],
        periods as f64 / n,
        steps as f64 / n,
        iterations as f64 / n,
        netlists.len(),
    );
}

/// The same sweep without lanes, each from the first one's state.
fn one_by_one(netlists: &[Netlist], settings: &Settings) {
    if !wanted("one by one") {
        return;
    }
    let probes = probes(&netlists[0]);
    let first = solver::periodic(&netlists[0], &probes, None, settings);
    let state = first.ok().map(|found| found.state);
    let start = seconds();
    for netlist in netlists {
        if let Err(failure) = solver::periodic(netlist, &probes, state.as_ref(), settings) {
            println!("  {failure}");
        }
    }
    let mean = (seconds() - start) / netlists.len() as f64 * 1e6;
    println!("healthy corners one by one: mean {mean:.1} µs per solution");
}

fn main() {
    let processor = std::fs::read_to_string("/proc/cpuinfo")
        .ok()
        .and_then(|text| {
            let line = text.lines().find(|l| l.starts_with("model name"))?;
            Some(line.split(':').nth(1)?.trim().to_owned())
        })
        .unwrap_or_else(|| "unknown processor".into());
    println!("one thread of {processor}");
    let settings = Settings::sweep();
    let mut random = Random(7);
    let base = board(1);
    let sweep = |make: &mut dyn FnMut(&mut Random) -> Netlist, random: &mut Random| {
        let mut all = vec![base.clone()];
        all.extend((0..256).map(|_| make(random)));
        all
    };
    let healthy = sweep(&mut |r| toleranced(r, &base, 0.1), &mut random);
    let carlo = sweep(&mut |r| toleranced(r, &base, 0.01), &mut random);
    let faults = sweep(&mut |r| faulty(r, &base), &mut random);
    measure("healthy corners", &healthy, 5, &settings);
    measure("Monte Carlo 1 %", &carlo, 5, &settings);
    measure("single faults", &faults, 5, &settings);
    one_by_one(&healthy, &settings);
    for boards in [1, 2, 6, 20] {
        let base = board(boards);
        let mut all = vec![base.clone()];
        all.extend((0..16).map(|_| toleranced(&mut random, &base, 0.05)));
        measure(
            &format!("{} parts", base.elements.len()),
            &all,
            3,
            &settings,
        );
    }
}
