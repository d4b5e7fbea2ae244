//! The bring-up procedure: steps in a safe order, each with where to measure, what to expect and
//! when to stop. Windows come from the evidence over all corners, widened by the meter.

pub mod coverage;
mod meter;
mod steps;

pub use meter::Meter;
pub use steps::{Expected, Phase, Step, Window, steps, window};
