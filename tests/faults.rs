//! Single faults and slips: what they put on an input, by hand; what each slip does to the wiring;
//! the coverage, counted again from the JSON.

use preplug::bringup::Meter;
use preplug::bringup::coverage::coverage;
use preplug::catalogue::Kind;
use preplug::design::{self, Connection, Design};
use preplug::evidence::disturbed::{Case, Same};
use preplug::evidence::{self, Evidence};
use preplug::situations::disturbance::{Class, Disturbance, disturbances};
use serde_json::Value;
use std::process::Command;

const RACK: &str = "
preplug: instrument/1
title: Rack
inputs:
  bend: {contacts: TS, signal: tip, accepts: {range: -5..5 V, source: manual}, survives: {range: -15..15 V, source: manual}, impedance: {value: 100 kΩ ± 20 %, source: manual}}
";

fn read(parts: &str) -> Design {
    read_for(parts, RACK)
}

fn read_for(parts: &str, rack: &str) -> Design {
    let text = format!(
        "preplug: design/1
title: Bench
conditions:
  mains: {{voltage: 230 V ± 10 %, frequency: 50 Hz}}
  ambient: 25..25 °C
  enclosure: {{size: 120 x 100 x 50 mm, material: ABS, conductive: false}}
parts:
{parts}
connect:
  J1: [{{instrument: rack.yaml, input: bend, cable: TS}}]
"
    );
    let load = |path: &str| match path {
        "design.yaml" => Ok(text.clone().into_bytes()),
        "rack.yaml" => Ok(rack.as_bytes().to_vec()),
        other => Err(format!("no file {other}")),
    };
    match design::read("design.yaml", &load) {
        Ok(read) => read.design,
        Err(refused) => panic!("{:#?}", refused.diagnostics),
    }
}

fn solved(design: &Design) -> Evidence {
    let mut evidence = evidence::collect(design);
    evidence::collect_disturbed(design, &mut evidence);
    evidence
}

fn case<'a>(evidence: &'a Evidence, part: &str, words: &str) -> &'a Case {
    let cases = &evidence.disturbed.as_ref().expect("computed").cases;
    cases
        .iter()
        .find(|case| case.disturbance.part == part && case.disturbance.words.starts_with(words))
        .unwrap_or_else(|| panic!("no case {part}: {words}"))
}

fn near(found: f64, wanted: f64, share: f64) {
    assert!(
        (found - wanted).abs() <= share * wanted.abs(),
        "{found} is not {wanted}"
    );
}

/// A lamp battery, a 5 V regulator, a divider down to the jack.
const REGULATED: &str = "  BT1: {kind: battery, fresh: 18 V, flat: 17 V, current: 1 A, resistance: 1 Ω ± 1 %, nets: {positive: v, negative: gnd}}
  C1: {kind: ceramic, value: 330 nF ± 10 %, rating: 50 V, nets: {a: v, b: gnd}}
  U1: {type: 78L05, grade: A, package: TO-92, nets: {in: v, ground: gnd, out: rail}}
  R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: rail, b: out}}
  R2: {kind: resistor, value: 9 kΩ ± 1 %, power: 1/4 W, nets: {a: out, b: gnd}}
  J1: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}";

/// Kirchhoff by hand: the raw rail stands on the divider; the battery's own ohm and the regulator's
/// few milliamperes take away less than a tenth of a volt. At its highest the battery is fresh and
/// the divider at its most generous corner, or at nominal; the tolerance of both resistors moves it
/// by 0.2 %.
#[test]
fn a_regulator_that_passes_its_input_puts_the_raw_rail_on_the_divider() {
    let evidence = solved(&read(REGULATED));
    let found = case(&evidence, "U1", "in shorted to out");
    let reach = &found.reaches[0];
    near(reach.high, 18.0 * 9.0 / 10.0, 0.006);
    assert!(reach.high < 18.0 * 9.0 / 10.0 * 1.003);
}

/// The lower resistor of a divider open: all of the rail, with nothing plugged in. The maker allows
/// 4.75 to 5.25 V.
#[test]
fn a_divider_with_its_lower_resistor_open_gives_the_rail() {
    let parts = format!(
        "{REGULATED}\n  R3: {{kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {{a: rail, b: gnd}}}}"
    );
    let evidence = solved(&read(&parts));
    let reach = &case(&evidence, "R2", "open").reaches[0];
    assert!(reach.high > 4.75 && reach.high < 5.26, "{}", reach.high);
    let healthy = &case(&evidence, "R1", "short").reaches[0];
    assert!(healthy.high < 5.26, "{}", healthy.high);
    assert!(case(&evidence, "R1", "open").reaches[0].high.abs() < 1e-3);
}

