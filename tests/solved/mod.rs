//! Files of circuits solved elsewhere, in the form of `tests/reference`: read, solved here and
//! compared. `tests/reference/models.md` gives the equations.

#![allow(
    clippy::unwrap_used,
    clippy::too_many_lines,
    clippy::neg_cmp_op_on_partial_ord,
    clippy::manual_let_else,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test stops at what it does not expect, and nothing compares as within tolerance by being no number"
)]

mod case;
mod compare;
mod report;

pub use compare::compare;
pub use report::{How, Report, number};

use serde_json::Value;

/// Reads such a file.
pub fn read(path: &str) -> Value {
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{path}: {e}"));
    serde_json::from_str(&text).unwrap()
}
