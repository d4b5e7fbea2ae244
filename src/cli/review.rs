//! `preplug review`: the main job. Reviews a design and writes its dossier.

use super::material::Prepared;
use super::{
    BAD_INPUT, BLOCKED, COULD_NOT_FINISH, OPEN, Paper, assessed, complain, files, print, report,
    unit_report,
};
use crate::Assessed;
use crate::checks::Gate;
use crate::dossier::{self, font::Fonts, template::Templates, view::Material};
use crate::review::{Comparison, compare};
use crate::source::{Diagnostic, Span};
use std::path::Path;

/// Runs the command. Nothing is written when the input is bad.
pub(super) fn run(
    path: &str,
    out: &Path,
    paper: Paper,
    templates: Option<&Path>,
    reviewer: Option<String>,
    since: Option<&str>,
    gate: Gate,
) -> u8 {
    if out.exists() && !out.is_dir() {
        anstream::eprintln!(
            "{} is a file: --out names the folder that the dossier goes to",
            out.display()
        );
        return BAD_INPUT;
    }
    let mut companions = files::companions(path);
    companions.review = reviewer.or(companions.review);
    let templates = match templates.map_or_else(|| Ok(Templates::shipped()), own_templates) {
        Ok(templates) => templates,
        Err(code) => return code,
    };
    let assessed = match assessed(path, &companions) {
        Ok(assessed) => assessed,
        Err(code) => return code,
    };
    let since = match since.map(|older| changes(older, &assessed)).transpose() {
        Ok(since) => since,
        Err(code) => return code,
    };
    print(&report::report(path, &assessed));
    print(&report::signatures(&assessed));
    let prepared = match Prepared::new(path, &assessed) {
        Ok(prepared) => prepared,
        Err(code) => return code,
    };
    for (unit, gates) in assessed.units.iter().zip(&prepared.unit_gates) {
        print(&unit_report::print_gates(&unit.serial, gates));
    }
    let made = Made {
        out,
        paper,
        templates: &templates,
        prepared: &prepared,
        since: since
            .as_ref()
            .map(|(older, changes)| (older.as_str(), changes)),
    };
    if let Err(code) = dossier(path, &assessed, &made) {
        return code;
    }
    if assessed.review.is_open(gate) {
        OPEN
    } else {
        BLOCKED
    }
}

/// The older revision in words, and what changed since.
fn changes(older: &str, now: &Assessed) -> Result<(String, Comparison), u8> {
    let before = assessed(older, &files::companions(older))?;
    let revision = before.design.revision.as_ref();
    let revision = revision.map_or(String::new(), |revision| format!(" revision {revision}"));
    let words = format!("{}{revision}", before.design.title);
    Ok((words, compare(&before, now)))
}

/// How a dossier is made, and what goes into it besides the review.
struct Made<'a> {
    out: &'a Path,
    paper: Paper,
    templates: &'a Templates,
    prepared: &'a Prepared,
    since: Option<(&'a str, &'a Comparison)>,
}

/// Writes the dossier as `FOLDER.pdf`, named after the folder of the design, into a folder that is
/// made when it is not there.
fn dossier(path: &str, assessed: &Assessed, made: &Made<'_>) -> Result<(), u8> {
    let fonts = Fonts::new();
    let material = Material {
        since: made.since,
        ..made.prepared.material(assessed)
    };
    let document = dossier::document(&material, made.templates, &fonts).map_err(|diagnostics| {
        complain(&diagnostics, &made.templates.sources);
        BAD_INPUT
    })?;
    let paper = match made.paper {
        Paper::A4 => dossier::layout::Paper::A4,
        Paper::Letter => dossier::layout::Paper::Letter,
    };
    let composed = dossier::compose(&document, paper, &fonts).map_err(|error| {
        anstream::eprintln!("{error}");
        COULD_NOT_FINISH
    })?;
    let target = made.out.join(format!("{}.pdf", name(path)));
    files::make_folder(made.out)?;
    files::put(&target, &composed.bytes)?;
    let missing: Vec<Diagnostic> = composed
        .missing_characters
        .iter()
        .map(|character| no_glyph(assessed, *character))
        .collect();
    let warnings: Vec<Diagnostic> = missing.into_iter().chain(right_to_left(assessed)).collect();
    complain(&warnings, &assessed.sources);
    print(&format!(
        "\nDossier: {} ({} pages)\n",
        target.display(),
        composed.pages
    ));
    Ok(())
}

/// The templates shipped, with those of a folder in place of their namesakes.
fn own_templates(folder: &Path) -> Result<Templates, u8> {
    let refuse = |what: String| {
        anstream::eprintln!("{what}");
        BAD_INPUT
    };
    let entries = std::fs::read_dir(folder)
        .map_err(|error| {
        refuse(format!(
            "cannot read the templates in {}: {error}; name a folder with the .md files that stand in for those of the same name",
            folder.display()
        ))
    })?;
    let mut paths: Vec<String> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "md"))
        .map(|path| path.to_string_lossy().into_owned())
        .collect();
    paths.sort();
    if paths.is_empty() {
        let folder = folder.display();
        return Err(refuse(format!("there is no template (*.md) in {folder}")));
    }
    let mut own = Vec::new();
    for path in paths {
        let bytes = files::load(&path).map_err(|why| refuse(format!("{path}: {why}")))?;
        own.push((path, bytes));
    }
    Templates::shipped_but(own).map_err(|(diagnostics, sources)| {
        complain(&diagnostics, &sources);
        BAD_INPUT
    })
}

/// A character that cannot be printed, at its first place in the files.
fn no_glyph(assessed: &Assessed, character: char) -> Diagnostic {
    let code = u32::from(character);
    let warning = Diagnostic::warning(
        "no-glyph",
        format!(
            "no font of the dossier has {character:?} (U+{code:04X}): it is printed as \u{FFFD}"
        ),
    )
    .hint("write it in Latin, Greek or Cyrillic letters");
    let found = assessed.sources.files().find_map(|(id, file)| {
        let start = file.text.find(character)?;
        Some(Span::new(id, start..start + character.len_utf8()))
    });
    match found {
        Some(span) => warning.at(span, ""),
        None => warning,
    }
}

/// Words of a script that runs from right to left, at their first place: each is set rightly, but
/// one after the other from left to right.
fn right_to_left(assessed: &Assessed) -> Option<Diagnostic> {
    // Hebrew to Arabic extended, and their presentation forms.
    let turned = |c: char| matches!(c, '\u{590}'..='\u{8FF}' | '\u{FB1D}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFC}');
    let (id, start, character) = assessed
        .sources
        .files()
        .find_map(|(id, file)| Some((id, file.text.char_indices().find(|(_, c)| turned(*c))?)))
        .map(|(id, (start, character))| (id, start, character))?;
    let span = Span::new(id, start..start + character.len_utf8());
    let message = "the dossier sets right-to-left words one after the other from left to right";
    Some(Diagnostic::warning("right-to-left", message).at(span, ""))
}

/// `tide-lever` for `reviews/tide-lever/design.yaml`; the file's own name elsewhere.
fn name(path: &str) -> String {
    let path = Path::new(path);
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned());
    let folder = path
        .parent()
        .and_then(Path::file_name)
        .map(|f| f.to_string_lossy().into_owned());
    match (stem, folder) {
        (Some(stem), Some(folder)) if stem == "design" => folder,
        (Some(stem), _) => stem,
        (None, _) => "dossier".to_owned(),
    }
}
