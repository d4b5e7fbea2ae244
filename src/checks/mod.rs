//! Checks: one file each, grouped by stage, registered in one ordered slice.
//!
//! A check reads the design and the evidence and says, of every place it concerns, that it
//! *holds* (with its margin), *fails*, *does not apply* or is *not assessed*. It never solves.

mod check;
mod outcome;
mod registry;

pub use check::{Check, Context, Gate, Source, Stage};
pub use outcome::{Bound, Comparison, Failure, Outcome, Place, Subject};
pub use registry::{REGISTRY, find};

pub mod ratings;
