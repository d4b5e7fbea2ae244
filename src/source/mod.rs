//! Source text: files, spans, diagnostics and how they print.
//!
//! Owns the text of every file read, the tree of keys and values with their places, and what is
//! wrong with them. Opens no file: the caller passes bytes in.

mod diagnostic;
mod file;
mod node;
mod print;
mod reader;
mod span;
mod syntax;
mod yaml;

#[cfg(test)]
mod tests;

pub use diagnostic::{Diagnostic, Label, Severity};
pub use file::{LARGEST_FILE, Position, SourceFile, SourceSet};
pub use node::{Entry, Node, Value};
pub use print::{PrintStyle, print};
pub use reader::{Reader, is_date, nearest};
pub use span::{FileId, Span};
pub use yaml::{DEEPEST, MOST_NODES, read_file, read_tree};
