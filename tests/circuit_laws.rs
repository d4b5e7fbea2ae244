//! Laws that every solution obeys: Kirchhoff's current law, conservation of energy, and nothing
//! but the circuit mattering (order of elements, numbers of nodes). On seeded random netlists.

#![allow(
    clippy::unwrap_used,
    clippy::needless_range_loop,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test stops at what it does not expect; counts are small"
)]

use preplug::circuit::{Element, Junction, Model, Netlist, Regulator, Wave};
use preplug::solver::{self, Failure, Periodic, Probe, Settings};

/// A generator with a published recurrence (PCG's 64-bit multiplier).
struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).unwrap()) / 4_294_967_296.0
    }

    fn below(&mut self, count: usize) -> usize {
        ((self.next() * count as f64) as usize).min(count - 1)
    }

    /// Between `low` and `high`, evenly in the logarithm.
    fn decades(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.next())
    }
}

fn junction(random: &mut Random) -> Junction {
    Junction {
        saturation_current: random.decades(1e-10, 1e-7),
        ideality: 1.0 + random.next(),
        series_resistance: random.decades(0.01, 1.0),
        shunt_conductance: 1e-12,
        thermal_voltage: 0.02585,
        breakdown: None,
    }
}

fn regulator(random: &mut Random, negative: bool) -> Regulator {
    Regulator {
        negative,
        reference: 3.0 + 6.0 * random.next(),
        line: 1e-3,
        line_from: 10.0,
        output_resistance: 0.05,
        dropout: 1.6,
        dropout_resistance: 0.6,
        limit: 0.2,
        smoothing: 2e-4,
        quiescent: 4e-3,
        quiescent_knee: 0.5,
        reverse: None,
        beyond: None,
    }
}

/// A random circuit of `size` nodes on a winding: every node has a part to an earlier one, then
/// more parts are strewn about.
fn random_netlist(random: &mut Random, size: usize) -> Netlist {
    let mut elements = vec![Model::VoltageSource {
        positive: 1,
        negative: 0,
        wave: Wave::Sine {
            peak: 8.0 + 16.0 * random.next(),
            frequency: 50.0,
            phase: 0.0,
        },
        resistance: random.decades(0.5, 5.0),
    }];
    let mut part = |random: &mut Random, a: usize, b: usize| {
        elements.push(match random.below(6) {
            0 | 1 => Model::Resistor {
                a,
                b,
                resistance: random.decades(50.0, 1e5),
            },
            2 => Model::Capacitor {
                positive: a,
                negative: b,
                capacitance: random.decades(1e-6, 2e-3),
                esr: random.decades(0.01, 1.0),
                leakage: 1e-7,
            },
            3 | 4 => Model::Diode {
                anode: a,
                cathode: b,
                junction: junction(random),
            },
            _ => {
                let negative = random.next() < 0.5;
                Model::Regulator {
                    input: a,
                    output: b,
                    common: 0,
                    regulator: regulator(random, negative),
                }
            }
        });
    };
    for node in 2..size {
        let other = random.below(node);
        part(random, node, other);
    }
    for _ in 0..size {
        let a = 1 + random.below(size - 1);
        let b = random.below(size);
        if a != b {
            part(random, a, b);
        }
    }
    // A load on every node, so that none hangs on leakage alone.
    for node in 2..size {
        elements.push(Model::Resistor {
            a: node,
            b: 0,
            resistance: random.decades(500.0, 1e5),
        });
    }
    Netlist {
        nodes: (0..size).map(|n| format!("n{n}")).collect(),
        elements: elements
            .into_iter()
            .enumerate()
            .map(|(k, model)| Element {
                name: format!("X{k}"),
                model,
            })
            .collect(),
    }
}

/// Nodes of an element, terminal by terminal.
fn terminals(model: &Model) -> Vec<usize> {
    match *model {
        Model::VoltageSource {
            positive, negative, ..
        }
        | Model::Capacitor {
            positive, negative, ..
        } => vec![positive, negative],
        Model::Resistor { a, b, .. } => vec![a, b],
        Model::Diode { anode, cathode, .. } => vec![anode, cathode],
        Model::Regulator {
            input,
            output,
            common,
            ..
        } => vec![input, output, common],
        _ => panic!("not in these netlists"),
    }
}

