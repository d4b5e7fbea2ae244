//! From text to the tree: limits, duplicate keys, and nothing of YAML's guessing of types.
//!
//! Anchors and aliases are read within a budget; tags, merge keys and second documents are not.

use super::syntax;
use super::{Diagnostic, Entry, FileId, Node, Reader, Severity, SourceSet, Span, Value};
use indexmap::IndexMap;
use saphyr_parser::{Event, Marker, Parser, ScalarStyle, ScanError};
use std::collections::BTreeMap;

/// Deepest nesting read.
pub const DEEPEST: usize = 64;

/// Most keys and values in one file, aliases written out. A large design has a few thousand.
pub const MOST_NODES: usize = 50_000;

/// Reads the tree of a file and notes what is wrong with it. `None` after a mistake of YAML's own
/// syntax or a limit passed; after others, such as a key given twice, the first stands.
pub fn read_tree(sources: &SourceSet, file: FileId, reader: &mut Reader) -> Option<Node> {
    let text = sources.file(file).text.as_str();
    let mut builder = Builder {
        places: Places::new(text, file),
        open: Vec::new(),
        anchors: IndexMap::new(),
        nodes: 0,
        root: None,
        broken: false,
        errors: Vec::new(),
    };
    for event in Parser::new_from_str(text) {
        let more = match event {
            Ok((event, span)) => {
                let span = builder.places.span(span.start, span.end);
                builder.take(event, span)
            }
            Err(error) => {
                let error = builder.places.syntax_error(&error);
                builder.fail(error)
            }
        };
        if !more {
            break;
        }
    }
    if builder.root.is_none() && builder.errors.is_empty() {
        builder.errors.push(
            Diagnostic::error("empty-file", "this file holds nothing")
                .at(Span::new(file, 0..0), ""),
        );
    }
    reader.diagnostics.append(&mut builder.errors);
    builder.root.filter(|_| !builder.broken)
}

/// Reads a file through `take`, which notes what is wrong in the reader it is given. Returns what
/// was read with the warnings.
///
/// # Errors
/// All mistakes, and the warnings.
pub fn read_file<T>(
    sources: &mut SourceSet,
    path: &str,
    bytes: Vec<u8>,
    take: impl FnOnce(&Node, &mut Reader) -> Option<T>,
) -> Result<(T, Vec<Diagnostic>), Vec<Diagnostic>> {
    let file = sources.add(path, bytes)?;
    let mut reader = Reader::default();
    let tree = read_tree(sources, file, &mut reader);
    let taken = tree.and_then(|tree| take(&tree, &mut reader));
    let failed = reader
        .diagnostics
        .iter()
        .any(|diagnostic| diagnostic.severity == Severity::Error);
    match taken {
        Some(taken) if !failed => Ok((taken, reader.diagnostics)),
        _ => Err(reader.diagnostics),
    }
}

/// Character positions of the scanner → byte offsets.
struct Places<'a> {
    text: &'a str,
    file: FileId,
    /// Byte offset of each character, and of the end.
    offsets: Vec<u32>,
}

impl<'a> Places<'a> {
    fn new(text: &'a str, file: FileId) -> Self {
        let clip = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        let mut offsets: Vec<u32> = text.char_indices().map(|(at, _)| clip(at)).collect();
        offsets.push(clip(text.len()));
        Self {
            text,
            file,
            offsets,
        }
    }

    fn offset(&self, marker: Marker) -> usize {
        let index = marker.index().min(self.offsets.len() - 1);
        self.offsets[index] as usize
    }

    fn span(&self, start: Marker, end: Marker) -> Span {
        let start = self.offset(start);
        Span::new(self.file, start..self.offset(end).max(start))
    }

    /// The scanner counts the space and comment after a quoted scalar as part of it.
    fn without_trailer(&self, span: Span, style: ScalarStyle) -> Span {
        let written = &self.text[span.start..span.end];
        let length = match style {
            ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted => closing_quote(written),
            _ => written.trim_end().len(),
        };
        Span {
            end: span.start + length,
            ..span
        }
    }
}

