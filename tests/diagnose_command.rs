//! `preplug diagnose` as a person meets it: symptoms whose cause follows from Ohm's law, what it
//! proposes, and what it says when there is nothing to go on.

use serde_json::Value;
use std::fs;
use std::process::{Command, Output};

const DESIGN: &str = "\
preplug: design/1
title: Bench box
revision: B
purpose: One knob, nothing to nine volts.
conditions:
  ambient: 15..30 °C
  enclosure: {size: 100 x 60 x 30 mm, material: ABS, conductive: false}
parts:
  BT1: {kind: battery, chemistry: alkaline, fresh: 9.6 V, flat: 7 V, resistance: 2 Ω -10/+100 %, current: 100 mA, nets: {positive: cell, negative: gnd}}
  R1: {kind: resistor, value: 1 kΩ ± 5 %, power: 1/4 W, nets: {a: cell, b: top}}
  RV1: {kind: potentiometer, value: 10 kΩ ± 20 %, law: linear, power: 0.2 W, control: Knob, nets: {cw: top, wiper: sweep, ccw: gnd}}
  R2: {kind: resistor, value: 1 kΩ ± 5 %, power: 1/4 W, nets: {a: sweep, b: out}}
  J1: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}
test-points: {TP1: cell, TP2: out}
connect:
  J1: [{instrument: rack.yaml, input: level, cable: TS}]
";

const RACK: &str = "\
preplug: instrument/1
title: Test rack
inputs:
  level:
    contacts: TS
    signal: tip
    accepts: {range: -1..10 V, source: manual}
    survives: {range: -15..15 V, source: manual}
    impedance: {value: 1 MΩ ± 10 %, source: measured}
";

/// Runs `diagnose` of a unit with these lines in its record.
fn diagnosed(record: &str, options: &[&str]) -> Output {
    let folder = tempfile::tempdir().expect("a folder");
    let write =
        |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("written");
    write("design.yaml", DESIGN);
    write("rack.yaml", RACK);
    fs::create_dir(folder.path().join("units")).expect("a folder");
    if !record.is_empty() {
        let head = "preplug: unit/1\nserial: \"001\"\ndesign: Bench box\n";
        write("units/001.yaml", &format!("{head}{record}"));
    }
    Command::new(env!("CARGO_BIN_EXE_preplug"))
        .current_dir(folder.path())
        .args(["diagnose", "design.yaml", "--unit", "001"])
        .args(options)
        .output()
        .expect("it runs")
}

/// A session of readings, each `place: value` with the knob's travel where it matters.
fn session(readings: &[(&str, Option<u32>, &str)]) -> String {
    let mut text = "revision: B\nsessions:\n  - date: 2026-07-04\n    meter: {name: bench meter, accuracy: 0.5 % + 2 digits, counts: 2000, input: 10 MΩ}\n    readings:\n".to_owned();
    for (at, knob, reads) in readings {
        let state = knob.map_or(String::new(), |travel| {
            format!(", state: {{Knob: {travel} %}}")
        });
        text.push_str(&format!("      - {{at: {at}{state}, reads: {reads}}}\n"));
    }
    text
}

fn json(record: &str) -> Value {
    let output = diagnosed(record, &["--format", "json"]);
    let text = String::from_utf8_lossy(&output.stdout);
    serde_json::from_str(&text).unwrap_or_else(|error| {
        panic!("{error}: {text}{}", String::from_utf8_lossy(&output.stderr))
    })
}

/// The causes of a group: `RV1: ccw open`.
fn causes(found: &Value, group: usize) -> Vec<String> {
    let causes = found["groups"][group]["causes"].as_array().expect("causes");
    causes
        .iter()
        .map(|cause| match cause["part"].as_str() {
            Some(part) => format!("{part}: {}", cause["what"].as_str().expect("words")),
            None => "healthy".to_owned(),
        })
        .collect()
}

