//! Templates to blocks: Markdown, filled in by Tera, with blocks placed by name.
//!
//! ```text
//! # Ratings {#ratings}
//! The nearest of {{ ratings.count }} is {{ ratings.nearest }}.
//! :::table ratings
//! :::caution Stored charge
//! Wait {{ bleed.time }}.
//! :::
//! ```
//!
//! A line `:::KIND NAME` places what the view model offers under that name: `table`, `figure`,
//! `steps`, `checklist`, `callout`, `gates`, `title`, or `blocks` for any mixture. `:::contents`
//! and `:::pagebreak` stand alone. `:::danger`, `:::caution` and `:::note`, each with an optional
//! title, open a callout that `:::` closes. `# Words {#id}` names a heading, `[words](#id)` leads
//! to it, `<# words #>` is a comment. Templates arrange words and never compute.
//!
//! Owns the directives and the way back from an error to its template, line and column.

mod directive;
mod markdown;
mod shipped;
mod tera;

pub use shipped::{MAIN, SHIPPED, Templates};

use indexmap::IndexMap;
use serde_json::Value;

use super::block::{Block, Callout, text};
use crate::source::{Diagnostic, FileId, Span};
use directive::{Directive, Line};

/// What a template may place under a name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Placeable {
    /// The blocks; all of the kind by which the template calls them.
    pub blocks: Vec<Block>,
    /// A template that never places it is in error: cautions and findings cannot be left out.
    pub required: bool,
}

/// Fills in the main template (which may include the others by file name) and turns it into blocks.
/// The places of what it reports are those of `templates.sources`.
///
/// # Errors
/// Every mistake found: what Tera reports (an unknown field, a syntax error), unknown names and
/// kinds, callouts left open, required blocks never placed, Markdown that a dossier does not have.
pub fn render(
    templates: &Templates,
    fields: &Value,
    named: &IndexMap<String, Placeable>,
) -> Result<Vec<Block>, Vec<Diagnostic>> {
    let filled =
        tera::fill(&templates.sources, &templates.files, fields).map_err(|error| vec![*error])?;
    let main = templates.files.first().copied().unwrap_or_default();
    let mut reader = Reader {
        named,
        placed: Vec::new(),
        errors: Vec::new(),
        start: Span::new(main, 0..0),
        after: Span::new(main, 0..0),
        templates,
    };
    let blocks = reader.read(&filled);
    for (name, placeable) in named {
        if placeable.required && !reader.placed.contains(name) {
            reader.errors.push(
                Diagnostic::error(
                    "block-not-placed",
                    format!("the template never places `{name}`, which every dossier must show"),
                )
                .at(reader.start, "")
                .hint(format!("add a line `:::{} {name}`", kind_of(placeable))),
            );
        }
    }
    if reader.errors.is_empty() {
        Ok(blocks)
    } else {
        Err(reader.errors)
    }
}

struct Reader<'a> {
    named: &'a IndexMap<String, Placeable>,
    placed: Vec<String>,
    errors: Vec<Diagnostic>,
    /// The beginning of the main template.
    start: Span,
    /// The last directive.
    after: Span,
    templates: &'a Templates,
}

/// A callout being filled.
struct Open {
    kind: Callout,
    title: String,
    span: Span,
    blocks: Vec<Block>,
}