/// A swapped jack shows the input the same voltage the other way round.
/// An inverter whose output is off its pin puts its own input on the jack, the right way up: the
/// feedback resistor that makes the healthy output large makes this one small, so that no corner of
/// the healthy box is this one's worst. By Ohm's law, before the plug meets the input.
#[test]
fn a_fault_near_the_limit_is_taken_to_its_own_worst_corner() {
    let rack = RACK
        .replace("-5..5 V", "-5..3 V")
        .replace("-15..15 V", "-15..4 V");
    let design = read_for(
        "
  BT1: {kind: battery, fresh: 12 V, flat: 11.9 V, current: 1 A, resistance: 1 mΩ, nets: {positive: up, negative: gnd}}
  BT2: {kind: battery, fresh: 12 V, flat: 11.9 V, current: 1 A, resistance: 1 mΩ, nets: {positive: gnd, negative: down}}
  R1: {kind: resistor, value: 1 kΩ ± 20 %, power: 1 W, nets: {a: up, b: x}}
  R2: {kind: resistor, value: 10 kΩ ± 20 %, power: 1 W, nets: {a: x, b: gnd}}
  R3: {kind: resistor, value: 10 kΩ ± 20 %, power: 1 W, nets: {a: x, b: sum}}
  R4: {kind: resistor, value: 10 kΩ ± 20 %, power: 1 W, nets: {a: sum, b: out}}
  R5: {kind: resistor, value: 10 kΩ ± 20 %, power: 1 W, nets: {a: out, b: gnd}}
  U1: {type: LM358, package: DIP-8, units: {A: {plus: gnd, minus: sum, out: out}, B: {plus: gnd, minus: idle, out: idle}}, nets: {supply+: up, supply-: down}}
  J1: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}",
        &rack,
    );
    let evidence = solved(&design);
    let reach = &case(&evidence, "U1", "A.out open").reaches[0];
    let beside = |a: f64, b: f64| a * b / (a + b);
    let out = |r1: f64, r2: f64, r3: f64, r4: f64, r5: f64| {
        let chain = r3 + r4 + r5;
        let x = 12.0 * beside(r2, chain) / (r1 + beside(r2, chain));
        x * r5 / chain
    };
    let worst = out(0.8e3, 12e3, 8e3, 8e3, 12e3);
    assert!(worst > 4.0 && out(1e3, 10e3, 10e3, 10e3, 10e3) < 4.0);
    near(reach.high, worst, 5e-3);
}

#[test]
fn swapped_jack_contacts_turn_the_voltage_round() {
    let evidence = solved(&read(REGULATED));
    let straight = &case(&evidence, "C1", "open").reaches[0];
    let swapped = &case(&evidence, "J1", "its two contacts swapped").reaches[0];
    near(swapped.low, -straight.high, 1e-3);
}

/// What makes no difference is proved so and not solved: resistors have no right way round.
#[test]
fn a_turned_resistor_is_the_healthy_circuit() {
    let evidence = solved(&read(REGULATED));
    assert_eq!(case(&evidence, "R1", "turned").same_as, Some(Same::Healthy));
    assert_eq!(case(&evidence, "C1", "turned").same_as, Some(Same::Healthy));
    assert_eq!(case(&evidence, "U1", "out and in swapped").same_as, None);
    let cases = &evidence.disturbed.as_ref().expect("computed").cases;
    assert!(cases.iter().all(|case| case.not_assessed.is_none()));
}

#[test]
fn a_damaging_fault_is_revealed_by_a_reading_outside_its_window() {
    let design = read(REGULATED);
    let evidence = solved(&design);
    let coverage = coverage(&design, &evidence, &Meter::default()).expect("assessed");
    let through = coverage
        .damaging()
        .find(|one| {
            let cases = &evidence.disturbed.as_ref().expect("computed").cases;
            cases[one.case].disturbance.words.starts_with("in shorted")
        })
        .expect("it does harm");
    let number = through.revealed_by.expect("a step shows it");
    let step = coverage
        .steps
        .iter()
        .find(|s| s.number == number)
        .expect("it");
    // With the regulator bridged the input's 18 V stand at its output: the first point after it.
    assert_eq!(step.net, "rail");
}

