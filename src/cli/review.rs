//! `preplug review`: the main job. Reviews a design and writes its dossier.

use super::{BAD_INPUT, BLOCKED, COULD_NOT_FINISH, OPEN, Paper, complain, files, print, report};
use crate::bringup::Meter;
use crate::checks::Gate;
use crate::dossier::{self, font::Fonts, template::Templates, view::Material};
use crate::{Assessed, assess};
use std::path::Path;

/// Runs the command. Nothing is written when the input is bad.
pub(super) fn run(path: &str, out: &Path, paper: Paper, gate: Gate) -> u8 {
    let assessed = match assess(path, &files::companions(path), &files::load) {
        Ok(assessed) => assessed,
        Err(refused) => {
            complain(&refused.diagnostics, &refused.sources);
            return BAD_INPUT;
        }
    };
    print(&report::report(path, &assessed));
    if let Err(code) = dossier(path, out, paper, &assessed) {
        return code;
    }
    if assessed.review.is_open(gate) {
        OPEN
    } else {
        BLOCKED
    }
}

/// Writes the dossier as `FOLDER.pdf` into `out`, named after the folder of the design.
fn dossier(path: &str, out: &Path, paper: Paper, assessed: &Assessed) -> Result<(), u8> {
    let fonts = Fonts::new();
    let templates = Templates::shipped();
    let material = Material {
        design: &assessed.design,
        sources: &assessed.sources,
        evidence: &assessed.evidence,
        review: &assessed.review,
        units: &assessed.units,
        file: assessed.file.as_ref(),
        meter: &Meter::default(),
        date: assessed.design.date.as_deref().unwrap_or_default(),
    };
    let document = dossier::document(&material, &templates, &fonts).map_err(|diagnostics| {
        complain(&diagnostics, &templates.sources);
        BAD_INPUT
    })?;
    let paper = match paper {
        Paper::A4 => dossier::layout::Paper::A4,
        Paper::Letter => dossier::layout::Paper::Letter,
    };
    let could_not = |what: String| {
        anstream::eprintln!("{what}");
        COULD_NOT_FINISH
    };
    let composed =
        dossier::compose(&document, paper, &fonts).map_err(|error| could_not(error.to_string()))?;
    let target = out.join(format!("{}.pdf", name(path)));
    files::write_whole(&target, &composed.bytes)
        .map_err(|error| could_not(format!("cannot write {}: {error}", target.display())))?;
    for character in &composed.missing_characters {
        anstream::eprintln!("no font has the character {character:?}: it is printed as \u{FFFD}");
    }
    print(&format!(
        "\nDossier: {} ({} pages)\n",
        target.display(),
        composed.pages
    ));
    Ok(())
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