impl Places<'_> {
    /// The scanner's complaint, explained.
    fn syntax_error(&self, error: &ScanError) -> Diagnostic {
        let start = self.offset(*error.marker());
        if error.info().contains("recursion limit") {
            return too_deep(Span::new(self.file, start..start));
        }
        syntax::explain(error.info(), self.text, Span::new(self.file, start..start))
    }
}

/// Length of a quoted scalar with both its quotes.
fn closing_quote(written: &str) -> usize {
    let bytes = written.as_bytes();
    let quote = bytes.first().copied().unwrap_or(b'"');
    let mut at = 1;
    while at < bytes.len() {
        if bytes[at] == b'\\' && quote == b'"' {
            at += 2;
        } else if bytes[at] == quote {
            if quote == b'\'' && bytes.get(at + 1) == Some(&quote) {
                at += 2;
            } else {
                return at + 1;
            }
        } else {
            at += 1;
        }
    }
    written.trim_end().len()
}

/// A sequence or mapping that is still being read.
struct Open {
    start: Span,
    anchor: usize,
    value: Value,
    /// Where each key of a mapping was first given.
    seen: BTreeMap<String, Span>,
    /// Key that waits for its value.
    key: Option<(String, Span)>,
}

struct Builder<'a> {
    places: Places<'a>,
    open: Vec<Open>,
    anchors: IndexMap<usize, Node>,
    nodes: usize,
    root: Option<Node>,
    /// Nothing that was read can be used.
    broken: bool,
    errors: Vec<Diagnostic>,
}