/// With the lower end of a potentiometer off, no current flows through it: its wiper shows the whole
/// battery at every travel (Ohm's law; the meter's 10 MΩ take away a thousandth).
#[test]
fn a_pot_whose_lower_end_is_off_shows_the_supply_everywhere() {
    let found = json(&session(&[
        ("TP1", None, "9.15 V"),
        ("TP2", Some(0), "9.14 V"),
        ("TP2", Some(50), "9.15 V"),
        ("TP2", Some(100), "9.15 V"),
    ]));
    let first = causes(&found, 0);
    assert!(first.contains(&"RV1: ccw open".to_owned()), "{found:#}");
    assert!(
        !first.contains(&"healthy".to_owned()) && first.len() <= 3,
        "{first:?}"
    );
    assert_eq!(found["nothing_fits"], false);
    assert_eq!(found["healthy"], false);
    assert_eq!(found["readings"][1]["outside"], true);
}

/// The same box as it should be: next to nothing at the lower end, 10/11 of the battery at the upper.
#[test]
fn a_healthy_box_exits_with_0() {
    let record = session(&[
        ("TP1", None, "9.15 V"),
        ("TP2", Some(0), "7 mV"),
        ("TP2", Some(50), "4.16 V"),
        ("TP2", Some(100), "8.32 V"),
    ]);
    let output = diagnosed(&record, &[]);
    let text = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{text}");
    assert!(
        text.contains("nothing is wrong") && text.contains("no clearance"),
        "{text}"
    );
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
}

/// Nothing in this box can put its output 5 V below ground while the battery stands the right way
/// round.
#[test]
fn what_no_single_fault_explains_is_said_to_fit_nothing() {
    let record = session(&[
        ("TP1", None, "9.15 V"),
        ("TP2", Some(0), "7 mV"),
        ("TP2", Some(50), "4.16 V"),
        ("TP2", Some(100), "-5.02 V"),
    ]);
    let output = diagnosed(&record, &[]);
    let text = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(1));
    assert!(
        text.contains("NOTHING FITS") && text.contains("TP2, Knob at 100 %"),
        "{text}"
    );
}

/// From the battery alone nothing can be said of the knob: what is proposed is a reading behind it,
/// a step of the bring-up, and it tells the likeliest explanations apart.
#[test]
fn the_next_measurement_is_where_the_explanations_differ() {
    let found = json(&session(&[("TP1", None, "9.15 V")]));
    let next = &found["next"];
    assert!(
        next["at"].as_str().is_some_and(|at| at.starts_with("TP2")),
        "{found:#}"
    );
    assert!(next["step"].is_number());
    let ends = |at: usize, end: &str| next["expected"][at][end].as_f64().expect("a number");
    let count = next["expected"].as_array().expect("some").len();
    let apart =
        (1..count).any(|at| ends(at, "high") < ends(0, "low") || ends(at, "low") > ends(0, "high"));
    assert!(apart, "{next:#}");
}

/// A short found cold keeps the supply off.
#[test]
fn nothing_that_needs_power_is_proposed_after_a_bad_cold_check() {
    let record = session(&[("TP1", None, "0.6 Ω")]);
    let output = diagnosed(&record, &[]);
    let text = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(1));
    assert!(text.contains("LEAVE THE SUPPLY OFF"), "{text}");
    let found = json(&record);
    assert!(found["supply_must_stay_off"].is_string());
    assert!(
        found["next"].is_null() || found["next"]["unit"] == "Ω",
        "{found:#}"
    );
}

/// Every way of having nothing to go on says what, where and what to do, and exits with 2.
#[test]
fn without_readings_that_count_it_says_what_to_do() {
    let good = session(&[("TP1", None, "9.15 V")]);
    for (record, words) in [
        (
            String::new(),
            ["units/001.yaml", "no unit of this design is on record"],
        ),
        (
            "revision: B\n".to_owned(),
            ["no reading on record", "preplug bench"],
        ),
        (
            good.replace("revision: B", "revision: A"),
            ["none of the 1 readings", "revision B"],
        ),
    ] {
        let output = diagnosed(&record, &[]);
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(words.iter().all(|word| said.contains(word)), "{said}");
        assert!(output.stdout.is_empty());
    }
}
