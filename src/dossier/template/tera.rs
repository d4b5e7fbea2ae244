//! Filling in the fields of a template.

use std::io::Write;

use serde_json::Value;
use tera::{Context, Delimiters, Error, ErrorKind, ReportError, Tera};

use super::directive;
use crate::source::{Diagnostic, FileId, SourceSet, Span};

/// The first template, filled in.
pub(super) fn fill(
    sources: &SourceSet,
    templates: &[FileId],
    fields: &Value,
) -> Result<String, Box<Diagnostic>> {
    let Some(main) = templates.first() else {
        let error = Diagnostic::error("no-template", "there is no template");
        return Err(Box::new(error));
    };
    let mut tera = Tera::default();
    // `{#id}` gives a heading its name, so comments are written `<# … #>`.
    let delimiters = Delimiters {
        comment_start: "<#".into(),
        comment_end: "#>".into(),
        ..Delimiters::default()
    };
    tera.set_escape_fn(escape);
    tera.autoescape_on([".md"]);
    let named: Vec<(String, String)> = templates
        .iter()
        .map(|id| {
            let text = directive::marked(*id, &sources.file(*id).text);
            (name(sources, *id), text)
        })
        .collect();
    let located = |error: &Error| Box::new(locate(sources, templates, error));
    tera.set_delimiters(delimiters).map_err(|e| located(&e))?;
    tera.add_raw_templates(named).map_err(|e| located(&e))?;
    let context = Context::from_serialize(fields).map_err(|e| located(&e))?;
    tera.render(&name(sources, *main), &context)
        .map_err(|e| located(&e))
}

/// The name by which other templates include it: its file name.
fn name(sources: &SourceSet, id: FileId) -> String {
    let path = &sources.file(id).path;
    path.rsplit(['/', '\\']).next().unwrap_or(path).to_owned()
}

/// Fields are words, not Markdown: what Markdown would read is escaped, line ends become spaces.
fn escape(field: &str, out: &mut dyn Write) -> std::io::Result<()> {
    for character in field.chars() {
        match character {
            '\n' | '\r' => out.write_all(b" ")?,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | ':' | '&' | '!'
            | '{' | '}' | '+' | '-' | '=' | '.' | ')' | '(' => {
                write!(out, "\\{character}")?;
            }
            // Private-use characters carry the places of directives.
            '\u{E000}' | '\u{E001}' => {}
            other => write!(out, "{other}")?,
        }
    }
    Ok(())
}

fn locate(sources: &SourceSet, templates: &[FileId], error: &Error) -> Diagnostic {
    match error.kind() {
        ErrorKind::SyntaxError(report) => at(sources, templates, "template-syntax", report),
        ErrorKind::RenderingError(report) => at(sources, templates, "template-field", report),
        other => {
            let message = other.to_string();
            let place = named_in(sources, templates, &message);
            Diagnostic::error("template", message).at(place, "")
        }
    }
}

/// Where a template names what a message quotes, such as a file that is not there; the beginning
/// of the main template if none does.
fn named_in(sources: &SourceSet, templates: &[FileId], message: &str) -> Span {
    message
        .split(['`', '\'', '"'])
        .skip(1)
        .step_by(2)
        .filter(|word| !word.is_empty())
        .find_map(|word| {
            templates.iter().find_map(|id| {
                let start = sources.file(*id).text.find(&format!("\"{word}\""))? + 1;
                Some(Span::new(*id, start..start + word.len()))
            })
        })
        .unwrap_or_else(|| Span::new(templates.first().copied().unwrap_or_default(), 0..0))
}

fn at(
    sources: &SourceSet,
    templates: &[FileId],
    code: &'static str,
    report: &ReportError,
) -> Diagnostic {
    let file = templates
        .iter()
        .copied()
        .find(|id| name(sources, *id) == report.filename())
        .or(templates.first().copied())
        .unwrap_or_default();
    // Lines are as in the source; offsets are not, since places were written behind directives.
    let span = report.span();
    let text = &sources.file(file).text;
    let line_start: usize = text
        .split_inclusive('\n')
        .take(span.start_line.saturating_sub(1))
        .map(str::len)
        .sum();
    let start = (line_start + span.start_col).min(text.len());
    let length = if span.end_line == span.start_line {
        span.end_col.saturating_sub(span.start_col)
    } else {
        1
    };
    let end = (start + length.max(1)).min(text.len());
    Diagnostic::error(code, report.message()).at(Span::new(file, start..end), "")
}
