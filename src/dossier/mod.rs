//! The build dossier: from blocks to PDF bytes.
//!
//! ```text
//! view model + templates → Document (blocks) → Laid (pages of placed items) → PDF bytes
//! ```
//!
//! [`block`] is the vocabulary; [`template`] turns Markdown with named blocks into it; [`layout`]
//! sets it on pages; [`pdf`] writes the pages. [`scene`] is what drawings and plots are made of.
//! Nothing here decides anything about a design.

pub mod block;
pub mod font;
pub mod scene;
pub mod style;
