//! The design: a checked description of one box and of what it is plugged into.
//!
//! Everything here has already been resolved: terminals have nets, pins have functions, figures
//! have units, spreads and pedigrees. Every entry keeps the span of the text it came from.

mod connection;
mod model;
mod part;
mod promise;
mod read;
pub mod schema;

#[cfg(test)]
mod tests;

pub use connection::{Connection, Controller, Input, Instrument, Supply, Wiring};
pub use model::{Conditions, Derating, Design, Draws, Enclosure, Mains};
pub use part::{Part, Pole, Structure};
pub use promise::{Promise, Promised};
pub use read::{Load, Read, Refused, read, spans};