impl Reader<'_> {
    fn read(&mut self, filled: &str) -> Vec<Block> {
        let mut blocks = Vec::new();
        let mut open: Option<Open> = None;
        for line in directive::split(filled) {
            let mut new = match line {
                Line::Markdown(markdown) => match markdown::blocks(&markdown) {
                    Ok(blocks) => blocks,
                    Err((what, words)) => {
                        let message = format!("a dossier has no {what}");
                        self.errors.push(
                            Diagnostic::error("unknown-markdown", message)
                                .at(self.find(&words), ""),
                        );
                        Vec::new()
                    }
                },
                Line::Directive(directive) => {
                    self.after = directive.span;
                    if let Some(kind) = callout_kind(&directive.kind) {
                        if let Some(open) = &open {
                            self.errors.push(
                                Diagnostic::error(
                                    "callout-in-callout",
                                    "a callout inside a callout",
                                )
                                .at(directive.span, "")
                                .related(open.span, "opened here"),
                            );
                        }
                        open = Some(Open {
                            kind,
                            title: directive.rest.clone(),
                            span: directive.span,
                            blocks: Vec::new(),
                        });
                        continue;
                    }
                    if directive.kind.is_empty() {
                        match open.take() {
                            Some(done) => blocks.push(done.close()),
                            None => self.errors.push(
                                Diagnostic::error("nothing-to-close", "no callout is open here")
                                    .at(directive.span, ""),
                            ),
                        }
                        continue;
                    }
                    self.place(&directive)
                }
            };
            match &mut open {
                Some(open) => open.blocks.append(&mut new),
                None => blocks.append(&mut new),
            }
        }
        if let Some(open) = open {
            self.errors.push(
                Diagnostic::error("callout-not-closed", "this callout is never closed")
                    .at(open.span, "")
                    .hint("close it with a line `:::`"),
            );
        }
        blocks
    }

    /// Where a template says these words: after the last directive, else anywhere, else right
    /// after the directive. Fields cannot hold them, so they stand in a template as they are.
    fn find(&self, words: &str) -> Span {
        let words = words.lines().next().unwrap_or_default().trim();
        let sources = &self.templates.sources;
        let within = |file: FileId, from: usize| {
            let text = sources.file(file).text.get(from..)?;
            let start = from + text.find(words).filter(|_| !words.is_empty())?;
            Some(Span::new(file, start..start + words.len()))
        };
        within(self.after.file, self.after.end)
            .or_else(|| self.templates.files.iter().find_map(|id| within(*id, 0)))
            .unwrap_or(self.after)
    }

    fn place(&mut self, directive: &Directive) -> Vec<Block> {
        match directive.kind.as_str() {
            "contents" => return vec![Block::Contents],
            "pagebreak" => return vec![Block::PageBreak],
            kind if KINDS.contains(&kind) => {}
            kind => {
                let words =
                    KINDS
                        .iter()
                        .chain(&["contents", "pagebreak", "danger", "caution", "note"]);
                self.errors.push(
                    Diagnostic::error(
                        "unknown-block-kind",
                        format!("there is no block kind `{kind}`"),
                    )
                    .at(directive.span, "")
                    .hint_if(nearest(kind, words.copied())),
                );
                return Vec::new();
            }
        }
        let name = &directive.rest;
        let Some(placeable) = self.named.get(name) else {
            self.errors.push(
                Diagnostic::error("unknown-block", format!("there is no block named `{name}`"))
                    .at(directive.span, "")
                    .hint_if(nearest(name, self.named.keys().map(String::as_str))),
            );
            return Vec::new();
        };
        self.placed.push(name.clone());
        let kind = kind_of(placeable);
        if directive.kind != "blocks" && !placeable.blocks.is_empty() && directive.kind != kind {
            self.errors.push(
                Diagnostic::error(
                    "wrong-block-kind",
                    format!("`{name}` is no {}", directive.kind),
                )
                .at(directive.span, "")
                .hint(format!("write `:::{kind} {name}`")),
            );
        }
        placeable.blocks.clone()
    }
}

impl Open {
    fn close(self) -> Block {
        Block::Callout {
            id: String::new(),
            kind: self.kind,
            title: if self.title.is_empty() {
                Vec::new()
            } else {
                text(directive::unescaped(&self.title))
            },
            blocks: self.blocks,
        }
    }
}

const KINDS: [&str; 8] = [
    "table",
    "figure",
    "steps",
    "checklist",
    "callout",
    "gates",
    "title",
    "blocks",
];

fn callout_kind(word: &str) -> Option<Callout> {
    match word {
        "danger" => Some(Callout::Danger),
        "caution" => Some(Callout::Caution),
        "note" => Some(Callout::Note),
        _ => None,
    }
}

fn kind_of(placeable: &Placeable) -> &'static str {
    let mut kinds = placeable.blocks.iter().map(|block| match block {
        Block::Table(_) => "table",
        Block::Figure(_) => "figure",
        Block::Steps(_) => "steps",
        Block::Checklist(_) => "checklist",
        Block::Callout { .. } => "callout",
        Block::Gates(_) => "gates",
        Block::Title(_) => "title",
        _ => "blocks",
    });
    let first = kinds.next().unwrap_or("blocks");
    if kinds.all(|kind| kind == first) {
        first
    } else {
        "blocks"
    }
}

fn nearest<'a>(word: &str, among: impl Iterator<Item = &'a str>) -> Option<String> {
    among
        .map(|other| (strsim::damerau_levenshtein(word, other), other))
        .min()
        .filter(|(distance, other)| *distance <= 1 + other.chars().count() / 4)
        .map(|(_, other)| format!("did you mean `{other}`?"))
}

#[cfg(test)]
mod tests;
