//! Where in which file something stands.

use std::ops::Range;

/// Index of a file in the set of files read for one run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct FileId(pub usize);

/// A byte range of one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// A byte range of a file.
    #[must_use]
    pub fn new(file: FileId, range: Range<usize>) -> Self {
        Self {
            file,
            start: range.start,
            end: range.end,
        }
    }
}
