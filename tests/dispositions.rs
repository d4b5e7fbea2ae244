//! What people decide about findings: what an acceptance and a signed line may clear, what they
//! may not, and that one without effect is a finding of its own.

use preplug::checks::Gate;
use preplug::review::{Assessed, Companions, Disposition, Finding, assess};
use std::collections::BTreeMap;

/// R1 above its derated power and hot; D1 and C1 beyond their ratings; a metal box joined to
/// nothing; a jack for nobody knows what.
const DESIGN: &str = "preplug: design/1
title: Bench
conditions:
  ambient: 25..25 °C
  enclosure: {size: 120 x 100 x 50 mm, material: steel, conductive: true}
parts:
  BT1: {kind: battery, fresh: 12 V, flat: 11.99 V, current: 1 A, resistance: 10 Ω ± 1 %, nets: {positive: v, negative: gnd}}
  R1: {kind: resistor, value: 580 Ω ± 1 %, power: 1/4 W, nets: {a: v, b: gnd}}
  C1: {kind: electrolytic, value: 100 µF ± 20 %, rating: 10 V, ripple-current: 0.1 A, nets: {positive: v, negative: gnd}}
  R2: {kind: resistor, value: 10 kΩ ± 1 %, power: 1/4 W, nets: {a: v, b: out}}
  J1: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}
";

fn reviewed(decisions: &str) -> Assessed {
    let review = format!("preplug: review/1\nreviewer: N. Shift\ndate: 2026-10-05\n{decisions}");
    let files: BTreeMap<&str, String> =
        BTreeMap::from([("design.yaml", DESIGN.to_owned()), ("review.yaml", review)]);
    let load = |path: &str| {
        let found = files.get(path).cloned();
        found
            .map(String::into_bytes)
            .ok_or_else(|| format!("no {path}"))
    };
    let companions = Companions {
        review: Some("review.yaml".to_owned()),
        today: "2026-11-25".to_owned(),
        ..Companions::default()
    };
    assess("design.yaml", &companions, &load).expect("both files are read")
}

fn at<'a>(assessed: &'a Assessed, check: &str, place: &str) -> &'a Finding {
    assessed
        .review
        .all_findings()
        .find(|f| f.check.id == check && f.place.label() == place)
        .unwrap_or_else(|| panic!("{check} at {place}"))
}

/// The findings about decisions without effect.
fn stale(assessed: &Assessed) -> Vec<&str> {
    assessed
        .review
        .all_findings()
        .filter(|f| f.check.id == "disposition-without-effect")
        .map(Finding::what)
        .collect()
}

fn accept(check: &str, place: &str, more: &str) -> String {
    format!(
        "accepted: [{{check: {check}, place: {place}, reason: known, name: N. Shift, date: 2026-10-05{more}}}]\n"
    )
}

fn sign(check: &str, place: &str) -> String {
    format!(
        "signed-lines: [{{check: {check}, place: {place}, name: N. Shift, date: 2026-10-05, qualification: bench}}]\n"
    )
}

#[test]
fn an_acceptance_clears_one_failure_and_nothing_beside_it() {
    let assessed = reviewed(&accept(
        "resistor-power-derating",
        "R1",
        ", until: 2027-10-05",
    ));
    let accepted = at(&assessed, "resistor-power-derating", "R1");
    assert!(matches!(
        accepted.disposition,
        Some(Disposition::Accepted { .. })
    ));
    assert!(!accepted.blocks());
    // What it would have brought about stands on its own again.
    assert!(accepted.consequences.is_empty());
    assert!(at(&assessed, "resistor-hot-spot", "R1").blocks());
    assert!(stale(&assessed).is_empty(), "{:?}", stale(&assessed));
}

#[test]
fn what_blocks_power_is_never_accepted() {
    let assessed = reviewed(&accept("capacitor-over-voltage", "C1", ""));
    let finding = at(&assessed, "capacitor-over-voltage", "C1");
    assert_eq!(finding.gate, Gate::Power);
    assert!(finding.blocks());
    assert!(!assessed.review.is_open(Gate::Power));
    let told = stale(&assessed);
    assert!(
        matches!(told[..], [one] if one.contains("never accepted")),
        "{told:?}"
    );
}

