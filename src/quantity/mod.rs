//! Quantities: units, ranges with a nominal, reading them from text and printing them.
//!
//! Owns the one parser and the one formatter for every number that a person writes or reads.
//! Inside the program all values are SI floats whose unit is fixed by what holds them.

mod format;
mod spread;
mod unit;

pub use format::format;
pub use spread::Spread;
pub use unit::Unit;
