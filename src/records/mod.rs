//! Units that were built: one file each, with dated sessions of readings.
//!
//! Owns the unit file and the meter's accuracy. Files are appended to, never rewritten, and not
//! here: this room only reads. Judging readings against predictions belongs to `bringup` and
//! `review`.

mod meter;
mod read;
mod unit;

#[cfg(test)]
mod tests;

pub use meter::{Accuracy, Meter};
pub use read::read;
pub use unit::{Reading, Session, Setting, Substitution, Unit};
