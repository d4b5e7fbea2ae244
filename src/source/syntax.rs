//! What lies behind a complaint of the YAML scanner, in words that help.

use super::{Diagnostic, Span};

/// The complaint `info` at a place, with the bracket that was left open or a hint.
pub(super) fn explain(info: &str, text: &str, at: Span) -> Diagnostic {
    let error = Diagnostic::error("syntax", format!("this is not YAML: {info}")).at(at, "");
    if let Some((open, bracket)) = unclosed(&text[..at.start]) {
        return error
            .related(
                Span::new(at.file, open..open + 1),
                format!("`{bracket}` is opened here"),
            )
            .hint("a bracket is not closed, or a comma is missing");
    }
    let hint = HINTS
        .iter()
        .find(|(words, _)| info.contains(words))
        .map(|(_, hint)| (*hint).to_owned());
    error.hint_if(hint)
}

/// The last bracket of a text that is opened and not closed, outside quotes and comments.
fn unclosed(text: &str) -> Option<(usize, char)> {
    let mut open: Vec<(usize, char)> = Vec::new();
    let mut quote: Option<char> = None;
    let mut before = '\n';
    let mut comment = false;
    for (at, c) in text.char_indices() {
        match (c, quote) {
            ('\n', None) => comment = false,
            _ if comment => {}
            (c, Some(mark)) if c == mark => quote = None,
            ('#', None) if before.is_whitespace() => comment = true,
            // A quote counts only where a value begins: `the lamp's` is plain text.
            ('\'' | '"', None) if matches!(before, ' ' | '[' | '{' | ',' | '\n') => quote = Some(c),
            ('{' | '[', None) if !before.is_alphanumeric() => open.push((at, c)),
            ('}' | ']', None) => {
                open.pop();
            }
            _ => {}
        }
        before = c;
    }
    open.pop()
}

/// What usually lies behind the scanner's words.
const HINTS: &[(&str, &str)] = &[
    (
        "mapping values are not allowed",
        "a text that holds `: ` needs quotes round it; otherwise check the indentation of this line and the one above",
    ),
    ("tab", "indent with spaces"),
    (
        "unknown anchor",
        "`*` begins an alias; put quotes round a text that begins with it",
    ),
    (
        "while scanning a quoted scalar",
        "a closing quote is missing",
    ),
    (
        "indentation",
        "check the indentation of this line against the one above",
    ),
];
