//! Random circuits, healthy and with one fault each, against solutions made apart from this
//! program: `tests/independent/solve.py` writes the equations of `tests/reference/models.md` down
//! on its own and integrates them with scipy's LSODA, then once more with its Radau. The file
//! names seeds and versions, and which draws had to be replaced because those two did not agree.
//!
//! Each circuit is solved by itself, and as the program solves its situations: in a sweep.

#![allow(
    clippy::unwrap_used,
    reason = "a test stops at what it does not expect"
)]

mod solved;

use std::collections::BTreeSet;

use serde_json::Value;
use solved::{How, Report};

/// How many of each sort have to be compared.
const LEAST: usize = 200;

/// How many with active devices.
const ACTIVE: usize = 36;

/// Circuits that may miss a tolerance, why, and by how many times at most. That it is for
/// the length of the steps alone is proved below: with finer ones each meets every tolerance.
const KNOWN: [(&str, f64, &[&str]); 10] = [
    (
        "a capacitor's microamperes as a transistor switches once in a period, in a sweep",
        2.5,
        &["active-006"],
    ),
    (
        "nothing moves at all: what is left of the start in a sweep, nanoamperes",
        7.0,
        &["active-029"],
    ),
    (
        "the mean of a sine of volts, next to nothing: a millionth of its amplitude",
        3.0,
        &["active-002", "active-035"],
    ),
    (
        "a regulator that touches drop-out for a moment in each period: its output's ripple",
        3.0,
        &["healthy-179"],
    ),
    (
        "microamperes in one junction, amperes past it through a short or a turned diode",
        3.5,
        &["faulted-028", "faulted-086", "faulted-124"],
    ),
    (
        "the same, in a sweep: the millivolt that a start may be off is felt by the junction",
        14.0,
        &["faulted-151"],
    ),
    (
        "a doubler that no longer doubles: millivolts and microamperes beside ten volts",
        3.5,
        &["faulted-104"],
    ),
    (
        "a zener diode's microamperes at the foot of its breakdown",
        3.0,
        &["faulted-192"],
    ),
    (
        "a bridge without its reservoir, in a sweep",
        3.0,
        &["faulted-055", "faulted-072", "faulted-172"],
    ),
    (
        "the winding is open: what is left of the start in a sweep, microvolts and nanoamperes",
        3.0,
        &["faulted-032", "faulted-178"],
    ),
];

/// What is solved in `circuits.json` or `active.json`.
fn file(name: &str) -> Value {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/independent/");
    solved::read(&format!("{folder}{name}"))
}

fn id(case: &Value) -> &str {
    case["id"].as_str().unwrap()
}

/// Why that circuit may miss a tolerance, if it is known to.
fn known(circuit: &str) -> Option<(&'static str, f64)> {
    KNOWN
        .iter()
        .find(|(_, _, circuits)| circuits.contains(&circuit))
        .map(|(why, at_most, _)| (*why, *at_most))
}

/// What is not met, but for what is known.
fn unknown(report: Report) -> Vec<String> {
    let mut failures = Vec::new();
    for (ratio, text) in report.failures {
        let circuit = text.split([' ', ':']).next().unwrap();
        match known(circuit) {
            Some((why, at_most)) if ratio <= at_most => println!("known: {text}: {why}"),
            _ => failures.push(format!("{text}, {ratio:.2} times what is allowed")),
        }
    }
    failures
}

/// Compares every circuit; gives what is not met.
fn compare_all(how: How) -> Vec<String> {
    let file = file("circuits.json");
    let thermal_voltage = solved::number(&file["constants"], "Vt");
    let mut failures = Vec::new();
    for sort in ["healthy", "faulted"] {
        let mut report = Report {
            how,
            ..Report::default()
        };
        let mut compared = BTreeSet::new();
        for case in file["cases"].as_array().unwrap() {
            if case.get("fault").is_some() == (sort == "faulted") {
                let before = report.compared;
                solved::compare(&mut report, case, thermal_voltage);
                if report.compared > before {
                    compared.insert(id(case));
                }
            }
        }
        let (circuits, results) = (compared.len(), report.compared);
        println!("{how:?}: {circuits} {sort} circuits, {results} results");
        report.show();
        if circuits < LEAST {
            failures.push(format!("only {circuits} {sort} circuits compared"));
        }
        failures.extend(unknown(report));
    }
    failures
}

#[test]
fn random_circuits_agree_with_independent_solutions() {
    let failures = compare_all(How::Alone);
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

#[test]
fn random_circuits_in_a_sweep_agree_with_independent_solutions() {
    let failures = compare_all(How::Swept);
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// Op-amps in and out of their limits, transistors, MOSFETs and shunt references, against
/// `tests/independent/active.py`.
#[test]
fn circuits_with_active_devices_agree_with_independent_solutions() {
    let file = file("active.json");
    let thermal_voltage = solved::number(&file["constants"], "Vt");
    let cases = file["cases"].as_array().unwrap();
    assert!(cases.len() >= ACTIVE, "only {} circuits", cases.len());
    for how in [How::Alone, How::Swept] {
        let mut report = Report {
            how,
            ..Report::default()
        };
        for case in cases {
            solved::compare(&mut report, case, thermal_voltage);
        }
        println!(
            "{how:?}: {} circuits, {} results",
            cases.len(),
            report.compared
        );
        report.show();
        let failures = unknown(report);
        assert!(failures.is_empty(), "{how:?}: {}", failures.join("\n"));
    }
}

#[test]
fn finer_steps_meet_every_tolerance_where_the_usual_ones_are_known_not_to() {
    let files = [file("circuits.json"), file("active.json")];
    let thermal_voltage = solved::number(&files[0]["constants"], "Vt");
    let mut report = Report {
        how: How::Fine,
        ..Report::default()
    };
    for circuit in KNOWN.iter().flat_map(|(_, _, circuits)| *circuits) {
        let mut cases = files
            .iter()
            .flat_map(|file| file["cases"].as_array().unwrap());
        let case = cases.find(|case| id(case) == *circuit).unwrap();
        solved::compare(&mut report, case, thermal_voltage);
    }
    report.show();
    assert!(report.failures.is_empty(), "{:#?}", report.failures);
}
