//! Runs of text inside a block.

/// A run of text.
#[derive(Debug, Clone, PartialEq)]
pub enum Inline {
    /// Plain words.
    Text(String),
    /// Semi-bold.
    Strong(Vec<Inline>),
    /// Italic.
    Emphasis(Vec<Inline>),
    /// A name of a net, part, key or file.
    Code(String),
    /// A link to the block with this id.
    Link {
        /// The id of a heading, table row or figure.
        to: String,
        /// The words.
        text: Vec<Inline>,
    },
    /// A status mark, drawn so that its shape alone says what it means.
    Status(Status),
    /// A new line.
    Break,
}

/// What a check said, as a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// A tick in a ring.
    Holds,
    /// A filled square with a cross.
    Fails,
    /// A broken ring with a question mark: never to be taken for a pass.
    NotAssessed,
    /// A dash.
    DoesNotApply,
    /// A triangle with an exclamation mark.
    Caution,
}

/// Plain words.
#[must_use]
pub fn text(words: impl Into<String>) -> Vec<Inline> {
    vec![Inline::Text(words.into())]
}

/// Semi-bold words.
#[must_use]
pub fn strong(words: impl Into<String>) -> Inline {
    Inline::Strong(text(words))
}

/// Italic words.
#[must_use]
pub fn emphasis(words: impl Into<String>) -> Inline {
    Inline::Emphasis(text(words))
}

/// A name in the typewriter face.
#[must_use]
pub fn code(words: impl Into<String>) -> Inline {
    Inline::Code(words.into())
}

/// Words that lead to the block `to`.
#[must_use]
pub fn link(to: impl Into<String>, words: impl Into<String>) -> Inline {
    Inline::Link {
        to: to.into(),
        text: text(words),
    }
}

/// The words without their dress, for the outline and the alternate text.
#[must_use]
pub fn plain_text(inlines: &[Inline]) -> String {
    let mut out = String::new();
    for inline in inlines {
        match inline {
            Inline::Text(words) | Inline::Code(words) => out.push_str(words),
            Inline::Strong(inner) | Inline::Emphasis(inner) | Inline::Link { text: inner, .. } => {
                out.push_str(&plain_text(inner));
            }
            Inline::Break => out.push(' '),
            Inline::Status(status) => out.push_str(status.word()),
        }
    }
    out
}

impl Status {
    /// The mark in words.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Status::Holds => "holds",
            Status::Fails => "fails",
            Status::NotAssessed => "not assessed",
            Status::DoesNotApply => "does not apply",
            Status::Caution => "caution",
        }
    }
}

impl From<&str> for Inline {
    fn from(words: &str) -> Self {
        Inline::Text(words.to_owned())
    }
}

impl From<String> for Inline {
    fn from(words: String) -> Self {
        Inline::Text(words)
    }
}
