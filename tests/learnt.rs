//! What readings say of parts, against values that follow from Ohm's law; and a biased prediction
//! told apart from a bad unit.

use preplug::design::{self, Design};
use preplug::diagnosis::parts::{Estimate, Learnt, Residual, learn};
use preplug::diagnosis::units::across;
use preplug::diagnosis::{Conditions, Reading, Taken};
use preplug::quantity::Unit;
use preplug::records::{Meter, Point, Setting};
use std::collections::BTreeMap;

/// A battery that is known well, a divider, and a potentiometer across the battery.
const DESIGN: &str = "\
preplug: design/1
title: Bench box
conditions:
  ambient: 20..30 °C
  enclosure: {size: 100 x 60 x 30 mm, material: ABS, conductive: false}
parts:
  BT1: {kind: battery, fresh: 10.1 V, flat: 9.9 V, resistance: 0.01 Ω ± 1 %, current: 1 A, nets: {positive: cell, negative: gnd}}
  R1: {kind: resistor, value: 1 kΩ ± 0.1 %, power: 1/4 W, nets: {a: cell, b: tap}}
  R2: {kind: resistor, value: 1 kΩ ± 10 %, power: 1/4 W, nets: {a: tap, b: gnd}}
  R3: {kind: resistor, value: 1 kΩ ± 0.1 %, power: 1/4 W, nets: {a: cell, b: top}}
  RV1: {kind: potentiometer, value: 1 kΩ ± 1 %, law: linear, power: 0.5 W, control: Knob, nets: {cw: top, wiper: out, ccw: gnd}}
  R4: {kind: resistor, value: 1 MΩ ± 1 %, power: 1/4 W, nets: {a: out, b: gnd}}
";

fn read() -> Design {
    let load = |_: &str| Ok(DESIGN.as_bytes().to_vec());
    match design::read("design.yaml", &load) {
        Ok(read) => read.design,
        Err(refused) => panic!("{:#?}", refused.diagnostics),
    }
}

fn point(net: &str, knob: Option<f64>) -> Point {
    let knob = knob.map(|travel| ("Knob".to_owned(), Setting::Travel(travel)));
    Point {
        alone: false,
        at: net.to_owned(),
        net: net.to_owned(),
        state: knob.into_iter().collect::<BTreeMap<_, _>>(),
        jack: None,
        plugged: false,
        unit: Unit::Volt,
    }
}

fn learnt(readings: &[(&str, Option<f64>, f64)]) -> Learnt {
    let meter =
        Meter::parse("good meter, 0.02 % + 2 digits, 20000 counts, 10 MΩ").expect("a meter");
    let readings = readings.iter().map(|(net, knob, reads)| Reading {
        point: point(net, *knob),
        reads: *reads,
        meter: meter.clone(),
    });
    let taken = Taken {
        currents: Vec::new(),
        readings: readings.collect(),
        dates: [String::new(), String::new()],
        conditions: Conditions::default(),
    };
    learn(&read(), &taken).expect("voltages")
}

fn estimate<'a>(learnt: &'a Learnt, part: &str, what: &str) -> &'a Estimate {
    let mut all = learnt.estimates.iter();
    all.find(|one| one.part == part && one.what == what)
        .unwrap_or_else(|| panic!("nothing is said of {part}: {:#?}", learnt.estimates))
}

fn holds(one: &Estimate, value: f64, width: f64) {
    let [low, high] = one.interval;
    assert!(
        low <= value && value <= high,
        "{one:?} does not hold {value}"
    );
    assert!(high - low <= width, "{one:?} is wider than {width}");
}