#[test]
fn a_caution_about_isolation_and_mains_is_never_accepted() {
    let assessed = reviewed(&accept("enclosure-unbonded", "the design", ""));
    assert!(at(&assessed, "enclosure-unbonded", "the design").blocks());
    let told = stale(&assessed);
    assert!(
        matches!(told[..], [one] if one.contains("isolation and mains")),
        "{told:?}"
    );
}

#[test]
fn a_line_not_assessed_is_signed_and_not_accepted() {
    let accepted = reviewed(&accept("instrument-unknown", "J1", ""));
    assert!(at(&accepted, "instrument-unknown", "J1").blocks());
    assert_eq!(stale(&accepted).len(), 1);
    let signed = reviewed(&sign("instrument-unknown", "J1"));
    assert!(!at(&signed, "instrument-unknown", "J1").blocks());
    assert!(stale(&signed).is_empty(), "{:?}", stale(&signed));
}

#[test]
fn a_failure_is_not_signed_away() {
    for (check, place) in [
        ("capacitor-over-voltage", "C1"),
        ("resistor-power-derating", "R1"),
    ] {
        let assessed = reviewed(&sign(check, place));
        assert!(at(&assessed, check, place).blocks(), "{check}");
        assert_eq!(stale(&assessed).len(), 1, "{check}");
    }
}

#[test]
fn a_decision_that_matches_nothing_is_a_finding() {
    for decision in [
        accept("diode-turned", "D1", ""),
        accept("resistor-power-derating", "R2", ""),
        sign("diode-surge", "D1"),
    ] {
        let assessed = reviewed(&decision);
        let told = stale(&assessed);
        assert!(
            matches!(told[..], [one] if one.contains("matches no finding")),
            "{decision}: {told:?}"
        );
        assert!(!assessed.review.is_open(Gate::Share));
    }
}

#[test]
fn a_decision_on_a_check_that_does_not_exist_says_so() {
    let assessed = reviewed(&accept("capacitor-overvoltage", "C1", ""));
    let told = stale(&assessed);
    assert!(
        matches!(told[..], [one] if one.contains("no check is called capacitor-overvoltage")),
        "{told:?}"
    );
}

#[test]
fn a_decision_out_of_its_time_is_a_finding() {
    for (more, says) in [
        (", until: 2026-11-24", "ran out on 2026-11-24"),
        ("", "still to come"),
    ] {
        let mut decision = accept("resistor-power-derating", "R1", more);
        if more.is_empty() {
            decision = decision.replace("date: 2026-10-05", "date: 2026-11-26");
        }
        let assessed = reviewed(&decision);
        assert!(at(&assessed, "resistor-power-derating", "R1").blocks());
        let told = stale(&assessed);
        assert!(matches!(told[..], [one] if one.contains(says)), "{told:?}");
    }
    // The last day still counts.
    let last = reviewed(&accept(
        "resistor-power-derating",
        "R1",
        ", until: 2026-11-25",
    ));
    assert!(!at(&last, "resistor-power-derating", "R1").blocks());
}

/// Otherwise one line would silence every other that has no effect.
#[test]
fn a_decision_without_effect_is_not_accepted_in_turn() {
    let decisions = "accepted:
  - {check: diode-turned, place: D1, reason: known, name: N. Shift, date: 2026-10-05}
  - {check: disposition-without-effect, place: the design, reason: known, name: N. Shift, date: 2026-10-05}
";
    let assessed = reviewed(decisions);
    let blocking = assessed
        .review
        .all_findings()
        .filter(|f| f.check.id == "disposition-without-effect" && f.blocks())
        .count();
    assert!(blocking >= 1);
    assert!(!assessed.review.is_open(Gate::Share));
}
