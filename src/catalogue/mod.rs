//! The catalogue: kinds of part, what may be said of each, and the generic types with their
//! published figures, packages and pin orders (YAML data beside the code).

mod figure;
mod kind;
mod property;

pub use figure::{Figure, Mark, Pedigree};
pub use kind::Kind;
pub use property::Property;
