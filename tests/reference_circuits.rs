//! The reference circuits: every result that the file carries, within the tolerances below.
//!
//! `tests/reference/circuits.json` holds circuits solved by two independent high-order methods
//! that agree to 1e-5 or better; `tests/reference/models.md` gives their equations. Another file
//! of the same form is read when the environment variable `PREPLUG_REFERENCE` names one.

#![allow(
    clippy::unwrap_used,
    clippy::too_many_lines,
    clippy::neg_cmp_op_on_partial_ord,
    clippy::manual_let_else,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test stops at what it does not expect, and nothing compares as within tolerance by being no number"
)]

use std::collections::BTreeMap;

use preplug::circuit::{Breakdown, Element, Junction, Model, Netlist, Node, Regulator, Wave};
use preplug::solver::{self, Periodic, Probe, Settings, Statistics};
use serde_json::Value;

/// kind → (relative, absolute floor). Ranges of voltages are treated in [`Report::range`].
const TOLERANCES: [(&str, f64, f64); 12] = [
    ("average voltage", 1e-3, 1e-6),
    ("ripple", 1e-2, 1e-8),
    ("average current", 1e-3, 1e-9),
    ("rms current", 1e-2, 1e-9),
    ("peak current", 1e-2, 1e-9),
    ("peak capacitor current", 1e-2, 1e-9),
    ("mean dissipation", 1e-2, 1e-9),
    ("peak dissipation", 1e-2, 1e-9),
    ("inrush peak", 1e-2, 1e-9),
    ("direct voltage", 1e-6, 1e-6),
    ("direct current", 1e-6, 1e-9),
    ("settling periods", 0.0, 1.0),
];
/// A capacitor's peak currents, where they are a small part of the circuit's greatest capacitor
/// current: of that one. (A regulator's output capacitor carries the derivative of the ripple.)
const CAPACITOR_PEAK_FLOOR: f64 = 1e-2;
/// Minimum and maximum: of the node's largest magnitude, and of its ripple.
const RANGE: (f64, f64) = (1e-3, 1e-2);

#[derive(Default)]
struct Report {
    worst: BTreeMap<String, (f64, String)>,
    failures: Vec<String>,
    compared: usize,
}

impl Report {
    fn note(&mut self, kind: &str, place: &str, got: f64, expected: f64, allowed: f64) {
        self.compared += 1;
        let ratio = (got - expected).abs() / allowed;
        let worst = self.worst.entry(kind.into()).or_default();
        if !(ratio <= worst.0) {
            *worst = (ratio, format!("{place}: {got} against {expected}"));
        }
        if !(ratio <= 1.0) {
            self.failures.push(format!(
                "{place}, {kind}: {got} against {expected} (allowed ±{allowed:e})"
            ));
        }
    }

    fn compare(&mut self, kind: &str, place: &str, got: f64, expected: f64) {
        let (_, relative, floor) = TOLERANCES
            .iter()
            .find(|(name, _, _)| *name == kind)
            .unwrap_or_else(|| panic!("no tolerance for {kind}"));
        self.note(
            kind,
            place,
            got,
            expected,
            (relative * expected.abs()).max(*floor),
        );
    }

    /// Average, minimum, maximum and ripple of a node.
    fn range(&mut self, place: &str, got: &Statistics, expected: &Value) {
        let (low, high) = (number(expected, "min"), number(expected, "max"));
        let ripple = number(expected, "pp");
        let allowed = (RANGE.0 * low.abs().max(high.abs()) + RANGE.1 * ripple).max(1e-6);
        self.compare(
            "average voltage",
            place,
            got.average,
            number(expected, "avg"),
        );
        self.note("minimum", place, got.minimum, low, allowed);
        self.note("maximum", place, got.maximum, high, allowed);
        self.compare("ripple", place, got.maximum - got.minimum, ripple);
    }
}

fn tolerance(kind: &str) -> (&'static str, f64, f64) {
    *TOLERANCES
        .iter()
        .find(|(name, _, _)| *name == kind)
        .unwrap_or_else(|| panic!("no tolerance for {kind}"))
}

fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no {key} in {value}"))
}

fn each(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().into_iter().flatten()
}

struct Case {
    id: String,
    netlist: Netlist,
    names: BTreeMap<String, usize>,
}