impl Builder<'_> {
    /// Takes one event; `false` stops the reading.
    fn take(&mut self, event: Event<'_>, span: Span) -> bool {
        match event {
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => true,
            Event::DocumentStart(_) => {
                if self.root.is_none() {
                    return true;
                }
                self.fail(
                    Diagnostic::error("second-document", "a second document begins here")
                        .at(span, "")
                        .hint("one file holds one document: remove the `---`"),
                )
            }
            Event::Scalar(text, style, anchor, tag) => {
                if tag.is_some() {
                    self.refuse_tag(span);
                }
                let span = self.places.without_trailer(span, style);
                let written = &self.places.text[span.start..span.end];
                let node = Node {
                    span,
                    verbatim: written.find(&*text).map(|offset| span.start + offset),
                    value: Value::Text(text.into_owned()),
                };
                self.close(node, anchor, 1)
            }
            Event::SequenceStart(anchor, tag) => {
                self.begin(Value::List(Vec::new()), anchor, tag.is_some(), span)
            }
            Event::MappingStart(anchor, tag) => {
                self.begin(Value::Map(Vec::new()), anchor, tag.is_some(), span)
            }
            Event::SequenceEnd | Event::MappingEnd => {
                let Some(open) = self.open.pop() else {
                    return false;
                };
                let node = Node {
                    span: whole(&open, span),
                    verbatim: None,
                    value: open.value,
                };
                self.close(node, open.anchor, 1)
            }
            Event::Alias(anchor) => {
                let Some(node) = self.anchors.get(&anchor) else {
                    return self.fail(
                        Diagnostic::error("alias-loop", "this alias stands inside what it repeats")
                            .at(span, ""),
                    );
                };
                let (size, levels) = extent(node, MOST_NODES);
                if self.open.len() + levels > DEEPEST {
                    return self.fail(too_deep(span));
                }
                if self.nodes + size > MOST_NODES {
                    return self.too_many(span);
                }
                let node = node.clone();
                self.close(node, 0, size)
            }
        }
    }

    fn fail(&mut self, error: Diagnostic) -> bool {
        self.errors.push(error);
        self.broken = true;
        false
    }

    fn too_many(&mut self, span: Span) -> bool {
        self.fail(
            Diagnostic::error(
                "too-many-nodes",
                format!("this file grows to more than {MOST_NODES} keys and values"),
            )
            .at(span, "the limit is passed here"),
        )
    }

    fn refuse_tag(&mut self, span: Span) {
        self.errors.push(
            Diagnostic::error("tag", "tags (`!name`) are not read")
                .at(span, "")
                .hint("remove the tag; every value is read as it is written"),
        );
    }

    fn begin(&mut self, value: Value, anchor: usize, tagged: bool, span: Span) -> bool {
        if tagged {
            self.refuse_tag(span);
        }
        if self.open.len() >= DEEPEST {
            return self.fail(too_deep(span));
        }
        self.open.push(Open {
            start: span,
            anchor,
            value,
            seen: BTreeMap::new(),
            key: None,
        });
        true
    }

    /// Puts a finished node where it belongs.
    fn close(&mut self, node: Node, anchor: usize, size: usize) -> bool {
        self.nodes += size;
        if self.nodes > MOST_NODES {
            return self.too_many(node.span);
        }
        if anchor > 0 {
            self.anchors.insert(anchor, node.clone());
        }
        let Some(parent) = self.open.last_mut() else {
            self.root = Some(node);
            return true;
        };
        match &mut parent.value {
            Value::Text(_) => {}
            Value::List(items) => items.push(node),
            Value::Map(entries) => match parent.key.take() {
                Some((key, key_span)) => {
                    if let Some(first) = parent.seen.get(&key) {
                        let error =
                            Diagnostic::error("duplicate-key", format!("`{key}` is given twice"))
                                .at(key_span, "given again here")
                                .related(*first, "first given here")
                                .hint("keep one of them");
                        self.errors.push(error);
                    } else {
                        parent.seen.insert(key.clone(), key_span);
                        entries.push(Entry {
                            key,
                            key_span,
                            value: node,
                        });
                    }
                }
                None => match node.value {
                    Value::Text(key) => {
                        if key == "<<" {
                            let error =
                                Diagnostic::error("merge-key", "merge keys (`<<`) are not read")
                                    .at(node.span, "")
                                    .hint("write the keys out");
                            self.errors.push(error);
                        }
                        parent.key = Some((key, node.span));
                    }
                    Value::List(_) | Value::Map(_) => {
                        let error = Diagnostic::error("complex-key", "a key must be one word")
                            .at(node.span, "");
                        return self.fail(error);
                    }
                },
            },
        }
        true
    }
}

/// The place of a finished sequence or mapping: block style has no closing mark of its own.
fn whole(open: &Open, end: Span) -> Span {
    let last = match &open.value {
        Value::List(items) => items.last().map(|node| node.span.end),
        Value::Map(entries) => entries.last().map(|entry| entry.value.span.end),
        Value::Text(_) => None,
    };
    let flow = end.end > end.start;
    let stop = if flow {
        end.end
    } else {
        last.unwrap_or(open.start.end)
    };
    Span {
        file: open.start.file,
        start: open.start.start,
        end: stop.max(open.start.start),
    }
}

/// Nodes of a tree, counted up to a limit, and how many levels of lists and maps it has.
fn extent(node: &Node, limit: usize) -> (usize, usize) {
    let (mut count, mut levels) = (0, 0);
    let mut waiting = vec![(node, 0)];
    while let Some((node, level)) = waiting.pop() {
        count += 1;
        if count > limit {
            break;
        }
        let below = level + 1;
        match &node.value {
            Value::Text(_) => levels = levels.max(level),
            Value::List(items) => {
                levels = levels.max(below);
                waiting.extend(items.iter().map(|item| (item, below)));
            }
            Value::Map(entries) => {
                levels = levels.max(below);
                waiting.extend(entries.iter().map(|entry| (&entry.value, below)));
            }
        }
    }
    (count, levels)
}

fn too_deep(span: Span) -> Diagnostic {
    Diagnostic::error(
        "too-deep",
        format!("this is nested more than {DEEPEST} levels deep"),
    )
    .at(span, "")
}
