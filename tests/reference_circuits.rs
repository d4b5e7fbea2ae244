//! The reference circuits: every result that the file carries, within the tolerances of
//! `tests/solved/report.rs`.
//!
//! `tests/reference/circuits.json` holds circuits solved by two independent high-order methods
//! that agree to 1e-5 or better; `tests/reference/models.md` gives their equations. Another file
//! of the same form is read when the environment variable `PREPLUG_REFERENCE` names one.

#![allow(
    clippy::unwrap_used,
    reason = "a test stops at what it does not expect"
)]

mod solved;

use solved::{How, Report};

#[test]
fn every_reference_result_is_met() {
    let path = std::env::var("PREPLUG_REFERENCE").unwrap_or_else(|_| {
        concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/circuits.json").into()
    });
    let file = solved::read(&path);
    let cases = file["cases"].as_array().unwrap();
    let thermal_voltage = solved::number(&file["constants"], "Vt");
    let mut report = Report {
        how: How::Alone,
        ..Report::default()
    };
    for case in cases {
        solved::compare(&mut report, case, thermal_voltage);
    }
    println!("{} circuits, {} results", cases.len(), report.compared);
    report.show();
    assert_eq!(Some(cases.len() as u64), file["n_cases"].as_u64());
    assert!(report.failures.is_empty(), "{:#?}", report.failures);
}
