//! The bring-up procedure: steps in a safe order, each with where to measure, what to expect and
//! when to stop. Windows come from the evidence over all corners, widened by the meter.

pub mod coverage;
mod decision;
mod place;
mod steps;
mod stop;
mod supply;

pub use crate::records::Meter;
pub use decision::{Decision, Form, Guard, Limits, Rule, Verdict};
pub use place::set_of;
pub use steps::{Expected, Phase, Step, Window, cold_expected, output_of, outputs, steps, window};
pub use supply::{Open, draws, open};
