//! How diagnostics print in a terminal: the offending line, the words under it, and a hint.

use super::{Diagnostic, Label, Severity, SourceSet};
use annotate_snippets::{Annotation, AnnotationKind, Level, Renderer, Snippet};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// How to print. The caller knows whether it writes to a terminal and what `NO_COLOR` says.
#[derive(Debug, Clone, Copy)]
pub struct PrintStyle {
    /// Colour by ANSI escapes.
    pub colour: bool,
    /// Columns available.
    pub width: usize,
}

impl Default for PrintStyle {
    fn default() -> Self {
        Self {
            colour: false,
            width: 100,
        }
    }
}

/// Most diagnostics printed; beyond them the file is of another sort altogether.
const MOST_PRINTED: usize = 100;

/// Prints diagnostics in the order of their places, a blank line after each, and a last line
/// that counts them.
#[must_use]
pub fn print(diagnostics: &[Diagnostic], sources: &SourceSet, style: PrintStyle) -> String {
    let renderer = if style.colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    }
    .term_width(style.width);
    let mut sorted: Vec<&Diagnostic> = diagnostics.iter().collect();
    sorted.sort_by(|a, b| a.order().cmp(&b.order()));
    let mut out = String::new();
    for diagnostic in sorted.iter().take(MOST_PRINTED) {
        out.push_str(&print_one(diagnostic, sources, &renderer));
        out.push_str("\n\n");
    }
    if sorted.len() > MOST_PRINTED {
        let _ = writeln!(
            out,
            "{} more are not printed\n",
            sorted.len() - MOST_PRINTED
        );
    }
    let count = |severity: Severity| sorted.iter().filter(|d| d.severity == severity).count();
    let counted: Vec<String> = [(Severity::Error, "error"), (Severity::Warning, "warning")]
        .into_iter()
        .map(|(severity, word)| (count(severity), word))
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}{}", if count == 1 { "" } else { "s" }))
        .collect();
    if !counted.is_empty() {
        out.push_str(&counted.join(", "));
        out.push('\n');
    }
    out
}

fn print_one(diagnostic: &Diagnostic, sources: &SourceSet, renderer: &Renderer) -> String {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title = level
        .primary_title(diagnostic.message.as_str())
        .id(diagnostic.code);
    let mut group = title.elements(Vec::<Snippet<'_, Annotation<'_>>>::new());
    if let Some(primary) = &diagnostic.primary {
        // One snippet for each file, the one with the mistake first.
        let mut files: BTreeMap<(bool, usize), Vec<(AnnotationKind, &Label)>> = BTreeMap::new();
        let own = primary.span.file;
        files
            .entry((false, own.0))
            .or_default()
            .push((AnnotationKind::Primary, primary));
        for label in &diagnostic.related {
            files
                .entry((label.span.file != own, label.span.file.0))
                .or_default()
                .push((AnnotationKind::Context, label));
        }
        for labels in files.into_values() {
            let Some((_, first)) = labels.first() else {
                continue;
            };
            let file = sources.file(first.span.file);
            let mut snippet = Snippet::source(file.text.as_str()).path(file.path.as_str());
            for (kind, label) in labels {
                let end = label.span.end.min(file.text.len());
                let mut annotation = kind.span(label.span.start.min(end)..end);
                if !label.text.is_empty() {
                    annotation = annotation.label(label.text.as_str());
                }
                snippet = snippet.annotation(annotation);
            }
            group = group.element(snippet);
        }
    }
    if let Some(hint) = &diagnostic.hint {
        group = group.element(Level::HELP.message(hint.as_str()));
    }
    renderer.render(&[group]).clone()
}