fn solve(netlist: &Netlist, probes: &[Probe]) -> Periodic {
    solver::periodic(netlist, probes, None, &Settings::default())
        .unwrap_or_else(|failure| panic!("{failure}: {netlist:#?}"))
}

fn node_probes(netlist: &Netlist) -> Vec<Probe> {
    (1..netlist.nodes.len())
        .map(|plus| Probe::Voltage { plus, minus: 0 })
        .collect()
}

#[test]
fn currents_and_energy_balance() {
    let mut random = Random(2026);
    let (mut worst_current, mut worst_energy) = (0.0_f64, 0.0_f64);
    for _ in 0..60 {
        let size = 4 + random.below(8);
        let netlist = random_netlist(&mut random, size);
        let mut probes = Vec::new();
        let mut ends = Vec::new();
        for (index, element) in netlist.elements.iter().enumerate() {
            for (terminal, node) in terminals(&element.model).into_iter().enumerate() {
                probes.push(Probe::TerminalCurrent(index, terminal));
                ends.push(node);
            }
        }
        let currents = probes.len();
        probes.extend((0..netlist.elements.len()).map(Probe::Power));
        let settings = Settings {
            waveform: true,
            ..Settings::default()
        };
        let found = solver::periodic(&netlist, &probes, None, &settings)
            .unwrap_or_else(|failure| panic!("{failure}: {netlist:#?}"));
        let wave = found.waveform.as_ref().unwrap();
        for instant in 0..wave.time.len() {
            let mut sums = vec![0.0; netlist.nodes.len()];
            let mut sizes = vec![1e-6_f64; netlist.nodes.len()];
            for (k, &node) in ends.iter().enumerate() {
                sums[node] += wave.probes[k][instant];
                sizes[node] = sizes[node].max(wave.probes[k][instant].abs());
            }
            for (sum, size) in sums.iter().zip(&sizes).skip(1) {
                // A steep branch's voltage is met to 10 pV, which is 1 nA of 100 S.
                worst_current = worst_current.max((sum.abs() - 1e-9) / size);
            }
        }
        let powers: Vec<f64> = found.probes[currents..].iter().map(|p| p.average).collect();
        let turned_over: f64 = powers.iter().map(|p| p.abs()).sum();
        worst_energy = worst_energy.max(powers.iter().sum::<f64>().abs() / turned_over);
    }
    println!("worst current sum {worst_current:e}, worst energy sum {worst_energy:e}");
    // Of the greatest current at the node, at every instant: the tolerance of Newton's method and
    // the rounding of a stiff branch.
    assert!(worst_current < 1e-6, "Kirchhoff: {worst_current}");
    // Of the energy turned over: a capacitor's charge over a period is closed, its energy to the
    // accuracy of the steps.
    assert!(worst_energy < 1e-2, "energy: {worst_energy}");
}

#[test]
fn order_and_names_do_not_matter() {
    let mut random = Random(7);
    for _ in 0..25 {
        let size = 4 + random.below(6);
        let netlist = random_netlist(&mut random, size);
        // Another order of the nodes (ground stays) and of the elements.
        let mut places: Vec<usize> = (1..size).collect();
        for k in (1..places.len()).rev() {
            places.swap(k, random.below(k + 1));
        }
        places.insert(0, 0);
        let mut moved = netlist.clone();
        for element in &mut moved.elements {
            renumber(&mut element.model, &places);
        }
        for k in (1..moved.elements.len()).rev() {
            moved.elements.swap(k, random.below(k + 1));
        }
        for (node, place) in places.iter().enumerate() {
            moved.nodes[*place] = format!("renamed{node}");
        }
        let first = solve(&netlist, &node_probes(&netlist));
        let second = solve(&moved, &node_probes(&moved));
        for node in 1..size {
            let (a, b) = (first.probes[node - 1], second.probes[places[node] - 1]);
            let scale = a.maximum.abs().max(a.minimum.abs()).max(1e-3);
            let allowed = 1e-3 * scale + 0.01 * (a.maximum - a.minimum);
            for (x, y) in [
                (a.average, b.average),
                (a.minimum, b.minimum),
                (a.maximum, b.maximum),
                (a.rms, b.rms),
            ] {
                assert!((x - y).abs() < allowed, "node {node}: {x} and {y}");
            }
        }
    }
}

