//! What the readings of a unit show, and its gates, for a terminal of 80 columns.

use super::files;
use crate::bench::{self, Judged, UnitGate};
use crate::bringup::{Limits, Rule, steps};
use crate::design::{self, Design};
use crate::quantity::{Unit as Measured, format_percent, format_range, format_to};
use crate::records::{Session, Unit};
use crate::{Assessed, assess};
use std::fmt::Write;

/// The rule of the review file, or the usual one.
pub(super) fn rule(assessed: &Assessed) -> Rule {
    assessed
        .file
        .as_ref()
        .map_or_else(Rule::default, |file| file.decision)
}

/// A session's readings, judged; `true` when none of them fails.
pub(super) fn session(assessed: &Assessed, unit: &Unit, session: &Session) -> (String, bool) {
    let rule = rule(assessed);
    let mut out = String::new();
    let _ = writeln!(
        out,
        "\nUnit {}, session {} of {}",
        unit.serial, session.number, session.date
    );
    let _ = writeln!(out, "Meter: {}", session.meter.describe());
    if !session.meter.assumed.is_empty() {
        let _ = writeln!(
            out,
            "       {} not given, those of a common meter taken",
            session.meter.assumed.join(", ")
        );
    }
    let _ = writeln!(out, "Decision rule: {}\n", rule.describe());
    let mut passed = true;
    for reading in &session.readings {
        let judged = bench::judge(
            &assessed.design,
            &assessed.evidence,
            session,
            reading,
            &rule,
        );
        let reads = bench::shown(reading.reads, reading.point.unit);
        let _ = write!(out, "{:<34} {reads:>10}", reading.point.describe());
        if reading.reads.is_finite() {
            let reach = judged.limit_of_error;
            let unit = reading.point.unit;
            let range = format_range(reading.reads - reach, reading.reads + reach, unit, 4);
            let _ = write!(out, "  true value {range}");
        }
        out.push('\n');
        passed &= judgement(&mut out, &judged, reading.point.unit);
    }
    (out, passed)
}

fn limits(limits: Limits, unit: Measured) -> String {
    match (limits.low.is_finite(), limits.high.is_finite()) {
        (true, true) => format_range(limits.low, limits.high, unit, 4),
        (true, false) => format!("at least {}", format_to(limits.low, unit, 4)),
        _ => format!("at most {}", format_to(limits.high, unit, 4)),
    }
}

fn judgement(out: &mut String, judged: &Judged, unit: Measured) -> bool {
    let mut passed = true;
    match &judged.predicted {
        Ok(predicted) => {
            let verdict = predicted.decision.verdict;
            passed &= verdict.passes();
            let _ = writeln!(
                out,
                "    predicted {}: {}",
                limits(predicted.limits, unit),
                verdict.words()
            );
        }
        Err(why) => {
            passed = false;
            let _ = writeln!(out, "    not assessed: {why}");
        }
    }
    if let Some(kept) = &judged.promised {
        let decision = kept.decision;
        passed &= decision.verdict.passes();
        let _ = writeln!(
            out,
            "    promised {}, accepted {}: {} (risk {})",
            limits(kept.limits, unit),
            limits(decision.acceptance, unit),
            decision.verdict.words(),
            format_percent(decision.risk, 3)
        );
    }
    passed
}

/// The gates of a unit: what the design as it was built says, and its readings. While readings
/// alone hold `power` shut, and so the other gates, what was built otherwise than designed is not
/// reviewed yet: it could open nothing.
pub(super) fn of_unit(path: &str, assessed: &Assessed, unit: &Unit) -> [UnitGate; 3] {
    let steps = steps(
        &assessed.design,
        &assessed.evidence,
        &crate::bringup::Meter::default(),
    );
    let progress = bench::progress(
        &assessed.design,
        &steps,
        unit,
        &assessed.fingerprint.built,
        &rule(assessed),
    );
    let changed = !unit.substitutions.is_empty();
    let [power, ..] = bench::unit_gates(&Default::default(), &steps, &progress);
    if changed && !power.open() {
        let mut before = bench::before_measuring(&assessed.design, &assessed.review, unit, &[]);
        before[0].push(format!(
            "it was built otherwise than designed ({}), and is reviewed as built when the cold \
             checks have passed",
            unit.substitutions
                .iter()
                .map(|substitution| substitution.part.as_str())
                .collect::<Vec<_>>()
                .join(", ")
        ));
        return bench::unit_gates(&before, &steps, &progress);
    }
    let before = before(path, assessed, unit);
    bench::unit_gates(&before, &steps, &progress)
}

/// The gates of every unit on record, in their order.
pub(super) fn of_units(path: &str, assessed: &Assessed) -> Vec<[UnitGate; 3]> {
    let units = assessed.units.iter();
    units.map(|unit| of_unit(path, assessed, unit)).collect()
}

/// What holds a unit's gates shut before anything is measured. A unit built otherwise than
/// designed is reviewed as it was built.
pub(super) fn before(path: &str, assessed: &Assessed, unit: &Unit) -> [Vec<String>; 3] {
    let design = &assessed.design;
    if unit.substitutions.is_empty() {
        return bench::before_measuring(design, &assessed.review, unit, &[]);
    }
    let Some((_, file)) = assessed.sources.files().next() else {
        return bench::before_measuring(design, &assessed.review, unit, &[]);
    };
    let built = bench::as_built(design, &file.text, &unit.substitutions);
    let load = |wanted: &str| {
        if wanted == path {
            Ok(built.text.clone().into_bytes())
        } else {
            files::load(wanted)
        }
    };
    match assess(path, &files::companions(path), &load) {
        Ok(as_built) => bench::before_measuring(design, &as_built.review, unit, &built.unknown),
        Err(refused) => {
            let mut unknown = built.unknown;
            let first = refused.diagnostics.first();
            unknown.push(format!(
                "with its substitutions the design cannot be read: {}",
                first.map_or("no reason", |diagnostic| diagnostic.message.as_str())
            ));
            bench::before_measuring(design, &assessed.review, unit, &unknown)
        }
    }
}

/// The design as a unit was built; `None` where its substitutions leave no design.
pub(super) fn built(path: &str, assessed: &Assessed, unit: &Unit) -> Option<Design> {
    if unit.substitutions.is_empty() {
        return Some(assessed.design.clone());
    }
    let (_, file) = assessed.sources.files().next()?;
    let built = bench::as_built(&assessed.design, &file.text, &unit.substitutions);
    let load = |wanted: &str| {
        if wanted == path {
            Ok(built.text.clone().into_bytes())
        } else {
            files::load(wanted)
        }
    };
    design::read(path, &load).ok().map(|read| read.design)
}

/// The gates of a unit, printed.
pub(super) fn gates(path: &str, assessed: &Assessed, unit: &Unit) -> String {
    print_gates(&unit.serial, &of_unit(path, assessed, unit))
}

/// The gates of a unit, printed.
pub(super) fn print_gates(serial: &str, gates: &[UnitGate; 3]) -> String {
    let mut out = format!("\nThis unit, {serial}:\n");
    for gate in gates {
        let word = if gate.open() { "open" } else { "BLOCKED" };
        let first = format!("  {:<6} {word:<8} ", gate.gate.key());
        if gate.open() {
            let _ = writeln!(out, "{}", first.trim_end());
        }
        for (index, reason) in gate.reasons.iter().enumerate() {
            let options = textwrap::Options::new(80)
                .initial_indent(if index == 0 {
                    &first
                } else {
                    "                  "
                })
                .subsequent_indent("                  ");
            let _ = writeln!(out, "{}", textwrap::fill(reason, options));
        }
    }
    out
}
