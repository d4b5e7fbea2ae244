//! Source text: files, spans, diagnostics and how they print.

mod span;

pub use span::{FileId, Span};