/// A divider that reads 5.122 V of 10.00 V: `R2 = R1 · 5.122 / (10.00 − 5.122)`, 1050 Ω (Ohm's law).
#[test]
fn a_divider_tells_its_resistor() {
    let learnt = learnt(&[("cell", None, 10.0), ("tap", None, 5.122)]);
    let r2 = estimate(&learnt, "R2", "value");
    holds(r2, 1000.0 * 5.122 / (10.0 - 5.122), 20.0);
    assert!(learnt.fits());
    // R1 was known better than the meter can tell.
    assert!(learnt.estimates.iter().all(|one| one.part != "R1"));
}

/// With the knob at its start the wiper stands on the end resistance alone, in series with the whole
/// track: 10 V / (1 kΩ + 1 kΩ + 30 Ω) leaves 147.8 mV across 30 Ω.
#[test]
fn the_start_of_a_pot_tells_its_end_resistance() {
    let learnt = learnt(&[("cell", None, 10.0), ("out", Some(0.0), 0.1478)]);
    let end = estimate(&learnt, "RV1", "end resistance");
    holds(end, 30.0, 12.0);
}

/// A divider that no resistor within its tolerance explains says nothing of them.
#[test]
fn a_box_that_is_not_healthy_says_nothing_of_its_parts() {
    let learnt = learnt(&[("cell", None, 10.0), ("tap", None, 8.0)]);
    assert!(!learnt.fits(), "{}", learnt.away);
}

/// Where the knob stood was not said, and it matters: that reading is left out.
#[test]
fn what_depends_on_an_unmentioned_knob_is_left_out() {
    let learnt = learnt(&[("cell", None, 10.0), ("out", None, 2.5)]);
    let nets: Vec<&str> = learnt
        .residuals
        .iter()
        .map(|r| r.point.net.as_str())
        .collect();
    assert_eq!(nets, ["cell"]);
}

/// Units that read so far off the prediction at one place, the meter good to 20 mV, the parts
/// leaving 100 mV open.
fn units(off: &[f64]) -> Vec<(String, Learnt)> {
    let unit = |(index, off): (usize, &f64)| {
        let residual = Residual {
            point: point("rail", None),
            off: *off,
            meter: 0.02,
            parts: 0.1,
        };
        let learnt = Learnt {
            estimates: Vec::new(),
            residuals: vec![residual],
            away: 1.0,
            mains_known: true,
        };
        (format!("{:03}", index + 1), learnt)
    };
    off.iter().enumerate().map(unit).collect()
}

#[test]
fn a_biased_prediction_is_told_apart_from_a_bad_unit() {
    // All alike and off: the prediction.
    let all = &across(&units(&[0.21, 0.19, 0.20, 0.22]))[0];
    assert!(all.biased() && all.odd.is_empty(), "{all:?}");
    // One off, the others on the prediction: that unit.
    let one = &across(&units(&[0.01, -0.02, 1.3, 0.02, 0.0]))[0];
    assert!(!one.biased(), "{one:?}");
    assert_eq!(one.odd, ["003"]);
    // Both at once.
    let both = &across(&units(&[0.21, 0.19, -1.0, 0.20, 0.22]))[0];
    assert!(both.biased() && both.odd == ["003"], "{both:?}");
    // Scatter about the prediction is neither.
    let none = &across(&units(&[0.09, -0.08, 0.05, -0.07]))[0];
    assert!(!none.biased() && none.odd.is_empty(), "{none:?}");
    // Of two nothing can be told.
    assert!(across(&units(&[0.2, 0.2])).is_empty());
}

/// The mean of n values with scatter s is known to t · s / √n: of 0.1, 0.2, 0.3 with t = 4.303 and
/// s = 0.1 to 0.248 (any table of Student's t).
#[test]
fn the_interval_of_the_mean_is_students() {
    let found = &across(&units(&[0.1, 0.2, 0.3]))[0];
    assert!((found.mean - 0.2).abs() < 1e-12);
    let wanted = f64::hypot(4.303 * 0.1 / 3.0_f64.sqrt(), 2.0 * 0.02);
    assert!((found.within - wanted).abs() < 1e-3, "{found:?}");
}