/// Parts of every sort that a slip concerns.
const ASSORTED: &str = "  PS1: {kind: ac-adaptor, output: 9 V, current: 500 mA, open-circuit: 11 V, class: II, nets: {live: ac, common: gnd}}
  D1: {type: 1N4004, nets: {anode: ac, cathode: v}}
  C1: {kind: electrolytic, value: 470 µF ± 20 %, rating: 35 V, nets: {positive: v, negative: gnd}}
  U1: {type: 78L05, grade: A, package: TO-92, pins: {1: rail, 2: gnd, 3: v}}
  SW1: {kind: switch, control: Half, voltage: 30 V, current: 1 A, positions: [full, half], poles: {A: {common: x, throws: [rail, mid]}}}
  R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: rail, b: mid}}
  R2: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: mid, b: gnd}}
  R3: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/4 W, nets: {a: x, b: out}}
  J1: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}";

fn one(design: &Design, part: &str, class: Class, words: &str) -> Disturbance {
    disturbances(design)
        .into_iter()
        .find(|d| d.part == part && d.class == class && d.words.contains(words))
        .unwrap_or_else(|| panic!("no {class:?} {part}: {words}"))
}

#[test]
fn each_slip_rewires_what_it_says() {
    let design = read(ASSORTED);
    let net = |design: &Design, part: &str, lead: &str| {
        design.parts[part].net(lead).unwrap_or("nc").to_owned()
    };
    let slip = |part: &str, words: &str| one(&design, part, Class::Slip, words).apply(&design);
    let handled =
        |part: &str, words: &str| one(&design, part, Class::Handling, words).apply(&design);

    let turned = slip("D1", "turned round");
    assert_eq!(net(&turned, "D1", "anode"), "v");
    assert_eq!(net(&turned, "D1", "cathode"), "ac");
    let turned = slip("C1", "turned round");
    assert_eq!(net(&turned, "C1", "positive"), "gnd");

    // TO-92, pins 1 and 3 exchanged: 78L is out, ground, in (ST, TI, onsemi, confirmed).
    let mirrored = slip("U1", "mirror image");
    assert_eq!(net(&mirrored, "U1", "out"), "v");
    assert_eq!(net(&mirrored, "U1", "in"), "rail");
    assert_eq!(net(&mirrored, "U1", "ground"), "gnd");
    let rotated = slip(
        "U1",
        "all three wires one lead on: those for ground, in, out on out, ground, in",
    );
    assert_eq!(net(&rotated, "U1", "out"), "gnd");
    assert_eq!(net(&rotated, "U1", "ground"), "v");
    assert_eq!(net(&rotated, "U1", "in"), "rail");

    let swapped = slip("J1", "contacts swapped");
    assert_eq!(net(&swapped, "J1", "tip"), "gnd");
    assert_eq!(net(&swapped, "J1", "sleeve"), "out");
    let half = handled("J1", "short of home");
    assert_eq!(net(&half, "J1", "tip"), "gnd");
    let lead = handled("J1", "three-contact lead");
    let Connection::Instrument { cable, .. } = &lead.connections["J1"][0] else {
        panic!("an instrument")
    };
    assert_eq!(cable, "TRS");

    let wrong = handled("PS1", "a DC adaptor of that voltage instead, the other way");
    assert_eq!(wrong.parts["PS1"].kind, Kind::DcAdaptor);
    assert_eq!(net(&wrong, "PS1", "positive"), "gnd");
    let larger = handled("PS1", "1.5 times");
    let figure = |design: &Design| {
        let output = preplug::catalogue::Property::Output;
        design.parts["PS1"]
            .figure(output)
            .expect("given")
            .spread
            .nominal
    };
    near(figure(&larger), 1.5 * figure(&design), 1e-12);
}

