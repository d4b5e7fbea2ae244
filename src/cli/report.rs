//! The text of `check`: gates, verdict, findings; written for an 80-column terminal.

use super::json::gate_word;
use crate::Assessed;
use crate::checks::Gate;
use crate::review::{Blocker, Finding};
use anstyle::{AnsiColor, Style};
use std::fmt::Write;
use textwrap::Options;

const WIDTH: usize = 80;

/// Bold red, bold yellow, bold green: state words carry the meaning, colour only helps.
const BLOCKED: Style = AnsiColor::Red.on_default().bold();
const OPEN: Style = AnsiColor::Green.on_default().bold();
const BOLD: Style = Style::new().bold();

/// The report of one design.
#[must_use]
pub fn report(file: &str, assessed: &Assessed) -> String {
    let mut out = String::new();
    let design = &assessed.design;
    let revision = design
        .revision
        .as_ref()
        .map_or(String::new(), |r| format!(", revision {r}"));
    let title = format!("{}{revision}", design.title);
    let _ = writeln!(out, "{BOLD}{title}{BOLD:#}   {file}\n");
    for state in &assessed.review.gates {
        let (style, word) = if state.open {
            (OPEN, "open")
        } else {
            (BLOCKED, "BLOCKED")
        };
        let mut why = Vec::new();
        if state.failures > 0 {
            why.push(count(state.failures, "failure", "failures"));
        }
        if state.not_assessed > 0 {
            why.push(count(
                state.not_assessed,
                "line not assessed",
                "lines not assessed",
            ));
        }
        if let Some(gate) = state.blocked_by {
            why.push(format!("{} is blocked", gate_word(gate)));
        }
        let gate = gate_word(state.gate);
        let _ = writeln!(
            out,
            "  {gate:<6} {style}{word:<8}{style:#} {}",
            why.join(", ")
        );
    }
    let _ = writeln!(out, "\n{}\n", wrap(&assessed.review.verdict, "", ""));
    for gate in [Gate::Power, Gate::Plug, Gate::Share, Gate::Note] {
        let findings: Vec<&Finding> = assessed
            .review
            .findings
            .iter()
            .filter(|f| f.gate == gate)
            .collect();
        if findings.is_empty() {
            continue;
        }
        let heading = match gate {
            Gate::Note => "Notes".to_owned(),
            gate => format!("Blocks {}", gate_word(gate)),
        };
        let _ = writeln!(out, "{BOLD}{heading}{BOLD:#}\n");
        for finding in findings {
            write_finding(&mut out, assessed, finding);
        }
    }
    write_counts(&mut out, assessed);
    out
}

/// The signatures under the gates, and the digest under which a new one would stand.
#[must_use]
pub fn signatures(assessed: &Assessed) -> String {
    let mut out = String::new();
    if let Some(file) = &assessed.file {
        let gates = &assessed.review.gates;
        for state in crate::review::signatures(file, gates, &assessed.fingerprint) {
            let _ = writeln!(
                out,
                "Signature of {} by {}, {}: {}",
                gate_word(state.gate),
                state.name,
                state.date,
                state.worth.words()
            );
        }
    }
    let _ = writeln!(
        out,
        "A signature for these files is given `of: {}`.",
        assessed.fingerprint.signed
    );
    out
}

fn write_finding(out: &mut String, assessed: &Assessed, finding: &Finding) {
    let place = assessed
        .design
        .span(&finding.place.route)
        .map_or_else(String::new, |span| assessed.sources.place(span));
    let labels: Vec<String> = finding.with_alike().map(|f| f.place.label()).collect();
    let _ = writeln!(
        out,
        "{:>3}  {BOLD}{}{BOLD:#}  {}  {place}",
        finding.number,
        labels.join(", "),
        finding.check.id
    );
    let indent = "     ";
    match &finding.blocker {
        Blocker::Failure(failure) => {
            for words in finding.all_that_is_wrong() {
                let _ = writeln!(out, "{}", wrap(&words, indent, indent));
            }
            let worst = failure.comparison.as_ref().and_then(|c| c.situation);
            for (label, text) in [
                ("Why:   ", failure.why.clone()),
                ("Do:    ", finding.remedies()),
                ("Brings:", format!(" {}", finding.consequences_in_words())),
                (
                    "Worst: ",
                    worst.map_or_else(String::new, |id| assessed.evidence.describe(id)),
                ),
            ] {
                if !text.trim().is_empty() {
                    let first = format!("{indent}{label}");
                    let _ = writeln!(out, "{}", wrap(&text, &first, "            "));
                }
            }
        }
        Blocker::NotAssessed(missing) => {
            let first = format!("{indent}Not assessed: ");
            let _ = writeln!(out, "{}", wrap(missing, &first, indent));
        }
    }
    out.push('\n');
}

fn write_counts(out: &mut String, assessed: &Assessed) {
    let counts = &assessed.evidence.counts;
    let line = format!(
        "Computed: {} in {}, {} not solved, {}.",
        count(counts.solved, "situation", "situations"),
        count(counts.states, "state", "states"),
        counts.unsolved,
        count(counts.transients, "transient", "transients"),
    );
    let _ = writeln!(out, "{}", wrap(&line, "", ""));
    if let Some(disturbed) = &assessed.evidence.disturbed {
        let counts = &disturbed.counts;
        let line = format!(
            "Faults and slips: {} taken one at a time, {} of them proved to be the same circuit \
             as another; {} solved, {} proved the same as another, {} not solved.",
            disturbed.cases.len(),
            counts.like_healthy + counts.like_another,
            count(counts.solved, "situation", "situations"),
            counts.proved,
            counts.unsolved,
        );
        let _ = writeln!(out, "{}", wrap(&line, "", ""));
    }
    for line in &assessed.evidence.not_analysed {
        let _ = writeln!(out, "{}", wrap(line, "Not analysed: ", "  "));
    }
}

fn wrap(text: &str, first: &str, rest: &str) -> String {
    let options = Options::new(WIDTH)
        .initial_indent(first)
        .subsequent_indent(rest);
    textwrap::fill(text, options)
}

fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}
