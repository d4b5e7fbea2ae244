//! Lines of a filled-in template: Markdown, and directives with their place in the source.
//!
//! Before Tera runs, every line that begins with `:::` gets its file and offset written behind it
//! between two private-use characters, so that it can be traced back through includes and loops.

use std::fmt::Write as _;

use crate::source::{FileId, Span};

const BEFORE: char = '\u{E000}';
const AFTER: char = '\u{E001}';
const START: &str = ":::";

/// A run of lines.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Line {
    /// Markdown.
    Markdown(String),
    /// A directive.
    Directive(Directive),
}

/// A line `:::KIND REST`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Directive {
    /// The word after `:::`; empty for a closing line.
    pub kind: String,
    /// What follows it.
    pub rest: String,
    /// The line in its template.
    pub span: Span,
}

/// The template with the place of each directive written behind it.
pub(super) fn marked(file: FileId, template: &str) -> String {
    let mut out = String::with_capacity(template.len() + 64);
    let mut offset = 0;
    for line in template.split_inclusive('\n') {
        let body = line.trim_end_matches('\n');
        out.push_str(body);
        let trimmed = body.trim();
        if trimmed.starts_with(START) {
            let start = offset + (body.len() - body.trim_start().len());
            let end = start + trimmed.len();
            // Writing to a String cannot fail.
            let _ = write!(out, " {BEFORE}{}:{start}:{end}{AFTER}", file.0);
        }
        out.push_str(&line[body.len()..]);
        offset += line.len();
    }
    out
}

/// The lines of a filled-in template.
pub(super) fn split(filled: &str) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut markdown = String::new();
    for line in filled.lines() {
        if let Some(directive) = directive(line) {
            if !markdown.trim().is_empty() {
                lines.push(Line::Markdown(std::mem::take(&mut markdown)));
            }
            markdown.clear();
            lines.push(Line::Directive(directive));
        } else {
            markdown.push_str(line);
            markdown.push('\n');
        }
    }
    if !markdown.trim().is_empty() {
        lines.push(Line::Markdown(markdown));
    }
    lines
}

fn directive(line: &str) -> Option<Directive> {
    let body = line.trim().strip_prefix(START)?;
    let (words, place) = body.split_once(BEFORE)?;
    let mut numbers = place
        .trim_end_matches(AFTER)
        .split(':')
        .map(str::parse::<usize>);
    let mut next = || numbers.next().and_then(Result::ok).unwrap_or(0);
    let (file, start, end) = (next(), next(), next());
    let words = words.trim();
    let (kind, rest) = words.split_once(' ').unwrap_or((words, ""));
    Some(Directive {
        kind: kind.to_owned(),
        rest: rest.trim().to_owned(),
        span: Span::new(FileId(file), start..end),
    })
}

/// The words without the escapes that a field is given for Markdown.
pub(super) fn unescaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut characters = words.chars().peekable();
    while let Some(character) = characters.next() {
        if character == '\\' && characters.peek().is_some_and(char::is_ascii_punctuation) {
            continue;
        }
        out.push(character);
    }
    out
}
