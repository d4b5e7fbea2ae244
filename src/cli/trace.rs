//! `--trace FILE`: how the solver reached each solution, for a developer to read.

use super::files;
use crate::evidence::{Account, Evidence};
use std::fmt::Write as _;
use std::path::Path;

/// What stands above the log.
const LEGEND: &str = "\
How each situation was solved, one to a line:
  number | method | iterations of Newton's method | correction left | periods | situation
Each period: its steps, and the correction of its start that it called for, relative to the
circuit's voltages (- where it was only to let the circuit settle; * where the derivative of the
period's end by its start was computed along with it). A situation that starts from a solved one
takes that one's steps and derivative over. The last correction is the one left.
";

/// Writes the logs of designs into one file.
///
/// # Errors
/// The exit code, with the reason already printed.
pub(super) fn write(file: &Path, logs: &[String]) -> Result<(), u8> {
    let text = format!("{LEGEND}{}", logs.concat());
    files::put(file, text.as_bytes())
}

/// The log of one design.
pub(super) fn log(design: &str, evidence: &Evidence) -> String {
    let counts = evidence.counts;
    let mut out = format!(
        "\n# {design}\n\n## The healthy box: {} situations solved, {} without a solution, {} iterations\n\n",
        counts.solved, counts.unsolved, counts.iterations
    );
    for (id, account) in &evidence.accounts {
        let _ = writeln!(
            out,
            "{id} | {} | {}",
            told(account),
            evidence.describe_fully(*id)
        );
    }
    for (id, why) in &evidence.unsolved {
        let _ = writeln!(
            out,
            "{id} | NO SOLUTION: {why} | {}",
            evidence.describe_fully(*id)
        );
    }
    let Some(disturbed) = &evidence.disturbed else {
        return out;
    };
    let counts = disturbed.counts;
    let _ = writeln!(
        out,
        "\n## Faults and slips: {} situations solved, {} proved to be another's circuit, {} without a solution",
        counts.solved, counts.proved, counts.unsolved
    );
    for case in disturbed.cases.iter().filter(|case| case.same_as.is_none()) {
        let _ = writeln!(out, "\n### {}\n", case.disturbance.describe());
        for one in &case.accounts {
            let after = one.after.as_ref().map_or_else(String::new, |part| {
                format!(", {part} passing its input through")
            });
            let situation = &disturbed.situations[one.situation];
            let _ = writeln!(
                out,
                "{} | {} | {}{after}",
                one.situation,
                told(&one.account),
                situation.describe_fully()
            );
        }
        if let Some(why) = &case.not_assessed {
            let _ = writeln!(out, "NO SOLUTION: {why}");
        }
    }
    out
}

fn told(account: &Account) -> String {
    let periods: Vec<String> = account
        .course
        .iter()
        .map(|period| {
            let correction = period
                .correction
                .map_or_else(|| "-".to_owned(), |size| format!("{size:.0e}"));
            let derived = if period.derived { "*" } else { "" };
            format!("{}:{correction}{derived}", period.steps)
        })
        .collect();
    let periods = if periods.is_empty() {
        "operating point".to_owned()
    } else {
        periods.join(" ")
    };
    format!(
        "{} | {} | {:.0e} | {periods}",
        account.method.words(),
        account.iterations,
        account.residual
    )
}
