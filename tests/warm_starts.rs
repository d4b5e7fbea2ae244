//! Solutions that start from another circuit's: the same as from nothing.

use preplug::circuit::{Element, Junction, Model, Netlist, Wave};
use preplug::solver::{Probe, Settings, periodic, periodic_sweep};

/// A half-wave rectifier with 1000 µF and a load.
fn rectifier(load: f64) -> Netlist {
    let nodes = ["gnd", "s", "x", "p"].map(String::from).to_vec();
    let junction = Junction {
        saturation_current: 2.5e-9,
        ideality: 1.75,
        series_resistance: 0.045,
        shunt_conductance: 1e-12,
        thermal_voltage: 0.025_864_925_786_328_753,
        breakdown: None,
    };
    let models = [
        Model::VoltageSource {
            positive: 1,
            negative: 0,
            wave: Wave::Sine {
                peak: 17.0,
                frequency: 50.0,
                phase: 0.0,
            },
            resistance: 0.0,
        },
        Model::Resistor {
            a: 1,
            b: 2,
            resistance: 2.0,
        },
        Model::Diode {
            anode: 2,
            cathode: 3,
            junction,
        },
        Model::Capacitor {
            positive: 3,
            negative: 0,
            capacitance: 1e-3,
            esr: 0.06,
            leakage: 0.0,
        },
        Model::Resistor {
            a: 3,
            b: 0,
            resistance: load,
        },
    ];
    let elements = models.into_iter().zip(["VS", "RS", "D", "C", "RL"]);
    Netlist {
        nodes,
        elements: elements
            .map(|(model, name)| Element {
                name: name.into(),
                model,
            })
            .collect(),
    }
}

/// With a hundredth of the load a rail settles many times more slowly: what is taken over from the
/// loaded circuit must not call it settled too soon. Against a solution from nothing, with fine steps.
#[test]
fn a_load_falls_away() {
    let settings = Settings::sweep();
    let probe = [Probe::Voltage { plus: 3, minus: 0 }];
    for (before, after) in [(1e4, 1e6), (1e5, 1e7), (1e6, 1e8), (1e6, 1e9)] {
        let loaded = periodic(&rectifier(before), &probe, None, &settings).expect("a solution");
        let exact = periodic(&rectifier(after), &probe, None, &Settings::default());
        let exact = exact.expect("a solution").probes[0].average;
        let circuits = vec![rectifier(after); 9];
        let starts = vec![Some(loaded.state.clone()); 9];
        for found in periodic_sweep(&circuits, &probe, &starts, &settings) {
            let average = found.expect("a solution").probes[0].average;
            assert!(
                (average - exact).abs() < 1e-4 * exact,
                "{after} Ω: {average} for {exact}"
            );
        }
    }
}
