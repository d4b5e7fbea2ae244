//! The drawings of a build: what a design looks like on paper.
//!
//! Owns the schematic and the pictures of pins, fed by the design and the catalogue alone, so that
//! they need no solution, and the rows of windows in which readings are shown; gives [`Scene`](super::scene::Scene)s.

pub mod pins;
pub mod schematic;
pub mod windows;
pub mod wiring;