fn renumber(model: &mut Model, places: &[usize]) {
    let to = |node: &mut usize| *node = places[*node];
    match model {
        Model::VoltageSource {
            positive, negative, ..
        }
        | Model::Capacitor {
            positive, negative, ..
        } => {
            to(positive);
            to(negative);
        }
        Model::Resistor { a, b, .. } => {
            to(a);
            to(b);
        }
        Model::Diode { anode, cathode, .. } => {
            to(anode);
            to(cathode);
        }
        Model::Regulator {
            input,
            output,
            common,
            ..
        } => {
            to(input);
            to(output);
            to(common);
        }
        _ => panic!("not in these netlists"),
    }
}

#[test]
fn neighbours_in_a_sweep_do_not_matter() {
    let mut random = Random(11);
    let base = random_netlist(&mut random, 8);
    let mut all = vec![base.clone()];
    for _ in 0..17 {
        let mut netlist = base.clone();
        for element in &mut netlist.elements {
            if let Model::Resistor { resistance, .. } = &mut element.model {
                *resistance *= 0.8 + 0.4 * random.next();
            }
        }
        all.push(netlist);
    }
    let probes = node_probes(&base);
    let together = solver::periodic_sweep(&all, &probes, &[], &Settings::default());
    // In other company: every second one only.
    let thinned: Vec<Netlist> = all.iter().step_by(2).cloned().collect();
    let apart = solver::periodic_sweep(&thinned, &probes, &[], &Settings::default());
    for (a, b) in together.iter().step_by(2).zip(&apart) {
        assert_eq!(a.as_ref().unwrap().probes, b.as_ref().unwrap().probes);
    }
    // And the same answers as one by one.
    for (netlist, found) in all.iter().zip(&together) {
        let single = solve(netlist, &probes);
        for (a, b) in single.probes.iter().zip(&found.as_ref().unwrap().probes) {
            let scale = a.maximum.abs().max(a.minimum.abs()).max(1e-3);
            assert!((a.average - b.average).abs() < 5e-4 * scale);
            assert!((a.maximum - b.maximum).abs() < 2e-3 * scale);
        }
    }
}

/// Ideal sources in a loop have no solution. Planted in a random circuit beside a source that
/// takes no part, exactly those of the loop are named, whatever the analysis.
#[test]
fn sources_that_fight_are_named() {
    let mut random = Random(5);
    for round in 0..40 {
        let size = 5 + random.below(6);
        let mut netlist = random_netlist(&mut random, size);
        let count = 2 + round % 3;
        let first = random.below(size);
        let mut planted = Vec::new();
        for k in 0..count {
            let ends = [k, (k + 1) % count].map(|place| (first + place) % size);
            planted.push((format!("fights {k}"), ends));
        }
        let aside = netlist.nodes.len();
        netlist.nodes.push("aside".into());
        planted.push(("aside".into(), [aside, first]));
        for (name, [positive, negative]) in planted {
            let element = Element {
                name,
                model: Model::VoltageSource {
                    positive,
                    negative,
                    wave: Wave::Steady(5.0 + random.next()),
                    resistance: 0.0,
                },
            };
            let place = random.below(netlist.elements.len() + 1);
            netlist.elements.insert(place, element);
        }
        let settings = Settings::default();
        for failure in [
            solver::operating_point(&netlist, &[], &settings).unwrap_err(),
            solver::periodic(&netlist, &[], None, &settings).unwrap_err(),
        ] {
            let Failure::SourcesInConflict { mut elements } = failure.clone() else {
                panic!("{failure}");
            };
            elements.sort();
            let expected: Vec<String> = (0..count).map(|k| format!("fights {k}")).collect();
            assert_eq!(elements, expected, "{netlist:#?}");
            for name in &expected {
                assert!(failure.to_string().contains(name), "{failure}");
            }
        }
    }
}
