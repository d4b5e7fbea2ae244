//! The fonts of the dossier: the faces, their metrics, and shaping of a run of text.
//!
//! Owns the embedded font files and the fallback for characters a face lacks. Knows nothing of
//! lines or pages.

mod face;
mod shape;

pub use face::{Face, Metrics};
pub use shape::{Fonts, Glyph, Shaped};
