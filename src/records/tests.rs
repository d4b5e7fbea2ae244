//! Unit files and meters.

use super::*;
use crate::design;
use crate::source::{PrintStyle, SourceSet, print};

fn unit(text: &[u8]) -> (Option<Unit>, String) {
    let design = design::read("reviews/tide-lever/design.yaml", &|path| {
        std::fs::read(path).map_err(|error| error.to_string())
    })
    .unwrap()
    .design;
    let mut sources = SourceSet::default();
    match read("units/001.yaml", text.to_vec(), &design, &mut sources) {
        Ok((unit, warnings)) => (
            Some(unit),
            print(&warnings, &sources, PrintStyle::default()),
        ),
        Err(errors) => (None, print(&errors, &sources, PrintStyle::default())),
    }
}

#[test]
fn the_shipped_unit_is_read_whole() {
    let (unit, printed) = unit(&std::fs::read("reviews/tide-lever/units/001.yaml").unwrap());
    assert_eq!(printed, "");
    let unit = unit.unwrap();
    assert!(unit.demonstration);
    assert_eq!(unit.serial, "001");
    assert_eq!(unit.sessions.len(), 2);
    let session = &unit.sessions[0];
    assert_eq!(session.mains, Some(232.0));
    let reading = &session.readings[4];
    assert_eq!((reading.at.as_str(), reading.net.as_str()), ("TP5", "out"));
    assert_eq!(reading.state["Lever"], Setting::Travel(0.0));
    assert!((session.readings[1].reads + 19.7).abs() < 1e-12);
    assert_eq!(unit.substitutions[0].part, "C5");
}

#[test]
fn what_the_design_does_not_have_is_refused() {
    let (_, printed) = unit(
        b"preplug: unit/1\nserial: 7\nsessions:\n  - date: 2026-13-01\n    meter: {name: m, accuracy: good}\n    readings:\n      - {at: TP9, reads: 1 V}\n      - {at: TP1, state: {Leaver: 0 %}, reads: 1 V}\n      - {at: TP1, state: {Lever: 120 %}, reads: 12}\nsubstitutions: [{part: C55, as-built: x}]\n",
    );
    for code in [
        "bad-date",
        "bad-quantity",
        "unknown-name",
        "impossible-value",
    ] {
        assert!(printed.contains(code), "{code}: {printed}");
    }
    assert!(printed.ends_with("7 errors\n"), "{printed}");
}

/// 100 V on a meter of ± (1 % + 2 digits) with a step of 0.1 V lies within 98.8..101.2 V
/// (computed; a maker's page that says 99.8 is wrong).
#[test]
fn a_meter_is_off_by_its_share_and_its_digits() {
    let mut meter = Meter {
        name: "bench meter".into(),
        accuracy: Accuracy::parse("± (1 % + 2 digits)"),
        counts: None,
        resolution: Some(0.1),
        input: 10e6,
        input_assumed: false,
        true_rms: None,
    };
    assert!((meter.uncertainty(100.0).unwrap() - 1.2).abs() < 1e-12);
    meter.resolution = None;
    assert_eq!(meter.uncertainty(100.0), None);
    meter.counts = Some(2000);
    for (reading, step) in [
        (15.05, 0.01),
        (19.99, 0.01),
        (20.0, 0.01),
        (20.1, 0.1),
        (1.5, 0.001),
        (-0.01, 0.0001),
    ] {
        let found = meter.step(reading).unwrap();
        assert!((found / step - 1.0).abs() < 1e-9, "{reading}: {found}");
    }
    assert_eq!(Accuracy::parse("0.5 % + 2"), None);
    assert_eq!(Accuracy::parse("half a per cent"), None);
    assert_eq!(Accuracy::parse("0.5 %").map(|a| a.digits), Some(0.0));
}
