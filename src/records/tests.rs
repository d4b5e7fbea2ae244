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
    assert_eq!(reading.point.describe(), "TP5, Lever at 0 %");
    assert_eq!(reading.point.net, "out");
    assert_eq!(reading.point.state["Lever"], Setting::Travel(0.0));
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
