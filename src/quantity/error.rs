//! What is wrong with a quantity as written.

use std::fmt;
use std::ops::Range;

/// Why a text is not a quantity of the unit asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ParseError {
    /// Byte range of the offending piece within the text that was parsed.
    pub range: Range<usize>,
    /// What is wrong, as a sentence without a full stop.
    pub reason: String,
    /// What to write instead, where that can be said.
    pub hint: Option<String>,
}

impl ParseError {
    pub(super) fn new(range: Range<usize>, reason: impl Into<String>) -> Self {
        Self {
            range,
            reason: reason.into(),
            hint: None,
        }
    }

    pub(super) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.reason)?;
        match &self.hint {
            Some(hint) => write!(f, " ({hint})"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for ParseError {}
