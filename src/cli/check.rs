//! `preplug check`: review designs and print what was found.

use super::{
    BAD_INPUT, BLOCKED, Format, OPEN, complain, files, json, print, report, trace, unit_report,
};
use crate::assess;
use crate::checks::Gate;
use std::path::Path;

/// Runs the command; the worst design decides the exit status.
pub(super) fn run(paths: &[String], format: Format, gate: Gate, trace: Option<&Path>) -> u8 {
    let mut code = OPEN;
    let mut designs = Vec::new();
    let mut errors = Vec::new();
    let mut logs = Vec::new();
    for (index, path) in paths.iter().enumerate() {
        match assess(path, &files::companions(path), &files::load) {
            Ok(assessed) => {
                if !assessed.review.is_open(gate) {
                    code = code.max(BLOCKED);
                }
                if trace.is_some() {
                    logs.push(trace::log(path, &assessed.evidence));
                }
                if format == Format::Json {
                    let gates = unit_report::of_units(path, &assessed);
                    designs.push(json::design(path, &assessed, &gates));
                    continue;
                }
                if index > 0 {
                    print(&format!("\n{}\n\n", "─".repeat(80)));
                }
                if !assessed.warnings.is_empty() {
                    complain(&assessed.warnings, &assessed.sources);
                }
                print(&report::report(path, &assessed));
            }
            Err(refused) => {
                code = BAD_INPUT;
                if format == Format::Json {
                    errors.extend(
                        refused
                            .diagnostics
                            .iter()
                            .map(|d| d.to_json(&refused.sources)),
                    );
                } else {
                    complain(&refused.diagnostics, &refused.sources);
                }
            }
        }
    }
    if format == Format::Json {
        let answer = json::answer(&designs, &errors);
        print(&format!("{answer:#}\n"));
    }
    // Where nothing was solved a former log stays.
    if let Some(file) = trace
        && !logs.is_empty()
        && let Err(failed) = trace::write(file, &logs)
    {
        return failed;
    }
    code
}
