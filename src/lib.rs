//! preplug: reviews the design of a small home-built electronics box.
//!
//! ```text
//! text → Design → Circuit → Evidence → Outcomes → Review → Dossier → PDF bytes
//! ```
//!
//! Each arrow is a pure function; each module imports only from those before it in this list.
//! Files, clock, environment and terminal live in [`cli`].

pub mod bench;
pub mod bringup;
pub mod catalogue;
pub mod checks;
pub mod circuit;
pub mod cli;
pub mod design;
pub mod diagnosis;
pub mod dossier;
pub mod evidence;
pub mod quantity;
pub mod records;
pub mod review;
pub mod situations;
pub mod solver;
pub mod source;

pub use review::{Assessed, Companions, assess};
