//! Units that were built: one file each, with everything that was measured of them.
//!
//! Owns the unit file, its append-only log and the meter. Opens and writes no file: the command
//! line does. Judging readings against predictions belongs to `bench`.

pub mod log;
mod meter;
mod migrate;
mod read;
mod readings;
mod session;
mod unit;

#[cfg(test)]
mod tests;

pub use meter::{Accuracy, Display, Meter};
pub use migrate::{migrate, needs_migration, written};
pub use read::read;
pub use readings::{from_csv, from_yaml};
pub use unit::{Point, Reading, Rework, Session, Setting, Skip, Substitution, Unit};
