//! Quantities: units, ranges with a nominal, reading them from text and printing them.
//!
//! Owns the one parser and the one formatter for every number that a person writes or reads.
//! Inside the program all values are SI floats whose unit is fixed by what holds them.

mod amount;
mod error;
mod format;
mod parse;
mod scale;
mod spread;
mod unit;

#[cfg(test)]
mod tests;

pub use error::ParseError;
pub use format::{
    format, format_percent, format_range, format_short, format_spread, format_to, rounded,
};
pub use parse::{Parsed, parse_range, parse_size, parse_spread, parse_value};
pub use spread::Spread;
pub use unit::Unit;
