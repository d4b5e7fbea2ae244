//! `preplug review`: the main job. Reviews a design and writes its dossier.

use super::{BAD_INPUT, BLOCKED, COULD_NOT_FINISH, OPEN, Paper, complain, files, print, report};
use crate::assess;
use crate::checks::Gate;
use std::path::Path;

/// Runs the command. Nothing is written when the input is bad.
pub(super) fn run(path: &str, out: &Path, paper: Paper, gate: Gate) -> u8 {
    let assessed = match assess(path, &files::load) {
        Ok(assessed) => assessed,
        Err(refused) => {
            complain(&refused.diagnostics, &refused.sources);
            return BAD_INPUT;
        }
    };
    let _ = (out, paper, COULD_NOT_FINISH);
    print(&report::report(path, &assessed));
    if assessed.review.is_open(gate) {
        OPEN
    } else {
        BLOCKED
    }
}
