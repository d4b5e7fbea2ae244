//! Checks: one file each, grouped by stage, registered in one ordered slice.
//!
//! A check reads the design and the evidence and says, of every place it concerns, that it
//! *holds* (with its margin), *fails*, *does not apply* or is *not assessed*. It never solves.
//!
//! To add one: write `STAGE/the_fault.rs` with the [`check!`](crate::check) macro, name it in the
//! stage's `mod.rs` and in [`REGISTRY`], and write `tests/fixtures/the-fault.md`.

mod check;
pub mod claims;
pub mod derating;
pub mod energised;
pub mod feed;
mod outcome;
pub mod preferred;
pub mod prelude;
pub mod prospective;
mod registry;
pub mod wiring;

pub mod completeness;
pub mod isolation;
pub mod output_range;
pub mod pinout;
pub mod polarity;
pub mod ratings;
pub mod thermal;

pub use check::{Built, Check, Context, Gate, Source, Stage};
pub use outcome::{Bound, Comparison, Failure, Outcome, Place, Subject};
pub use registry::{REGISTRY, find};
