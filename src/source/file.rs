//! The files read for one run: their text, and where each line begins.

use super::{Diagnostic, FileId, Span};
use std::ops::Range;

/// Largest file read, in bytes.
pub const LARGEST_FILE: usize = 1024 * 1024;

/// One file as read.
#[derive(Debug, Clone)]
pub struct SourceFile {
    /// Path as the user would write it.
    pub path: String,
    /// The bytes as they are on disk.
    pub bytes: Vec<u8>,
    /// The text: no byte-order mark, lines ended by `\n`. Spans count in this.
    pub text: String,
    lines: Vec<usize>,
}

/// Every file of a run, in the order in which they were read.
#[derive(Debug, Clone, Default)]
pub struct SourceSet {
    files: Vec<SourceFile>,
}

/// A place for people: both count from 1, the column in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Position {
    /// Line.
    pub line: usize,
    /// Column.
    pub column: usize,
}

impl SourceSet {
    /// Takes in a file. It is kept even when it cannot be read as text, so that the diagnostic
    /// has something to point at.
    ///
    /// # Errors
    /// Larger than [`LARGEST_FILE`], not UTF-8, or holding control characters.
    pub fn add(&mut self, path: &str, bytes: Vec<u8>) -> Result<FileId, Vec<Diagnostic>> {
        let file = FileId(self.files.len());
        let (text, trouble) = decode(&bytes);
        let mut lines = vec![0];
        lines.extend(text.match_indices('\n').map(|(at, _)| at + 1));
        self.files.push(SourceFile {
            path: path.to_owned(),
            bytes,
            text,
            lines,
        });
        match trouble {
            None => Ok(file),
            Some((range, reason, hint)) => {
                let error = Diagnostic::error("unreadable-text", reason)
                    .at(Span::new(file, range), "")
                    .hint_if(hint);
                Err(vec![error])
            }
        }
    }

    /// The files with their ids.
    pub fn files(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files
            .iter()
            .enumerate()
            .map(|(index, file)| (FileId(index), file))
    }

    /// One file.
    ///
    /// # Panics
    /// When the id comes from another set.
    #[must_use]
    pub fn file(&self, id: FileId) -> &SourceFile {
        &self.files[id.0]
    }

    /// The text of a span.
    #[must_use]
    pub fn text(&self, span: Span) -> &str {
        self.file(span.file)
            .text
            .get(span.start..span.end)
            .unwrap_or_default()
    }

    /// Where a span begins.
    #[must_use]
    pub fn start(&self, span: Span) -> Position {
        self.file(span.file).position(span.start)
    }

    /// Where a span ends (one past its last character).
    #[must_use]
    pub fn end(&self, span: Span) -> Position {
        self.file(span.file).position(span.end)
    }

    /// `path:line:column` of a span's beginning.
    #[must_use]
    pub fn place(&self, span: Span) -> String {
        let Position { line, column } = self.start(span);
        format!("{}:{line}:{column}", self.file(span.file).path)
    }
}

impl SourceFile {
    /// Line and column of a byte offset.
    #[must_use]
    pub fn position(&self, offset: usize) -> Position {
        let line = self.lines.partition_point(|start| *start <= offset).max(1);
        let start = self.lines[line - 1];
        let before = self
            .text
            .get(start..offset.min(self.text.len()))
            .unwrap_or_default();
        Position {
            line,
            column: before.chars().count() + 1,
        }
    }
}

type Trouble = (Range<usize>, String, Option<String>);

/// Text of a file with its line ends made `\n`, and what is wrong with it.
fn decode(bytes: &[u8]) -> (String, Option<Trouble>) {
    if bytes.len() > LARGEST_FILE {
        let reason = format!(
            "this file has {} bytes, and {LARGEST_FILE} is the most that is read",
            bytes.len()
        );
        return (String::new(), Some((0..0, reason, None)));
    }
    let save = Some("save the file as UTF-8".to_owned());
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        let reason = "this file is UTF-16, and UTF-8 is needed".to_owned();
        return (String::new(), Some((0..0, reason, save)));
    }
    let body = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes);
    match std::str::from_utf8(body) {
        Ok(text) => {
            let text = text.replace("\r\n", "\n").replace('\r', "\n");
            let trouble = text
                .char_indices()
                .find(|(_, c)| forbidden(*c))
                .map(|(at, c)| {
                    let reason = format!(
                        "an invisible control character (U+{:04X}) stands here",
                        u32::from(c)
                    );
                    (at..at + c.len_utf8(), reason, Some("delete it".to_owned()))
                });
            (text, trouble)
        }
        Err(error) => {
            // Latin-1 shows the line well enough to find the byte.
            let text: String = body.iter().map(|b| char::from(*b)).collect();
            let at: usize = body[..error.valid_up_to()]
                .iter()
                .map(|b| char::from(*b).len_utf8())
                .sum();
            let reason = "this byte is not UTF-8 text".to_owned();
            (text, Some((at..at + 1, reason, save)))
        }
    }
}

/// Control characters, and the marks that reorder text on screen so that it reads otherwise
/// than it is parsed.
fn forbidden(c: char) -> bool {
    (c.is_control() && !matches!(c, '\n' | '\t'))
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