impl Case {
    fn new(case: &Value, thermal_voltage: f64, swept: bool) -> Self {
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

    fn element(&self, name: &str) -> usize {
        self.names[name]
    }

    fn node(&self, name: &str) -> Node {
        self.netlist.nodes.iter().position(|n| n == name).unwrap()
    }

    fn voltage(&self, name: &str) -> Probe {
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
        other => panic!("unknown element type {other}"),
    };
    netlist.elements.push(Element {
        name: element["name"].as_str().unwrap().into(),
        model,
    });
}

fn currents(
    report: &mut Report,
    place: &str,
    got: &Statistics,
    expected: &Value,
    greatest_capacitor_peak: f64,
) {
    for (key, value) in each(expected) {
        let value = value.as_f64().unwrap();
        if let "peak_charge" | "peak_discharge" = key.as_str() {
            let got = if key == "peak_charge" {
                got.maximum
            } else {
                got.minimum
            };
            let kind = "peak capacitor current";
            let (_, relative, floor) = tolerance(kind);
            let allowed = (relative * value.abs())
                .max(CAPACITOR_PEAK_FLOOR * greatest_capacitor_peak)
                .max(floor);
            report.note(kind, &format!("{place} {key}"), got, value, allowed);
            continue;
        }
        let (kind, got) = match key.as_str() {
            "avg" | "iout_avg" => ("average current", got.average),
            "rms" | "iout_rms" => ("rms current", got.rms),
            "peak" | "max" => ("peak current", got.maximum),
            "min" => ("peak current", got.minimum),
            other => panic!("{place}: unknown result {other}"),
        };
        report.compare(kind, &format!("{place} {key}"), got, value);
    }
}

/// Compares a steady state's results; gives the solution's statistics of every node.
fn steady(report: &mut Report, case: &Case, results: &Value) -> Periodic {
    let mut probes = Vec::new();
    let mut wanted: Vec<(String, &str, &Value)> = Vec::new();
    for (name, expected) in each(&results["nodes"]) {
        probes.push(case.voltage(name));
        wanted.push((name.clone(), "node", expected));
    }
    for (name, expected) in each(&results["diodes"]).chain(each(&results["caps"])) {
        probes.push(Probe::Current(case.element(name)));
        wanted.push((name.clone(), "current", expected));
    }
    for (name, expected) in each(&results["secondary"]) {
        probes.push(Probe::Current(case.element(&name.replace("SEC", "RSRC"))));
        wanted.push((name.clone(), "current", expected));
    }
    for (name, expected) in each(&results["regulators"]) {
        let element = case.element(name);
        probes.push(Probe::Power(element));
        wanted.push((name.clone(), "power", expected));
        // Into the output terminal flows −Ip, times the polarity.
        probes.push(Probe::TerminalCurrent(element, 1));
        wanted.push((name.clone(), "regulator", expected));
    }
    let found = solver::periodic(&case.netlist, &probes, None, &Settings::default())
        .unwrap_or_else(|failure| panic!("{}: {failure}", case.id));
    if std::env::var_os("PREPLUG_SHOW").is_some() {
        println!(
            "{}: {} periods, {} steps, {} iterations, residual {:.1e}, {:?}",
            case.id, found.periods, found.steps, found.iterations, found.residual, found.method
        );
    }
    let greatest = each(&results["caps"])
        .map(|(_, c)| number(c, "peak_charge").max(-number(c, "peak_discharge")))
        .fold(0.0, f64::max);
    for ((name, what, expected), got) in wanted.iter().zip(&found.probes) {
        let place = format!("{} {name}", case.id);
        match *what {
            "node" => report.range(&place, got, expected),
            "current" => currents(report, &place, got, expected, greatest),
            "power" => {
                report.compare(
                    "mean dissipation",
                    &place,
                    got.average,
                    number(expected, "P_avg"),
                );
                report.compare(
                    "peak dissipation",
                    &place,
                    got.maximum,
                    number(expected, "P_peak"),
                );
            }
            _ => {
                let negative = matches!(
                    &case.netlist.elements[case.element(name)].model,
                    Model::Regulator { regulator, .. } if regulator.negative
                );
                let sign = if negative { 1.0 } else { -1.0 };
                report.compare(
                    "average current",
                    &place,
                    sign * got.average,
                    number(expected, "iout_avg"),
                );
                report.compare("rms current", &place, got.rms, number(expected, "iout_rms"));
            }
        }
    }
    found
}

fn direct(report: &mut Report, case: &Case, results: &Value) {
    let mut probes = Vec::new();
    let mut wanted = Vec::new();
    for (name, expected) in each(&results["nodes"]) {
        probes.push(case.voltage(name));
        wanted.push((name, "direct voltage", 1.0, expected));
    }
    for (name, expected) in each(&results["branch_currents"]) {
        let element = case.element(name);
        if matches!(
            case.netlist.elements[element].model,
            Model::Regulator { .. }
        ) {
            probes.push(Probe::TerminalCurrent(element, 1));
            wanted.push((name, "direct current", -1.0, expected));
        } else {
            probes.push(Probe::Current(element));
            wanted.push((name, "direct current", 1.0, expected));
        }
    }
    // The file counts what a source delivers.
    for (name, expected) in each(&results["source_currents"]) {
        probes.push(Probe::Current(case.element(name)));
        wanted.push((name, "direct current", -1.0, expected));
    }
    let found = solver::operating_point(&case.netlist, &probes, &Settings::default())
        .unwrap_or_else(|failure| panic!("{}: {failure}", case.id));
    for ((name, kind, sign, expected), got) in wanted.iter().zip(&found.probes) {
        report.compare(
            kind,
            &format!("{} {name}", case.id),
            sign * got.average,
            expected.as_f64().unwrap(),
        );
    }
}

fn cold(report: &mut Report, case: &Case, results: &Value) {
    let found = steady(report, case, &results["steady"]);
    drop(found);
    let supply = case.voltage("P");
    let mean = number(&results["steady"]["nodes"]["P"], "avg");
    let probes = [Probe::Current(case.element("RSRC")), supply];
    let periods = results["per_period_avg_P"].as_array().unwrap().len();
    let start = solver::cold_start(
        &case.netlist,
        &probes,
        0,
        &[(1, mean)],
        periods,
        0.02,
        &Settings::default(),
    )
    .unwrap_or_else(|failure| panic!("{}: {failure}", case.id));
    let place = format!("{} inrush", case.id);
    report.compare(
        "inrush peak",
        &place,
        start.inrush,
        number(results, "inrush_peak_A"),
    );
    report.compare(
        "settling periods",
        &format!("{} settling", case.id),
        start.settle_periods.unwrap() as f64,
        number(results, "settle_periods"),
    );
    let f = match case.netlist.elements[0].model {
        Model::VoltageSource {
            wave: Wave::Sine { frequency, .. },
            ..
        } => frequency,
        _ => panic!("{}: the first element is the source", case.id),
    };
    report.note(
        "settling time",
        &format!("{} settling", case.id),
        start.settle_periods.unwrap() as f64 / f,
        number(results, "settle_time_s"),
        1.0001 / f,
    );
    for (k, mean) in results["per_period_avg_P"]
        .as_array()
        .unwrap()
        .iter()
        .enumerate()
    {
        report.compare(
            "average voltage",
            &format!("{} P, period {}", case.id, k + 1),
            start.period_means[0][k],
            mean.as_f64().unwrap(),
        );
    }
}

#[test]
fn every_reference_result_is_met() {
    let path = std::env::var("PREPLUG_REFERENCE").unwrap_or_else(|_| {
        concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/circuits.json").into()
    });
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let file: Value = serde_json::from_str(&text).unwrap();
    let thermal_voltage = number(&file["constants"], "Vt");
    let cases = file["cases"].as_array().unwrap();
    let mut report = Report::default();
    for case in cases {
        let results = &case["results"];
        let circuit = Case::new(case, thermal_voltage, false);
        if let Some(dc) = results.get("dc") {
            direct(&mut report, &circuit, dc);
            if let Some(swept) = results.get("quasi_static_ripple") {
                let circuit = Case::new(case, thermal_voltage, true);
                steady(
                    &mut report,
                    &circuit,
                    &serde_json::json!({ "nodes": swept }),
                );
            }
        } else if results.get("inrush_peak_A").is_some() {
            cold(&mut report, &circuit, results);
        } else {
            steady(&mut report, &circuit, results);
        }
    }
    println!("{} circuits, {} results", cases.len(), report.compared);
    for (kind, (ratio, place)) in &report.worst {
        println!(
            "{kind}: worst {:.1} % of the tolerance, {place}",
            100.0 * ratio
        );
    }
    assert_eq!(
        Some(cases.len()),
        file["n_cases"].as_u64().map(|n| n as usize)
    );
    assert!(report.failures.is_empty(), "{}", report.failures.join("\n"));
}
