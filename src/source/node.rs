//! The tree of a YAML file with the place of every key and value. Scalars are raw text.

use super::Span;
use std::ops::Range;

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Where it stands.
    pub span: Span,
    /// What it is.
    pub value: Value,
    /// Byte where a scalar's text begins, when the file holds that text letter for letter (no
    /// escapes, no folded lines).
    pub verbatim: Option<usize>,
}

/// What a node holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A scalar exactly as written (`001`, `1.10`, `on`), quotes taken off. Nothing written is
    /// empty text.
    Text(String),
    /// A sequence.
    List(Vec<Node>),
    /// A mapping, in the order of the file, keys unique.
    Map(Vec<Entry>),
}

/// One key with its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Key as written.
    pub key: String,
    /// Where the key stands.
    pub key_span: Span,
    /// Its value.
    pub value: Node,
}

impl Node {
    /// The text of a scalar.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The entries of a mapping.
    #[must_use]
    pub fn entries(&self) -> Option<&[Entry]> {
        match &self.value {
            Value::Map(entries) => Some(entries),
            _ => None,
        }
    }

    /// The items of a sequence.
    #[must_use]
    pub fn items(&self) -> Option<&[Node]> {
        match &self.value {
            Value::List(items) => Some(items),
            _ => None,
        }
    }

    /// The value of a key.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.entries()?
            .iter()
            .find(|entry| entry.key == key)
            .map(|entry| &entry.value)
    }

    /// What it is, for messages.
    #[must_use]
    pub fn what(&self) -> &'static str {
        match &self.value {
            Value::Text(text) if text.is_empty() => "nothing",
            Value::Text(_) => "a text",
            Value::List(_) => "a list",
            Value::Map(_) => "a set of keys",
        }
    }

    /// The place of a piece of a scalar's text; the whole scalar where text and file differ.
    #[must_use]
    pub fn piece(&self, range: Range<usize>) -> Span {
        match self.verbatim {
            Some(start) if !range.is_empty() => {
                Span::new(self.span.file, start + range.start..start + range.end)
            }
            _ => self.span,
        }
    }
}
