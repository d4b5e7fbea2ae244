//! `preplug compare`: what a new revision of a design changed.

use super::{BAD_INPUT, BLOCKED, Format, OPEN, complain, files, print};
use crate::checks::Gate;
use crate::review::{Change, Comparison, compare, net_range};
use crate::{Assessed, assess};
use serde_json::{Value, json};
use std::fmt::Write;

/// Runs the command; the new design's gate decides the exit status.
pub(super) fn run(old: &str, new: &str, format: Format, gate: Gate) -> u8 {
    let both = [old, new].map(|path| assess(path, &files::companions(path), &files::load));
    let [Ok(before), Ok(now)] = &both else {
        for refused in both.iter().filter_map(|one| one.as_ref().err()) {
            complain(&refused.diagnostics, &refused.sources);
        }
        return BAD_INPUT;
    };
    let comparison = compare(before, now);
    match format {
        Format::Json => print(&format!("{:#}\n", to_json(old, new, &comparison))),
        Format::Text => print(&text(before, now, &comparison)),
    }
    if now.review.is_open(gate) {
        OPEN
    } else {
        BLOCKED
    }
}

fn revision(assessed: &Assessed) -> String {
    let revision = assessed.design.revision.as_ref();
    let revision = revision.map_or(String::new(), |r| format!(", revision {r}"));
    format!("{}{revision}", assessed.design.title)
}

fn open(open: bool) -> &'static str {
    if open { "open" } else { "BLOCKED" }
}

fn text(before: &Assessed, now: &Assessed, comparison: &Comparison) -> String {
    let mut out = format!("Old: {}\nNew: {}\n\n", revision(before), revision(now));
    for (gate, old, new) in comparison.gates {
        let _ = writeln!(out, "  {:<6} {:<8} → {}", gate.key(), open(old), open(new));
    }
    out.push_str("\nParts and wiring\n");
    for change in &comparison.parts {
        for (index, line) in change.lines.iter().enumerate() {
            let part = if index == 0 { change.part.as_str() } else { "" };
            let _ = writeln!(out, "  {part:<6} {line}");
        }
    }
    if comparison.parts.is_empty() {
        out.push_str("  nothing changed\n");
    }
    out.push_str("\nMean voltages, box on, worst corners\n");
    for change in &comparison.nets {
        let _ = writeln!(
            out,
            "  {:<12} {} → {}",
            change.net,
            net_range(&change.old),
            net_range(&change.new)
        );
    }
    if comparison.nets.is_empty() {
        out.push_str("  nothing moved\n");
    }
    out.push_str("\nFindings\n");
    for change in &comparison.findings {
        let head = format!(
            "  {:<6} {:<5} {} {}: ",
            change.change.words(),
            change.gate.key(),
            change.place,
            change.check
        );
        let options = textwrap::Options::new(80)
            .initial_indent(&head)
            .subsequent_indent("               ");
        let _ = writeln!(out, "{}", textwrap::fill(&change.what, options));
    }
    let counts: Vec<String> = [
        Change::New,
        Change::Gone,
        Change::Worse,
        Change::Better,
        Change::Same,
    ]
    .iter()
    .map(|change| {
        let count = comparison.findings.iter().filter(|f| f.change == *change);
        format!("{} {}", count.count(), change.words())
    })
    .collect();
    let _ = writeln!(out, "  {}", counts.join(", "));
    out
}

/// Version `preplug-compare/1`; values in SI units.
fn to_json(old: &str, new: &str, comparison: &Comparison) -> Value {
    json!({
        "format": "preplug-compare/1",
        "old": old,
        "new": new,
        "gates": comparison.gates.iter().map(|(gate, old, new)| json!({
            "gate": gate.key(), "old_open": old, "new_open": new,
        })).collect::<Vec<_>>(),
        "parts": comparison.parts.iter().map(|change| json!({
            "part": change.part, "changes": change.lines,
        })).collect::<Vec<_>>(),
        "nets": comparison.nets.iter().map(|change| json!({
            "net": change.net, "unit": "V",
            "old": {"low": change.old[0], "nominal": change.old[1], "high": change.old[2]},
            "new": {"low": change.new[0], "nominal": change.new[1], "high": change.new[2]},
        })).collect::<Vec<_>>(),
        "findings": comparison.findings.iter().map(|change| json!({
            "change": change.change.words(), "check": change.check, "place": change.place,
            "gate": change.gate.key(), "what": change.what,
        })).collect::<Vec<_>>(),
    })
}
