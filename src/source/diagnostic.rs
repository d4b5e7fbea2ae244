//! What is wrong with a file as written, and where.

use super::{SourceSet, Span};
use serde_json::{Value, json};

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// The file can be used, and this is probably not what was meant.
    Warning,
}

/// A place with a few words about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The place.
    pub span: Span,
    /// The words; may be empty.
    pub text: String,
}

/// One thing wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// What kind of mistake, e.g. `unknown-key`.
    pub code: &'static str,
    /// How bad.
    pub severity: Severity,
    /// One sentence without a full stop.
    pub message: String,
    /// Where; `None` when no file could be opened.
    pub primary: Option<Label>,
    /// Other places that explain it.
    pub related: Vec<Label>,
    /// What to write instead.
    pub hint: Option<String>,
}

impl Diagnostic {
    /// An error without a place yet.
    #[must_use]
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            message: message.into(),
            primary: None,
            related: Vec::new(),
            hint: None,
        }
    }

    /// A warning without a place yet.
    #[must_use]
    pub fn warning(code: &'static str, message: impl Into<String>) -> Self {
        Self {
            severity: Severity::Warning,
            ..Self::error(code, message)
        }
    }

    /// Puts it at a place.
    #[must_use]
    pub fn at(mut self, span: Span, label: impl Into<String>) -> Self {
        self.primary = Some(Label {
            span,
            text: label.into(),
        });
        self
    }

    /// Adds another place.
    #[must_use]
    pub fn related(mut self, span: Span, label: impl Into<String>) -> Self {
        self.related.push(Label {
            span,
            text: label.into(),
        });
        self
    }

    /// Says what to write instead.
    #[must_use]
    pub fn hint(self, hint: impl Into<String>) -> Self {
        self.hint_if(Some(hint.into()))
    }

    /// Says what to write instead, if there is something to say.
    #[must_use]
    pub fn hint_if(mut self, hint: Option<String>) -> Self {
        self.hint = hint.or(self.hint);
        self
    }

    /// Sort key: file, then place, then code.
    #[must_use]
    pub fn order(&self) -> (Option<Span>, &'static str, &str) {
        (
            self.primary.as_ref().map(|l| l.span),
            self.code,
            &self.message,
        )
    }

    /// As a JSON object: `code, severity, message, place, related, hint`; each place is
    /// `file, line, column, end_line, end_column, label`, counted from 1 in characters.
    #[must_use]
    pub fn to_json(&self, sources: &SourceSet) -> Value {
        let place = |label: &Label| {
            let (start, end) = (sources.start(label.span), sources.end(label.span));
            json!({
                "file": sources.file(label.span.file).path,
                "line": start.line,
                "column": start.column,
                "end_line": end.line,
                "end_column": end.column,
                "label": label.text,
            })
        };
        json!({
            "code": self.code,
            "severity": match self.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            },
            "message": self.message,
            "place": self.primary.as_ref().map(place),
            "related": self.related.iter().map(place).collect::<Vec<_>>(),
            "hint": self.hint,
        })
    }
}
