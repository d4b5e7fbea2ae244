//! The drawings of a build: what a design looks like on paper.
//!
//! Owns the schematic and the pictures of pins. Fed by the design and the catalogue alone, so that
//! a drawing needs no solution; gives [`Scene`](super::scene::Scene)s.

pub mod pins;
pub mod schematic;
pub mod wiring;
