//! A circuit as such a file gives it, as a netlist.

use std::collections::BTreeMap;

use preplug::circuit::{
    Bipolar, Breakdown, Element, Junction, Model, Mosfet, Netlist, Node, OpAmp, Regulator,
    ShuntReference, Wave,
};
use preplug::solver::Probe;
use serde_json::Value;

use super::report::number;

/// One circuit of a file.
pub struct Case {
    pub id: String,
    pub netlist: Netlist,
    names: BTreeMap<String, usize>,
}

impl Case {
    pub fn new(case: &Value, thermal_voltage: f64, swept: bool) -> Self {
        let mut netlist = Netlist {
            nodes: vec!["0".into()],
            elements: Vec::new(),
        };
        for element in case["elements"].as_array().unwrap() {
            add(&mut netlist, element, thermal_voltage, swept);
        }
        let names = netlist
            .elements
            .iter()
            .enumerate()
            .map(|(index, e)| (e.name.clone(), index))
            .collect();
        Self {
            id: case["id"].as_str().unwrap().into(),
            netlist,
            names,
        }
    }

    pub fn element(&self, name: &str) -> usize {
        self.names[name]
    }

    fn node(&self, name: &str) -> Node {
        self.netlist.nodes.iter().position(|n| n == name).unwrap()
    }

    pub fn voltage(&self, name: &str) -> Probe {
        if name == "AB" {
            return Probe::Voltage {
                plus: self.node("A"),
                minus: self.node("B"),
            };
        }
        Probe::Voltage {
            plus: self.node(name),
            minus: 0,
        }
    }
}

fn node(netlist: &mut Netlist, name: &str) -> Node {
    if let Some(node) = netlist.nodes.iter().position(|n| n == name) {
        return node;
    }
    netlist.nodes.push(name.into());
    netlist.nodes.len() - 1
}

fn add(netlist: &mut Netlist, element: &Value, thermal_voltage: f64, swept: bool) {
    let mut at = |key: &str| {
        let name = element[key].as_str().unwrap().to_owned();
        node(netlist, &name)
    };
    let value = |key: &str| number(element, key);
    let junction = |series: &str, breakdown: Option<Breakdown>| Junction {
        saturation_current: value("Is"),
        ideality: value("N"),
        series_resistance: value(series),
        shunt_conductance: value("Gmin"),
        thermal_voltage,
        breakdown,
    };
    let model = match element["type"].as_str().unwrap() {
        "vsin" => Model::VoltageSource {
            positive: at("p"),
            negative: at("n"),
            wave: Wave::Sine {
                peak: std::f64::consts::SQRT_2 * value("vrms"),
                frequency: value("f"),
                phase: value("phase_deg").to_radians(),
            },
            resistance: 0.0,
        },
        "vdc" => {
            let (positive, mut negative) = (at("p"), at("n"));
            // A swept source is a steady one on top of a slow cosine.
            if let (Some(ripple), true) = (element.get("ripple").and_then(Value::as_f64), swept) {
                let below = node(netlist, "ripple");
                netlist.elements.push(Element {
                    name: "ripple".into(),
                    model: Model::VoltageSource {
                        positive: below,
                        negative,
                        wave: Wave::Sine {
                            peak: ripple,
                            frequency: 1.0,
                            phase: std::f64::consts::FRAC_PI_2,
                        },
                        resistance: 0.0,
                    },
                });
                negative = below;
            }
            Model::VoltageSource {
                positive,
                negative,
                wave: Wave::Steady(value("v")),
                resistance: 0.0,
            }
        }
        "R" => Model::Resistor {
            a: at("p"),
            b: at("n"),
            resistance: value("r"),
        },
        "L" => Model::Inductor {
            a: at("p"),
            b: at("n"),
            inductance: value("l"),
            resistance: 0.0,
        },
        "C" => Model::Capacitor {
            positive: at("p"),
            negative: at("n"),
            capacitance: value("c"),
            esr: value("esr"),
            leakage: 0.0,
        },
        "D" => Model::Diode {
            anode: at("a"),
            cathode: at("k"),
            junction: junction("Rs", None),
        },
        "Z" => Model::Diode {
            anode: at("a"),
            cathode: at("k"),
            junction: junction(
                "Rz",
                Some(Breakdown {
                    voltage: value("Bv"),
                    current: value("Ibv"),
                    ideality: value("Nz"),
                }),
            ),
        },
        "REG" => Model::Regulator {
            input: at("in"),
            output: at("out"),
            common: at("gnd"),
            regulator: Regulator {
                negative: value("pol") < 0.0,
                reference: value("Vreg"),
                line: value("kline"),
                line_from: value("Vin_nom"),
                output_resistance: value("Rout"),
                dropout: value("Vdo0"),
                dropout_resistance: value("Rdo"),
                limit: value("Ilim"),
                smoothing: value("w"),
                quiescent: value("Iq"),
                quiescent_knee: value("Vq"),
                reverse: None,
                beyond: None,
            },
        },
        other => active(other, element, &mut at, thermal_voltage),
    };
    netlist.elements.push(Element {
        name: element["name"].as_str().unwrap().into(),
        model,
    });
}

/// The devices of `tests/independent/active.py`.
fn active(
    kind: &str,
    element: &Value,
    at: &mut impl FnMut(&str) -> Node,
    thermal_voltage: f64,
) -> Model {
    let value = |key: &str| number(element, key);
    let flag = |key: &str| element[key].as_bool().unwrap();
    match kind {
        "OA" => Model::OpAmp {
            plus: at("plus"),
            minus: at("minus"),
            output: at("out"),
            supply_plus: at("vp"),
            supply_minus: at("vm"),
            op_amp: OpAmp {
                gain: value("gain"),
                offset: value("offset"),
                bias: value("bias"),
                high_headroom: value("high"),
                low_headroom: value("low"),
                output_resistance: value("rout"),
                limit: value("limit"),
                quiescent: value("quiescent"),
            },
        },
        "SR" => Model::ShuntReference {
            cathode: at("k"),
            anode: at("a"),
            reference: at("ref"),
            shunt: ShuntReference {
                reference: value("vref"),
                bias: value("bias"),
                dynamic_resistance: value("rd"),
                minimum_current: value("imin"),
                limit: value("limit"),
            },
        },
        "Q" => Model::Bipolar {
            base: at("b"),
            collector: at("c"),
            emitter: at("e"),
            bipolar: Bipolar {
                pnp: flag("pnp"),
                saturation_current: value("Is"),
                forward_gain: value("bf"),
                reverse_gain: value("br"),
                thermal_voltage,
            },
        },
        "M" => {
            let body = |key: &str| number(&element["body"], key);
            Model::Mosfet {
                gate: at("g"),
                drain: at("d"),
                source: at("s"),
                mosfet: Mosfet {
                    p_channel: flag("p_channel"),
                    threshold: value("vt"),
                    transconductance: value("kp"),
                    on_resistance: value("ron"),
                    body: Junction {
                        saturation_current: body("Is"),
                        ideality: body("N"),
                        series_resistance: body("Rs"),
                        shunt_conductance: body("Gmin"),
                        thermal_voltage,
                        breakdown: None,
                    },
                },
            }
        }
        other => panic!("unknown element type {other}"),
    }
}