#[test]
fn each_fault_changes_what_it_says() {
    let design = read(ASSORTED);
    let fault = |part: &str, words: &str| one(&design, part, Class::Fault, words).apply(&design);
    assert_eq!(fault("R1", "open").parts["R1"].net("a"), None);
    let stuck = fault("SW1", "stuck at half");
    let design::Structure::Contacts { poles, .. } = &stuck.parts["SW1"].structure else {
        panic!("contacts")
    };
    assert_eq!(poles["A"].throws, ["mid", "mid"]);
    let through = fault("U1", "passes its input");
    let link = through.parts.values().find(|p| p.kind == Kind::WireLink);
    let link = link.expect("a link");
    let mut ends = [link.net("a"), link.net("b")];
    ends.sort_unstable();
    assert_eq!(ends, [Some("rail"), Some("v")]);
    // Every lead of every part is open in one of them.
    let all = disturbances(&design);
    for part in design.parts.values() {
        assert!(
            all.iter()
                .any(|d| d.part == part.reference && d.words.contains("open")
                    || d.words.contains("no output")),
            "{}",
            part.reference
        );
    }
    // A part's faults weigh at most one together, and so do its slips.
    for part in design.parts.keys() {
        for class in [Class::Fault, Class::Slip, Class::Handling] {
            let of = |d: &&Disturbance| d.part == *part && d.class == class;
            let total: f64 = all.iter().filter(of).map(|d| d.weight).sum();
            assert!(total <= 1.0 + 1e-12, "{part} {class:?}: {total}");
        }
    }
}

fn json(review: &str) -> Value {
    let path = format!("reviews/{review}/design.yaml");
    let output = Command::new(env!("CARGO_BIN_EXE_preplug"))
        .args(["check", "--format", "json", &path])
        .output()
        .expect("the program starts");
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// Counts the coverage again from what reaches each input, and holds it to the aim: 95 % of what
/// does harm and can be in the box when it is first built.
fn recount(review: &str) {
    let answer = json(review);
    let design = &answer["designs"][0];
    let faults = &design["faults"];
    let (mut revealed, mut of) = (0, 0);
    let mut weighted = [0.0, 0.0];
    for case in faults["cases"].as_array().expect("cases") {
        assert!(case["not_assessed"].is_null(), "{review}: {case}");
        let outside = case["reaches"]
            .as_array()
            .expect("reaches")
            .iter()
            .any(|r| {
                let end = |key: &str| r[key].as_f64().expect("a number");
                let survives = |end: usize| r["survives"][end].as_f64().expect("a number");
                end("low") < survives(0) || end("high") > survives(1)
            });
        assert_eq!(outside, !case["damaging"].is_null(), "{review}: {case}");
        if !outside || case["class"] == "handling" {
            continue;
        }
        let weight = case["weight"].as_f64().expect("a number");
        of += 1;
        weighted[1] += weight;
        if !case["damaging"]["revealed_by_step"].is_null() {
            revealed += 1;
            weighted[0] += weight;
        }
    }
    let coverage = &faults["coverage"];
    assert_eq!(coverage["revealed"], revealed, "{review}");
    assert_eq!(coverage["of"], of, "{review}");
    near(
        coverage["weighted_of"].as_f64().expect("a number"),
        weighted[1],
        1e-9,
    );
    near(
        coverage["weighted_revealed"].as_f64().expect("a number"),
        weighted[0],
        1e-9,
    );
    assert!(
        f64::from(revealed) >= 0.95 * f64::from(of),
        "{review}: {revealed} of {of}"
    );
    assert_eq!(design["gates"]["plug"]["state"], "open", "{review}");
}

#[test]
fn the_coverage_of_the_good_reviews_counts_up() {
    for review in ["tide-lever", "fog-fader", "moth-lamp"] {
        recount(review);
    }
}

/// Without the clamp that revision D fits, either regulator's failure would reach the rack; with
/// it, nothing does. The clamp is what makes the difference.
#[test]
fn the_tide_levers_clamp_is_what_contains_its_regulators() {
    let load = |path: &str| std::fs::read(path).map_err(|e| e.to_string());
    let mut design = match design::read("reviews/tide-lever/design.yaml", &load) {
        Ok(read) => read.design,
        Err(refused) => panic!("{:#?}", refused.diagnostics),
    };
    design.parts.shift_remove("Z1");
    let evidence = solved(&design);
    let coverage = coverage(&design, &evidence, &Meter::default()).expect("assessed");
    let cases = &evidence.disturbed.as_ref().expect("computed").cases;
    let parts: Vec<&str> = coverage
        .damaging()
        .map(|one| cases[one.case].disturbance.part.as_str())
        .collect();
    assert!(parts.contains(&"U1") && parts.contains(&"U2"), "{parts:?}");
    let share = coverage.share();
    assert!(share.of >= 6 && share.revealed == share.of, "{share:?}");
}
